"""Elementary plane geometry that kernels and the modules around them share.

Theory: docs/theory/plane.md, docs/theory/geometry.md, docs/theory/clearance.md, docs/theory/kernels.md
"""

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

HALVINGS = 28
"""They leave a place on a circle to 1e-8 rad; where an angle is least, its own error is the square of that."""

SIGNATURES = {
    "distances": "void(f8[:,::1], f8[:,::1], f8[::1])",
    "least_crest": "f8(f8, f8, f8, f8, f8, f8)",
}


def tangent_below(dx: Any, dz: Any, first: Any, second: Any) -> tuple[Any, Any, Any]:
    """The lower common tangent of two circles, the second of them by (dx, dz) from the first.

    Returns sine and cosine of the turn that lays the tangent level, and the distance of the two points where it
    touches. By roots alone, so that arrays and floats go through the same lines; the circles must lie apart.
    """
    square = dx * dx + dz * dz
    rise = second - first
    run = (square - rise * rise) ** 0.5
    return (rise * dx - run * dz) / square, (run * dx + rise * dz) / square, run


def distances(points: Floats, corners: Floats, out: Floats) -> None:
    """Shortest distance of each point (m, 2) from a chain of straight pieces (n, 2); one of no length is a point."""
    for i in range(points.shape[0]):
        x, z, least = float(points[i, 0]), float(points[i, 1]), np.inf
        for j in range(corners.shape[0] - 1):
            start_x, start_z = float(corners[j, 0]), float(corners[j, 1])
            dx, dz = float(corners[j + 1, 0]) - start_x, float(corners[j + 1, 1]) - start_z
            square = dx * dx + dz * dz
            share = ((x - start_x) * dx + (z - start_z) * dz) / (square if square > 0.0 else 1.0)
            share = min(max(share, 0.0), 1.0)
            away_x, away_z = x - (start_x + share * dx), z - (start_z + share * dz)
            least = min(least, away_x * away_x + away_z * away_z)
        out[i] = math.sqrt(least)


def tangent_dip(dx: float, dz: float, radius: float) -> tuple[float, float]:
    """How steeply the lower tangent from a point to a circle by (dx, dz) from it falls, and how long it is."""
    away = abs(dx)
    length = math.sqrt(away * away + dz * dz - radius * radius)
    return math.atan2(radius, length) - math.atan2(dz, away), length


def least_crest(
    ring: float, ring_z: float, rear_x: float, rear_radius: float, front_x: float, front_radius: float
) -> float:
    """The least angle between two lines that meet on a circle and each touch another circle from below.

    The circle of radius `ring` has its centre at (0, ring_z); the others stand on z = 0 behind and ahead of it. The
    place on it is halved until sin(t - r)/l_r + sin(t + f)/l_f = 0, with t the place from its lowest point forward, r
    and f how much the lines fall and l_r and l_f their lengths.
    """
    low, high = -0.5 * math.pi, 0.5 * math.pi
    rear_dip = front_dip = 0.0
    for _ in range(HALVINGS):
        place = 0.5 * (low + high)
        x, z = ring * math.sin(place), ring_z - ring * math.cos(place)
        # A place inside the rear circle is beside it, and one further forward touches first; likewise in front.
        if math.hypot(rear_x - x, rear_radius - z) <= rear_radius:
            low = place
            continue
        if math.hypot(front_x - x, front_radius - z) <= front_radius:
            high = place
            continue
        rear_dip, rear_length = tangent_dip(rear_x - x, rear_radius - z, rear_radius)
        front_dip, front_length = tangent_dip(front_x - x, front_radius - z, front_radius)
        if math.sin(place - rear_dip) / rear_length + math.sin(place + front_dip) / front_length > 0.0:
            high = place
        else:
            low = place
    return rear_dip + front_dip
