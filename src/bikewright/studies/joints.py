"""The groups joints and post: the rider's joints over a turn of the cranks, and where the post can hold the saddle."""

from dataclasses import dataclass

from bikewright.errors import NotKnown
from bikewright.model.build import Build
from bikewright.physics import cockpit, saddle
from bikewright.physics.body import Body
from bikewright.physics.geometry import SeatTube
from bikewright.physics.heel import room_beside
from bikewright.physics.posture import Posture
from bikewright.physics.stroke import stroke
from bikewright.studies import crossing
from bikewright.studies.graph import Ask
from bikewright.studies.resting import Settled
from bikewright.studies.standing import Fit
from bikewright.units import MM


@dataclass(frozen=True, slots=True)
class Joints:
    """What a posture alone does not say."""

    hip_least: float
    """Between trunk and thigh, most closed [rad]."""
    knee_to_bar: float | None
    """Nearest over a turn of the cranks; None for a rider who stands [m]."""


@dataclass(frozen=True, slots=True)
class PostPlace:
    """A post in a seat tube, and the feet beside it; None where what a field follows from is not known."""

    lowest: float | None
    """Saddle height, pushed in as far as it goes, extended [m]."""
    highest: float | None
    """Saddle height at the post's minimum insertion, extended [m]."""
    inserted: float | None
    """Below the collar at the saddle height in use [m]."""
    clamp: float | None
    """Rail clamp over the collar at the saddle height in use, extended [m]."""
    clamp_lowest: float | None
    """Rail clamp over the collar, pushed in as far as it goes, extended [m]."""
    clamp_highest: float | None
    """Rail clamp over the collar at the minimum insertion, extended [m]."""
    stands_out: float | None
    """How far the seat tube keeps the post from being pushed in fully [m]."""
    stance: float | None
    """Between the middles of both feet [m]."""
    heel: float | None
    """Heel to stay, sideways [m]."""


def joints(ask: Ask) -> Joints:
    """Group joints: needs a state with a rider."""
    settled: Settled = ask.of("rest")
    body: Body | None = ask.of("rider")
    if settled.posture is None or body is None:
        raise NotKnown("waits for a rider in this state")
    return joints_of(settled.posture, body, ask.of("fit"))


def joints_of(posture: Posture, body: Body, placed: Fit) -> Joints:
    """Joints of one posture."""
    if posture.mode == "standing":
        return Joints(min(posture.hips), None)
    turned = stroke(body, posture.pose, None if placed.hand is None else placed.hand.bar_centre)
    return Joints(turned.hip_least, turned.knee_to_bar)


def post(ask: Ask) -> PostPlace:
    """Group post: the seatpost in this size."""
    return post_in(ask.build, ask.of("table").seat_tube, crossing.post(ask.build))


def post_in(build: Build, tube: SeatTube | None, held: saddle.Post | None) -> PostPlace:
    """Where a post holds the saddle in a build's seat tube; the post need not be the one on the bike."""
    row = build.geometry_row
    collar = None if row.seat_tube_mm is None else row.seat_tube_mm * MM
    bend = None if row.seat_tube_bend_mm is None else row.seat_tube_bend_mm * MM
    stance = stance_width(build)
    outer = None if row.stay_outer_mm is None else row.stay_outer_mm * MM
    heel = None if stance is None or outer is None else room_beside(stance, outer)
    seat = crossing.seat_at(build, build.saddle_height_mm or 0.0)
    known = tube is not None and not tube.virtual and tube.setback is not None
    if held is None or not known or tube is None:
        return PostPlace(None, None, None, None, None, None, None, stance, heel)
    room = saddle.post_range(held, collar, bend)
    clamp = None
    if collar is not None and build.saddle_height_mm is not None:
        clamp = cockpit.saddle_place(tube, seat).out - collar

    def height(place: float | None) -> float | None:
        return None if place is None else saddle.height_at_clamp(tube, seat, place)

    def over(place: float | None) -> float | None:
        return None if place is None or collar is None else place - collar

    return PostPlace(
        lowest=height(room.lowest),
        highest=height(room.highest),
        inserted=None if clamp is None or held.length is None else held.length - clamp,
        clamp=clamp,
        clamp_lowest=over(room.lowest),
        clamp_highest=over(room.highest),
        stands_out=room.stands_out,
        stance=stance,
        heel=heel,
    )


def stance_width(build: Build) -> float | None:
    """Between the middles of both feet; None while the crank does not say [m]."""
    crank = build.parts.crank
    if crank is None or crank.arms_apart_mm is None or crank.foot_from_arm_mm is None:
        return None
    return (crank.arms_apart_mm + 2.0 * crank.foot_from_arm_mm) * MM
