"""Curves over the travel of rear wheel or fork, in the catalogue's units: exact at their points, smooth between."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bikewright.errors import OutsideValidity
from bikewright.physics.linkage.curve import Curve as SmoothCurve
from bikewright.quantities import Quantity

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """One catalogued quantity through the travel of the rear wheel, or of the fork, in the catalogue's units."""

    quantity: Quantity
    qualifier: str
    """Which pin or gear, where the quantity is named by one; else empty."""
    x_mm: Array
    """Travel at the points [mm]; read-only."""
    y: Array
    """The quantity at the points, in its unit; read-only. NaN where `gap` says why."""
    slope: Array | None
    """Exact slope at the points, in the unit for each millimetre; None where only the points are exact."""
    gap: str = ""
    """Why some points have no value; empty where all have one."""

    def at(self, x_mm: float) -> float:
        """The quantity at a travel.

        Raises
        ------
        OutsideValidity
            If the travel is outside the curve, or the curve has no value there.
        """
        if not self.x_mm[0] - 1e-9 <= x_mm <= self.x_mm[-1] + 1e-9:
            raise OutsideValidity(
                f"{self.quantity.label} is known from {self.x_mm[0]:.1f} to {self.x_mm[-1]:.1f} mm of travel, "
                f"not at {x_mm:.1f} mm"
            )
        if self.slope is None:
            found = float(np.interp(x_mm, self.x_mm, self.y))
        else:
            found = float(SmoothCurve(self.x_mm, self.y, self.slope).at(x_mm))
        if not np.isfinite(found):
            raise OutsideValidity(f"{self.quantity.label} has no value at {x_mm:.1f} mm of travel: {self.gap}")
        return found


def frozen(values: Array) -> Array:
    """The array, made read-only, so that a kept result cannot be changed by its readers."""
    values.flags.writeable = False
    return values
