"""The side view of a bike."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import OutsideValidity
from bikewright.model.files import read_bike
from bikewright.reports import bike_symbols as symbol
from bikewright.reports.bike_drawing import Dim, draw_bike, usual_dimensions
from bikewright.reports.paper import colliding_texts, crosses, primitives, text_corners, texts, texts_off_sheet
from bikewright.reports.shapes import Arc, Circle, Line, Polyline, Text
from bikewright.studies.evaluate import evaluate
from bikewright.studies.pose import pose_of
from tests.interfaces.cli.asked import QUILLBACK
from tests.reports.sample_drawings import HOSTILE, TEXTS, quillback, side_view


def drawn(sheet, layer, kind):
    return [shape for name, shape in primitives(sheet) if name == layer and isinstance(shape, kind)]


def hardtail():
    return replace(quillback("Wherry"), bodies=(), pins=(), instant_centre=None, axle_path=None)


def bare():
    """Nothing but what must be known."""
    return replace(
        hardtail(), seat_axis=None, saddle=None, hand=None, stem_clamp=None, crank_mm=None, ring_radius_mm=None
    )


@pytest.mark.parametrize("paper", ["a4", "letter", None])
@pytest.mark.parametrize("pose", [quillback(), hardtail()], ids=["full suspension", "hardtail"])
def test_no_text_collides_or_leaves_the_sheet(pose, paper):
    sheet = draw_bike(pose, dimensions=usual_dimensions(pose, TEXTS), paper=paper)
    assert colliding_texts(sheet) == ()
    assert texts_off_sheet(sheet) == ()


@given(st.floats(60.0, 72.0), st.floats(400.0, 620.0), st.floats(290.0, 372.0))
def test_no_text_collides_for_any_bike(head_angle, axle_to_crown, bb_height):
    pose = quillback("any", head_angle, axle_to_crown, bb_height)
    sheet = draw_bike(pose, dimensions=usual_dimensions(pose, TEXTS), scale=10.0)
    assert colliding_texts(sheet) == ()
    assert texts_off_sheet(sheet) == ()


def test_a_number_keeps_off_the_lines_of_dimensions_drawn_after_it():
    """The line of the front centre runs where the number of the bottom bracket's height would stand in the middle."""
    pose = quillback()
    dimensions = usual_dimensions(pose, {"bb_height": "343 mm", "front_centre": "815 mm"})
    sheet = draw_bike(pose, dimensions=dimensions, scale=8.0)
    number = next(text for text in drawn(sheet, "dimensions", Text) if text.text.startswith("BB height"))
    assert not any(crosses(line, text_corners(number)) for line in drawn(sheet, "dimensions", Line))


def test_numbers_of_dimensions_are_drawn_over_all_their_lines():
    kinds = [isinstance(shape, Text) for name, shape in primitives(side_view()) if name == "dimensions"]
    assert any(kinds) and kinds == sorted(kinds)


def test_the_drawing_is_to_the_scale_that_it_states():
    sheet = side_view()
    assert "1:8" in [text.text for text in texts(sheet)]
    tyres = [circle for circle in drawn(sheet, "wheels", Circle) if circle.style == "outline"]
    assert [circle.radius for circle in tyres] == pytest.approx([372 / 8, 372 / 8])
    assert math.dist(tyres[0].centre, tyres[1].centre) == pytest.approx(1245 / 8)


def test_a_dimension_spans_what_it_measures():
    """The arrowheads of the stack and the wheelbase are as far apart, times the scale, as the points."""
    pose = quillback()
    for key, points, axis in (
        ("wheelbase", (pose.rear_axle, pose.front_axle), 0),
        ("stack", (pose.bb, pose.steerer_top), 1),
        ("reach", (pose.bb, pose.steerer_top), 0),
        ("bb_height", ((0.0, 0.0), pose.bb), 1),
    ):
        sheet = draw_bike(pose, dimensions=usual_dimensions(pose, {key: "x"}), scale=10.0)
        tips = [head.points[0] for head in drawn(sheet, "dimensions", Polyline)]
        assert abs(tips[0][axis] - tips[1][axis]) * 10 == pytest.approx(abs(points[0][axis] - points[1][axis])), key


def test_angles_are_drawn_as_they_are():
    pose = quillback(head_angle_deg=64.3)
    for key, angle in (("head_angle", 64.3), ("seat_angle", 75.0)):
        sheet = draw_bike(pose, dimensions=usual_dimensions(pose, {key: "x"}))
        (arc,) = drawn(sheet, "dimensions", Arc)
        assert arc.end_deg - arc.start_deg == pytest.approx(angle), key


def test_the_fork_has_its_offset_and_the_axis_runs_ahead_of_the_contact_point():
    sheet = draw_bike(quillback(), scale=10.0)
    (axis,) = [line for line in drawn(sheet, "paths", Line) if line.style == "centre"]
    axle = drawn(sheet, "wheels", Circle)[4].centre
    u = symbol.unit(axis.a, axis.b)
    square = abs((axle[0] - axis.a[0]) * u[1] - (axle[1] - axis.a[1]) * u[0])
    assert square * 10 == pytest.approx(44.0)


def test_the_pose_before_is_dashed_and_named_in_the_key():
    sheet = side_view()
    ghosts = [*drawn(sheet, "before", Polyline), *drawn(sheet, "before, wheels", Circle)]
    assert ghosts
    assert {shape.style for shape in ghosts} == {"ghost"}
    assert "before: 0005, fork 20 mm shorter" in [text.text for text in texts(sheet)]


def test_a_pose_with_nothing_but_its_least_is_drawn():
    sheet = draw_bike(bare())
    assert drawn(sheet, "frame", Polyline)
    with pytest.raises(OutsideValidity, match="no usual dimension is called seat_angle"):
        usual_dimensions(bare(), {"seat_angle": "75°"})


def test_ground_on_a_grade_is_drawn_on_that_grade():
    pose = replace(bare(), ground=((0.0, 0.0), (100.0, 10.0)))
    ground = next(line for line in drawn(draw_bike(pose), "ground", Line) if line.style == "outline")
    assert (ground.b[1] - ground.a[1]) / (ground.b[0] - ground.a[0]) == pytest.approx(0.1)


def test_rows_outside_the_bike_do_not_run_into_each_other():
    pose = quillback()
    x, z = pose.front_axle
    dims = (
        Dim(kind="horizontal", label="trail", value_text="128 mm", start=(x, z), end=(x + 128.0, 0.0)),
        *usual_dimensions(pose, {"wheelbase": "1245 mm"}),
        Dim(kind="vertical", label="grip height", value_text="1080 mm", start=(0.0, 0.0), end=pose.hand, side="right"),
        Dim(kind="vertical", label="saddle height", value_text="1030 mm", start=(0.0, 0.0), end=pose.saddle,
            side="left"),
        Dim(kind="horizontal", label="saddle to grip", value_text="5 mm", start=pose.saddle, end=pose.hand,
            side="above"),
    )  # fmt: skip
    sheet = draw_bike(pose, dimensions=dims)
    assert colliding_texts(sheet) == ()
    heads = {round(head.points[0][1], 3) for head in drawn(sheet, "dimensions", Polyline)[:4]}
    assert len(heads) == 2


def test_an_instant_centre_far_away_is_left_out():
    near = draw_bike(quillback())
    far = draw_bike(replace(quillback(), instant_centre=(9000.0, 400.0)))
    assert len(drawn(near, "paths", Line)) == len(drawn(far, "paths", Line)) + 2
    assert "instant centre" in [text.text for text in texts(near)]
    assert "instant centre" not in [text.text for text in texts(far)]


@pytest.mark.parametrize("state", ["stated-sag", "rear-bottomed"])
def test_the_instant_centre_of_a_real_bike_is_marked_where_it_is_in_that_state(state):
    build = next(one for one in read_bike(QUILLBACK).builds if one.rider is not None)
    pose = pose_of(evaluate(build), state)
    marked, bare = draw_bike(pose), draw_bike(replace(pose, instant_centre=None))
    assert len(drawn(marked, "paths", Line)) == len(drawn(bare, "paths", Line)) + 2
    assert "instant centre" in [text.text for text in texts(marked)]
    assert "instant centre" not in [text.text for text in texts(bare)]


def test_hostile_names_stay_on_the_sheet():
    sheet = side_view(HOSTILE * 3)
    assert colliding_texts(sheet) == ()
    assert texts_off_sheet(sheet) == ()


def test_a_drawing_that_does_not_fit_is_refused():
    with pytest.raises(OutsideValidity, match="choose a smaller scale"):
        draw_bike(quillback(), scale=2.0)


def test_a_dimension_that_cannot_be_placed_is_refused():
    pose = quillback()
    dim = Dim(kind="aligned", label="rear centre", value_text="438 mm", start=pose.rear_axle, end=pose.bb)
    with pytest.raises(OutsideValidity, match="needs a point"):
        draw_bike(pose, dimensions=(dim,))


@given(st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=1, max_size=9))
def test_a_plate_holds_all_its_pins(points):
    """Every pin lies inside the belt, at least its radius (less the sagitta of the drawn arcs) from it."""
    pins = tuple((float(x), float(y)) for x, y in points)
    outline = symbol.rounded(pins, 15.0).points
    for pin in pins:
        for a, b in zip(outline, (*outline[1:], outline[0]), strict=True):
            turn = (b[0] - a[0]) * (pin[1] - a[1]) - (b[1] - a[1]) * (pin[0] - a[0])
            length = math.dist(a, b)
            assert length < 1e-9 or turn / length > 15.0 * math.cos(math.pi / 32) - 1e-6
