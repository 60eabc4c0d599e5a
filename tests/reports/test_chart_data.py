"""A chart for a screen: the numbers of the chart, with round ticks that are written."""

import math

from bikewright.reports.chart import Axis, Chart, Marker, Series
from bikewright.reports.chart_data import chart_data


def test_lines_ticks_and_gaps():
    chart = Chart(
        title="force",
        x=Axis("wheel travel", "mm", low=0.0, high=150.0),
        y=Axis("force", "n"),
        series=(Series("air", [0.0, 75.0, 150.0], [0.0, None, 1234.567], "before"),
                Series("coil", [0.0, 150.0], [math.nan, 1000.0])),
        markers=(Marker(30.0, 400.0, "sag"),),
        not_modelled="friction",
        notes=("a note",),
    )  # fmt: skip
    found = chart_data(chart)
    assert found["lines"][0] == {"name": "air", "style": "before", "x": [0.0, 75.0, 150.0], "y": [0.0, None, 1234.57]}
    assert found["lines"][1]["y"] == [None, 1000.0]
    assert (found["x"]["label"], found["x"]["low"], found["x"]["high"]) == ("wheel travel, mm", 0.0, 150.0)
    assert [tick["text"] for tick in found["x"]["ticks"]] == ["0", "25", "50", "75", "100", "125", "150"]
    # an axis without ends of its own grows to round numbers
    assert found["y"]["low"] == 0.0
    assert found["y"]["high"] >= 1234.57
    assert found["y"]["ticks"][-1]["at"] == found["y"]["high"]
    assert found["markers"] == [{"x": 30.0, "y": 400.0, "text": "sag"}]
    assert found["notes"] == ["a note", "Not modelled: friction."]
