"""A leverage with everything known in closed form."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Falling:
    """Wheel travel z = a s - b s²/2: the leverage ratio a - b s falls evenly with the stroke s."""

    stroke: np.ndarray
    start: float = 3.0
    fall: float = 12.0

    @property
    def wheel_travel(self):
        return self.start * self.stroke - 0.5 * self.fall * self.stroke**2

    @property
    def leverage_ratio(self):
        return self.start - self.fall * self.stroke

    @property
    def leverage_slope(self):
        """dLR/dz = (dLR/ds)/(dz/ds)."""
        return -self.fall / self.leverage_ratio
