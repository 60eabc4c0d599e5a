"""Clearances, worked by hand and against brute force."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from bikewright.errors import OutsideValidity
from bikewright.physics.clearance import (
    breakover_angle,
    outline_height,
    pedal_clearance,
    pedal_lean,
    pedal_to_tyre,
    ring_clearance,
    saddle_underside,
    toe_clearance,
    toe_clearance_turned,
    tyre_gap,
)
from bikewright.physics.geometry import attitude
from bikewright.physics.steering import steering_axis
from bikewright.sources import SOURCES
from bikewright.units import DEG, MM
from tests.physics.sane_bikes import bikes


def test_room_under_pedal_and_ring():
    """340 - 170 - 10 = 160 mm; 340 - 65 = 275 mm."""
    assert pedal_clearance(0.340, 0.170, 0.010) == pytest.approx(0.160, abs=1e-15)
    assert ring_clearance(0.340, 0.065) == pytest.approx(0.275, abs=1e-15)
    assert pedal_clearance(np.array([0.34, 0.30]), 0.17, 0.01) == pytest.approx([0.16, 0.12])


def test_the_lean_that_16_cfr_1512_17_asks_for():
    """25 degrees at 230 mm from the mid-plane need 230 tan 25 = 107.25 mm under the pedal."""
    assert SOURCES["us16cfr1512"].seen
    assert pedal_lean(0.230 * math.tan(25 * DEG), 0.230) == pytest.approx(25 * DEG, abs=1e-15)
    assert pedal_lean(0.0, 0.230) == 0.0


def test_toe_clearance_on_a_3_4_5_triangle():
    """Pedal axle at (170, 0), front axle 400 ahead of it and 300 up: 500 - 370 = 130 mm to the tyre. A toe 90 mm ahead
    of the pedal axle, an axle 400 ahead of the toe and 300 up: the same 130 mm."""
    assert pedal_to_tyre((0.57, 0.3), 0.37, 0.17) == pytest.approx(0.130, abs=1e-15)
    assert toe_clearance((0.66, 0.3), 0.37, 0.17, 0.09) == pytest.approx(0.130, abs=1e-15)


@given(bikes)
def test_a_toe_in_the_plane_of_a_straight_wheel_is_the_flat_case(bike):
    g = bike.geometry()
    axis = steering_axis(bike.head_tube, bike.headset)
    turned = toe_clearance_turned(axis, g.front_axle, bike.front_radius, 0.06, (0.26, 0.0), 0.0, [0.0])

    flat = toe_clearance(g.front_axle, bike.front_radius, 0.17, 0.09)
    deepest = -0.03  # half of the tyre's width: from there on the nearest way out is sideways
    assert turned[0] == pytest.approx(max(flat, deepest), abs=1e-13)


@pytest.mark.oracle
@given(bikes, st.floats(-60.0, 60.0), st.floats(50.0, 200.0))
def test_a_turned_wheel_is_as_far_from_the_toe_as_its_drawn_disc(bike, steer_deg, aside_mm):
    """Oracle: scipy's rotations turn the wheel's middle plane about the axis in space: its edge as 20000 points,
    its inside as a disc whose axle is the turned y axis.

    A point of the edge is within pi R/20000 = 0.06 mm of the nearest one, so the distances differ by less.
    """
    g = bike.geometry()
    axis = steering_axis(bike.head_tube, bike.headset)
    width, toe, aside = 60 * MM, (0.26, 0.0), aside_mm * MM
    around = np.linspace(0.0, 2.0 * math.pi, 20_000, endpoint=False)
    core = bike.front_radius - width / 2
    # x forward, y left, z up, seen from the upper point of the axis
    ring = np.column_stack((
        g.front_axle[0] - axis.upper[0] + core * np.cos(around),
        np.zeros_like(around),
        g.front_axle[1] - axis.upper[1] + core * np.sin(around),
    ))  # fmt: skip
    up = np.array([axis.up[0], 0.0, axis.up[1]])
    turn = Rotation.from_rotvec(steer_deg * DEG * up)
    turned = turn.apply(ring)
    toe_at = np.array([toe[0] - axis.upper[0], aside, toe[1] - axis.upper[1]])
    from_edge = float(np.min(np.linalg.norm(turned - toe_at, axis=1)))
    from_axle = toe_at - turned.mean(axis=0)
    across = float(from_axle @ turn.apply([0.0, 1.0, 0.0]))
    inside = float(from_axle @ from_axle) - across**2 < core**2
    expected = (abs(across) if inside else from_edge) - width / 2
    found = toe_clearance_turned(axis, g.front_axle, bike.front_radius, width, toe, aside, [steer_deg * DEG])

    assert found[0] == pytest.approx(expected, abs=0.1 * MM)


def test_breakover_of_a_bike_that_is_the_same_at_both_ends():
    """Wheels of 300 mm, 500 mm either side, lowest ring point level with the axles: two slopes of asin(3/5)."""
    pose = attitude((-0.5, -0.05), (0.5, -0.05), 0.3, 0.3)

    assert pose.bb_height == pytest.approx(0.35)
    assert breakover_angle(pose, 0.3, 0.3, 0.05) == pytest.approx(2.0 * math.asin(0.6), abs=1e-14)


def test_a_ring_on_the_ground_passes_over_no_crest():
    pose = attitude((-0.5, 0.2), (0.7, 0.2), 0.3, 0.3)

    assert breakover_angle(pose, 0.3, 0.3, 0.1) == pytest.approx(0.0, abs=1e-12)


@given(bikes, st.floats(40.0, 110.0))
def test_breakover_is_the_least_angle_over_the_whole_ring(bike, ring_mm):
    """Brute force over 20001 points of the ring's lower half; the angle is flat at its least, so the nearest point
    is within 1e-6 rad above it, and nowhere below."""
    g = bike.geometry()
    pose, ring = g.attitude, ring_mm * MM
    place = np.linspace(-math.pi / 2, math.pi / 2, 20_001)
    x, z = ring * np.sin(place), pose.bb_height - ring * np.cos(place)
    total, clear = np.zeros_like(place), np.ones_like(place, dtype=bool)
    for centre, radius in ((pose.rear_contact, bike.rear_radius), (pose.front_contact, bike.front_radius)):
        far = np.hypot(centre - x, radius - z)
        clear &= far > radius
        total += np.arcsin(np.minimum(radius / far, 1.0)) - np.arctan2(radius - z, np.abs(centre - x))
    assume(clear[10_000])
    brute = float(np.min(total[clear]))

    assert brute - 1e-6 <= breakover_angle(pose, bike.rear_radius, bike.front_radius, ring) <= brute + 1e-12


def test_a_ring_whose_lowest_point_is_in_a_tyre_is_refused():
    pose = attitude((-0.3, 0.03), (0.7, 0.03), 0.37, 0.37)

    with pytest.raises(OutsideValidity, match="inside a tyre"):
        breakover_angle(pose, 0.37, 0.37, 0.1)


def test_standover_is_read_off_the_outline():
    """A top tube from (-150, 500) to (450, 650) mm: a quarter up per mm, so 600 - 25 = 575 mm at x = 150, 100 mm
    ahead 562.5. A level frame stands 340 mm above the ground."""
    outline = [(-0.15, 0.5), (0.45, 0.65)]
    pose = attitude((-0.44, 0.03), (0.8, 0.03), 0.37, 0.37)

    assert outline_height(outline, 0.15) == pytest.approx(0.575, abs=1e-15)
    assert pose.height((0.1, outline_height(outline, 0.1))) == pytest.approx(0.5625 + 0.34, abs=1e-14)


def test_an_outline_with_an_upright_piece_gives_its_top():
    assert outline_height([(0.0, 0.1), (0.1, 0.1), (0.1, 0.4), (0.2, 0.2)], 0.1) == 0.4


def test_standover_off_the_outline_is_refused():
    with pytest.raises(OutsideValidity, match=r"from -150\.0 to 450\.0 mm"):
        outline_height([(-0.15, 0.5), (0.45, 0.65)], 0.5)


def test_tyre_gap_takes_the_nearest_outline_at_every_axle():
    """A seat tube 100 mm ahead of the tyre, a bridge 50 mm above; the axle goes up 60 mm."""
    seat_tube, bridge = [(0.0, -1.0), (0.0, 1.0)], [(-1.0, 0.42), (1.0, 0.42)]
    gap = tyre_gap([(-0.47, 0.0), (-0.47, 0.06)], 0.37, [seat_tube, bridge])

    assert gap == pytest.approx([0.05, -0.01], abs=1e-15)


def test_a_low_saddle_over_a_wheel_at_full_travel():
    """Sit point (-250, 640), 50 thick: lower edge at 590; an axle at (-420, 180) under it with 370: 40 mm left. With
    a tail of 100 mm the nearest place is its end, (-350, 590): hypot(70, 410) - 370 = 45.93 mm."""
    long_tail = saddle_underside((-0.25, 0.64), 0.05, 0.13, 0.2)
    short_tail = saddle_underside((-0.25, 0.64), 0.05, 0.13, 0.1)

    assert tyre_gap((-0.42, 0.18), 0.37, [long_tail]) == pytest.approx(0.040, abs=1e-15)
    assert tyre_gap((-0.42, 0.18), 0.37, [short_tail]) == pytest.approx(0.04593, abs=1e-5)
