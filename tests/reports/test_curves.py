"""Curves: figures, CSV and a drawing, with gaps told."""

import csv
import io

import numpy as np
import pytest

from bikewright.errors import OutsideValidity
from bikewright.model.brief import Brief, BriefLine
from bikewright.quantities import CATALOGUE
from bikewright.reports.curves import curve_chart, curve_csv, curve_lines, curve_name
from bikewright.reports.paper import texts
from bikewright.reports.tables import WIDTH
from bikewright.reports.wording import BLANK, ShownUnits, shown_units
from bikewright.studies.curves import Curve
from bikewright.studies.evaluate import curve_keys, evaluate
from tests.sample_bike import BRIEF, BUILD

PLAIN = ShownUnits()
ANSWER = evaluate(BUILD)
LEVERAGE = ANSWER.curve("leverage_ratio")


def with_gap(curve, row):
    y = curve.y.copy()
    y[row] = np.nan
    return Curve(curve.quantity, curve.qualifier, curve.x_mm, y, None, "the body does not turn there")


def test_the_figures_are_at_every_tenth_of_the_travel():
    heads, *rows = [line.split() for line in curve_lines([LEVERAGE], PLAIN)]

    assert heads == ["wheel", "travel", "leverage", "ratio"]
    travel = [float(row[0]) for row in rows]
    assert travel == pytest.approx(np.linspace(0.0, LEVERAGE.x_mm[-1], 11), abs=LEVERAGE.x_mm[-1] / 150)
    for x, y in ((float(a), float(b)) for a, b in rows):
        assert y == pytest.approx(LEVERAGE.at(min(x, LEVERAGE.x_mm[-1])), abs=0.0051 + 0.05 * 0.02)


def test_curves_that_do_not_fit_beside_each_other_follow_below():
    keys = [key for key in curve_keys() if CATALOGUE[key].theory == "linkage"]
    curves = [ANSWER.curve("pin_force/main" if key == "pin_force" else key) for key in keys]
    lines = curve_lines(curves, PLAIN)

    assert all(len(line) <= WIDTH for line in lines)
    named = " ".join(line for line in lines if "wheel travel" in line)
    assert all(curve_name(curve) in named for curve in curves)


def test_a_gap_is_a_dash_an_empty_cell_and_a_sentence():
    gappy = with_gap(LEVERAGE, 0)
    lines = curve_lines([gappy], PLAIN)

    assert lines[1].split() == ["0.0", BLANK]
    assert lines[-1] == "  the body does not turn there"
    _, first, second, *_ = csv.reader(io.StringIO(curve_csv([gappy])))
    assert first == ["0", ""] and float(second[1]) == pytest.approx(LEVERAGE.y[1], rel=1e-8)
    assert "the body does not turn there" in " ".join(
        t.text for t in texts(curve_chart(BUILD, [gappy], [], BRIEF, PLAIN))
    )


def test_the_brief_and_the_build_before_lie_in_the_drawing():
    brief = Brief(lines=(BriefLine(name="leverage_ratio", low=2.0, high=3.5),))
    after = Curve(LEVERAGE.quantity, "", LEVERAGE.x_mm, LEVERAGE.y * 1.05, None)
    words = [text.text for text in texts(curve_chart(BUILD, [after], [LEVERAGE], brief, PLAIN))]

    assert "before" in words and "brief" in words
    assert any("not modelled" in word for word in words)


def test_curves_of_one_unit_share_an_axis_and_others_do_not():
    ahead, above = ANSWER.curve("instant_centre_x_mm"), ANSWER.curve("instant_centre_z_mm")
    words = [text.text for text in texts(curve_chart(BUILD, [ahead, above], [], BRIEF, shown_units("in")))]

    assert any(ahead.quantity.label in word for word in words)
    with pytest.raises(OutsideValidity, match="leverage_ratio and instant_centre_x_mm have different units"):
        curve_chart(BUILD, [LEVERAGE, ahead], [], BRIEF, PLAIN)
