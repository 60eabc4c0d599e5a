"""The groups about how the bike stands: table, fit, geometry, cockpit and clearance.

Each function is given what its group declares and hands it to physics in SI. What a build does not say
stays None; `bikewright.studies.bindings` says what such a field waits for.
"""

from dataclasses import dataclass

from bikewright.errors import NotKnown
from bikewright.model.build import Build
from bikewright.model.frame import Outline
from bikewright.physics import clearance, cockpit, steering
from bikewright.physics.geometry import GroundGeometry, SeatTube, ground_geometry
from bikewright.physics.plane import Point
from bikewright.physics.table import ClosedTable, close_table
from bikewright.studies import crossing
from bikewright.studies.graph import Ask
from bikewright.studies.states import STANCES, Given, Solved
from bikewright.studies.suspension import Extended, Through
from bikewright.units import MM, PCT


@dataclass(frozen=True, slots=True)
class FrontEnd:
    """Fork and headset of this build in the head tube, and how far the fork may move."""

    headset: steering.Headset
    fork: steering.Fork
    axis: steering.SteeringAxis
    fork_travel: float | None
    """None while no fork is chosen: the table's fork has a length but no travel [m]."""


@dataclass(frozen=True, slots=True)
class Fit:
    """Hands and saddle in frame axes."""

    hand: cockpit.Hand | None
    saddle: Point | None
    """Sit point [m]."""
    saddle_lowest: Point | None
    """Sit point with the dropper fully down [m]."""
    saddle_height: float | None
    """[m]"""
    bar_width: float | None
    """[m]"""
    stem_length: float | None
    """[m]"""
    back_sweep: float | None
    """[rad]"""
    crank_length: float | None
    """[m]"""


@dataclass(frozen=True, slots=True)
class Standing:
    """One state: the geometry on the ground and the travel used to get there."""

    ground: GroundGeometry
    rear_radius: float
    """[m]"""
    front_radius: float
    """[m]"""
    fork_travel_used: float
    """[m]"""
    rear_travel_used: float | None
    """None for a hardtail [m]."""


@dataclass(frozen=True, slots=True)
class Clearances:
    """Room in one state; None where what is needed is not known."""

    standover: float | None
    """[m]"""
    pedal: float | None
    """[m]"""
    pedal_lean: float | None
    """[rad]"""
    toe: float | None
    """[m]"""
    ring: float | None
    """[m]"""
    breakover: float | None
    """[rad]"""
    front_tyre: float | None
    """[m]"""
    rear_tyre: float | None
    """[m]"""
    saddle: float | None
    """[m]"""


def closed_table(ask: Ask) -> ClosedTable:
    """Group table: the frame whose geometry the table states."""
    return close_table(crossing.geometry_table(ask.build))


def front_end(ask: Ask) -> FrontEnd:
    """Group front end: the steering axis with this headset and fork; the table's own where none is chosen."""
    closed: ClosedTable = ask.of("table")
    headset = crossing.headset(ask.build) or closed.headset
    part = ask.build.parts.fork
    return FrontEnd(
        headset=headset,
        fork=crossing.fork(ask.build) or closed.fork,
        axis=steering.steering_axis(closed.head_tube, headset),
        fork_travel=None if part is None else part.travel_mm * MM,
    )


def fit(ask: Ask) -> Fit:
    """Group fit: hands and saddle in the frame."""
    build, front, closed = ask.build, ask.of("front end"), ask.of("table")
    parts = build.parts
    stem, bar = crossing.stem(build), crossing.bar(build)
    hand = None
    if stem is not None and bar is not None and parts.grip is not None:
        upper_stack = front.headset.upper_stack
        hand = cockpit.hand_point(front.axis, upper_stack, stem, bar, parts.grip.hand_from_end_mm * MM)
    height = build.saddle_height_mm
    return Fit(
        hand=hand,
        saddle=_sit_point(build, closed.seat_tube, build.settings.post_lowered_mm),
        saddle_lowest=_sit_point(build, closed.seat_tube, 0.0 if parts.seatpost is None else parts.seatpost.drop_mm),
        saddle_height=None if height is None else height * MM,
        bar_width=None if bar is None else bar.width,
        stem_length=None if stem is None else stem.length,
        back_sweep=None if bar is None else bar.back_sweep,
        crank_length=None if parts.crank is None else parts.crank.length_mm * MM,
    )


def _sit_point(build: Build, seat_tube: SeatTube | None, lowered_mm: float) -> Point | None:
    seat = crossing.seat(build, lowered_mm)
    if seat is None or seat_tube is None or seat_tube.virtual:
        return None
    return cockpit.saddle_place(seat_tube, seat).point


def standing(ask: Ask) -> Standing:
    """Group geometry: the bike on the ground in one state."""
    stance = STANCES[ask.state]
    return _at_rest(ask) if isinstance(stance, Solved) else _at_given_travel(ask, stance)


def _at_rest(ask: Ask) -> Standing:
    """The bike where it settles."""
    settled = ask.of("rest")
    found = settled.rest
    return _stood(ask, found.rear_axle, settled.radii, found.fork_travel, settled.rear_travel_used)


def _at_given_travel(ask: Ask, stance: Given) -> Standing:
    build = ask.build
    closed, front, rear = (ask.of(name) for name in ("table", "front end", "extended"))
    fork_share = build.settings.sag_front_pct * PCT if stance.front is None else stance.front
    used = fork_share * _fork_travel(front, fork_share)
    axle, rear_used = _rear_axle(ask, rear, closed, stance.rear)
    return _stood(ask, axle, crossing.tyre_radii(build, stance.loaded), used, rear_used)


def _stood(ask: Ask, axle: Point, radii: tuple[float, float], used: float, rear_used: float | None) -> Standing:
    """The geometry for a rear axle, loaded radii (rear, front) and the travel used."""
    closed, front, placed = (ask.of(name) for name in ("table", "front end", "fit"))
    rear_radius, front_radius = radii
    return Standing(
        ground=ground_geometry(
            closed.head_tube,
            front.headset,
            front.fork,
            rear_axle=axle,
            rear_radius=rear_radius,
            front_radius=front_radius,
            fork_travel=used,
            seat_tube=closed.seat_tube,
            saddle=placed.saddle,
        ),
        rear_radius=rear_radius,
        front_radius=front_radius,
        fork_travel_used=used,
        rear_travel_used=rear_used,
    )


def _fork_travel(front: FrontEnd, share: float) -> float:
    if share == 0.0:
        return 0.0
    if front.fork_travel is None:
        raise NotKnown("waits for a fork: the geometry table gives its length, not its travel")
    return front.fork_travel


def _rear_axle(ask: Ask, rear: Extended | None, closed: ClosedTable, share: float | None) -> tuple[Point, float | None]:
    """Rear axle and wheel travel used in a stance; ``share`` of the stroke, None at the stated sag."""
    if rear is None:
        return closed.rear_axle, None
    if share == 0.0:
        return rear.axle, 0.0
    through: Through | None = ask.of("linkage")
    if through is None:
        raise NotKnown("waits for a shock: the linkage is drawn, its stroke is not known")
    if share is None:
        return through.axle_at_sag, through.travel_at_sag
    return through.axle_bottomed, through.rear_travel


def on_ground(ask: Ask) -> cockpit.CockpitOnGround | None:
    """Group cockpit: hands and saddle as the rider feels them in one state."""
    placed: Fit = ask.of("fit")
    if placed.hand is None:
        return None
    return cockpit.cockpit_on_ground(ask.of("geometry").ground.attitude, placed.hand, placed.saddle)


def clearances(ask: Ask) -> Clearances:
    """Group clearance: room under, in front of, over and around in one state."""
    build, here, placed = ask.build, ask.of("geometry"), ask.of("fit")
    ground, row, crank = here.ground, build.geometry_row, build.parts.crank
    pose, length = ground.attitude, placed.crank_length
    # A loaded tyre is squashed at the ground only; at the frame it has its full radius.
    rear_radius, front_radius = crossing.tyre_radii(build, loaded=False)
    standover = None
    if row.top_tube_ahead_mm is not None and row.top_tube_height_mm is not None:
        standover = pose.height((row.top_tube_ahead_mm * MM, row.top_tube_height_mm * MM))
    pedal = lean = toe = None
    if crank is not None and length is not None:
        pedal = clearance.pedal_clearance(pose.bb_height, length, 0.5 * crank.pedal_thickness_mm * MM)
        toe = clearance.toe_clearance(ground.front_axle, front_radius, length, crank.toe_ahead_of_axle_mm * MM)
        if crank.pedal_outer_mm is not None:
            lean = clearance.pedal_lean(pedal, crank.pedal_outer_mm * MM)
    ring_radius, drawn = crossing.ring_radius(build), crossing.outlines(build)
    return Clearances(
        standover=standover,
        pedal=pedal,
        pedal_lean=lean,
        toe=toe,
        ring=None if ring_radius is None else clearance.ring_clearance(pose.bb_height, ring_radius),
        breakover=None
        if ring_radius is None
        else clearance.breakover_angle(pose, here.rear_radius, here.front_radius, ring_radius),
        front_tyre=_tyre_room(drawn, "front_tyre", ground.front_axle, front_radius),
        rear_tyre=_tyre_room(drawn, "rear_tyre", ground.rear_axle, rear_radius),
        saddle=_saddle_room(build, placed, ground.rear_axle, rear_radius),
    )


def _tyre_room(
    drawn: tuple[tuple[Outline, tuple[Point, ...]], ...], near: str, axle: Point, radius: float
) -> float | None:
    outlines = [points for outline, points in drawn if outline.near == near]
    return float(clearance.tyre_gap(axle, radius, outlines)) if outlines else None


def _saddle_room(build: Build, placed: Fit, axle: Point, radius: float) -> float | None:
    saddle = build.parts.saddle
    if saddle is None or placed.saddle_lowest is None or saddle.length_mm is None or saddle.nose_to_sit_mm is None:
        return None
    ahead = saddle.nose_to_sit_mm * MM
    edge = clearance.saddle_underside(
        placed.saddle_lowest, saddle.thickness_mm * MM, ahead, saddle.length_mm * MM - ahead
    )
    return float(clearance.tyre_gap(axle, radius, [edge]))
