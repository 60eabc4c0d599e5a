"""Geometry on the ground: worked by hand, as identities of any bike, and against a root finder.

Lengths of a bike are about 1 m and a float carries 2e-16 of that, so identities are held to 1e-12 m.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from bikewright.errors import OutsideValidity
from bikewright.physics.geometry import SeatTube, attitude, ground_geometry
from bikewright.physics.plane import distance, distance_to_line, rotate
from bikewright.physics.steering import PLAIN_HEADSET, Fork, HeadTube
from bikewright.units import DEG
from tests.physics.sane_bikes import Bike, bikes

TOUCH = 1e-12
LEVEL = Bike(
    head_tube=HeadTube(upper_face=(0.4, 0.6), angle=60 * DEG, length=0.1),
    headset=PLAIN_HEADSET,
    fork=Fork(axle_to_crown=0.5, offset=0.05),
    rear_axle=(-0.4, 0.6 - 0.3 * math.sqrt(3.0) + 0.025),
    rear_radius=0.37,
    front_radius=0.37,
    fork_travel=0.0,
    seat_tube=SeatTube(angle=70 * DEG, setback=-0.05),
    saddle=(-0.2, 0.7),
)
"""Level by hand: 600 mm down an axis of 60 degrees and 50 mm ahead of it the front axle is as high as the rear."""


def test_mixed_wheels_on_a_level_pair_of_axles_worked_by_hand():
    """Axles 1200 mm apart at the height of the bottom bracket, radii 350 and 370 mm: sin(pitch) = 20/1200, the rear
    axle goes 400/60 = 6.667 mm below the bottom bracket, which is then 356.667 mm up; wheelbase sqrt(1200^2 - 20^2).
    """
    pose = attitude((-0.4, 0.0), (0.8, 0.0), 0.35, 0.37)

    assert pose.pitch == pytest.approx(math.asin(1 / 60), abs=1e-15)
    assert pose.bb_height == pytest.approx(0.35 + 0.4 / 60, abs=1e-15)
    assert pose.wheelbase == pytest.approx(math.sqrt(1.2**2 - 0.02**2), abs=1e-15)


def test_a_level_bike_worked_by_hand():
    """Drop 600 - 300 sqrt(3) + 25 = 105.385 mm; front axle 400 + 300 + 25 sqrt(3) = 743.301 mm ahead; trail
    (370 cos 60 - 50)/sin 60 = 155.885 mm, square to the axis 135 mm, flop 155.885 sin 60 cos 60 = 67.5 mm.
    Seat tube: at z = 600 it is at x = 50 - 600/tan 70 = -168.382 mm."""
    g = LEVEL.geometry()

    assert g.pitch == pytest.approx(0.0, abs=1e-15)
    assert g.head_angle == pytest.approx(60 * DEG, abs=1e-14)
    assert (g.reach, g.stack) == pytest.approx((0.4, 0.6), abs=1e-14)
    assert g.rear_drop == g.front_drop == pytest.approx(0.105384757729, abs=1e-11)
    assert g.front_centre_horizontal == pytest.approx(0.743301270189, abs=1e-11)
    assert g.wheelbase == pytest.approx(1.143301270189, abs=1e-11)
    assert g.bb_height == pytest.approx(0.37 - 0.105384757729, abs=1e-11)
    assert g.trail == pytest.approx(0.135 / math.sin(60 * DEG), abs=1e-14)
    assert g.mechanical_trail == pytest.approx(0.135, abs=1e-14)
    assert g.wheel_flop == pytest.approx(0.0675, abs=1e-14)
    assert g.steering_ground == pytest.approx(0.743301270189 + 0.155884572681, abs=1e-11)
    assert g.effective_top_tube == pytest.approx(0.4 + 0.168382140560, abs=1e-10)
    assert g.seat_angle_actual == pytest.approx(70 * DEG, abs=1e-14)
    assert g.seat_angle_effective / DEG == pytest.approx(74.323, abs=1e-3)
    assert g.seat_angle_saddle / DEG == pytest.approx(math.degrees(math.atan2(7, 2)), abs=1e-12)


@given(bikes)
def test_any_bike_touches_the_ground_with_both_tyres(bike):
    """Distance of each axle from the ground line equals its radius; the contacts are the wheelbase apart."""
    g = bike.geometry()
    below, along = g.attitude.ground_line

    assert distance_to_line(g.rear_axle, below, along) == pytest.approx(bike.rear_radius, abs=TOUCH)
    assert distance_to_line(g.front_axle, below, along) == pytest.approx(bike.front_radius, abs=TOUCH)
    assert distance_to_line((0.0, 0.0), below, along) == pytest.approx(g.bb_height, abs=TOUCH)
    rear, front = g.attitude.to_ground(g.rear_axle), g.attitude.to_ground(g.front_axle)
    assert rear == pytest.approx((g.attitude.rear_contact, bike.rear_radius), abs=TOUCH)
    assert front == pytest.approx((g.attitude.front_contact, bike.front_radius), abs=TOUCH)
    assert g.wheelbase == pytest.approx(front[0] - rear[0], abs=TOUCH)


@given(bikes)
def test_the_numbers_of_any_bike_fit_together(bike):
    g = bike.geometry()

    assert g.front_centre**2 == pytest.approx(g.front_centre_horizontal**2 + g.front_drop**2, abs=TOUCH)
    assert g.rear_centre**2 == pytest.approx(g.rear_centre_horizontal**2 + g.rear_drop**2, abs=TOUCH)
    assert g.wheelbase == pytest.approx(g.rear_centre_horizontal + g.front_centre_horizontal, abs=TOUCH)
    assert g.front_drop - g.rear_drop == pytest.approx(bike.front_radius - bike.rear_radius, abs=TOUCH)
    assert math.hypot(g.reach, g.stack) == pytest.approx(
        distance((0.0, 0.0), g.attitude.to_frame((g.reach, g.stack + g.bb_height))), abs=TOUCH
    )
    assert g.mechanical_trail == pytest.approx(g.trail * math.sin(g.head_angle), abs=TOUCH)
    assert g.wheel_flop == pytest.approx(0.5 * g.trail * math.sin(2.0 * g.head_angle), abs=TOUCH)
    assert g.attitude.sine == pytest.approx(math.sin(g.pitch), abs=TOUCH)


@given(bikes)
def test_the_steering_axis_meets_the_ground_the_trail_ahead_of_the_contact(bike):
    """From reach and stack down the reported head angle to the ground: an independent way to the trail."""
    g = bike.geometry()
    meets = g.reach + (g.stack + g.bb_height) / math.tan(g.head_angle)

    assert meets == pytest.approx(g.steering_ground, abs=TOUCH)
    assert meets - g.attitude.front_contact == pytest.approx(g.trail, abs=TOUCH)


@given(bikes, st.floats(-0.1, 0.1))
def test_drawing_the_frame_in_turned_axes_changes_the_pitch_alone(bike, turn):
    sine, cosine = math.sin(turn), math.cos(turn)
    tube = bike.head_tube
    turned = replace(
        bike,
        head_tube=replace(tube, upper_face=rotate(tube.upper_face, sine, cosine), angle=tube.angle - turn),
        rear_axle=rotate(bike.rear_axle, sine, cosine),
        saddle=rotate(bike.saddle, sine, cosine),
        seat_tube=replace(bike.seat_tube, angle=bike.seat_tube.angle - turn, setback=turned_setback(bike, turn)),
    )
    before, after = bike.geometry(), turned.geometry()

    assert after.pitch == pytest.approx(before.pitch - turn, abs=TOUCH)
    for name in (
        "head_angle", "reach", "stack", "frame_reach", "frame_stack", "seat_angle_actual", "seat_angle_effective",
        "seat_angle_saddle", "effective_top_tube", "rear_centre", "front_centre", "wheelbase", "bb_height", "trail",
    ):  # fmt: skip
        assert getattr(after, name) == pytest.approx(getattr(before, name), abs=TOUCH), name


def turned_setback(bike: Bike, turn: float) -> float:
    """Where the turned seat-tube axis passes the level of the bottom bracket: the square distance stays."""
    square = bike.seat_tube.setback * math.sin(bike.seat_tube.angle)
    return square / math.sin(bike.seat_tube.angle - turn)


@given(bikes)
def test_a_bike_seen_from_its_other_side_and_end_pitches_the_other_way(bike):
    """Front and rear swapped by mirroring x: the same ground line, so the pitch changes sign only."""
    g = bike.geometry()
    (rear_x, rear_z), (front_x, front_z) = g.rear_axle, g.front_axle
    mirrored = attitude((-front_x, front_z), (-rear_x, rear_z), bike.front_radius, bike.rear_radius)

    assert mirrored.pitch == pytest.approx(-g.pitch, abs=TOUCH)
    assert mirrored.bb_height == pytest.approx(g.bb_height, abs=TOUCH)


@pytest.mark.oracle
@given(bikes)
def test_the_pitch_is_the_root_of_both_tyres_being_as_low(bike):
    """Oracle: scipy's brentq on the height of the tyres' lowest points, given only a turn of the frame."""
    g = bike.geometry()

    def front_hangs(pitch):
        rear = g.rear_axle[0] * math.sin(pitch) + g.rear_axle[1] * math.cos(pitch) - bike.rear_radius
        return g.front_axle[0] * math.sin(pitch) + g.front_axle[1] * math.cos(pitch) - bike.front_radius - rear

    assert g.pitch == pytest.approx(brentq(front_hangs, -1.0, 1.0, xtol=1e-14), abs=1e-12)


@given(bikes)
def test_many_states_at_once_are_the_single_ones(bike):
    g = bike.geometry()
    rear = np.linspace(0.0, 0.15, 4)
    x, z = np.full(4, g.rear_axle[0]), g.rear_axle[1] + rear
    poses = attitude((x, z), g.front_axle, bike.rear_radius, bike.front_radius)

    for i in range(4):
        one = attitude((float(x[i]), float(z[i])), g.front_axle, bike.rear_radius, bike.front_radius)
        assert poses.pitch[i] == pytest.approx(one.pitch, abs=1e-15)
        assert poses.bb_height[i] == pytest.approx(one.bb_height, abs=1e-15)
        assert poses.wheelbase[i] == pytest.approx(one.wheelbase, abs=1e-15)
    assert np.all(np.diff(poses.pitch) > 0.0), "a sinking rear lifts the nose"


@given(bikes, st.tuples(st.floats(-1.0, 1.0), st.floats(-1.0, 1.0)))
def test_to_the_ground_and_back_is_the_same_point(bike, point):
    pose = bike.geometry().attitude

    assert pose.to_frame(pose.to_ground(point)) == pytest.approx(point, abs=TOUCH)
    assert pose.height(point) == pytest.approx(pose.to_ground(point)[1], abs=TOUCH)


def test_what_the_frame_does_not_say_stays_unknown():
    nothing = replace(LEVEL, seat_tube=None, saddle=None).geometry()
    angle_alone = replace(LEVEL, seat_tube=SeatTube(angle=70 * DEG, setback=None), saddle=None).geometry()
    effective_alone = replace(LEVEL, seat_tube=SeatTube(angle=75 * DEG, virtual=True), saddle=None).geometry()

    unknown = ("seat_angle_actual", "seat_angle_effective", "seat_angle_saddle", "effective_top_tube")
    assert [getattr(nothing, name) for name in unknown] == [None] * 4
    assert angle_alone.seat_angle_actual == pytest.approx(70 * DEG)
    assert [getattr(angle_alone, name) for name in unknown[1:]] == [None] * 3
    assert effective_alone.seat_angle_actual is None
    assert effective_alone.seat_angle_effective == pytest.approx(75 * DEG, abs=1e-14)
    assert effective_alone.effective_top_tube == pytest.approx(0.4 + 0.6 / math.tan(75 * DEG), abs=1e-14)


@pytest.mark.parametrize(
    ("rear", "front", "radius", "says"),
    [
        ((-0.4, 0.0), (0.3, 0.0), 0.37, "front axle is 700.0 mm ahead"),
        ((0.4, 0.0), (-0.8, 0.0), 0.37, "front axle is -1200.0 mm ahead"),
        ((-0.4, 0.0), (0.8, 0.0), -0.37, "radii of -370.0 mm"),
        ((-0.4, 0.0), (math.nan, 0.0), 0.37, "front axle is nan mm ahead"),
        ((-0.4, 0.0), (np.array([0.8, 0.8, 0.25]), 0.0), 0.37, "front axle is 650.0 mm ahead"),
    ],
)
def test_a_bike_that_cannot_stand_is_refused_with_its_numbers(rear, front, radius, says):
    with pytest.raises(OutsideValidity, match=says):
        attitude(rear, front, radius, radius)


def test_the_whole_chart_refuses_it_too():
    with pytest.raises(OutsideValidity, match="further apart"):
        ground_geometry(
            LEVEL.head_tube, LEVEL.headset, LEVEL.fork, rear_axle=(0.2, 0.1), rear_radius=0.37, front_radius=0.37
        )
