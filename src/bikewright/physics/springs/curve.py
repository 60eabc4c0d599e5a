"""What every spring answers: force, rate and energy at a stroke, and at which stroke a force is met.

Question answered   How hard, how stiff and how much stored at this stroke, and where does this load come to rest?
Method              One base class; each spring is a row of numbers, from which the kernel `spring` gives the three
                    values at once, exactly. The stroke of a force is found by Newton's method with the exact rate,
                    kept inside a closing bracket.
Axes and signs      Stroke is compression from full extension, positive as the spring closes. Force is positive where it
                    extends the spring. Energy is counted from full extension, where it is zero.
Left out            Friction, which is no function of the stroke alone (see `friction`).
Theory              docs/theory/springs.md
"""

import math
from abc import ABC, abstractmethod
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from bikewright.errors import OutsideValidity, SolverDidNotSettle
from bikewright.physics.kernels import spring as kernel
from bikewright.physics.kernels.compile import fastest
from bikewright.physics.kernels.linkage_group import OK
from bikewright.physics.plane import Number
from bikewright.units import MM

State: TypeAlias = tuple[Number, Number, Number]
"""Force [N], rate [N/m] and energy [J] at one stroke; floats, or arrays of one shape."""


class SpringCurve(ABC):
    """Anything with a force, a rate and an energy at each stroke, all of them written once, in the kernel `spring`.

    A float goes to it alone, because a solver asks for one stroke many thousand times; an array goes as a whole and
    gives arrays of its shape.
    """

    @abstractmethod
    def numbers(self) -> tuple[tuple[float, ...], ...]:
        """What the kernel is told of each spring on the shaft: its kind and its numbers, as `kernels.spring` has them.

        Returns
        -------
        tuple of tuple
            [m, N and their products]
        """

    @cached_property
    def row(self) -> NDArray[np.float64]:
        """The kernel's row of numbers. [m, N and their products]"""
        parts = self.numbers()
        return np.array(
            [len(parts), *(value for kind, *told in parts for value in (kind, len(told), *told))], dtype=np.float64
        )

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

        Raises
        ------
        OutsideValidity
            If a chamber of air is swept whole at a stroke.
        """
        if not isinstance(stroke, np.ndarray):
            found: State = kernel.state(self.row, float(stroke))
            if math.isnan(found[0]):
                self._refuse_swept(float(stroke))
            return found
        strokes = np.ascontiguousarray(stroke, dtype=np.float64).ravel()
        out = np.empty((3, strokes.size))
        fastest("spring.states")(self.row, strokes.copy(), out)
        missing = np.isnan(out[0])
        if missing.any():
            self._refuse_swept(float(strokes[missing][0]))
        force, rate, energy = out.reshape(3, *stroke.shape)
        return force, rate, energy

    def _refuse_swept(self, stroke: float) -> None:
        """Say which chamber is swept whole at a stroke; a spring without chambers has nothing to say."""
        del stroke

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


def stroke_at_force(spring: SpringCurve, force: float, stroke: float) -> float:
    """Where a spring without friction comes to rest under a force along its shaft.

    Parameters
    ----------
    spring : SpringCurve
        With a force that rises with the stroke.
    force : float
        That compresses the spring. [N]
    stroke : float
        Full stroke. [m]

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
    status, found = kernel.stroke_of(spring.row, float(force), float(stroke), math.nan)
    if status != OK:
        raise SolverDidNotSettle(
            f"the stroke that carries {force:.1f} N was not found near {found / MM:.3f} mm; check that the spring has "
            "a force there that rises with the stroke"
        )
    return float(found)
