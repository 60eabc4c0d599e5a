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
    # A slope of nought at a solved place tells nothing by itself: the signs before and after it do.
    sloped = np.flatnonzero(slope)
    turns = []
    for k in np.flatnonzero(slope[sloped[:-1]] * slope[sloped[1:]] < 0.0):
        # The slope is taken as straight between two exact values.
        i, j = sloped[k], sloped[k + 1]
        turns.append(float(stroke[i] + slope[i] / (slope[i] - slope[j]) * (stroke[j] - stroke[i])))
    inner = (float(motion.leverage.at(motion.travel_at_stroke(at))) for at in turns)
    levels = [float(ratio[0]), *inner, float(ratio[-1])]
    while turns:
        steps = np.abs(np.diff(levels))
        least = int(np.argmin(steps))
        if steps[least] > FELT_NOWHERE * ratio[0]:
            break
        # A ripple goes with both of its turning places, so that those around it still tell of a rise and a fall.
        for at in (least + 1, least):
            if 0 < at < len(levels) - 1:
                del levels[at], turns[at - 1]
    return tuple(turns)
