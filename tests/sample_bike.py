"""A small bike for tests: one single pivot, two sizes, a few parts. Made in Python, so that no file is needed.

Its numbers are round on purpose, so that tests can be worked by hand; the demo bikes are the plausible ones.
"""

from bikewright.model.brief import Brief, BriefLine
from bikewright.model.build import Build, Parts, Settings
from bikewright.model.frame import BodySize, Chip, ChipPosition, Datum, Frame, Limits, Linkage, Outline, Pin, Size
from bikewright.model.parts import (
    AirChamber,
    Bar,
    Cassette,
    Coil,
    Crank,
    Fork,
    ForkChassis,
    Friction,
    Grip,
    Headset,
    Ring,
    Saddle,
    Seatpost,
    Shock,
    ShockChassis,
    Stem,
    Tyre,
    Wheel,
)
from bikewright.model.rider import Rider
from bikewright.model.stock import Shelf, Stock


def fork(travel_mm: float) -> Fork:
    """A fork of one chassis with an air shaft of this travel."""
    return Fork(
        name=f"fork-{travel_mm:.0f}",
        describe=f"single-crown air fork, {travel_mm:.0f} mm",
        chassis=ForkChassis(bottomed_length_mm=400.0, offset_mm=44.0, tyre_width_max_mm=70.0),
        spring=AirChamber(travel_mm=travel_mm),
    )


SHOCK = Shock(name="air", describe="air shock, 210 x 55 mm", chassis=ShockChassis(eye_to_eye_mm=210.0, stroke_mm=55.0),
              spring=AirChamber())  # fmt: skip
LINKAGE = Linkage(
    pins=(
        Pin(name="main", x_mm=10.0, z_mm=60.0, joins=("frame", "swingarm")),
        Pin(name="axle", x_mm=-435.0, z_mm=25.0, joins=("swingarm", "wheel")),
        Pin(name="shock_rear", x_mm=-90.0, z_mm=240.0, joins=("swingarm", "shock")),
        Pin(name="shock_front", x_mm=120.0, z_mm=240.0, joins=("frame", "shock")),
    ),
    brake_on="swingarm",
    chips=(
        Chip(
            name="mount",
            pin="shock_front",
            body="frame",
            positions=(ChipPosition(name="low"), ChipPosition(name="high", dx_mm=-2.0)),
        ),
    ),
)
FRAME = Frame(
    name="sample",
    datum=Datum(fork_length_mm=560.0, fork_offset_mm=44.0, front_radius_mm=370.0, rear_radius_mm=370.0),
    sizes=(
        Size(name="M", reach_mm=450.0, stack_mm=620.0, head_angle_deg=64.5, head_tube_mm=110.0, seat_angle_deg=77.0,
             seat_tube_angle_deg=73.0, seat_tube_mm=420.0, saddle_height_mm=720.0, top_tube_ahead_mm=50.0,
             top_tube_height_mm=400.0),
        Size(name="L", reach_mm=475.0, stack_mm=630.0, head_angle_deg=64.5, head_tube_mm=120.0, seat_angle_deg=77.0,
             seat_tube_angle_deg=73.0, seat_tube_mm=440.0, saddle_height_mm=760.0),
    ),
    linkage=LINKAGE,
    limits=Limits(fork_length_max_mm=575.0, rear_tyre_width_max_mm=66.0, shock_stroke_max_mm=57.5),
    outlines=(Outline(name="seat-tube", near="rear_tyre", points_mm=((-20.0, 60.0), (-70.0, 300.0))),),
)  # fmt: skip
TYRE = Tyre(name="trail", bead_seat_mm=622.0, width_mm=61.0, radius_mm=370.0)
WHEEL = Wheel(name="29", bead_seat_mm=622.0, rim_inner_mm=30.0)
PARTS = Parts(
    fork=fork(160.0),
    shock=SHOCK,
    headset=Headset(name="straight"),
    stem=Stem(name="stem-40", length_mm=40.0),
    bar=Bar(name="bar-780", width_mm=780.0, rise_mm=30.0),
    grip=Grip(name="grip"),
    seatpost=Seatpost(name="dropper-180", drop_mm=180.0),
    saddle=Saddle(name="saddle", length_mm=270.0, nose_to_sit_mm=150.0),
    front_wheel=WHEEL,
    rear_wheel=WHEEL,
    front_tyre=TYRE,
    rear_tyre=TYRE,
    crank=Crank(name="crank-170", length_mm=170.0, pedal_outer_mm=180.0),
    ring=Ring(name="ring-32", teeth=32),
)
BUILD = Build(name="sample", frame=FRAME, size="M", parts=PARTS)
BARE = Build(name="bare", frame=FRAME, size="M")
"""The frame alone: no part is chosen."""

SMALL_TYRE = Tyre(name="small", bead_seat_mm=584.0, width_mm=61.0)
STOCK = Stock(
    shelves=(
        Shelf(kind="fork", parts=(fork(150.0), fork(160.0), fork(170.0), fork(190.0))),
        Shelf(kind="shock", parts=(SHOCK,)),
        Shelf(
            kind="headset",
            parts=(
                Headset(name="straight"),
                Headset(name="reach-5", describe="reach cups, 5 mm ahead", upper_offset_mm=5.0, lower_offset_mm=5.0),
                Headset(name="angle-1", printed_angle_deg=1.0, printed_at_head_tube_mm=110.0),
            ),
        ),
        Shelf(
            kind="coil",
            parts=tuple(Coil(name=f"coil-{rate}", rate_n_per_mm=rate * 0.175126835) for rate in (400, 450, 500, 550)),
        ),
        Shelf(kind="wheel", parts=(WHEEL, Wheel(name="27", bead_seat_mm=584.0))),
        Shelf(kind="tyre", parts=(TYRE, SMALL_TYRE)),
    )
)
RIDERS = (Rider(name="ada", mass_kg=70.0, stature_mm=1720.0, saddle_height_mm=705.0),)
BRIEF = Brief(
    lines=(
        BriefLine(name="head_angle_deg", low=64.2, high=65.0),
        BriefLine(name="bb_height_mm", low=335.0, high=350.0, felt_step=2.0),
        BriefLine(name="reach_mm", low=440.0, high=460.0, size="M"),
    )
)
SETTINGS = Settings()


def _weighed(part, grams, **more):
    return type(part)(**{**{name: getattr(part, name) for name in part.__dataclass_fields__}, "mass_g": grams, **more})


AIR_FORK = AirChamber(
    travel_mm=160.0,
    piston_area_cm2=7.6,
    positive_volume_cm3=198.0,
    negative_volume_cm3=40.0,
    negative_area_cm2=6.8,
    spacer_volume_cm3=9.0,
)
AIR_SHOCK = AirChamber(
    piston_area_cm2=13.0, positive_volume_cm3=125.0, negative_volume_cm3=35.0, negative_area_cm2=11.5,
    spacer_volume_cm3=6.0,
)  # fmt: skip


def _sized(size):
    """A size that also says how deep a post goes and where its stays are."""
    kept = {name: getattr(size, name) for name in size.__dataclass_fields__}
    return Size(**{**kept, "seat_tube_offset_mm": 45.0, "seat_tube_bend_mm": 290.0, "stay_outer_mm": 72.0,
                   "top_tube_ahead_mm": 50.0, "top_tube_height_mm": 400.0, "top_tube_diameter_mm": 38.0,
                   "top_tube_below_mm": 35.0})  # fmt: skip


LOADED = Build(
    name="loaded",
    frame=Frame(
        **{
            **{name: getattr(FRAME, name) for name in FRAME.__dataclass_fields__},
            "mass_g": 3300.0,
            "linkage": Linkage(
                pins=LINKAGE.pins,
                brake_on=LINKAGE.brake_on,
                chips=LINKAGE.chips,
                bodies=(BodySize(name="swingarm", half_width_mm=60.0),),
            ),
            "sizes": tuple(_sized(size) for size in FRAME.sizes),
        }
    ),
    size="M",
    parts=Parts(
        fork=_weighed(fork(160.0), 2000.0, spring=AIR_FORK, friction=Friction(breakaway_n=25.0, bushing_pct=4.0)),
        shock=_weighed(SHOCK, 480.0, spring=AIR_SHOCK, friction=Friction(breakaway_n=40.0)),
        headset=_weighed(PARTS.headset, 120.0),
        stem=_weighed(PARTS.stem, 130.0),
        bar=_weighed(PARTS.bar, 320.0),
        grip=_weighed(PARTS.grip, 110.0),
        seatpost=_weighed(
            PARTS.seatpost, 560.0, length_mm=500.0, insertion_min_mm=110.0, insertion_max_mm=282.0, stack_mm=42.0
        ),
        saddle=_weighed(PARTS.saddle, 230.0),
        front_wheel=_weighed(WHEEL, 950.0),
        rear_wheel=_weighed(WHEEL, 1100.0),
        front_tyre=_weighed(TYRE, 1000.0),
        rear_tyre=_weighed(TYRE, 1050.0),
        crank=_weighed(PARTS.crank, 900.0, arms_apart_mm=170.0, foot_from_arm_mm=56.0),
        ring=_weighed(PARTS.ring, 70.0),
        cassette=Cassette(name="wide", teeth=(10, 12, 14, 16, 18, 21, 24, 28, 33, 39, 45, 51), mass_g=400.0),
    ),
    settings=Settings(
        fork_pressure_bar=5.9,
        shock_pressure_bar=13.5,
        front_tyre_bar=1.45,
        rear_tyre_bar=1.65,
        lever_reach_mm=60.0,
        lever_angle_deg=30.0,
    ),
    rider=Rider(name="ada", mass_kg=80.0, stature_mm=1760.0, saddle_height_mm=720.0),
)
"""The same bike with masses, pressures and a rider: everything that rest under load asks for."""
