"""Turned bar: how grip and brake lever pass the top tube as the handlebar turns.

Question answered   With how much room do grip and brake lever pass over or under the top tube, and at what steering
                    angle do they meet it?
Method              Bar, grip, lever and top tube are straight rods with a radius. The rods on the bar turn about the
                    steering axis; the gap to the tube is the shortest way between the lines less both radii. Even steps
                    over the range, each low place closed in on by golden section, first contact by halving.
Axes and signs      x forward, y left, z up from the bottom bracket, in frame axes, for the left half of the bar.
                    Steering is positive to the left, which takes that half backwards; the right half is its mirror
                    image. A gap is negative where rods would cut each other.
Left out            Hoses, shifters, the dropper's lever, the bar's middle part and stem, the down tube and the fork's
                    crown; tubes that are curved, tapered or not round; flex of bar and lever.
Theory              docs/theory/turned_bar.md
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from bikewright.errors import OutsideValidity
from bikewright.physics.cockpit import Bar, Stem, hand_point
from bikewright.physics.geometry import SeatTube
from bikewright.physics.kernels import passing as kernel
from bikewright.physics.kernels.compile import fastest
from bikewright.physics.plane import Point
from bikewright.physics.steering import HeadTube, SteeringAxis
from bikewright.units import MM

Place = tuple[float, float, float]
"""(x, y, z) in frame axes, y to the left [m]."""

BAR_RADIUS = 11.1 * MM
"""Of a bar where grips and levers sit: 22.2 mm across. Common practice, no source."""
BODY_RADIUS = 9 * MM
"""Of a lever's body, from its clamp forward to the blade. Common practice, no source."""
BLADE_RADIUS = 6 * MM
"""Of a lever's blade: half its height. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Rod:
    """A straight rod with round ends."""

    start: Place
    """[m]"""
    end: Place
    """[m]"""
    radius: float
    """[m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class GripTube:
    """A grip on the end of the bar."""

    length: float
    """From the end of the bar inwards, along it [m]."""
    radius: float
    """[m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lever:
    """A brake lever at rest."""

    reach: float
    """Grip to blade, in the lever's own direction [m]."""
    dip: float
    """Of that direction below level, bar straight ahead [rad]."""
    length: float
    """Blade, from its pivot outwards along the grip to its tip [m]."""
    from_grip: float
    """Inner end of the grip to the middle of the clamp, along the bar [m]."""


@dataclass(frozen=True, slots=True)
class Passing:
    """How rods on the bar pass a tube over the range of steering angles."""

    room: float
    """Least gap; negative where they would cut each other [m]."""
    steer: float
    """Steering angle of the least gap [rad]."""
    side: Literal["over", "under", "beside"]
    """Where the rod is there, seen from the tube."""
    touch: float | None
    """Steering angle of the first contact; None where there is none [rad]."""


def bar_rods(axis: SteeringAxis, upper_stack: float, stem: Stem, bar: Bar, grip: GripTube) -> tuple[Rod, ...]:
    """The swept part of the left half of a bar with its grip, straight ahead.

    Parameters
    ----------
    axis, upper_stack, stem, bar
        As for `cockpit.hand_point`. [m, rad]
    grip : GripTube
        The grip. [m]

    Returns
    -------
    tuple of Rod
        From the bend to the grip, where there is bare bar, then the grip. [m]

    Raises
    ------
    OutsideValidity
        If the grip is longer than half of the bar.
    """
    end = _on_bar(axis, upper_stack, stem, bar, 0.0)
    inner = _on_bar(axis, upper_stack, stem, bar, grip.length)
    held = Rod(inner, end, grip.radius)
    # Along the bar one unit goes `slant` sideways; what is not under the grip and outside of the bend is bare.
    slant = (end[1] - inner[1]) / grip.length
    bare = (inner[1] - bar.bend_from_centre) / slant
    if bare <= 0.0:
        return (held,)
    return Rod(_on_bar(axis, upper_stack, stem, bar, grip.length + bare), inner, BAR_RADIUS), held


def lever_rods(
    axis: SteeringAxis, upper_stack: float, stem: Stem, bar: Bar, grip: GripTube, lever: Lever
) -> tuple[Rod, Rod]:
    """The left brake lever, straight ahead: its body and its blade.

    Parameters
    ----------
    axis, upper_stack, stem, bar, grip
        As for `bar_rods`. [m, rad]
    lever : Lever
        The lever. [m, rad]

    Returns
    -------
    tuple of Rod
        Body, from the middle of the clamp to the blade's inner end; blade, from there outwards. [m]

    Raises
    ------
    OutsideValidity
        If grip and lever need more than half of the bar.

    Notes
    -----
    With g along the grip, outwards, f = g x z is level and square to it, forwards, and f x g is up, square to both. The
    lever stands off along cos(dip) f - sin(dip) (f x g), and its blade runs along g.
    """
    clamp = _on_bar(axis, upper_stack, stem, bar, grip.length + lever.from_grip)
    inner, end = (_on_bar(axis, upper_stack, stem, bar, along) for along in (grip.length, 0.0))
    long = math.dist(end, inner)
    gx, gy, gz = ((to - start) / long for start, to in zip(inner, end, strict=True))
    level = math.hypot(gx, gy)
    fx, fy = gy / level, -gx / level
    off = grip.radius + lever.reach + BLADE_RADIUS
    ahead, down = off * math.cos(lever.dip), off * math.sin(lever.dip)
    # f x g = (f_y g_z, -f_x g_z, f_x g_y - f_y g_x), and the last of them is `level`.
    pivot = (
        clamp[0] + ahead * fx - down * fy * gz,
        clamp[1] + ahead * fy + down * fx * gz,
        clamp[2] - down * level,
    )
    tip = pivot[0] + lever.length * gx, pivot[1] + lever.length * gy, pivot[2] + lever.length * gz
    return Rod(clamp, pivot, BODY_RADIUS), Rod(pivot, tip, BLADE_RADIUS)


def _on_bar(axis: SteeringAxis, upper_stack: float, stem: Stem, bar: Bar, from_end: float) -> Place:
    """A point of the bar's middle line on the left, by its distance from the end along the bar."""
    try:
        found = hand_point(axis, upper_stack, stem, bar, from_end)
    except OutsideValidity:
        raise OutsideValidity(
            f"grip and brake lever need {from_end / MM:.1f} mm from the end of a bar that is {bar.width / MM:.1f} mm "
            "wide, which is past its middle; give a wider bar, a shorter grip, or a lever nearer to the grip"
        ) from None
    return found.point[0], found.half_width, found.point[1]


def top_tube(head_tube: HeadTube, below: float, radius: float, over: Point, seat_tube: SeatTube | None = None) -> Rod:
    """The top tube from head tube to seat tube.

    Parameters
    ----------
    head_tube : HeadTube
        Its upper face and angle. [m, rad]
    below : float
        Upper face down to where the top tube's middle line meets the head tube's, along the latter. [m]
    radius : float
        Of the top tube. [m]
    over : tuple of float
        A point on the upper edge of the tube, frame axes: where standover is measured. [m]
    seat_tube : SeatTube, optional
        Where its axis is known the tube ends there, else below the point. [m, rad]

    Returns
    -------
    Rod
        In the mid-plane. [m]

    Raises
    ------
    OutsideValidity
        If the point is not behind the head tube, or nearer to it than the tube is thick.

    Notes
    -----
    With v the way from the head end to the point, the middle line turns from v by asin(radius/|v|), so that the point
    is a radius off it, above.
    """
    x, z = head_tube.upper_face
    x, z = x + below * math.cos(head_tube.angle), z - below * math.sin(head_tube.angle)
    back, up = over[0] - x, over[1] - z
    away = math.hypot(back, up)
    if back >= 0.0 or away <= radius:
        raise OutsideValidity(
            f"the top tube cannot run from {x / MM:.1f} mm ahead of and {z / MM:.1f} mm over the bottom bracket to its "
            f"upper edge at {over[0] / MM:.1f} and {over[1] / MM:.1f} mm; check top_tube_below_mm, top_tube_ahead_mm, "
            "top_tube_height_mm and top_tube_diameter_mm"
        )
    angle = math.atan2(up, back) + math.asin(radius / away)
    ex, ez = math.cos(angle), math.sin(angle)
    length = math.sqrt(away * away - radius * radius)
    if seat_tube is not None and not seat_tube.virtual and seat_tube.setback is not None:
        # A point of the middle line lies on the seat tube's axis, which runs along (-cos a, sin a).
        sine, cosine = math.sin(seat_tube.angle), math.cos(seat_tube.angle)
        closing = ex * sine + ez * cosine
        to_seat = -((x + seat_tube.setback) * sine + z * cosine) / closing if closing else 0.0
        length = to_seat if to_seat > 0.0 else length
    return Rod((x, 0.0, z), (x + length * ex, 0.0, z + length * ez), radius)


def passing(axis: SteeringAxis, rods: Sequence[Rod], tube: Rod, most: float) -> Passing:
    """How rods on the left of the bar pass a tube while the bar turns to the left.

    Parameters
    ----------
    axis : SteeringAxis
        The steering axis. [m]
    rods : sequence of Rod
        On the bar, steering straight ahead. [m]
    tube : Rod
        On the frame. [m]
    most : float
        How far the bar turns from straight ahead. [rad]

    Returns
    -------
    Passing
        Over the whole range, as if nothing stopped the bar before. [m, rad]

    Notes
    -----
    A turn by t about the unit vector u takes p to p cos t + (u x p) sin t + u (u.p)(1 - cos t) (Rodrigues). In the axes
    ahead, left and up the steering axis it is a plane turn.
    """
    turned, fixed = np.array([_row(axis, rod) for rod in rods]), np.array(_row(axis, tube))
    out = np.empty(6)
    status = fastest("passing.turned_past")(turned, fixed, most, out)
    ahead, aside, up = out[kernel.AWAY_X : kernel.AWAY_Z + 1].tolist()
    rise = ahead * axis.ahead[1] + up * axis.up[1]
    side: Literal["over", "under", "beside"] = "over" if rise > 0.0 else "under"
    return Passing(
        room=float(out[kernel.LEAST]),
        steer=float(out[kernel.LEAST_AT]),
        side=side if abs(rise) >= abs(aside) else "beside",
        touch=float(out[kernel.TOUCH_AT]) if status == kernel.TOUCHES else None,
    )


def _row(axis: SteeringAxis, rod: Rod) -> list[float]:
    """A rod as the kernel has it: both ends ahead of, left of and up the axis, and the radius."""
    row = []
    for x, y, z in (rod.start, rod.end):
        x, z = x - axis.upper[0], z - axis.upper[1]
        row += [x * axis.ahead[0] + z * axis.ahead[1], y, x * axis.up[0] + z * axis.up[1]]
    return [*row, rod.radius]
