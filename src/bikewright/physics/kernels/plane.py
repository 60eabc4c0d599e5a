"""Elementary plane geometry that kernels and the modules around them share, for floats and for arrays.

Theory: docs/theory/geometry.md, docs/theory/kernels.md
"""

from typing import Any


def tangent_below(dx: Any, dz: Any, first: Any, second: Any) -> tuple[Any, Any, Any]:
    """The lower common tangent of two circles, the second of them by (dx, dz) from the first.

    Returns sine and cosine of the turn that lays the tangent level, and the distance of the two points where it
    touches. By roots alone, so that arrays and floats go through the same lines; the circles must lie apart.
    """
    square = dx * dx + dz * dz
    rise = second - first
    run = (square - rise * rise) ** 0.5
    return (rise * dx - run * dz) / square, (run * dx + rise * dz) / square, run
