"""Hands and saddle, worked by hand on upright axes and as identities of any seat."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.physics.cockpit import Bar, Seat, Stem, cockpit_on_ground, hand_point, saddle_place
from bikewright.physics.geometry import SeatTube, attitude
from bikewright.physics.plane import distance, distance_to_line
from bikewright.physics.steering import PLAIN_HEADSET, HeadTube, SteeringAxis, steering_axis
from bikewright.units import DEG, MM
from tests.physics.sane_bikes import deg, mm

UPRIGHT = SteeringAxis((0.4, 0.6), (0.4, 0.5), 90 * DEG, (0.0, 1.0), (1.0, 0.0), (0.4, 0.5))
"""An upright axis, so that lengths add up along x and z."""
FLAT = Bar(width=0.8)

seat_tubes = st.builds(SeatTube, angle=deg(65, 78), setback=mm(-120, 20))
seats = st.builds(
    Seat, height=mm(600, 850), post_setback=mm(-10, 30), rail_shift=mm(-20, 20), rail_to_top=mm(35, 60), drop=mm(0, 200)
)


def test_stacks_spacers_and_half_the_clamp_lift_the_bar():
    """10 + 20 + 40/2 = 50 mm up, 45 mm forward."""
    hand = hand_point(UPRIGHT, 10 * MM, Stem(length=45 * MM, clamp_height=40 * MM, spacers_below=20 * MM), FLAT, 0.0)

    assert hand.bar_centre == pytest.approx((0.445, 0.65), abs=1e-15)
    assert hand.point == pytest.approx((0.445, 0.65), abs=1e-15)
    assert hand.half_width == pytest.approx(0.4, abs=1e-15)


def test_a_stem_with_rise_goes_up_and_reaches_less():
    """50 mm at 30 degrees: 25 mm up, 25 sqrt(3) mm forward; square to the axis, not to the ground."""
    hand = hand_point(UPRIGHT, 0.0, Stem(length=50 * MM, rise=30 * DEG), FLAT, 0.0)

    assert hand.point == pytest.approx((0.4 + 0.025 * math.sqrt(3), 0.625), abs=1e-15)


def test_sweep_begins_at_the_bend_and_shortens_the_way_to_the_end():
    """Both sweeps at 45 degrees: 100 sqrt(3) mm along the bar are 100 mm sideways, so the hand is 300 mm from the
    middle, 200 mm outboard of the bend: 200 mm back, and 200 + 20 mm of rise up."""
    bar = Bar(width=0.8, rise=20 * MM, back_sweep=45 * DEG, up_sweep=45 * DEG, bend_from_centre=0.1)
    hand = hand_point(UPRIGHT, 0.0, Stem(length=0.0), bar, 0.1 * math.sqrt(3))

    assert hand.half_width == pytest.approx(0.3, abs=1e-15)
    assert hand.point == pytest.approx((0.4 - 0.2, 0.6 + 0.22), abs=1e-15)


def test_rolling_the_bar_forward_takes_its_rise_forward():
    """A quarter turn, top forward: 20 mm of rise become 20 mm forward, 200 mm of back sweep go up."""
    bar = Bar(width=0.8, rise=20 * MM, back_sweep=45 * DEG, bend_from_centre=0.2, roll=90 * DEG)
    hand = hand_point(UPRIGHT, 0.0, Stem(length=0.0), bar, 0.0)

    assert hand.point == pytest.approx((0.42, 0.8), abs=1e-15)


def test_a_hand_inboard_of_the_bend_has_no_sweep():
    bar = Bar(width=0.8, rise=20 * MM, back_sweep=10 * DEG, up_sweep=10 * DEG, bend_from_centre=0.38)
    hand = hand_point(UPRIGHT, 0.0, Stem(length=0.0), bar, 0.1)

    assert hand.point == pytest.approx((0.4, 0.62), abs=1e-15)


def test_ten_millimetres_of_spacers_run_up_the_leaning_axis():
    """At 60 degrees: 5 mm back, 5 sqrt(3) mm up."""
    axis = steering_axis(HeadTube(upper_face=(0.4, 0.6), angle=60 * DEG, length=0.1), PLAIN_HEADSET)
    low = hand_point(axis, 0.0, Stem(length=45 * MM), FLAT, 0.065)
    high = hand_point(axis, 0.0, Stem(length=45 * MM, spacers_below=10 * MM), FLAT, 0.065)

    assert high.point[0] - low.point[0] == pytest.approx(-0.005, abs=1e-15)
    assert high.point[1] - low.point[1] == pytest.approx(0.005 * math.sqrt(3), abs=1e-15)


def test_a_hand_past_the_middle_of_the_bar_is_refused():
    with pytest.raises(OutsideValidity, match=r"450\.0 mm from the end of a bar 800\.0 mm wide"):
        hand_point(UPRIGHT, 0.0, Stem(length=0.0), FLAT, 0.45)


def test_a_plain_saddle_lies_on_its_axis():
    """No offsets: 700 mm up an axis of 75 degrees."""
    place = saddle_place(SeatTube(angle=75 * DEG), Seat(height=0.7))

    assert place.out == pytest.approx(0.7, abs=1e-15)
    assert place.point == pytest.approx((-0.7 * math.cos(75 * DEG), 0.7 * math.sin(75 * DEG)), abs=1e-15)


def test_setback_and_rails_worked_by_hand():
    """Axis of 45 degrees through the bottom bracket, clamp 20 sqrt(2) mm behind it, square: 20 back and 20 down. Rails
    20 mm forward and 70 mm up put the sit point 50 mm above the axis' foot: |(-p, p + 50)| = 250 mm for p = 150."""
    seat = Seat(height=0.25, post_setback=0.02 * math.sqrt(2), rail_shift=0.02, rail_to_top=0.07)
    place = saddle_place(SeatTube(angle=45 * DEG), seat)

    assert place.out == pytest.approx(0.15 * math.sqrt(2), abs=1e-15)
    assert place.point == pytest.approx((-0.15, 0.2), abs=1e-15)
    assert place.clamp == pytest.approx((-0.17, 0.13), abs=1e-15)


@given(seat_tubes, seats)
def test_any_saddle_keeps_its_height_and_drops_along_the_tube(tube, seat):
    """Tolerance 1e-13 m: one square root of a length near 1 m."""
    dropped, raised = saddle_place(tube, seat), saddle_place(tube, replace(seat, drop=0.0))
    along = (-math.cos(tube.angle), math.sin(tube.angle))

    assert distance((0.0, 0.0), raised.point) == pytest.approx(seat.height, abs=1e-13)
    assert raised.point[0] - dropped.point[0] == pytest.approx(seat.drop * along[0], abs=1e-13)
    assert raised.point[1] - dropped.point[1] == pytest.approx(seat.drop * along[1], abs=1e-13)
    assert distance_to_line(raised.clamp, (-tube.setback, 0.0), along) == pytest.approx(seat.post_setback, abs=1e-13)


@pytest.mark.parametrize(
    "tube", [SeatTube(angle=75 * DEG, virtual=True), SeatTube(angle=75 * DEG, setback=None)], ids=["virtual", "angle"]
)
def test_a_saddle_waits_for_the_seat_tube(tube):
    with pytest.raises(NotKnown, match="seat tube's own angle and its offset"):
        saddle_place(tube, Seat(height=0.7))


@pytest.mark.parametrize("height", [0.01, -0.7, math.nan])
def test_a_saddle_height_out_of_reach_is_refused(height):
    """The axis passes 100 sin 75 = 96.6 mm from the bottom bracket."""
    with pytest.raises(OutsideValidity, match=r"line 96\.6 mm from the bottom bracket"):
        saddle_place(SeatTube(angle=75 * DEG, setback=0.1), Seat(height=height))


def test_saddle_to_grip_on_level_ground_is_the_difference_of_the_points():
    pose = attitude((-0.44, 0.03), (0.8, 0.03), 0.37, 0.37)
    hand = hand_point(UPRIGHT, 0.0, Stem(length=50 * MM), FLAT, 0.065)
    seen = cockpit_on_ground(pose, hand, (-0.2, 0.7))

    assert seen.hand_height == pytest.approx(0.6 + 0.34, abs=1e-15)
    assert (seen.hand_reach, seen.hand_stack) == pytest.approx((0.45, 0.6), abs=1e-15)
    assert seen.saddle_to_grip == pytest.approx(0.65, abs=1e-15)
    assert seen.saddle_to_grip_drop == pytest.approx(0.1, abs=1e-15)
    assert seen.saddle_height_ground == pytest.approx(1.04, abs=1e-15)


def test_nose_up_brings_the_hands_back_and_lifts_them():
    """12.4 mm more radius in front on 1240 mm: 0.01 rad. Hands 450 ahead and 600 up go 6 back and 4.5 up."""
    hand = hand_point(UPRIGHT, 0.0, Stem(length=50 * MM), FLAT, 0.065)
    level = cockpit_on_ground(attitude((-0.44, 0.03), (0.8, 0.03), 0.37, 0.37), hand)
    up = cockpit_on_ground(attitude((-0.44, 0.03), (0.8, 0.03), 0.37, 0.3824), hand)

    assert up.hand_reach - level.hand_reach == pytest.approx(-6.0 * MM, abs=0.05 * MM)
    assert up.hand_stack - level.hand_stack == pytest.approx(4.5 * MM, abs=0.05 * MM)
    assert up.saddle_x is None
    assert up.saddle_to_grip is None
