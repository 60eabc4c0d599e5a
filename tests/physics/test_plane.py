"""Plane geometry against right triangles worked by hand, and against brute force."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.physics.plane import (
    bearing,
    circle_gap,
    distance,
    distance_to_line,
    distance_to_polyline,
    rotate,
    tangent_dip,
)

coordinate = st.floats(-2.0, 2.0)
points = st.tuples(coordinate, coordinate)


def test_a_quarter_turn_is_anticlockwise():
    assert rotate((3.0, 1.0), 1.0, 0.0) == (-1.0, 3.0)


@given(points, points, st.floats(-math.pi, math.pi))
def test_turning_two_points_leaves_their_distance(a, b, angle):
    sine, cosine = math.sin(angle), math.cos(angle)
    assert distance(rotate(a, sine, cosine), rotate(b, sine, cosine)) == pytest.approx(distance(a, b), abs=1e-14)


@given(st.floats(-3.1, 3.1))
def test_bearing_undoes_cosine_and_sine_for_floats_and_arrays(angle):
    x, z = math.cos(angle), math.sin(angle)
    assert bearing(x, z) == pytest.approx(angle, abs=1e-15)
    assert bearing(np.array([x]), np.array([z]))[0] == pytest.approx(angle, abs=1e-15)


def test_a_point_left_of_a_line_is_at_a_positive_distance():
    """Right triangle 3-4-5: the line through the origin along (4, 3)/5 and the point (0, 5)."""
    assert distance_to_line((0.0, 5.0), (0.0, 0.0), (0.8, 0.6)) == pytest.approx(4.0, abs=1e-15)
    assert distance_to_line((0.0, -5.0), (0.0, 0.0), (0.8, 0.6)) == pytest.approx(-4.0, abs=1e-15)


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_tangent_falls_by_the_angle_of_the_right_triangle(side):
    """Point level with the centre, 5 away, radius 3: the tangent is 4 long and falls by asin(3/5), on either side."""
    dip, length = tangent_dip((0.0, 0.0), (side * 5.0, 0.0), 3.0)

    assert length == pytest.approx(4.0, abs=1e-15)
    assert dip == pytest.approx(math.asin(0.6), abs=1e-15)


def test_a_point_on_the_ground_has_a_level_tangent_to_a_wheel():
    assert tangent_dip((0.0, 0.0), (0.7, 0.37), 0.37)[0] == pytest.approx(0.0, abs=1e-15)


@given(points, st.lists(points, min_size=2, max_size=5))
def test_distance_to_a_polyline_is_that_of_its_nearest_place(point, corners):
    """Brute force over 2001 places of each piece can only be above, by at most one step (4 sqrt(2)/2000)."""
    share = np.linspace(0.0, 1.0, 2001)[:, None]
    line = np.asarray(corners)
    places = np.concatenate([a + share * (b - a) for a, b in pairwise(line)])
    brute = float(np.min(np.hypot(*(places - point).T)))

    assert brute - 3e-3 <= distance_to_polyline(point, corners) <= brute + 1e-12


def test_a_polyline_takes_many_points_and_pieces_of_no_length():
    """Corner repeated on purpose: (0, 0), (0, 0), (1, 0)."""
    found = distance_to_polyline([(0.5, 2.0), (-3.0, 4.0), (4.0, 4.0)], [(0.0, 0.0), (0.0, 0.0), (1.0, 0.0)])

    assert found == pytest.approx([2.0, 5.0, 5.0])


def test_a_circle_that_cuts_a_line_has_a_negative_gap():
    wall = [(1.0, -1.0), (1.0, 1.0)]

    assert circle_gap([(0.0, 0.0), (0.5, 0.0)], 0.7, wall) == pytest.approx([0.3, -0.2])
