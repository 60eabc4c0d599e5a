"""Where workshop units become SI: what physics needs, read off a build.

Nothing is computed here. An absent part gives None, and whoever asked says what waits for it.
"""

import math

from bikewright.errors import ModelError
from bikewright.model.build import Build
from bikewright.model.drawing import pin_place
from bikewright.model.frame import Datum as DatumRow
from bikewright.model.frame import Outline
from bikewright.model.parts import Bar, Seatpost, Stem
from bikewright.model.rider import Rider
from bikewright.physics import cockpit, gearing, saddle, steering, turned_bar, tyre
from bikewright.physics.body import Body, rider_body
from bikewright.physics.plane import Point
from bikewright.physics.table import ClosedTable, GeometryTable
from bikewright.units import DEG, MM

HALF_TURN_DEG = 180.0
"""Turn of a bar that nothing stops."""


def _m(value_mm: float | None) -> float | None:
    return None if value_mm is None else value_mm * MM


def _rad(value_deg: float | None) -> float | None:
    return None if value_deg is None else value_deg * DEG


def drawn_axle(build: Build) -> Point | None:
    """Rear axle of the linkage drawing in this size, chips as drawn; None for a hardtail."""
    linkage = build.frame.linkage
    if linkage is None:
        return None
    pin = linkage.axle_pin
    if pin is None:
        raise ModelError("no pin of the linkage joins the wheel")
    x, z = pin_place(pin, build.geometry_row.linkage)
    return x * MM, z * MM


def geometry_table(build: Build) -> GeometryTable:
    """The size's row of the geometry table and the build that it was stated at."""
    row, datum = build.geometry_row, build.frame.datum
    offset = row.seat_tube_offset_mm
    return GeometryTable(
        reach=row.reach_mm * MM,
        stack=row.stack_mm * MM,
        head_angle=row.head_angle_deg * DEG,
        axle_to_crown=datum.fork_length_mm * MM,
        front_radius=datum.front_radius_mm * MM,
        rear_radius=datum.rear_radius_mm * MM,
        headset=_datum_headset(datum),
        fork_offset=_m(datum.fork_offset_mm),
        head_tube=_m(row.head_tube_mm),
        rear_axle=drawn_axle(build),
        rear_centre=_m(row.rear_centre_mm),
        bb_drop=_m(row.bb_drop_mm),
        bb_height=_m(row.bb_height_mm),
        wheelbase=_m(row.wheelbase_mm),
        seat_angle_effective=_rad(row.seat_angle_deg),
        seat_angle_actual=_rad(row.seat_tube_angle_deg),
        seat_setback=None if offset is None else -offset * MM,
    )


def _datum_headset(datum: DatumRow) -> steering.Headset:
    return steering.Headset(
        upper_offset=datum.upper_offset_mm * MM,
        lower_offset=datum.lower_offset_mm * MM,
        lower_stack=datum.lower_stack_mm * MM,
    )


def fork(build: Build) -> steering.Fork | None:
    """The fork, extended."""
    part = build.parts.fork
    if part is None:
        return None
    return steering.Fork(axle_to_crown=part.axle_to_crown_mm * MM, offset=part.chassis.offset_mm * MM)


def headset(build: Build) -> steering.Headset | None:
    """The headset's stacks and offsets; a printed angle becomes the offsets machined into the cups."""
    part = build.parts.headset
    if part is None:
        return None
    upper, lower = part.upper_offset_mm * MM, part.lower_offset_mm * MM
    if part.printed_angle_deg is not None and part.printed_at_head_tube_mm is not None:
        tilt = steering.angle_cup(part.printed_angle_deg * DEG, part.printed_at_head_tube_mm * MM)
        upper, lower = upper + tilt[0], lower + tilt[1]
    return steering.Headset(
        upper_offset=upper,
        lower_offset=lower,
        lower_stack=part.lower_stack_mm * MM,
        upper_stack=part.upper_stack_mm * MM,
    )


def tyre_radii(build: Build, loaded: bool) -> tuple[float, float]:
    """Radius of the rear and the front tyre; an absent tyre is that of the geometry table."""
    parts, datum, settings = build.parts, build.frame.datum, build.settings
    rear = datum.rear_radius_mm if parts.rear_tyre is None else parts.rear_tyre.radius_used_mm
    front = datum.front_radius_mm if parts.front_tyre is None else parts.front_tyre.radius_used_mm
    if loaded:
        rear, front = rear - settings.rear_tyre_drop_mm, front - settings.front_tyre_drop_mm
    return rear * MM, front * MM


def tyre_section(build: Build, end: str) -> tuple[float, float, float] | None:
    """Outer radius, half of the section width on this rim, and the casing's own rate; None while no tyre is chosen.

    ``end`` is ``front`` or ``rear``. [m, m, N/m]
    """
    part, wheel = getattr(build.parts, f"{end}_tyre"), getattr(build.parts, f"{end}_wheel")
    if part is None:
        return None
    rim = None if wheel is None else _m(wheel.rim_inner_mm)
    width = tyre.width_on_rim(part.width_mm * MM, rim, _m(part.measured_on_mm))
    casing = 0.0 if part.casing is None else tyre.CASING_RATES[part.casing]
    return part.radius_used_mm * MM, 0.5 * width, casing


def tyre_rate(build: Build, end: str, pressure: float | None) -> float | None:
    """Vertical rate of a tyre at a gauge pressure [Pa]; None while tyre or pressure is not known [N/m]."""
    section = tyre_section(build, end)
    if section is None or pressure is None:
        return None
    radius, half_width, casing = section
    return tyre.vertical_rate(pressure, radius, half_width, casing)


def rim_room(build: Build, end: str) -> float:
    """From a tyre's outside to the edge of its rim; infinite while no tyre is chosen [m]."""
    part, wheel = getattr(build.parts, f"{end}_tyre"), getattr(build.parts, f"{end}_wheel")
    if part is None:
        return math.inf
    edge = None if wheel is None else _m(wheel.rim_height_mm)
    room: float = (part.radius_used_mm - 0.5 * part.bead_seat_mm) * MM - (tyre.RIM_HEIGHT if edge is None else edge)
    return room


def ring_radius(build: Build) -> float | None:
    """Outer radius of ring or guard [m]."""
    ring = build.parts.ring
    if ring is None:
        return None
    return gearing.tip_radius(ring.teeth) if ring.guard_radius_mm is None else ring.guard_radius_mm * MM


def outlines(build: Build) -> tuple[tuple[Outline, tuple[Point, ...]], ...]:
    """The outlines that hold for the build's size, each with its points in frame axes [m]."""
    return tuple(
        (outline, tuple((x * MM, z * MM) for x, z in outline.points_mm))
        for outline in build.frame.outlines
        if not outline.sizes or build.size in outline.sizes
    )


def carried_kg(build: Build) -> float:
    """What the rider carries, over the own mass [kg]."""
    return sum(load.mass_kg for load in build.loads if load.on == "rider")


def body(rider: Rider) -> Body:
    """The rider's segments."""
    return rider_body(
        rider.mass_kg,
        rider.stature_mm * MM,
        rider.build,
        _m(rider.inseam_mm),
        _m(rider.span_mm),
        rider.foot_ahead_mm * MM,
    )


def post(build: Build) -> saddle.Post | None:
    """The seatpost along the seat tube."""
    part = build.parts.seatpost
    return None if part is None else post_of(part)


def post_of(part: Seatpost) -> saddle.Post:
    """A seatpost along the seat tube, for one that is not on the bike."""
    return saddle.Post(
        drop=part.drop_mm * MM,
        length=_m(part.length_mm),
        stack=_m(part.stack_mm),
        insertion_max=_m(part.insertion_max_mm),
        insertion_min=_m(part.insertion_min_mm),
    )


def stem(build: Build) -> cockpit.Stem | None:
    """The stem on its spacers."""
    part = build.parts.stem
    return None if part is None else stem_of(part, build.settings.stem_spacers_mm)


def stem_of(part: Stem, spacers_mm: float) -> cockpit.Stem:
    """A stem of the shelf on spacers."""
    return cockpit.Stem(
        length=part.length_mm * MM,
        rise=(part.rise_deg or 0.0) * DEG,
        clamp_height=part.clamp_height_mm * MM,
        spacers_below=spacers_mm * MM,
    )


def bar(build: Build) -> cockpit.Bar | None:
    """The handlebar as it is rolled in the stem."""
    part = build.parts.bar
    return None if part is None else bar_of(part, build.settings.bar_roll_deg)


def bar_of(part: Bar, roll_deg: float) -> cockpit.Bar:
    """A bar of the shelf as it is rolled in the stem."""
    return cockpit.Bar(
        width=part.width_mm * MM,
        rise=part.rise_mm * MM,
        back_sweep=(part.back_sweep_deg or 0.0) * DEG,
        up_sweep=(part.up_sweep_deg or 0.0) * DEG,
        bend_from_centre=part.bend_from_centre_mm * MM,
        roll=roll_deg * DEG,
    )


def grip_tube(build: Build) -> turned_bar.GripTube | None:
    """The grip on the end of the bar."""
    part = build.parts.grip
    if part is None:
        return None
    return turned_bar.GripTube(length=part.length_mm * MM, radius=0.5 * part.diameter_mm * MM)


def lever(build: Build) -> turned_bar.Lever | None:
    """The brake lever as it is set; None while its reach or its angle is not known."""
    settings = build.settings
    if settings.lever_reach_mm is None or settings.lever_angle_deg is None:
        return None
    return turned_bar.Lever(
        reach=settings.lever_reach_mm * MM,
        dip=settings.lever_angle_deg * DEG,
        length=settings.lever_length_mm * MM,
        from_grip=settings.lever_from_grip_mm * MM,
    )


def turn_most(build: Build) -> float:
    """How far the bar turns from straight ahead: to its stop, half a turn where none is known [rad]."""
    headset = build.parts.headset
    stop_deg = None if headset is None else headset.turn_max_deg
    return HALF_TURN_DEG * DEG if stop_deg is None else stop_deg * DEG


def top_tube(build: Build, closed: ClosedTable) -> turned_bar.Rod | None:
    """The size's top tube; None while one of its four numbers is not known."""
    row = build.geometry_row
    ahead, height, across, below = (
        _m(value)
        for value in (row.top_tube_ahead_mm, row.top_tube_height_mm, row.top_tube_diameter_mm, row.top_tube_below_mm)
    )
    if ahead is None or height is None or across is None or below is None:
        return None
    return turned_bar.top_tube(closed.head_tube, below, 0.5 * across, (ahead, height), closed.seat_tube)


def seat(build: Build, lowered_mm: float) -> cockpit.Seat | None:
    """Seatpost and saddle; None while no saddle height is known."""
    height = build.saddle_height_mm
    return None if height is None else seat_at(build, height, lowered_mm)


def seat_at(build: Build, height_mm: float, lowered_mm: float = 0.0) -> cockpit.Seat:
    """Seatpost and saddle at a height that need not be the one in use."""
    pillar, on_top = build.parts.seatpost, build.parts.saddle
    return cockpit.Seat(
        height=height_mm * MM,
        post_setback=0.0 if pillar is None else pillar.setback_mm * MM,
        rail_shift=-build.settings.saddle_back_mm * MM,
        rail_to_top=0.0 if on_top is None else on_top.rail_to_top_mm * MM,
        drop=lowered_mm * MM,
    )
