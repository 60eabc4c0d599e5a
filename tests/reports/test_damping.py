"""Damping and tyres as tables and charts: what is refused or waited for is said, and nothing collides."""

import pytest

from bikewright.model.addresses import with_value
from bikewright.model.build import remade
from bikewright.model.files import read_bike
from bikewright.reports.damping import damping_lines, force_speed_chart
from bikewright.reports.paper import colliding_texts, texts, texts_off_sheet
from bikewright.reports.tyres import tyre_chart, tyre_lines
from bikewright.reports.wording import ShownUnits, shown_units
from bikewright.studies.damping_setup import clicks_for, measured_dials
from bikewright.studies.evaluate import evaluate
from bikewright.studies.tyre_setup import over_pressure, pressures_for
from tests.interfaces.cli.asked import QUILLBACK

BIKE = read_bike(QUILLBACK)
STOCK, TUNE = BIKE.build("stock"), BIKE.tune("home-trail")


def told(build, tune):
    return " ".join(" ".join(damping_lines(evaluate(build), clicks_for(build, tune), ShownUnits())).split())


def test_which_way_a_dial_is_turned_is_said():
    assert "1 to closed" in told(with_value(STOCK, "rider.mass_kg", 98.0), TUNE)
    assert "1 to open" in told(with_value(STOCK, "rider.mass_kg", 62.0), TUNE)
    assert "as it is" in told(STOCK, TUNE)


def test_a_dial_that_cannot_reach_is_told_by_how_much():
    closed = remade(TUNE, {"build": with_value(TUNE.build, "shock_compression_clicks", 0)})
    text = told(with_value(STOCK, "rider.mass_kg", 115.0), closed)

    assert "shock, compression: " in text and "all clicks closed" in text and "% too little" in text


def test_what_waits_says_for_what():
    assert "waits for a ridden base tune" in told(BIKE.build("coil"), None)
    assert "clicks of one say nothing about another" in told(BIKE.build("long-fork"), TUNE)


@pytest.mark.parametrize("picked", ["", "in,psi,lbf,in_s"])
def test_nothing_collides_on_the_charts(picked):
    units = shown_units(picked)
    sheets = [force_speed_chart(STOCK, dial, units) for dial in measured_dials(STOCK)]
    sheets.append(tyre_chart(STOCK, pressures_for(STOCK), over_pressure(STOCK), units))

    assert len(sheets) == 5
    for sheet in sheets:
        assert colliding_texts(sheet) == ()
        assert texts_off_sheet(sheet) == ()
        assert any("not modelled" in text.text for text in texts(sheet))


def test_a_range_that_a_limit_ends_says_so():
    needed = pressures_for(STOCK).rear
    tight = with_value(STOCK, "rear_wheel.pressure_max_bar", needed.recommended_bar + 0.01)
    tight = with_value(tight, "rear_tyre_bar", needed.recommended_bar)
    text = "\n".join(tyre_lines(tight, pressures_for(tight), ShownUnits()))

    assert "(limit)" in text and "(its least)" not in text
