"""Cutting to a window, and hatching."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.reports.cutting import cut_area, cut_line, cut_polyline, hatching

WINDOW = (0.0, 0.0, 10.0, 5.0)
COORDINATE = st.floats(-30.0, 30.0)


def area(points):
    """Shoelace formula."""
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)) / 2


@given(COORDINATE, COORDINATE, COORDINATE, COORDINATE)
def test_what_is_left_of_a_line_is_inside_and_on_it(x1, y1, x2, y2):
    part = cut_line((x1, y1), (x2, y2), WINDOW)
    # sampled: a point inside the window means that something is left
    inside = [
        (x, y)
        for t in range(101)
        for x, y in [(x1 + (x2 - x1) * t / 100, y1 + (y2 - y1) * t / 100)]
        if 0 <= x <= 10 and 0 <= y <= 5
    ]
    if part is None:
        assert not inside
        return
    for x, y in part:
        assert -1e-9 <= x <= 10 + 1e-9
        assert -1e-9 <= y <= 5 + 1e-9
        assert abs((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) < 1e-9 * (1 + math.dist((x1, y1), (x2, y2))) * 100


def test_a_polyline_that_leaves_and_returns_is_two_runs():
    runs = cut_polyline([(1.0, 1.0), (5.0, 9.0), (9.0, 1.0)], WINDOW)
    assert runs == (((1.0, 1.0), (3.0, 5.0)), ((7.0, 5.0), (9.0, 1.0)))


@given(st.lists(st.tuples(st.floats(0.0, 10.0), st.floats(0.0, 5.0)), min_size=2, max_size=30))
def test_a_polyline_inside_stays_in_one_piece(points):
    """A piece that ended beside the point at which the next begins would start its dashes anew."""
    assert cut_polyline(points, WINDOW) == (tuple(points),)


def test_area_of_a_triangle_over_the_edge():
    """The tip above y = 5 is cut off a triangle of base and height 8: 32 less 32 (3/8)², as it is similar."""
    cut = cut_area([(1.0, 0.0), (9.0, 0.0), (5.0, 8.0)], WINDOW)
    assert area(list(cut)) == pytest.approx(32 * (1 - (3 / 8) ** 2))


@pytest.mark.parametrize("angle_deg", [0.0, 30.0, 45.0, 90.0])
def test_strokes_times_their_distance_are_the_area(angle_deg):
    """Cavalieri: the lengths of narrow parallel strokes times their distance add up to the area."""
    outline = [(0.0, 0.0), (9.0, 1.0), (4.0, 3.0), (10.0, 7.0), (1.0, 6.0)]
    strokes = hatching(outline, 0.01, angle_deg)
    assert sum(math.dist(s.a, s.b) for s in strokes) * 0.01 == pytest.approx(area(outline), rel=2e-3)


def test_nothing_is_hatched_where_there_is_no_area():
    assert hatching([(0.0, 0.0), (1.0, 1.0)], 0.1) == ()
