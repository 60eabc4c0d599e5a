"""What every fitter knows about a longer fork, a cup and a bigger wheel. Common practice, no source.

Each rule of thumb stands beside the first-order sum that gives it, on a wheelbase near 1.25 m, so that a wrong sign or
a wrong lever shows at once. Tolerances are those of a rule of thumb: what a tape and an angle finder can tell.
"""

from dataclasses import replace

import pytest

from bikewright.physics.geometry import GroundGeometry, SeatTube
from bikewright.physics.steering import Fork, Headset
from bikewright.physics.table import GeometryTable, close_table
from bikewright.units import DEG, MM
from tests.physics.sane_bikes import Bike

TABLE = GeometryTable(
    reach=475 * MM,
    stack=630 * MM,
    head_angle=64.5 * DEG,
    axle_to_crown=565 * MM,
    fork_offset=44 * MM,
    front_radius=372 * MM,
    rear_radius=372 * MM,
    head_tube=110 * MM,
    rear_centre=440 * MM,
    bb_drop=30 * MM,
    seat_angle_effective=77 * DEG,
    seat_angle_actual=71 * DEG,
)
CLOSED = close_table(TABLE)
TRAIL_BIKE = Bike(
    head_tube=CLOSED.head_tube,
    headset=CLOSED.headset,
    fork=CLOSED.fork,
    rear_axle=CLOSED.rear_axle,
    rear_radius=372 * MM,
    front_radius=372 * MM,
    fork_travel=0.0,
    seat_tube=CLOSED.seat_tube or SeatTube(angle=0.0),
    saddle=(-200 * MM, 700 * MM),
)


def changes(bike: Bike) -> dict[str, float]:
    """What the change does, in mm and degrees."""
    before, after = TRAIL_BIKE.geometry(), bike.geometry()
    named = {name: getattr(after, name) - getattr(before, name) for name in GroundGeometry.__slots__[:21]}
    return {name: change / (DEG if "angle" in name or name == "pitch" else MM) for name, change in named.items()}


def test_the_trail_bike_is_a_usual_one():
    assert 1.23 < TRAIL_BIKE.geometry().wheelbase < 1.27


def test_ten_millimetres_of_fork_are_nearly_half_a_degree_and_its_echoes():
    """The front axle goes 10 sin(64.5) = 9.0 mm down on a base of 1.25 m: 0.41 degrees. The bottom bracket rises by
    0.35 of the 9 mm (its share of the wheelbase from the rear axle): 3.2 mm. Reach loses stack times the pitch,
    630 x 0.0072 = 4.5 mm; stack gains reach times it, 3.4 mm."""
    change = changes(replace(TRAIL_BIKE, fork=Fork(axle_to_crown=575 * MM, offset=44 * MM)))

    assert change["head_angle"] == pytest.approx(-0.41, abs=0.02)
    assert change["pitch"] == pytest.approx(0.41, abs=0.02)
    assert change["seat_angle_actual"] == pytest.approx(-0.41, abs=0.02)
    assert change["seat_angle_effective"] == pytest.approx(-0.45, abs=0.05)
    assert change["bb_height"] == pytest.approx(3.2, abs=0.2)
    assert change["reach"] == pytest.approx(-4.5, abs=0.3)
    assert change["stack"] == pytest.approx(3.4, abs=0.3)
    assert 3.0 < change["trail"] < 4.0
    assert 3.0 < change["wheelbase"] < 5.0


def test_an_effective_angle_alone_follows_the_pitch_to_a_tenth_of_a_degree():
    """The theory page says so for 20 mm of fork: the real axis is met at the new stack, the stand-in at the old."""
    longer = replace(TRAIL_BIKE, fork=Fork(axle_to_crown=585 * MM, offset=44 * MM))
    stand_in = replace(longer, seat_tube=SeatTube(angle=77 * DEG, virtual=True))
    real, alone = longer.geometry(), stand_in.geometry()

    assert alone.seat_angle_effective == pytest.approx(77 * DEG - alone.pitch, abs=1e-12)
    assert 0.01 * DEG < abs(real.seat_angle_effective - alone.seat_angle_effective) < 0.1 * DEG


def test_a_quarter_degree_of_printed_head_angle_is_three_to_four_millimetres_of_wheelbase():
    """Front axle 640 mm down the axis from the stack: 640/sin(64.5)^2 x 0.00436 = 3.4 mm. As the table page says."""
    slacker = close_table(replace(TABLE, head_angle=64.25 * DEG)).wheelbase - CLOSED.wheelbase

    assert 3.0 * MM < slacker < 4.0 * MM


def test_twenty_millimetres_of_lower_cup_do_what_twenty_of_fork_do():
    cup = replace(TRAIL_BIKE, headset=Headset(lower_stack=20 * MM)).geometry()
    fork = replace(TRAIL_BIKE, fork=Fork(axle_to_crown=585 * MM, offset=44 * MM)).geometry()

    assert cup.head_angle == pytest.approx(fork.head_angle, abs=1e-13)
    assert cup.trail == pytest.approx(fork.trail, abs=1e-13)


def test_an_upper_cup_leaves_the_geometry_alone():
    taller = replace(TRAIL_BIKE, headset=Headset(upper_stack=20 * MM))

    assert set(changes(taller).values()) == {0.0}


def test_a_reach_cup_gives_its_reach_and_no_reach_of_the_frame():
    """5 mm square to an axis of 64.5 degrees are 4.51 mm forward; the axle rises 2.15 mm, which drops the nose by 0.1
    degrees and turns 1.1 mm more forward."""
    change = changes(replace(TRAIL_BIKE, headset=Headset(upper_offset=5 * MM, lower_offset=5 * MM)))

    assert change["reach"] == pytest.approx(4.51 + 1.08, abs=0.05)
    assert change["frame_reach"] == pytest.approx(1.08, abs=0.05)
    assert change["head_angle"] == pytest.approx(0.10, abs=0.02)


def test_more_offset_is_less_trail():
    """7 mm of offset are 7/sin(64.5) = 7.8 mm of trail, less a little for the axle that rises by 3 mm."""
    change = changes(replace(TRAIL_BIKE, fork=Fork(axle_to_crown=565 * MM, offset=51 * MM)))

    assert change["trail"] == pytest.approx(-8.7, abs=0.5)


def test_a_smaller_rear_wheel_slackens_and_lowers():
    """19 mm less radius (559/2 against 597/2 of rim, say) on 1.25 m: 0.87 degrees; the bottom bracket keeps 0.35 of it
    less: 0.65 x 19 = 12.3 mm down."""
    change = changes(replace(TRAIL_BIKE, rear_radius=353 * MM))

    assert change["head_angle"] == pytest.approx(-0.87, abs=0.03)
    assert change["bb_height"] == pytest.approx(-12.3, abs=0.5)


def test_fork_travel_steepens_and_rear_travel_slackens():
    dive = changes(replace(TRAIL_BIKE, fork_travel=30 * MM))
    squat = changes(replace(TRAIL_BIKE, rear_axle=(TRAIL_BIKE.rear_axle[0], TRAIL_BIKE.rear_axle[1] + 30 * MM)))

    assert dive["head_angle"] == pytest.approx(1.24, abs=0.06)
    assert squat["head_angle"] == pytest.approx(-1.37, abs=0.06)
    assert dive["bb_height"] < 0.0 > squat["bb_height"]
