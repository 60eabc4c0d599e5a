"""Charts from plain data."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bikewright.reports.chart import Axis, Band, Chart, Marker, Series, draw_chart
from bikewright.reports.chart_labels import moved_apart
from bikewright.reports.paper import colliding_texts, primitives, texts, texts_off_sheet
from bikewright.reports.shapes import Line, Polyline, Text
from bikewright.reports.svg import to_svg
from bikewright.reports.ticks import nice_ticks, tick_text
from tests.reports.sample_drawings import HOSTILE, leverage_chart, leverage_sheet

NUMBER = st.one_of(st.none(), st.just(math.nan), st.floats(-1e6, 1e6))


def drawn(sheet, layer, kind):
    return [shape for name, shape in primitives(sheet) if name == layer and isinstance(shape, kind)]


def words(sheet):
    return [text.text for text in texts(sheet)]


def test_curves_are_labelled_at_their_ends_in_their_order():
    sheet = leverage_sheet()
    labels = {text.text: text.at for text in drawn(sheet, "labels", Text)}
    x = {labels[name][0] for name in ("now", "before: 0005", "pinned", "brief")}
    assert len(x) == 1
    assert labels["before: 0005"][1] > labels["brief"][1] > labels["now"][1] > labels["pinned"][1]
    assert drawn(sheet, "key", Text) == []


def test_a_gap_stays_a_gap_and_a_note_says_so():
    sheet = leverage_sheet()
    pinned = [curve for curve in drawn(sheet, "curves", Polyline) if curve.style == "pinned"]
    assert len(pinned) == 2
    assert "pinned: no value at 60.8 to 73.6 mm" in words(sheet)
    assert "not modelled: friction, bending of links" in words(sheet)


def test_nan_and_none_are_the_same_gap():
    series = Series("s", (0.0, 1.0, 2.0, 3.0), (0.0, None, 2.0, 3.0))
    chart = Chart("t", Axis("x"), Axis("y"), (series,))
    with_nan = replace(chart, series=(replace(series, y=(0.0, math.nan, 2.0, 3.0)),))
    assert to_svg(draw_chart(chart)) == to_svg(draw_chart(with_nan))


def test_arrays_draw_like_tuples():
    x = np.linspace(0.0, 160.0, 11)
    a = Chart("t", Axis("x"), Axis("y"), (Series("s", x, 2 * x),))
    b = Chart("t", Axis("x"), Axis("y"), (Series("s", tuple(x.tolist()), tuple((2 * x).tolist())),))
    assert to_svg(draw_chart(a)) == to_svg(draw_chart(b))


def test_a_point_lies_where_its_numbers_say():
    """Two ticks of each axis fix the scale; the end of the curve must lie on it."""
    chart = Chart("t", Axis("x"), Axis("y"), (Series("s", (0.0, 7.0), (1.0, 4.0)),))
    sheet = draw_chart(chart)
    (curve,) = drawn(sheet, "curves", Polyline)
    ticks = {(text.text, text.anchor): text.at for text in drawn(sheet, "axes", Text)}
    x0, x5 = ticks["0", "middle"][0], ticks["5", "middle"][0]
    y1, y4 = ticks["1.0", "end"][1], ticks["4.0", "end"][1]
    assert curve.points[0] == pytest.approx((x0, y1))
    assert curve.points[1] == pytest.approx((x0 + (x5 - x0) * 7 / 5, y4))


def test_a_range_that_is_given_cuts_the_curves():
    chart = Chart("t", Axis("x"), Axis("y", low=0.0, high=1.0), (Series("s", (0.0, 1.0), (-1.0, 3.0)),))
    sheet = draw_chart(chart)
    (curve,) = drawn(sheet, "curves", Polyline)
    (x1, y1), (x2, y2) = curve.points
    up = [line for line in drawn(sheet, "axes", Line) if line.a[0] == line.b[0] and line.b[1] - line.a[1] > 10]
    assert (y1, y2) == pytest.approx((up[0].a[1], up[0].b[1]))
    assert x2 > x1


def test_the_band_is_hatched_and_its_edges_are_of_the_brief():
    sheet = leverage_sheet()
    assert len([line for line in drawn(sheet, "band", Line) if line.style == "hatch"]) > 20
    assert {edge.style for edge in drawn(sheet, "band", Polyline)} == {"brief"}


def test_many_curves_get_a_key_below():
    series = tuple(
        Series(f"curve {i} with a rather long name of its own", (0.0, 1.0), (0.0, float(i)), "second")
        for i in range(25)
    )
    sheet = draw_chart(Chart("t", Axis("x"), Axis("y"), series), 160.0, 150.0)
    assert len(drawn(sheet, "key", Text)) == 25
    assert colliding_texts(sheet) == ()
    assert texts_off_sheet(sheet) == ()


def test_a_chart_without_values_says_so():
    sheet = draw_chart(Chart("t", Axis("x"), Axis("y"), (Series("s", (0.0, 1.0), (None, None)),)))
    assert "no values" in words(sheet)
    assert "s: no values" in words(sheet)


def test_the_spoken_description_tells_ends_and_marks():
    said = leverage_sheet().description
    assert "leverage ratio over rear wheel travel, mm" in said
    assert "now: 2.95 at 0.00" in said
    assert "sag 30 %: 2.82" in said


def test_hostile_names_stay_on_the_sheet():
    sheet = leverage_sheet(HOSTILE * 5)
    assert texts_off_sheet(sheet) == ()
    assert colliding_texts(sheet) == ()


@settings(max_examples=60)
@given(
    st.lists(st.lists(NUMBER, min_size=3, max_size=3), min_size=1, max_size=6),
    st.lists(st.tuples(st.floats(0, 2), st.floats(-1e6, 1e6)), max_size=3),
)
def test_no_labels_collide_whatever_the_data(curves, marks):
    series = tuple(Series(f"curve {i}", (0.0, 1.0, 2.0), tuple(y)) for i, y in enumerate(curves))
    markers = tuple(Marker(x, y, f"mark {i}") for i, (x, y) in enumerate(marks))
    sheet = draw_chart(Chart("any data", Axis("x", "mm"), Axis("y", "n"), series, markers=markers), 180.0, 120.0)
    assert colliding_texts(sheet) == ()
    assert texts_off_sheet(sheet) == ()
    to_svg(sheet)


@given(st.floats(-1e5, 1e5), st.floats(1e-3, 1e5), st.integers(2, 12))
def test_ticks_are_round_and_span_the_range(low, span, wanted):
    ticks = nice_ticks(low, low + span, wanted)
    assert ticks.low <= low + 1e-6 * span
    assert ticks.high >= low + span * (1 - 1e-6)
    assert len(ticks.at) <= wanted + 3
    step = ticks.at[1] - ticks.at[0]
    leading = step / 10 ** math.floor(math.log10(step) + 1e-9)
    assert min(abs(leading - nice) for nice in (1, 2, 2.5, 5, 10)) < 1e-3
    assert len({tick_text(value, ticks) for value in ticks.at}) == len(ticks.at)


def test_a_flat_curve_gets_an_axis():
    ticks = nice_ticks(5.0, 5.0, 4)
    assert ticks.low < 5.0 < ticks.high


@pytest.mark.oracle
@given(st.lists(st.floats(0.0, 50.0), min_size=1, max_size=8), st.floats(1.0, 6.0))
def test_labels_move_as_little_as_least_squares_allow(wanted, height):
    """Oracle: scipy's isotonic regression, on the places less the room of the labels below."""
    from scipy.optimize import isotonic_regression

    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], -i))
    stacked = [height * (rank + 0.5) for rank in range(len(wanted))]
    fitted = isotonic_regression([wanted[i] - s for i, s in zip(order, stacked, strict=True)]).x
    placed = moved_apart(wanted, [height] * len(wanted), -1e6, 1e6)
    assert [placed[i] for i in order] == pytest.approx([f + s for f, s in zip(fitted, stacked, strict=True)])


@given(st.lists(st.floats(-80.0, 150.0), min_size=1, max_size=8))
def test_labels_stay_in_their_range(wanted):
    placed = sorted(moved_apart(wanted, [5.0] * len(wanted), 0.0, 50.0))
    assert placed[0] >= 2.5 - 1e-9
    assert placed[-1] <= 47.5 + 1e-9
    assert all(b - a >= 5.0 - 1e-9 for a, b in pairwise(placed))


def test_a_band_with_a_gap_is_drawn_in_two_parts():
    x = (0.0, 1.0, 2.0, 3.0, 4.0)
    low, high = (0.0, 0.0, None, 0.0, 0.0), (1.0, 1.0, None, 1.0, 1.0)
    chart = replace(leverage_chart(), series=(Series("s", x, x),), bands=(Band("b", x, low, high),), markers=())
    assert len(drawn(draw_chart(chart), "band", Polyline)) == 4


def test_a_band_with_one_edge_missing_somewhere_is_cut_there_at_both():
    x = (0.0, 1.0, 2.0, 3.0, 4.0)
    low, high = (0.0, 0.0, None, 0.0, 0.0), (1.0, 1.0, 1.0, 1.0, 1.0)
    chart = replace(leverage_chart(), series=(Series("s", x, x),), bands=(Band("b", x, low, high),), markers=())
    assert len(drawn(draw_chart(chart), "band", Polyline)) == 4
