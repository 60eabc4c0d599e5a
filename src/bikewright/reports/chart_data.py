"""A chart as JSON-ready data for a screen that draws it by itself: axes with their numbers written, lines, points.

Question answered   What does a page draw for this chart, at any width?
Method              The chart before it is laid out on paper; ticks are round numbers, as on paper, and written here.
Axes and signs      Those of the chart, in the reader's unit.
Left out            Layout, colour and the places of labels: the page's own.
"""

import math
from typing import Any

from bikewright.reports.chart import Axis, Chart, Values
from bikewright.reports.ticks import nice_ticks, tick_text

STEPS_ACROSS, STEPS_UP = 6, 6
"""Most steps between ticks: as many as a phone can show."""


def chart_data(chart: Chart) -> dict[str, Any]:
    """A chart, ready to draw.

    Parameters
    ----------
    chart : Chart
        What it shows.

    Returns
    -------
    dict
        ``title``, ``x`` and ``y`` (each ``label``, ``low``, ``high``, ``ticks``), ``lines``, ``markers``, ``notes``.
    """
    notes = [*chart.notes, *([f"Not modelled: {chart.not_modelled}."] if chart.not_modelled else [])]
    return {
        "title": chart.title,
        "x": _axis(chart.x, [series.x for series in chart.series], STEPS_ACROSS, tight=True),
        "y": _axis(chart.y, [series.y for series in chart.series], STEPS_UP, tight=False),
        "lines": [
            {
                "name": series.name,
                "style": series.style,
                "x": [_rounded(value) for value in series.x],
                "y": [_rounded(value) for value in series.y],
            }
            for series in chart.series
        ],
        "markers": [{"x": marker.x, "y": marker.y, "text": marker.label} for marker in chart.markers],
        "notes": notes,
    }


def _axis(axis: Axis, values: list[Values], wanted: int, *, tight: bool) -> dict[str, Any]:
    known = [value for run in values for value in run if value is not None and math.isfinite(value)] or [0.0, 1.0]
    low = min(known) if axis.low is None else axis.low
    high = max(known) if axis.high is None else axis.high
    ticks = nice_ticks(low, high, wanted, tight=tight)
    return {
        "label": axis.heading,
        "low": ticks.low,
        "high": ticks.high,
        "ticks": [{"at": at, "text": tick_text(at, ticks)} for at in ticks.at],
    }


def _rounded(value: float | None) -> float | None:
    """To what a screen can show; a gap is None."""
    return None if value is None or not math.isfinite(value) else round(value, 2)
