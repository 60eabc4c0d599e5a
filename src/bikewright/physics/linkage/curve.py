"""A smooth curve through exact values with exact slopes.

Question answered   What is the value between two solved positions?
Method              Cubic Hermite interpolation on each interval.
Axes and signs      Those of the values given.
Left out            Anything outside the solved positions, which is refused.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.errors import OutsideValidity

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Curve:
    """Values and slopes at rising places."""

    x: Floats
    """Places, strictly rising (n,). [as its maker says]"""
    y: Floats
    """Values there (n,). [as its maker says]"""
    slope: Floats
    """Exact dy/dx there (n,). [unit of y per unit of x]"""

    def _locate(self, x: Any) -> tuple[Any, Any, Any]:
        """Interval of each place, its width, and how far into it the place lies, from 0 to 1."""
        low, high = float(self.x[0]), float(self.x[-1])
        room = 1e-9 * (high - low)
        if isinstance(x, float) and low - room <= x <= high + room:  # one place is asked for often: no arrays for it
            one = min(max(int(self.x.searchsorted(x, side="right")) - 1, 0), len(self.x) - 2)
            start = float(self.x[one])
            span = float(self.x[one + 1]) - start
            return one, span, (float(x) - start) / span
        at = np.asarray(x, dtype=np.float64)
        bad = ~((at >= low - room) & (at <= high + room))
        if np.any(bad):
            found = float(at[bad].flat[0])
            raise OutsideValidity(f"the curve runs from {low:.6g} to {high:.6g}; {found:.6g} is outside it.")
        part = np.clip(np.searchsorted(self.x, at, side="right") - 1, 0, len(self.x) - 2)
        width = self.x[part + 1] - self.x[part]
        return part, width, (at - self.x[part]) / width

    def at(self, x: ArrayLike) -> Floats:
        """Values at places inside the curve, in the shape of `x`.

        Parameters
        ----------
        x : array_like
            Places. [unit of x]

        Returns
        -------
        ndarray
            Values. [unit of y]

        Raises
        ------
        OutsideValidity
            If a place lies outside the solved positions.
        """
        part, width, t = self._locate(x)
        u = 1.0 - t
        ends = u * u * (1.0 + 2.0 * t) * self.y[part] + t * t * (3.0 - 2.0 * t) * self.y[part + 1]
        bends = width * t * u * (u * self.slope[part] - t * self.slope[part + 1])
        return np.asarray(ends + bends, dtype=np.float64)

    def slope_at(self, x: ArrayLike) -> Floats:
        """Slopes of the same cubic at places inside the curve, in the shape of `x`.

        Parameters
        ----------
        x : array_like
            Places. [unit of x]

        Returns
        -------
        ndarray
            Slopes. [unit of y per unit of x]

        Raises
        ------
        OutsideValidity
            If a place lies outside the solved positions.
        """
        part, width, t = self._locate(x)
        u = 1.0 - t
        rise = 6.0 * t * u * (self.y[part + 1] - self.y[part]) / width
        ends = u * (u - 2.0 * t) * self.slope[part] + t * (t - 2.0 * u) * self.slope[part + 1]
        return np.asarray(rise + ends, dtype=np.float64)


def frozen(values: ArrayLike) -> Floats:
    """A read-only float64 copy.

    Parameters
    ----------
    values : array_like
        Any numbers. [any unit]

    Returns
    -------
    ndarray
        The same numbers. [the same unit]
    """
    array = np.array(values, dtype=np.float64)
    array.setflags(write=False)
    return array


def sealed(fresh: Floats) -> Floats:
    """An array that nobody else holds, made read-only without a copy.

    Parameters
    ----------
    fresh : ndarray
        Just worked out. [any unit]

    Returns
    -------
    ndarray
        The same array. [the same unit]
    """
    fresh.setflags(write=False)
    return fresh
