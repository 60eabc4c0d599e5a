"""Steering: where the steering axis runs in the frame and where it puts the front axle.

Question answered   Where are the steering axis, the crown race seat and the front axle for this headset and this fork?
Method              The axis passes one point in the plane of each head-tube face, as the cups offset it; stacks, fork
                    length and fork travel run along it, the fork offset square to it.
Axes and signs      Frame axes: origin at the bottom-bracket centre, x forward, z up. A head angle is counted as the
                    trade does: between the axis, which leans back going up, and the frame's x axis.
Left out            Flex of fork and head tube, play, crowns that are not square to the steerer.
Theory              docs/theory/steering.md
"""

import math
from dataclasses import dataclass

from bikewright.errors import OutsideValidity
from bikewright.physics.plane import Number, Pair, Point
from bikewright.units import DEG, MM


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadTube:
    """The head tube as a rigid part of the frame."""

    upper_face: Point
    """Centre of the upper face, on the head-tube axis, frame axes [m]."""
    angle: float
    """Of the head-tube axis, frame axes [rad]."""
    length: float
    """Between its faces [m]."""
    closing: float = 0.0
    """Added along the steering axis below the lower face, so that a geometry table closes; may be negative [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Headset:
    """The cups: where the steering axis passes the two faces, and the stacks beyond them."""

    upper_offset: float = 0.0
    """Steering axis ahead of the head-tube axis in the plane of the upper face, square to that axis [m]."""
    lower_offset: float = 0.0
    """The same in the plane of the lower face [m]."""
    lower_stack: float = 0.0
    """Lower face to crown race seat along the steering axis: adds to the fork [m]."""
    upper_stack: float = 0.0
    """Upper face to the lowest spacer along the steering axis: moves the hands only [m]."""


PLAIN_HEADSET = Headset()
"""Cups that add nothing and leave the steering axis in the head tube's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fork:
    """A fork, extended."""

    axle_to_crown: float
    """Crown race seat to axle, parallel to the steering axis [m]."""
    offset: float
    """Axle ahead of the steering axis, square to it [m]."""


@dataclass(frozen=True, slots=True)
class SteeringAxis:
    """The steering axis in frame axes."""

    upper: Point
    """Where it passes the plane of the upper head-tube face: the point that reach and stack are measured to [m]."""
    lower: Point
    """Where it passes the plane of the lower face [m]."""
    angle: float
    """Head angle while the pitch is zero [rad]."""
    up: Point
    """Unit vector up the axis [-]."""
    ahead: Point
    """Unit vector square to the axis, forward [-]."""
    crown: Point
    """Crown race seat: centre of the fork's seat on the axis [m]."""


def angle_cup(printed_angle: float, head_tube: float) -> tuple[float, float]:
    """Axis offsets of a pair of cups with an angle printed on them.

    Parameters
    ----------
    printed_angle : float
        Angle between steering and head-tube axis; positive makes the head angle slacker. [rad]
    head_tube : float
        Head-tube length at which the printed angle holds. [m]

    Returns
    -------
    upper_offset, lower_offset : float
        For `Headset`: equal and opposite, half of the lean at each face. [m]

    Notes
    -----
    The offsets are what is machined into the cups, so at another length they make another angle,
    ``atan((upper - lower)/length)``: 1 degree printed at 120 mm is 1.20 degrees at 100 mm.
    """
    half = 0.5 * head_tube * math.tan(printed_angle)
    return -half, half


def steering_axis(head_tube: HeadTube, headset: Headset) -> SteeringAxis:
    """The steering axis that a headset makes in a head tube.

    Parameters
    ----------
    head_tube : HeadTube
        Place and length of the head tube. [m, rad]
    headset : Headset
        Offsets and stacks of the cups. [m]

    Returns
    -------
    SteeringAxis
        In frame axes. [m, rad]

    Raises
    ------
    OutsideValidity
        If the head tube has no length, or the axis does not lean back.

    Notes
    -----
    With u up the head-tube axis and n square to it, forward, the axis passes U + o_u n and U - l u + o_l n. Its angle
    is the head tube's plus atan((o_u - o_l)/l). From the lower of the two points the closing length and the lower
    stack run along the steering axis, not along the head tube.
    """
    length = head_tube.length
    if not length > 0.0:
        raise OutsideValidity(
            f"a head tube of {length / MM:.1f} mm has no axis; give its length between the faces, more than 0 mm"
        )
    x, z = head_tube.upper_face
    cosine, sine = math.cos(head_tube.angle), math.sin(head_tube.angle)
    upper = (x + headset.upper_offset * sine, z + headset.upper_offset * cosine)
    lower = (
        x + length * cosine + headset.lower_offset * sine,
        z - length * sine + headset.lower_offset * cosine,
    )
    angle = head_tube.angle + math.atan2(headset.upper_offset - headset.lower_offset, length)
    if not 0.0 < angle < math.pi / 2:
        raise OutsideValidity(
            f"a steering axis at {angle / DEG:.1f} degrees to the frame's x axis does not lean back; "
            "between 0 and 90 degrees can be answered. Check the head angle and the offsets of the cups"
        )
    cosine, sine = math.cos(angle), math.sin(angle)
    below = head_tube.closing + headset.lower_stack
    crown = (lower[0] + below * cosine, lower[1] - below * sine)
    return SteeringAxis(upper, lower, angle, (-cosine, sine), (sine, cosine), crown)


def front_axle(axis: SteeringAxis, fork: Fork, travel: Number = 0.0) -> Pair:
    """Place of the front axle.

    Parameters
    ----------
    axis : SteeringAxis
        The steering axis, with the crown race seat. [m]
    fork : Fork
        Length and offset. [m]
    travel : float or array
        Fork travel used, along the steering axis. [m]

    Returns
    -------
    pair
        Axle (x, z) in frame axes, of the shape of the travel. [m]
    """
    down = fork.axle_to_crown - travel
    return (
        axis.crown[0] - down * axis.up[0] + fork.offset * axis.ahead[0],
        axis.crown[1] - down * axis.up[1] + fork.offset * axis.ahead[1],
    )


def trail(sine: Number, cosine: Number, fork_offset: float, front_radius: Number) -> Number:
    """Trail on the ground.

    Parameters
    ----------
    sine, cosine : float or array
        Of the head angle. [-]
    fork_offset : float
        Axle ahead of the steering axis, square to it. [m]
    front_radius : float or array
        Front axle above the ground. [m]

    Returns
    -------
    float or array
        Front contact point behind the point where the steering axis meets the ground. [m]

    Notes
    -----
    ``(front_radius cos(HA) - offset)/sin(HA)``; in Cossalter, *Motorcycle Dynamics*, 2nd ed. 2006, ch. 1 (from memory)
    the same with the caster angle 90 degrees - HA.
    """
    return (front_radius * cosine - fork_offset) / sine
