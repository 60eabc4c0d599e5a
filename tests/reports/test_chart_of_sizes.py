"""The geometry chart."""

import csv
import io

from bikewright.quantities import CATALOGUE
from bikewright.reports.chart_of_sizes import CHART, chart_csv, chart_lines
from bikewright.reports.wording import ShownUnits
from bikewright.studies.evaluate import evaluate
from tests.sample_bike import BARE, BUILD

ANSWERS = [evaluate(BUILD.changed(size=size.name)) for size in BUILD.frame.sizes]


def test_every_row_of_the_chart_is_in_the_catalogue_once():
    assert len(set(CHART)) == len(CHART)
    assert set(CHART) <= CATALOGUE.keys()
    assert all(CATALOGUE[key].scope != "travel" for key in CHART)


def test_the_heading_names_bike_build_and_state():
    assert chart_lines(ANSWERS, "table", ShownUnits())[0] == "sample, sample, extended"
    assert chart_lines(ANSWERS, "stated-sag", ShownUnits())[0] == "sample, sample, at sag"


def test_the_sizes_stand_in_the_order_of_the_frame():
    assert chart_lines(ANSWERS, "table", ShownUnits())[2].split() == ["M", "L"]


def test_csv_has_a_plain_minus_and_an_empty_cell_for_an_unknown():
    rows = list(csv.reader(io.StringIO(chart_csv(ANSWERS, "table"))))

    assert rows[0] == ["quantity", "unit", "M", "L"]
    table = {label: cells for label, _, *cells in rows[1:]}
    assert table["reach"] == ["450.0", "475.0"]
    assert table["standover"][1] == ""
    for cells in table.values():
        for cell in cells:
            assert cell == "" or isinstance(float(cell), float)
    assert "\u2212" not in chart_csv(ANSWERS, "table")


def test_what_no_size_knows_is_no_row():
    table = chart_csv([evaluate(BARE)], "table")
    assert "hands ahead" not in table
