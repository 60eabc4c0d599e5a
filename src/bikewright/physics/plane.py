"""Points, directions, lines and circles in the plane of the bike.

Question answered   Where is this point seen from turned axes, and how far is it from a line, a circle or an outline?
Method              Elementary plane geometry.
Axes and signs      A point is (x, z), x forward, z up; angles are anticlockwise in the drawn view, x to the right.
Left out            Everything sideways.
Theory              docs/theory/plane.md
"""

import math
from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.physics.kernels import plane as kernel
from bikewright.physics.kernels.compile import fastest

Point: TypeAlias = tuple[float, float]
"""A point (x, z) [m]."""

Number: TypeAlias = Any
"""A float, or an array of floats where a function is asked about many states at once."""

Pair: TypeAlias = tuple[Number, Number]
"""A point whose x and z are floats, or arrays of one shape."""


def rotate(point: Pair, sine: Number, cosine: Number) -> Pair:
    """A point turned anticlockwise about the origin.

    Sine and cosine are passed, not the angle, because callers turn many points by one angle.

    Parameters
    ----------
    point : pair
        (x, z), floats or arrays. [m]
    sine, cosine : float or array
        Of the angle. [-]

    Returns
    -------
    pair
        The turned point. [m]
    """
    x, z = point
    return x * cosine - z * sine, x * sine + z * cosine


def bearing(x: Number, z: Number) -> Number:
    """Angle of a vector from the x axis, for floats (fast) and for arrays.

    Parameters
    ----------
    x, z : float or array
        Components of the vector. [any one unit]

    Returns
    -------
    float or array
        Angle, anticlockwise, -pi to pi. [rad]
    """
    if isinstance(x, np.ndarray) or isinstance(z, np.ndarray):
        return np.arctan2(z, x)
    return math.atan2(z, x)


def distance(a: Pair, b: Pair) -> Number:
    """Straight distance of two points.

    Parameters
    ----------
    a, b : pair
        (x, z), floats or arrays. [m]

    Returns
    -------
    float or array
        Distance. [m]
    """
    dx, dz = b[0] - a[0], b[1] - a[1]
    return (dx * dx + dz * dz) ** 0.5


def distance_to_line(point: Pair, through: Pair, along: Pair) -> Number:
    """Signed distance of a point from a line, positive to the left of its direction.

    Parameters
    ----------
    point, through : pair
        The point, and any point on the line. [m]
    along : pair
        Unit vector along the line. [-]

    Returns
    -------
    float or array
        Distance; positive on the left when looking along the line. [m]
    """
    return along[0] * (point[1] - through[1]) - along[1] * (point[0] - through[0])


def tangent_dip(point: Point, centre: Point, radius: float) -> tuple[float, float]:
    """How steeply the lower tangent from a point to a circle falls.

    Parameters
    ----------
    point, centre : tuple of float
        The point, and the circle's centre on either side of it. [m]
    radius : float
        Radius of the circle; less than the distance of point and centre. [m]

    Returns
    -------
    dip : float
        Angle of the tangent below the horizontal on the side of the circle, positive when it falls. [rad]
    length : float
        From the point to where the tangent touches. [m]
    """
    return kernel.tangent_dip(centre[0] - point[0], centre[1] - point[1], radius)


def distance_to_polyline(points: ArrayLike, polyline: Sequence[Point]) -> NDArray[np.float64]:
    """Shortest distance of points from a chain of straight pieces.

    Parameters
    ----------
    points : array_like, shape (..., 2)
        Points (x, z). [m]
    polyline : sequence of tuple
        Corners, in order, at least two. [m]

    Returns
    -------
    numpy.ndarray, shape (...)
        Distance of every point. [m]
    """
    at = np.array(points, dtype=np.float64)  # a copy, which the kernel may be given
    out = np.empty(at.shape[:-1])
    fastest("plane.distances")(at.reshape(-1, 2), np.array(polyline, dtype=np.float64), out.reshape(-1))
    return out


def circle_gap(centres: ArrayLike, radius: float, polyline: Sequence[Point]) -> NDArray[np.float64]:
    """Gap between a circle and a chain of straight pieces.

    Parameters
    ----------
    centres : array_like, shape (..., 2)
        Centres of the circle, one or many. [m]
    radius : float
        Its radius. [m]
    polyline : sequence of tuple
        Corners, in order. [m]

    Returns
    -------
    numpy.ndarray, shape (...)
        Gap at every centre; negative where the circle cuts the chain or has swallowed it. [m]
    """
    return distance_to_polyline(centres, polyline) - radius
