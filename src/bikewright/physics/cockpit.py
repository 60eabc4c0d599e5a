"""Cockpit: where the hands and the saddle are.

Question answered   Where do this stem, bar, seatpost and saddle put the rider's hands and sit bones?
Method              Lengths are added up along the steering axis, the stem, the bar and the seat-tube axis; the
                    seatpost is pulled out until the saddle height holds (one root of a quadratic).
Axes and signs      Frame axes: origin at the bottom-bracket centre, x forward, z up; the lateral distance is counted
                    from the mid-plane. Results of `cockpit_on_ground` are in the ground axes of the state.
Left out            Turned steering, saddle tilt, tyre and saddle squash, how far the post may be pulled out.
Theory              docs/theory/cockpit.md
"""

import math
from dataclasses import dataclass

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.physics.geometry import Attitude, SeatTube
from bikewright.physics.plane import Point, rotate
from bikewright.physics.steering import SteeringAxis
from bikewright.units import MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Stem:
    """A stem and what it stands on."""

    length: float
    """Steering axis to the bar's centre, along the stem [m]."""
    rise: float = 0.0
    """From the square to the steering axis, positive up [rad]."""
    clamp_height: float = 0.0
    """Height of its clamp on the steerer; the stem's own axis leaves at half of it [m]."""
    spacers_below: float = 0.0
    """Height of the spacers between headset and stem [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A handlebar: straight in the middle, then raised, then swept straight to the end."""

    width: float
    """End to end, straight across [m]."""
    rise: float = 0.0
    """Clamp centre to the start of the swept part, along the bar's own up [m]."""
    back_sweep: float = 0.0
    """Of the swept part, seen along the bar's own up: back against sideways [rad]."""
    up_sweep: float = 0.0
    """Of the swept part, seen along the bar's own back: up against sideways [rad]."""
    bend_from_centre: float = 0.0
    """Sideways distance at which the swept part begins [m]."""
    roll: float = 0.0
    """Turn of the bar in the stem, positive with its top going forward; at zero its own up is the steering axis
    [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """A seatpost and a saddle."""

    height: float
    """Bottom bracket to the sit point on top of the saddle, straight, post fully out [m]."""
    post_setback: float = 0.0
    """Saddle clamp behind the seat-tube axis, square to it [m]."""
    rail_shift: float = 0.0
    """Sit point ahead of the saddle clamp, along the frame's x [m]."""
    rail_to_top: float = 0.0
    """Sit point above the saddle clamp, along the frame's z [m]."""
    drop: float = 0.0
    """Dropper travel used, along the seat-tube axis [m]."""


@dataclass(frozen=True, slots=True)
class Hand:
    """The middle of one hand, frame axes."""

    point: Point
    """(x, z) [m]."""
    half_width: float
    """Sideways from the mid-plane [m]."""
    bar_centre: Point
    """Centre of the bar in the stem's clamp [m]."""


@dataclass(frozen=True, slots=True)
class SaddlePlace:
    """A saddle on its post, frame axes."""

    point: Point
    """Sit point (x, z) [m]."""
    clamp: Point
    """Saddle clamp [m]."""
    out: float
    """Along the seat-tube axis, from the height of the bottom bracket up to the foot of the clamp [m]; less the
    seat-tube length it is what the post stands out of the frame."""


@dataclass(frozen=True, slots=True)
class CockpitOnGround:
    """Hands and saddle in the ground axes of a state. None where the saddle is not known."""

    hand_reach: float
    """Bottom bracket forward to the hands [m]."""
    hand_stack: float
    """Bottom bracket up to the hands [m]."""
    hand_height: float
    """Hands above the ground [m]."""
    hand_half_width: float
    """Hands sideways from the mid-plane [m]."""
    saddle_x: float | None
    """Bottom bracket forward to the sit point; negative behind [m]."""
    saddle_z: float | None
    """Bottom bracket up to the sit point [m]."""
    saddle_height_ground: float | None
    """Sit point above the ground [m]."""
    saddle_to_grip: float | None
    """Sit point to hands along the ground [m]."""
    saddle_to_grip_drop: float | None
    """Hands below the sit point [m]."""


def hand_point(axis: SteeringAxis, upper_stack: float, stem: Stem, bar: Bar, hand_from_end: float) -> Hand:
    """Where the middle of the hand is.

    Parameters
    ----------
    axis : SteeringAxis
        The steering axis. [m]
    upper_stack : float
        Upper head-tube face to the lowest spacer, along the axis. [m]
    stem : Stem
        Stem and spacers. [m, rad]
    bar : Bar
        Handlebar. [m, rad]
    hand_from_end : float
        Middle of the hand from the end of the bar, along the bar. [m]

    Returns
    -------
    Hand
        Steering straight ahead. [m]

    Raises
    ------
    OutsideValidity
        If the hand would be beyond the middle of the bar.

    Notes
    -----
    The swept part goes tan(back_sweep) back and tan(up_sweep) up for each unit sideways. A hand inboard of the bend
    holds the raised part, without sweep.
    """
    up, ahead = axis.up, axis.ahead
    along = upper_stack + stem.spacers_below + 0.5 * stem.clamp_height + stem.length * math.sin(stem.rise)
    out = stem.length * math.cos(stem.rise)
    centre = (
        axis.upper[0] + along * up[0] + out * ahead[0],
        axis.upper[1] + along * up[1] + out * ahead[1],
    )
    back, rise = math.tan(bar.back_sweep), math.tan(bar.up_sweep)
    half = 0.5 * bar.width - hand_from_end / math.sqrt(1.0 + back * back + rise * rise)
    if half < 0.0:
        raise OutsideValidity(
            f"a hand {hand_from_end / MM:.1f} mm from the end of a bar {bar.width / MM:.1f} mm wide is past its "
            "middle; give a wider bar or a hand nearer to its end"
        )
    swept = max(half - bar.bend_from_centre, 0.0)
    # In the bar's own axes, ahead and up, then rolled: top forward is clockwise.
    own_ahead, own_up = rotate((-swept * back, bar.rise + swept * rise), -math.sin(bar.roll), math.cos(bar.roll))
    point = (
        centre[0] + own_ahead * ahead[0] + own_up * up[0],
        centre[1] + own_ahead * ahead[1] + own_up * up[1],
    )
    return Hand(point, half, centre)


def saddle_place(seat_tube: SeatTube, seat: Seat) -> SaddlePlace:
    """Pull the post out until the saddle height holds, then drop it.

    Parameters
    ----------
    seat_tube : SeatTube
        The tube's real axis. [m, rad]
    seat : Seat
        Post and saddle. [m]

    Returns
    -------
    SaddlePlace
        Sit point, clamp and how far the post is out. [m]

    Raises
    ------
    NotKnown
        If the seat tube's own angle or its setback is not known.
    OutsideValidity
        If the saddle cannot be as near to the bottom bracket as asked.

    Notes
    -----
    The sit point is P + s u, with u up the axis and P the sit point for s = 0, so that ``|P + s u| = height`` gives
    ``s = -P.u + sqrt(height^2 - |P|^2 + (P.u)^2)``. The saddle height is the straight distance that a tape measures
    from the bottom-bracket centre to the top of the saddle, whatever the setback.
    """
    if seat_tube.virtual or seat_tube.setback is None:
        raise NotKnown(
            "the saddle cannot be placed; give the seat tube's own angle and its offset from the bottom bracket"
        )
    cosine, sine = math.cos(seat_tube.angle), math.sin(seat_tube.angle)
    x = -seat_tube.setback - seat.post_setback * sine
    z = -seat.post_setback * cosine
    px, pz = x + seat.rail_shift, z + seat.rail_to_top
    along, aside = pz * sine - px * cosine, px * sine + pz * cosine
    square = seat.height * seat.height - aside * aside
    if not (seat.height > 0.0 and square >= 0.0):
        raise OutsideValidity(
            f"a saddle height of {seat.height / MM:.1f} mm cannot be reached: the sit point runs on a line "
            f"{abs(aside) / MM:.1f} mm from the bottom bracket. Check saddle height, seat-tube offset and setback"
        )
    out = math.sqrt(square) - along - seat.drop
    return SaddlePlace((px - out * cosine, pz + out * sine), (x - out * cosine, z + out * sine), out)


def cockpit_on_ground(pose: Attitude, hand: Hand, saddle: Point | None = None) -> CockpitOnGround:
    """Hands and saddle as the rider feels them in one state.

    Parameters
    ----------
    pose : Attitude
        How the frame stands. [m, rad]
    hand : Hand
        In frame axes. [m]
    saddle : tuple of float, optional
        Sit point in frame axes. [m]

    Returns
    -------
    CockpitOnGround
        In the ground axes of the state. [m]
    """
    hand_x, hand_z = rotate(hand.point, pose.sine, pose.cosine)
    height = hand_z + pose.bb_height
    if saddle is None:
        return CockpitOnGround(hand_x, hand_z, height, hand.half_width, None, None, None, None, None)
    x, z = rotate(saddle, pose.sine, pose.cosine)
    return CockpitOnGround(hand_x, hand_z, height, hand.half_width, x, z, z + pose.bb_height, hand_x - x, z - hand_z)
