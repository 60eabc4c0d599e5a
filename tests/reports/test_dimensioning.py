"""Dimension lines as on a workshop drawing."""

import math

import pytest

from bikewright.errors import OutsideValidity
from bikewright.reports.dimensioning import ARROW, dimension_parts, reading_angle_deg
from bikewright.reports.paper import overlap, text_corners
from bikewright.reports.shapes import Arc, Dimension, Line, Polyline, Text, aligned, angular, horizontal, vertical


def parts_of(dimension, kind):
    return [part for part in dimension_parts(dimension) if isinstance(part, kind)]


def number_of(dimension):
    (text,) = parts_of(dimension, Text)
    return text


def test_horizontal_dimension_measures_along_its_line():
    dimension = horizontal((10.0, 40.0), (90.0, 60.0), 20.0, "80")
    tips = sorted(head.points[0] for head in parts_of(dimension, Polyline))
    assert tips == [(10.0, 20.0), (90.0, 20.0)]
    assert number_of(dimension).at[1] > 20.0
    assert number_of(dimension).angle_deg == 0.0


def test_vertical_dimension_reads_from_the_right():
    dimension = vertical((10.0, 0.0), (30.0, 50.0), 60.0, "50")
    text = number_of(dimension)
    assert text.angle_deg == pytest.approx(90.0)
    assert text.at[0] < 60.0


def test_aligned_dimension_is_as_long_as_the_distance():
    dimension = aligned((0.0, 0.0), (40.0, 30.0), 12.0, "50")
    tips = [head.points[0] for head in parts_of(dimension, Polyline)]
    assert math.dist(*tips) == pytest.approx(50.0)
    # 12 mm to the left of the way from a to b
    assert tips[0] == pytest.approx((-7.2, 9.6))


@pytest.mark.parametrize("turn_deg", range(0, 360, 15))
def test_no_number_stands_on_its_head(turn_deg):
    direction = (math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg)))
    angle = reading_angle_deg(direction)
    assert -90.0 < angle <= 90.0 + 1e-9
    assert math.sin(math.radians(angle - turn_deg)) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("order", [1, -1])
def test_a_dimension_does_not_depend_on_the_order_of_its_points(order):
    points = ((10.0, 0.0), (70.0, 5.0))[::order]
    dimension = horizontal(*points, 30.0, "60")
    assert {part for part in dimension_parts(dimension) if not isinstance(part, Line)} == {
        part for part in dimension_parts(horizontal((10.0, 0.0), (70.0, 5.0), 30.0, "60")) if not isinstance(part, Line)
    }


def test_extension_lines_leave_a_gap_and_run_past():
    lines = parts_of(horizontal((0.0, 0.0), (60.0, 0.0), 20.0, "60"), Line)
    first = next(line for line in lines if line.a[0] == line.b[0] == 0.0)
    assert first.a[1] > 0.0
    assert first.b[1] > 20.0


def test_a_short_dimension_has_arrowheads_and_number_outside():
    dimension = horizontal((0.0, 0.0), (3.0, 0.0), 10.0, "3.0")
    heads = parts_of(dimension, Polyline)
    assert [head.points[0][0] for head in heads] == [0.0, 3.0]
    # the heads' backs lie outside the measured length
    assert heads[0].points[1][0] == pytest.approx(-ARROW)
    assert heads[1].points[1][0] == pytest.approx(3.0 + ARROW)
    assert min(x for x, _ in text_corners(number_of(dimension))) > 3.0


def test_number_clears_the_line_it_stands_on():
    dimension = vertical((10.0, 0.0), (30.0, 50.0), 60.0, "BB height 343 mm")
    text = number_of(dimension)
    letters_right = text.at[0]  # baseline of a text read from the right
    assert letters_right < 60.0 - 0.5


def test_angle_is_measured_on_the_side_of_its_point():
    legs = ((0.0, 0.0), (50.0, 0.0), (0.0, 50.0))
    (inner,) = parts_of(angular(*legs, (14.0, 14.0), "90°"), Arc)
    (outer,) = parts_of(angular(*legs, (-14.0, -14.0), "270°"), Arc)
    assert inner.end_deg - inner.start_deg == pytest.approx(90.0)
    assert outer.end_deg - outer.start_deg == pytest.approx(270.0)


def test_arrowheads_of_an_angle_lie_along_its_arc():
    dimension = angular((0.0, 0.0), (50.0, 0.0), (0.0, 50.0), (14.0, 14.0), "90°")
    radius = math.hypot(14.0, 14.0)
    for head in parts_of(dimension, Polyline):
        tip, left, right = head.points
        back = ((left[0] + right[0]) / 2, (left[1] + right[1]) / 2)
        assert math.hypot(*tip) == pytest.approx(radius)
        assert math.hypot(*back) == pytest.approx(radius, abs=0.02)


def test_the_number_of_an_angle_is_level_and_outside_its_arc():
    dimension = angular((0.0, 0.0), (50.0, 0.0), (0.0, 50.0), (14.0, 14.0), "head angle 64.3°")
    text = number_of(dimension)
    assert text.angle_deg == 0.0
    assert math.hypot(*text.at) > math.hypot(14.0, 14.0)


@pytest.mark.parametrize(
    "dimension",
    [
        horizontal((1.0, 0.0), (1.0, 9.0), 5.0, "0"),
        Dimension("aligned", (1.0, 1.0), (1.0, 1.0), (0.0, 0.0), "0"),
        Dimension("angular", (1.0, 0.0), (0.0, 1.0), (1.0, 1.0), "90°"),
        angular((0.0, 0.0), (0.0, 0.0), (0.0, 1.0), (1.0, 1.0), "90°"),
    ],
)
def test_a_dimension_without_extent_is_refused(dimension):
    with pytest.raises(OutsideValidity, match=r"needs a vertex|has no length"):
        dimension_parts(dimension)


def test_boxes_that_are_turned_are_told_apart_by_their_sides():
    upright = ((0.0, 0.0), (10.0, 0.0), (10.0, 2.0), (0.0, 2.0))
    turned = ((9.5, 2.6), (12.0, 5.1), (10.6, 6.5), (8.1, 4.0))
    assert not overlap(upright, turned)
    assert overlap(upright, tuple((x - 1.5, y - 1.5) for x, y in turned))
