"""What the leverage curve is like: progression and turning places.

Question answered   How much does the leverage ratio fall through the travel, and does it fall all the way?
Method              Values of the exact curve; turning places where the exact second derivative changes sign.
Axes and signs      Progression positive where the leverage ratio falls, so that the wheel grows stiffer.
Left out            The spring's own progression.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.linkage.motion import Motion

Floats = NDArray[np.float64]

FELT_NOWHERE = 1e-6
"""Part of the leverage ratio below which a rise or fall between turning places is rounding and no turn."""


@dataclass(frozen=True, eq=False, slots=True)
class Progression:
    """Change of the leverage ratio, as (start - end)/start."""

    whole: float
    """From the first position to the last. [-]"""
    from_stroke: float | None
    """From the given stroke to the last position; None where no stroke was given. [-]"""
    last_fifth: float
    """Over the last fifth of the wheel travel. [-]"""
    monotonic: bool
    """Whether the ratio rises all the way or falls all the way."""
    turns_stroke: tuple[float, ...]
    """Shock compressions at which the ratio turns. [m]"""
    turns_travel: tuple[float, ...]
    """Wheel travels at which the ratio turns. [m]"""


def progression(motion: Motion, stroke: float | None = None) -> Progression:
    """Progression of a motion, whole, from a stroke to the end and over the last fifth of the wheel travel.

    Parameters
    ----------
    motion : Motion
        From `solve_motion`.
    stroke : float, optional
        Compression to start from, such as that at sag. [m]

    Returns
    -------
    Progression

    Notes
    -----
    Common definition of the trade, no source. The last fifth is of the wheel travel, not of the stroke.
    """
    ratio, curve = motion.leverage_ratio, motion.leverage
    end = float(ratio[-1])

    def fall(start: float) -> float:
        return (start - end) / start

    late = float(curve.at(0.8 * float(motion.wheel_travel[-1])))
    sag = None if stroke is None else fall(float(curve.at(float(motion.travel_at_stroke(stroke)))))
    turns = _turns(motion)
    return Progression(
        whole=fall(float(ratio[0])),
        from_stroke=sag,
        last_fifth=fall(late),
        monotonic=not turns,
        turns_stroke=turns,
        turns_travel=tuple(float(motion.travel_at_stroke(at)) for at in turns),
    )


def _turns(motion: Motion) -> tuple[float, ...]:
    """Compressions where the leverage ratio turns; ripples below `FELT_NOWHERE` of it are left out."""
    ratio, slope, stroke = motion.leverage_ratio, motion.axle_acceleration[:, 1], motion.stroke
    left, right = slope[:-1], slope[1:]
    touches = right == 0.0
    touches[-1] = False  # a ratio that comes to rest at the very end turns nowhere
    found = []
    for i in np.flatnonzero((left * right < 0.0) | touches):
        # The slope is taken as straight between two exact values.
        part = slope[i] / (slope[i] - slope[i + 1])
        found.append(float(stroke[i] + part * (stroke[i + 1] - stroke[i])))
    if not found:
        return ()
    levels = [
        float(ratio[0]),
        *(float(motion.leverage.at(motion.travel_at_stroke(at))) for at in found),
        float(ratio[-1]),
    ]
    steps = np.abs(np.diff(levels))
    return tuple(
        at
        for at, before, after in zip(found, steps, steps[1:], strict=False)
        if min(before, after) > FELT_NOWHERE * ratio[0]
    )
