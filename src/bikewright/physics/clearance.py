"""Clearances: what touches the ground, the tyre or the rider first.

Question answered   How much room is left below the pedals and the chainring, in front of the toe, over the top tube,
                    round the tyres and under the saddle?
Method              Distances of points, circles and outlines in the plane; the breakover angle is the least angle over
                    all points of the chainring, found by bisection.
Axes and signs      Gaps are positive where there is room and negative where parts cut each other. Outlines and axles
                    are in frame axes (x forward, z up, origin at the bottom-bracket centre).
Left out            Width: tyres, pedals and tubes are taken in the mid-plane, except where a function asks for a
                    sideways distance. Flex of wheel, frame and tyre. Turned steering, except in `toe_clearance_turned`.
Theory              docs/theory/clearance.md
"""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.errors import OutsideValidity
from bikewright.physics.geometry import Attitude
from bikewright.physics.kernels.compile import fastest
from bikewright.physics.plane import Number, Point, circle_gap, distance
from bikewright.physics.steering import SteeringAxis
from bikewright.units import MM


def pedal_clearance(bb_height: Number, crank: float, pedal_half_thickness: float) -> Number:
    """Room under the pedal at its lowest.

    Parameters
    ----------
    bb_height : float or array
        Bottom-bracket centre above the ground. [m]
    crank : float
        Crank length. [m]
    pedal_half_thickness : float
        Pedal axle to the lowest part of the pedal. [m]

    Returns
    -------
    float or array
        Lowest pedal above the ground. [m]
    """
    return bb_height - crank - pedal_half_thickness


def pedal_lean(clearance: float, outer: float) -> float:
    """Lean at which the inner pedal touches the ground.

    Parameters
    ----------
    clearance : float
        Lowest pedal above the ground, upright. [m]
    outer : float
        Outer end of the pedal, sideways from the mid-plane. [m]

    Returns
    -------
    float
        Lean from upright. [rad]

    Notes
    -----
    The bike leans about the line of its tyre contacts; round tyres, which lift the frame a little less, are left out.
    16 CFR 1512.17 asks for 25 degrees.
    """
    return math.atan2(clearance, outer)


def pedal_to_tyre(front_axle: Point, front_radius: float, crank: float) -> float:
    """Forward pedal axle, cranks level with the frame's x axis, to the front tyre, wheel straight.

    Parameters
    ----------
    front_axle : tuple of float
        In frame axes. [m]
    front_radius : float
        Tyre radius. [m]
    crank : float
        Crank length. [m]

    Returns
    -------
    float
        From the pedal axle to the tyre. [m]

    Notes
    -----
    This is the toe clearance of 16 CFR 1512.17, which asks for 89 mm with the wheel in any position.
    """
    return float(distance((crank, 0.0), front_axle)) - front_radius


def toe_clearance(front_axle: Point, front_radius: float, crank: float, toe_ahead: float) -> float:
    """Tip of the shoe to the front tyre, cranks level, wheel straight.

    Parameters
    ----------
    front_axle : tuple of float
        In frame axes. [m]
    front_radius, crank : float
        Tyre radius and crank length. [m]
    toe_ahead : float
        Tip of the shoe ahead of the pedal axle. [m]

    Returns
    -------
    float
        Gap; negative where the shoe reaches into the tyre. A little more than `pedal_to_tyre` less ``toe_ahead``, since
        the tyre is round and its centre higher than the toe. [m]
    """
    return float(distance((crank + toe_ahead, 0.0), front_axle)) - front_radius


def toe_clearance_turned(
    axis: SteeringAxis,
    front_axle: Point,
    front_radius: float,
    tyre_width: float,
    toe: Point,
    toe_aside: float,
    steer: ArrayLike,
) -> NDArray[np.float64]:
    """Tip of the shoe to the front tyre with the wheel turned.

    Parameters
    ----------
    axis : SteeringAxis
        The steering axis. [m]
    front_axle : tuple of float
        With the wheel straight, frame axes. [m]
    front_radius, tyre_width : float
        Outer radius of the tyre and its section width; the wheel is a disc that thick with a round edge. [m]
    toe : tuple of float
        Tip of the shoe (x, z), frame axes. [m]
    toe_aside : float
        The same, sideways from the mid-plane, on the left. [m]
    steer : array_like
        Angles of the handlebar, positive to the left. [rad]

    Returns
    -------
    numpy.ndarray
        Gap at each angle; the least over the angles is the clearance. [m]
    """
    turn = np.asarray(steer, float)
    # Axle and toe seen from the upper point of the axis: along it, ahead of it; y is to the left.
    axle_up, axle_ahead = _along_axis(axis, front_axle)
    toe_up, toe_ahead = _along_axis(axis, toe)
    sine, cosine = np.sin(turn), np.cos(turn)
    # The wheel turns by `turn`, so seen from the wheel the toe turns back.
    ahead = toe_ahead * cosine + toe_aside * sine - axle_ahead
    aside = toe_aside * cosine - toe_ahead * sine
    section = 0.5 * tyre_width
    beyond = np.maximum(np.hypot(ahead, toe_up - axle_up) - (front_radius - section), 0.0)
    return np.asarray(np.hypot(beyond, aside) - section)


def _along_axis(axis: SteeringAxis, point: Point) -> Point:
    """A point as (up the axis, ahead of the axis), from the axis' upper point [m]."""
    x, z = point[0] - axis.upper[0], point[1] - axis.upper[1]
    return x * axis.up[0] + z * axis.up[1], x * axis.ahead[0] + z * axis.ahead[1]


def ring_clearance(bb_height: Number, ring_radius: float) -> Number:
    """Room under the chainring or its guard.

    Parameters
    ----------
    bb_height : float or array
        Bottom-bracket centre above the ground. [m]
    ring_radius : float
        Outer radius of ring or guard. [m]

    Returns
    -------
    float or array
        Its lowest point above the ground. [m]
    """
    return bb_height - ring_radius


def breakover_angle(pose: Attitude, rear_radius: float, front_radius: float, ring_radius: float) -> float:
    """Steepest crest that passes under the chainring.

    Parameters
    ----------
    pose : Attitude
        One state. [m, rad]
    rear_radius, front_radius : float
        Tyre radii of that state. [m]
    ring_radius : float
        Outer radius of ring or guard. [m]

    Returns
    -------
    float
        Sum of the two slopes of the crest; negative where the ring is below the ground. [rad]

    Raises
    ------
    OutsideValidity
        If the lowest point of the ring is inside a tyre, seen from the side.

    Notes
    -----
    Ramp breakover as for road vehicles (ISO 612:1978, from memory): two planes, each tangent to a tyre, meet in a
    line that touches the underside between the wheels; the angle is how much they fall together, and the least over
    all such lines bounds the crest that the bike can roll over. Here the line touches the ring at the place where
    the angle is least: there ``sin(t - r)/l_r + sin(t + f)/l_f = 0``, with t the place on the ring from its lowest
    point forward, r and f the slopes and l_r and l_f the lengths of the tangents. In the side view a ring reaches over
    the rear tyre, beside it: a crest touches the ring further forward.
    """
    rear = (pose.rear_contact, rear_radius), rear_radius
    front = (pose.front_contact, front_radius), front_radius
    lowest = (0.0, pose.bb_height - ring_radius)
    room = min(float(distance(lowest, centre)) - radius for centre, radius in (rear, front))
    if room <= 0.0:
        raise OutsideValidity(
            f"the lowest point of a ring of {ring_radius / MM:.1f} mm radius is {-room / MM:.1f} mm inside a tyre; "
            "check ring, tyre radii, rear centre and bottom-bracket height"
        )
    return float(
        fastest("plane.least_crest")(
            ring_radius, pose.bb_height, pose.rear_contact, rear_radius, pose.front_contact, front_radius
        )
    )


def outline_height(outline: Sequence[Point], ahead: float) -> float:
    """Highest part of an outline at a distance ahead of the bottom bracket.

    Parameters
    ----------
    outline : sequence of tuple
        Corners in frame axes, in order. [m]
    ahead : float
        x at which to look. [m]

    Returns
    -------
    float
        z in frame axes; with `Attitude.height` of (ahead, z) it becomes the standover. [m]

    Raises
    ------
    OutsideValidity
        If the outline does not reach there.
    """
    found = [
        max(z0, z1) if x0 == x1 else z0 + (z1 - z0) * (ahead - x0) / (x1 - x0)
        for (x0, z0), (x1, z1) in pairwise(outline)
        if min(x0, x1) <= ahead <= max(x0, x1)
    ]
    if not found:
        start, end = min(x for x, _ in outline), max(x for x, _ in outline)
        raise OutsideValidity(
            f"the outline runs from {start / MM:.1f} to {end / MM:.1f} mm ahead of the bottom bracket, not to "
            f"{ahead / MM:.1f} mm; ask within it, or draw it further"
        )
    return max(found)


def tyre_gap(axles: ArrayLike, radius: float, outlines: Sequence[Sequence[Point]]) -> NDArray[np.float64]:
    """Least gap between a tyre and the outlines near it.

    Parameters
    ----------
    axles : array_like, shape (..., 2)
        Axle positions in frame axes, one or all through the travel. [m]
    radius : float
        Outer radius of the tyre. [m]
    outlines : sequence of polylines
        At least one, in frame axes. [m]

    Returns
    -------
    numpy.ndarray, shape (...)
        Gap at each position; negative where the tyre cuts an outline. [m]
    """
    first, *others = (circle_gap(axles, radius, outline) for outline in outlines)
    for gap in others:
        first = np.minimum(first, gap)
    return np.asarray(first)


def saddle_underside(sit_point: Point, thickness: float, ahead: float, behind: float) -> tuple[Point, Point]:
    """The saddle's lower edge as an outline for `tyre_gap`.

    Parameters
    ----------
    sit_point : tuple of float
        Of the saddle as low as it goes, frame axes. [m]
    thickness : float
        Sit point down to the lowest part. [m]
    ahead, behind : float
        Nose ahead of the sit point, tail behind it. [m]

    Returns
    -------
    tuple
        Tail and nose of the lower edge, along the frame's x. [m]
    """
    x, z = sit_point
    return (x - behind, z - thickness), (x + ahead, z - thickness)
