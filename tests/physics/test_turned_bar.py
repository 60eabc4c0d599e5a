"""A turned bar past a top tube: exact cases on an upright axis, and general-purpose libraries for any other."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import lsq_linear
from scipy.spatial.transform import Rotation

from bikewright.errors import OutsideValidity
from bikewright.physics.cockpit import Bar, Stem
from bikewright.physics.geometry import SeatTube
from bikewright.physics.steering import PLAIN_HEADSET, HeadTube, SteeringAxis, steering_axis
from bikewright.physics.turned_bar import (
    BAR_RADIUS,
    BLADE_RADIUS,
    GripTube,
    Lever,
    Rod,
    bar_rods,
    lever_rods,
    passing,
    top_tube,
)
from bikewright.units import DEG, MM

UPRIGHT = SteeringAxis((0.4, 0.6), (0.4, 0.5), 90 * DEG, (0.0, 1.0), (1.0, 0.0), (0.4, 0.5))
"""An upright axis, so that the bar turns in a level plane."""
LEVEL = Rod((0.4, 0.0, 0.5), (0.0, 0.0, 0.5), 0.02)
"""A level top tube from that axis back."""
STEM, GRIP = Stem(length=0.0), GripTube(length=0.13, radius=0.016)
LEVER = Lever(reach=0.06, dip=0.0, length=0.1, from_grip=0.02)
HALF_TURN = math.pi


def across(z):
    """A rod straight out from the axis to the left, at a height; 10 mm thick."""
    return (Rod((0.4, 0.2, z), (0.4, 0.35, z), 0.01),)


@pytest.mark.parametrize(("z", "room", "side"), [(0.56, 0.03, "over"), (0.44, 0.03, "under"), (0.545, 0.015, "over")])
def test_a_rod_that_passes_over_or_under_is_nearest_at_a_right_angle(z, room, side):
    """Turned by 90 degrees it lies along the tube: 60 - 10 - 20 = 30 mm, 45 - 30 = 15 mm."""
    found = passing(UPRIGHT, across(z), LEVEL, HALF_TURN)

    assert found.room == pytest.approx(room, abs=1e-9)
    assert found.steer == pytest.approx(90 * DEG, abs=1e-4)
    assert (found.side, found.touch) == (side, None)


def test_a_rod_too_low_meets_the_tube_where_its_inner_end_does():
    """20 mm apart in height and 30 in radii leave sqrt(30² - 20²) mm sideways: 200 cos t is that at 83.58 degrees."""
    found = passing(UPRIGHT, across(0.52), LEVEL, HALF_TURN)

    assert found.touch == pytest.approx(math.acos(math.sqrt(500) / 200), abs=1e-9)
    assert found.room == pytest.approx(-0.01, abs=1e-9)


def test_a_stop_before_the_tube_keeps_what_is_left():
    """Turned by 60 degrees the inner end is 100 mm aside and 60 over the tube's line."""
    found = passing(UPRIGHT, across(0.56), LEVEL, 60 * DEG)

    assert found.room == pytest.approx(math.hypot(0.1, 0.06) - 0.03, abs=1e-12)
    assert (found.steer, found.side, found.touch) == (60 * DEG, "beside", None)


def test_rods_that_meet_before_the_bar_turns_meet_at_nought():
    found = passing(UPRIGHT, (Rod((0.3, 0.0, 0.5), (0.3, 0.3, 0.5), 0.01),), LEVEL, HALF_TURN)

    assert found.touch == 0.0


def turned_ends(axis, rod, steer):
    """Both ends of a rod, turned about the axis in space by scipy."""
    up = np.array([axis.up[0], 0.0, axis.up[1]])
    through = np.array([axis.upper[0], 0.0, axis.upper[1]])
    return Rotation.from_rotvec(steer * up).apply(np.array([rod.start, rod.end]) - through) + through


def apart(ends, others):
    """Least distance of two straight pieces: scipy's bounded linear least squares over the places on both."""
    lines = np.column_stack((ends[1] - ends[0], others[0] - others[1]))
    found = lsq_linear(lines, others[0] - ends[0], bounds=(0.0, 1.0), method="bvls")
    return math.sqrt(2.0 * found.cost)


def points(low, high):
    return st.tuples(*(st.floats(a, b) for a, b in zip(low, high, strict=True)))


@pytest.mark.oracle
@settings(max_examples=12)
@given(
    st.floats(60.0, 75.0),
    points((0.35, 0.05, 0.62), (0.55, 0.25, 0.72)),
    points((0.30, 0.25, 0.62), (0.55, 0.45, 0.75)),
    points((-0.1, 0.0, 0.3), (0.1, 0.0, 0.5)),
    st.floats(60.0, 180.0),
)
def test_the_least_room_is_that_of_scipys_rotations_and_least_squares(head_deg, start, end, seat_end, most_deg):
    """Oracle: the rod's ends turned in space by `Rotation`, the distance of two segments by `lsq_linear`.

    At the angle found both give the same distance; at others none is less. Closing in leaves less than 1e-8 m.
    """
    axis = steering_axis(HeadTube(upper_face=(0.45, 0.62), angle=head_deg * DEG, length=0.11), PLAIN_HEADSET)
    rod, tube = Rod(start, end, 0.012), Rod((0.46, 0.0, 0.58), seat_end, 0.019)
    found = passing(axis, (rod,), tube, most_deg * DEG)
    others = np.array([tube.start, tube.end])

    assert found.room + 0.031 == pytest.approx(apart(turned_ends(axis, rod, found.steer), others), abs=1e-9)
    for steer in np.linspace(0.0, most_deg * DEG, 60):
        assert apart(turned_ends(axis, rod, steer), others) - 0.031 >= found.room - 1e-8
    if found.touch is None:
        assert found.room > 0.0
    else:
        met = apart(turned_ends(axis, rod, found.touch), others)
        assert met - 0.031 == pytest.approx(0.0, abs=1e-9)
        for steer in np.linspace(0.0, found.touch, 30)[:-1]:
            assert apart(turned_ends(axis, rod, steer), others) > 0.031


@given(st.floats(20.0, 180.0), st.floats(20.0, 180.0))
def test_a_later_stop_never_leaves_more_room(one_deg, other_deg):
    lever = lever_rods(UPRIGHT, 0.0, STEM, Bar(width=0.78), GRIP, replace(LEVER, dip=40 * DEG))
    rooms = [passing(UPRIGHT, lever, LEVEL, most * DEG).room for most in sorted((one_deg, other_deg))]

    assert rooms[1] <= rooms[0] + 1e-9


# The rods themselves.


def test_a_straight_bar_and_its_lever_by_hand():
    """Half of 800 mm, less 130 of grip, less 20: the clamp is 250 mm out, the blade 16 + 60 + 6 = 82 mm ahead."""
    bare, held = bar_rods(UPRIGHT, 0.0, STEM, Bar(width=0.8, bend_from_centre=0.1), GRIP)
    body, blade = lever_rods(UPRIGHT, 0.0, STEM, Bar(width=0.8), GRIP, LEVER)

    assert (bare.start, bare.end) == (pytest.approx((0.4, 0.1, 0.6)), pytest.approx((0.4, 0.27, 0.6)))
    assert (held.start, held.end) == (pytest.approx((0.4, 0.27, 0.6)), pytest.approx((0.4, 0.4, 0.6)))
    assert (bare.radius, held.radius, blade.radius) == (BAR_RADIUS, GRIP.radius, BLADE_RADIUS)
    assert (body.start, body.end) == (pytest.approx((0.4, 0.25, 0.6)), pytest.approx((0.482, 0.25, 0.6)))
    assert (blade.start, blade.end) == (pytest.approx((0.482, 0.25, 0.6)), pytest.approx((0.482, 0.35, 0.6)))


def test_a_lever_turned_straight_down_hangs_below_the_bar():
    _, blade = lever_rods(UPRIGHT, 0.0, STEM, Bar(width=0.8), GRIP, replace(LEVER, dip=90 * DEG))

    assert blade.start == pytest.approx((0.4, 0.25, 0.6 - 0.082))


def test_a_grip_that_reaches_the_bend_leaves_no_bare_bar():
    rods = bar_rods(UPRIGHT, 0.0, STEM, Bar(width=0.6, bend_from_centre=0.17), GRIP)

    assert [rod.radius for rod in rods] == [GRIP.radius]


@given(st.floats(0.0, 12.0), st.floats(-5.0, 8.0), st.floats(-10.0, 10.0), st.floats(-20.0, 80.0))
def test_a_lever_stays_parallel_to_a_swept_grip_and_dips_from_level(back_deg, up_deg, roll_deg, dip_deg):
    """Whatever the sweep: square to the grip, and as far below level as it was set, seen along the grip."""
    axis = steering_axis(HeadTube(upper_face=(0.45, 0.62), angle=64 * DEG, length=0.11), PLAIN_HEADSET)
    bar = Bar(width=0.78, back_sweep=back_deg * DEG, up_sweep=up_deg * DEG, bend_from_centre=0.1, roll=roll_deg * DEG)
    *_, held = bar_rods(axis, 0.01, Stem(length=0.04), bar, GRIP)
    body, blade = lever_rods(axis, 0.01, Stem(length=0.04), bar, GRIP, replace(LEVER, dip=dip_deg * DEG))
    along = np.subtract(held.end, held.start) / GRIP.length
    off = np.subtract(body.end, body.start)
    level = np.cross(along, (0.0, 0.0, 1.0))

    assert np.subtract(blade.end, blade.start) == pytest.approx(LEVER.length * along, abs=1e-12)
    assert off @ along == pytest.approx(0.0, abs=1e-12)
    assert np.linalg.norm(off) == pytest.approx(GRIP.radius + LEVER.reach + BLADE_RADIUS, abs=1e-12)
    assert off @ level == pytest.approx(
        math.cos(dip_deg * DEG) * np.linalg.norm(off) * np.linalg.norm(level), abs=1e-12
    )
    assert (off[2] <= 1e-15) == (dip_deg >= 0.0) or abs(dip_deg) < 1e-9


def test_a_level_top_tube_by_hand():
    """100 mm below the face of an upright head tube, 20 mm below the point on its edge: level, 400 mm long; to a seat
    tube 100 mm behind the bottom bracket it is 500 mm long."""
    head = HeadTube(upper_face=(0.4, 0.6), angle=90 * DEG, length=0.11)
    short = top_tube(head, 0.1, 0.02, (0.0, 0.52))
    long = top_tube(head, 0.1, 0.02, (0.0, 0.52), SeatTube(angle=90 * DEG, setback=0.1))

    assert (short.start, short.end) == (pytest.approx((0.4, 0.0, 0.5)), pytest.approx((0.0, 0.0, 0.5)))
    assert long.end == pytest.approx((-0.1, 0.0, 0.5))
    assert top_tube(head, 0.1, 0.02, (0.0, 0.52), SeatTube(angle=77 * DEG, virtual=True)) == short


@given(st.floats(60.0, 75.0), st.floats(20.0, 80.0), st.floats(300.0, 480.0), st.floats(70.0, 78.0))
def test_a_top_tube_has_its_edge_at_the_standover_and_ends_on_the_seat_tube(head_deg, below_mm, over_mm, seat_deg):
    head = HeadTube(upper_face=(0.45, 0.62), angle=head_deg * DEG, length=0.11)
    over, seat = (0.05, over_mm * MM), SeatTube(angle=seat_deg * DEG, setback=-0.04)
    tube = top_tube(head, below_mm * MM, 0.019, over, seat)
    (x0, _, z0), (x1, _, z1) = tube.start, tube.end
    aside = ((over[0] - x0) * (z1 - z0) - (over[1] - z0) * (x1 - x0)) / math.hypot(x1 - x0, z1 - z0)

    assert aside == pytest.approx(0.019, abs=1e-12)  # above a line that runs back
    assert (x1 + seat.setback) * math.sin(seat.angle) + z1 * math.cos(seat.angle) == pytest.approx(0.0, abs=1e-12)
    assume(below_mm > 0.0)
    assert math.hypot(x0 - 0.45, z0 - 0.62) == pytest.approx(below_mm * MM, abs=1e-12)


@pytest.mark.parametrize("over", [(0.5, 0.4), (0.39, 0.505)])
def test_a_standover_point_that_no_tube_can_reach_is_refused(over):
    head = HeadTube(upper_face=(0.4, 0.6), angle=90 * DEG, length=0.11)
    with pytest.raises(OutsideValidity, match="check top_tube_below_mm, top_tube_ahead_mm"):
        top_tube(head, 0.1, 0.02, over)


def test_a_lever_past_the_middle_of_the_bar_is_refused():
    with pytest.raises(OutsideValidity, match=r"need 410\.0 mm from the end of a bar that is 800\.0 mm wide"):
        lever_rods(UPRIGHT, 0.0, STEM, Bar(width=0.8), GRIP, replace(LEVER, from_grip=0.28))
