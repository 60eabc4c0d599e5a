"""Pedal kickback: how far the suspension turns the crank.

Question answered   By which angle does the closing shock pull the crank backward, from full extension or from sag?
Method              The growth of the taut run, wound off the chainring, with the wheel held from turning.
Axes and signs      Positive turns the crank backward. Positions are the first axis, gears the second.
Left out            The wheel rolling on, play of the freewheel, slack in a clutch, stretch of the chain; so it is an
                    upper bound, not what feet feel.
Theory              docs/theory/kickback.md
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.chain import TautRun
from bikewright.physics.linkage.curve import Curve, sealed
from bikewright.physics.linkage.motion import Motion

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Kickback:
    """Turn of the crank that the suspension forces, positive backward: a kinematic upper bound, one column a gear."""

    start: float
    """Shock compression that the angles are counted from. [m]"""
    angle: Floats
    """Turn since the start (n, m); positions before the start are counted back from it. [rad]"""
    rate: Floats
    """Exact derivative of `angle` with respect to wheel travel (n, m). [rad/m]"""
    total: Floats
    """Turn from the start to the last position (m,). [rad]"""
    after: NDArray[np.bool_]
    """Whether a position is at the start or after it (n,)."""

    @property
    def most(self) -> Floats:
        """Largest turn from the start to any solved position after it (m,); more than `total` where the run gets
        shorter again. [rad]"""
        return sealed(np.maximum(np.max(self.angle[self.after], axis=0), 0.0))


def kickback(motion: Motion, run: TautRun, start: float = 0.0) -> Kickback:
    """How far the suspension turns the crank while the wheel does not turn on the ground.

    Parameters
    ----------
    motion : Motion
        From `bikewright.physics.linkage.motion.solve_motion`.
    run : TautRun
        From `bikewright.physics.chain.taut_run`, on the same motion.
    start : float
        Shock compression to count from: 0 is the first position; sag is another. [m]

    Returns
    -------
    Kickback

    Raises
    ------
    OutsideValidity
        If the start lies outside the motion.

    Notes
    -----
    The frame is held, and the wheel does not turn in it: the crank turns by growth of the taut run over the radius of
    the ring. A wheel that rolls forward runs away from its freewheel and lets through less, or nothing, which is why
    this is an upper bound. Between solved positions the start is read from the cubic through exact growth and slopes;
    a motion that has its first position at the start needs no reading.
    """
    if start == motion.stroke[0]:
        before = run.growth[0]
    else:
        before = Curve(motion.stroke, run.growth, run.rate).at(start)  # one row, all gears at once
    angle = (run.growth - before) / run.ring_radius
    return Kickback(
        start=start,
        angle=sealed(angle),
        rate=sealed(run.rate / (run.ring_radius * motion.leverage_ratio[:, None])),
        total=sealed(angle[-1]),
        after=motion.stroke >= start,
    )


def whole_turn(run: TautRun) -> Floats:
    """How far the whole travel turns the crank, as `kickback` from the first position has it for its `total`.

    Parameters
    ----------
    run : TautRun
        From `bikewright.physics.chain.taut_run`.

    Returns
    -------
    ndarray, shape (m,)
        Turn from the first position to the last, positive backward. [rad]
    """
    return np.asarray((run.growth[-1] - run.growth[0]) / run.ring_radius)
