"""Steering axis, cups and front axle, worked by hand; the wheel flop against a turned wheel in space."""

import math

import numpy as np
import pytest
from hypothesis import given

from bikewright.errors import OutsideValidity
from bikewright.physics.plane import distance, distance_to_line
from bikewright.physics.steering import (
    PLAIN_HEADSET,
    Fork,
    Headset,
    HeadTube,
    angle_cup,
    front_axle,
    steering_axis,
    trail,
)
from bikewright.units import DEG, MM
from tests.physics.sane_bikes import bikes

SIXTY = HeadTube(upper_face=(0.4, 0.6), angle=60 * DEG, length=0.1)
ROOT3 = math.sqrt(3.0)


def test_a_plain_headset_keeps_the_axis_in_the_head_tube():
    """At 60 degrees 100 mm down the axis are 50 mm forward and 50 sqrt(3) mm down."""
    axis = steering_axis(SIXTY, PLAIN_HEADSET)

    assert axis.upper == (0.4, 0.6)
    assert axis.lower == pytest.approx((0.45, 0.6 - 0.05 * ROOT3), abs=1e-15)
    assert axis.angle == pytest.approx(60 * DEG, abs=1e-15)
    assert axis.crown == axis.lower


def test_lower_stack_and_closing_lengthen_the_way_to_the_crown_and_leave_the_hands():
    stacked = HeadTube(upper_face=(0.4, 0.6), angle=60 * DEG, length=0.1, closing=0.004)
    axis = steering_axis(stacked, Headset(lower_stack=0.012, upper_stack=0.02))

    assert axis.upper == (0.4, 0.6)
    assert axis.crown == pytest.approx((0.45 + 0.008, 0.6 - 0.058 * ROOT3), abs=1e-15)


def test_a_fork_reaches_the_axle_by_length_travel_and_offset():
    """400 mm along the axis are (200, -200 sqrt(3)); 50 mm square to it are (25 sqrt(3), 25)."""
    axis = steering_axis(SIXTY, PLAIN_HEADSET)
    x, z = front_axle(axis, Fork(axle_to_crown=0.5, offset=0.05), travel=0.1)

    assert x == pytest.approx(0.45 + 0.2 + 0.025 * ROOT3, abs=1e-15)
    assert z == pytest.approx(0.6 - 0.05 * ROOT3 - 0.2 * ROOT3 + 0.025, abs=1e-15)


def test_a_reach_cup_of_5_mm_moves_the_axis_square_to_itself():
    """By hand: 5 sin 60 = 4.330 mm of reach and 5 cos 60 = 2.5 mm of stack at the plane of the face, which is
    5/sin 60 = 5.774 mm along the level through the old point. The angle stays."""
    plain, cup = (
        steering_axis(SIXTY, PLAIN_HEADSET),
        steering_axis(SIXTY, Headset(upper_offset=5 * MM, lower_offset=5 * MM)),
    )

    assert cup.upper[0] - plain.upper[0] == pytest.approx(4.330127e-3, abs=1e-9)
    assert cup.upper[1] - plain.upper[1] == pytest.approx(2.5e-3, abs=1e-9)
    assert cup.angle == plain.angle
    down = (cup.upper[1] - plain.upper[1]) / math.sin(60 * DEG)
    assert cup.upper[0] + down * math.cos(60 * DEG) - plain.upper[0] == pytest.approx(5.773503e-3, abs=1e-9)


def test_a_printed_angle_holds_at_one_head_tube_length_only():
    """1 degree at 120 mm: 2.0946 mm between the offsets, atan(2.0946/100) = 1.1999 degrees at 100 mm."""
    upper, lower = angle_cup(1.0 * DEG, 0.120)
    cups = Headset(upper_offset=upper, lower_offset=lower)
    at_120 = steering_axis(HeadTube(upper_face=(0.4, 0.6), angle=65 * DEG, length=0.120), cups)
    at_100 = steering_axis(HeadTube(upper_face=(0.4, 0.6), angle=65 * DEG, length=0.100), cups)

    assert lower - upper == pytest.approx(2.0946e-3, abs=1e-7)
    assert at_120.angle / DEG == pytest.approx(64.0, abs=1e-12)
    assert at_100.angle / DEG == pytest.approx(65.0 - 1.1999, abs=1e-4)


@given(bikes)
def test_the_axis_passes_both_offset_points_and_carries_crown_and_axle(bike):
    """Distances from the axis: none for its three points, the fork offset for the axle. Tolerance 1e-13 m."""
    axis = steering_axis(bike.head_tube, bike.headset)
    axle = front_axle(axis, bike.fork, bike.fork_travel)
    down = (-axis.up[0], -axis.up[1])

    assert distance_to_line(axis.lower, axis.upper, axis.up) == pytest.approx(0.0, abs=1e-13)
    assert distance_to_line(axis.crown, axis.upper, axis.up) == pytest.approx(0.0, abs=1e-13)
    assert distance_to_line(axle, axis.upper, down) == pytest.approx(bike.fork.offset, abs=1e-13)
    lean = bike.headset.upper_offset - bike.headset.lower_offset
    assert distance(axis.upper, axis.lower) == pytest.approx(math.hypot(bike.head_tube.length, lean), abs=1e-13)


@given(bikes)
def test_fork_travel_may_be_an_array(bike):
    axis = steering_axis(bike.head_tube, bike.headset)
    travel = np.linspace(0.0, 0.16, 5)
    x, z = front_axle(axis, bike.fork, travel)

    for i, used in enumerate(travel):
        assert (x[i], z[i]) == front_axle(axis, bike.fork, float(used))


def test_wheel_flop_is_how_a_turned_wheel_sinks():
    """A thin wheel turned by d about the axis, in space: its lowest point rises towards the frame by flop d^2/2.

    The axle lies ``offset`` ahead of the axis, so it rises by -offset cos(HA)(1 - cos d) with the turn; the wheel's
    axle leans by the sine of cos(HA) sin(d), and a leaning wheel reaches R sqrt(1 - lean^2) down. For d = 1e-3 the
    next term is of order d^4, so the two agree to 1e-6 of themselves.
    """
    angle, offset, radius, turn = 64 * DEG, 0.044, 0.37, 1e-3
    sine, cosine = math.sin(angle), math.cos(angle)
    axle_rises = -offset * cosine * (1.0 - math.cos(turn))
    lean = cosine * math.sin(turn)
    lowest_rises = axle_rises + radius * (1.0 - math.sqrt(1.0 - lean * lean))
    flop = trail(sine, cosine, offset, radius) * sine * cosine

    assert lowest_rises == pytest.approx(0.5 * flop * turn**2, rel=1e-5)


@pytest.mark.parametrize(
    ("tube", "cups", "says"),
    [
        (HeadTube(upper_face=(0.4, 0.6), angle=65 * DEG, length=0.0), PLAIN_HEADSET, "head tube of 0.0 mm"),
        (HeadTube(upper_face=(0.4, 0.6), angle=65 * DEG, length=float("nan")), PLAIN_HEADSET, "head tube of nan mm"),
        (HeadTube(upper_face=(0.4, 0.6), angle=89 * DEG, length=0.1), Headset(upper_offset=0.01), "94.7 degrees"),
    ],
)
def test_an_axis_that_cannot_be_is_refused(tube, cups, says):
    with pytest.raises(OutsideValidity, match=says):
        steering_axis(tube, cups)
