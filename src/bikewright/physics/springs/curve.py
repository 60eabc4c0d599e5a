"""What every spring answers: force, rate and energy at a stroke, and at which stroke a force is met.

Question answered   How hard, how stiff and how much stored at this stroke, and where does this load come to rest?
Method              One base class; each spring gives the three values at once, exactly. The stroke of a force is found
                    by Newton's method with the exact rate, kept inside a closing bracket.
Axes and signs      Stroke is compression from full extension, positive as the spring closes. Force is positive where it
                    extends the spring. Energy is counted from full extension, where it is zero.
Left out            Friction, which is no function of the stroke alone (see `friction`).
Theory              docs/theory/springs.md
"""

import math
from abc import ABC, abstractmethod
from typing import TypeAlias

from bikewright.errors import OutsideValidity, SolverDidNotSettle
from bikewright.physics.plane import Number
from bikewright.units import MM

State: TypeAlias = tuple[Number, Number, Number]
"""Force [N], rate [N/m] and energy [J] at one stroke; floats, or arrays of one shape."""

SETTLED = 1e-13
"""Part of the stroke to which `stroke_at_force` closes its bracket or its step."""
STEPS_MAX = 200
"""Bisection alone would need 44 steps."""
NEAR_STEPS = 6
"""Newton's method doubles its digits in each step; more than this many and the guess was not near."""


class SpringCurve(ABC):
    """Anything with a force, a rate and an energy at each stroke.

    A float goes the short way through `math`, because a solver asks for one stroke many thousand times; an array goes
    through numpy and gives arrays of its shape.
    """

    __slots__ = ()

    @abstractmethod
    def state(self, stroke: Number) -> State:
        """Force, rate and energy at once, which costs no more than one of them.

        Parameters
        ----------
        stroke : float or ndarray
            Compression from full extension. [m]

        Returns
        -------
        force, rate, energy : float or ndarray
            Force that extends the spring, its derivative, and its integral from full extension. [N, N/m, J]
        """

    def force(self, stroke: Number) -> Number:
        """Force that extends the spring.

        Parameters
        ----------
        stroke : float or ndarray
            Compression from full extension. [m]

        Returns
        -------
        float or ndarray
            Force. [N]
        """
        return self.state(stroke)[0]

    def rate(self, stroke: Number) -> Number:
        """Exact derivative of the force with respect to the stroke.

        Parameters
        ----------
        stroke : float or ndarray
            Compression from full extension. [m]

        Returns
        -------
        float or ndarray
            Rate. [N/m]
        """
        return self.state(stroke)[1]

    def energy(self, stroke: Number) -> Number:
        """Energy taken up since full extension: the exact integral of the force.

        Parameters
        ----------
        stroke : float or ndarray
            Compression from full extension. [m]

        Returns
        -------
        float or ndarray
            Energy. [J]
        """
        return self.state(stroke)[2]


def stroke_at_force(spring: SpringCurve, force: float, stroke: float, near: float | None = None) -> float:
    """Where a spring without friction comes to rest under a force along its shaft.

    Parameters
    ----------
    spring : SpringCurve
        With a force that rises with the stroke.
    force : float
        That compresses the spring. [N]
    stroke : float
        Full stroke. [m]
    near : float, optional
        A stroke near which the answer is expected; it saves steps and changes nothing else. [m]

    Returns
    -------
    float
        Between 0 (the force does not lift the spring off its top-out) and the full stroke (bottomed). [m]

    Raises
    ------
    OutsideValidity
        If there is no stroke.
    SolverDidNotSettle
        If the force is no number somewhere on the way, or the bracket does not close.
    """
    if not stroke > 0.0:
        raise OutsideValidity(f"a stroke of {stroke / MM:.1f} mm cannot be searched; give one above 0 mm")
    quick = None if near is None else _from_near(spring, force, stroke, near)
    if quick is not None:
        return quick
    low, high = 0.0, float(stroke)
    if force <= spring.force(low):
        return low
    if force >= spring.force(high):
        return high
    at = 0.5 * high
    for _ in range(STEPS_MAX):
        found, rate, _energy = spring.state(at)
        over = found - force
        if over == 0.0:
            return at
        if math.isnan(over):
            break
        low, high = (low, at) if over > 0.0 else (at, high)
        step = at - over / rate if rate > 0.0 else low
        # Newton's step where it stays inside the bracket, half the bracket where it does not.
        nearer = step if low < step < high else 0.5 * (low + high)
        if abs(nearer - at) <= SETTLED * stroke:
            return nearer
        at = nearer
    raise SolverDidNotSettle(
        f"the stroke that carries {force:.1f} N was not found between {low / MM:.3f} and {high / MM:.3f} mm; "
        "check that the spring has a force there that rises with the stroke"
    )


def _from_near(spring: SpringCurve, force: float, stroke: float, near: float) -> float | None:
    """Newton's method from a good guess; None where it leaves the stroke or is not done in a few steps."""
    at = near
    for _ in range(NEAR_STEPS):
        found, rate, _energy = spring.state(at)
        if not rate > 0.0:
            return None
        step = at - (found - force) / rate
        if not 0.0 < step < stroke:
            return None
        if abs(step - at) <= SETTLED * stroke:
            return float(step)
        at = step
    return None
