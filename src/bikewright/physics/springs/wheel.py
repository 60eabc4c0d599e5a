"""Springs at the wheel: force, rate and energy of a rear shock seen at the axle, through the leverage.

Question answered   What does the wheel feel of the shock's spring?
Method              Virtual work, with the exact leverage ratio and its exact slope.
Axes and signs      Wheel travel and stroke positive in compression; the wheel's force is vertical in the frame's axes.
Left out            Springs of tyres, mass of links.
Theory              docs/theory/springs.md
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from bikewright.errors import OutsideValidity
from bikewright.physics.linkage.curve import frozen
from bikewright.physics.plane import Number
from bikewright.physics.springs.curve import SpringCurve

Floats = NDArray[np.float64]


class Leverage(Protocol):
    """What of a followed linkage is needed: arrays over the same positions, from full extension."""

    @property
    def stroke(self) -> Floats:
        """Compression of the shock [m]."""

    @property
    def wheel_travel(self) -> Floats:
        """Travel of the wheel [m]."""

    @property
    def leverage_ratio(self) -> Floats:
        """d(wheel travel)/d(stroke) [-]."""

    @property
    def leverage_slope(self) -> Floats:
        """Derivative of the leverage ratio with respect to wheel travel [1/m]."""


@dataclass(frozen=True, slots=True, eq=False)
class WheelForces:
    """A spring over the travel of the wheel. Arrays are read-only."""

    travel: Floats
    """Of the wheel (n,). [m]"""
    force: Floats
    """At the wheel (n,). [N]"""
    rate: Floats
    """Exact derivative of the force with respect to wheel travel (n,). [N/m]"""
    energy: Floats
    """Since full extension: the same at wheel and shock (n,). [J]"""


def at_wheel(force: Number, rate: Number, leverage_ratio: Number, leverage_slope: Number) -> tuple[Number, Number]:
    """Force and rate at the wheel of a force and a rate at the shock.

    Parameters
    ----------
    force, rate : float or ndarray
        Of the shock. [N, N/m]
    leverage_ratio : float or ndarray
        LR = d(wheel travel)/d(stroke). [-]
    leverage_slope : float or ndarray
        dLR/dz with respect to wheel travel z. [1/m]

    Returns
    -------
    force, rate : float or ndarray
        F/LR and k/LR² - F (dLR/dz)/LR². [N, N/m]

    Raises
    ------
    OutsideValidity
        If a leverage ratio is not positive.

    Notes
    -----
    With dE = F ds = Fw dz and dz = LR ds, Fw = F/LR; then dFw/dz = (dF/ds)(ds/dz)/LR - F (dLR/dz)/LR². The second term
    is not small: a falling leverage ratio stiffens the wheel even with a linear coil.
    """
    if not (np.asarray(leverage_ratio) > 0.0).all():
        raise OutsideValidity("a leverage ratio of 0 or less has no force at the wheel; check the linkage")
    square = leverage_ratio * leverage_ratio
    return force / leverage_ratio, (rate - force * leverage_slope) / square


def wheel_forces(spring: SpringCurve, leverage: Leverage) -> WheelForces:
    """A shock's spring over the travel of the wheel.

    Parameters
    ----------
    spring : SpringCurve
        Of the shock.
    leverage : Leverage
        A followed linkage, such as `bikewright.physics.linkage.motion.Motion`, its first position at full extension.

    Returns
    -------
    WheelForces
        At the positions of the linkage.
    """
    force, rate, energy = spring.state(np.asarray(leverage.stroke, dtype=np.float64))
    wheel_force, wheel_rate = at_wheel(force, rate, leverage.leverage_ratio, leverage.leverage_slope)
    return WheelForces(frozen(leverage.wheel_travel), frozen(wheel_force), frozen(wheel_rate), frozen(energy))
