"""A chart of curves, drawn from plain numbers.

Question answered   How do these curves run, and how do they lie to each other and to the brief?
Method              Open axes on the left and below with ticks at 1, 2, 2.5 or 5 times a power of ten; each curve is
                    labelled at its right end, and only where the labels do not fit there is a key below. The dash of
                    a line tells whose curve it is; a band of the brief is hatched.
Axes and signs      Millimetres of paper; the axes of the data as given.
Left out            Logarithmic axes, a second scale.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from bikewright.reports.chart_labels import LEADER, EndLabel, blocks_height, end_labels, label_width_mm, marker_labels
from bikewright.reports.cutting import Window, cut_area, cut_polyline, hatching
from bikewright.reports.lettering import ABOVE, BELOW, CAPITAL, LINE, shortened, text_width_mm, wrapped
from bikewright.reports.numbers import number_text, unit_text
from bikewright.reports.shapes import Circle, Layer, Line, Point, Polyline, Shape, Sheet, Text
from bikewright.reports.ticks import Ticks, nice_ticks, tick_text

Values = Sequence[float | None]
"""Numbers; None and NaN are gaps."""

TITLE, LETTER, SMALL = 4.2, 3.0, 2.6
"""Font sizes: title, labels, ticks and notes [mm]."""
PAD = 4.0
"""Free rim of the sheet [mm]."""
TICK = 1.2
"""Length of a tick [mm]."""
BELOW_TICK = 1.5
"""Between a tick of the lower axis and its number, so that the lowest number of the other axis stays clear [mm]."""


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis: what it shows, and its range where it is not to follow from the data."""

    label: str
    unit: str = ""
    """Suffix of `bikewright.units`; empty for a pure number."""
    low: float | None = None
    high: float | None = None

    @property
    def heading(self) -> str:
        """Label with its unit, as in ``wheel travel, mm``."""
        return f"{self.label}, {unit_text(self.unit).strip()}" if self.unit else self.label


@dataclass(frozen=True, slots=True)
class Series:
    """One curve."""

    name: str
    x: Values
    y: Values
    style: str = "current"
    """Name of a line style: ``current``, ``before``, ``pinned``, ``second``, ..."""


@dataclass(frozen=True, slots=True)
class Band:
    """What is asked for: an area between two curves, such as the brief's limits."""

    name: str
    x: Values
    low: Values
    high: Values


@dataclass(frozen=True, slots=True)
class Marker:
    """A point that matters, with its label."""

    x: float
    y: float
    label: str


@dataclass(frozen=True, slots=True)
class Chart:
    """Everything that a chart shows."""

    title: str
    x: Axis
    y: Axis
    series: tuple[Series, ...]
    bands: tuple[Band, ...] = ()
    markers: tuple[Marker, ...] = ()
    not_modelled: str = ""
    """What the curves leave out, for the line below."""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Plot:
    """Where the data lie on paper."""

    left: float
    bottom: float
    width: float
    height: float
    x: Ticks
    y: Ticks
    window: Window = field(init=False)

    def __post_init__(self) -> None:
        right, top = self.left + self.width, self.bottom + self.height
        object.__setattr__(self, "window", (self.left, self.bottom, right, top))

    def at(self, x: float, y: float) -> Point:
        return (
            self.left + self.width * (x - self.x.low) / (self.x.high - self.x.low),
            self.bottom + self.height * (y - self.y.low) / (self.y.high - self.y.low),
        )


def draw_chart(chart: Chart, width_mm: float = 160.0, height_mm: float = 95.0) -> Sheet:
    """Draw a chart.

    Parameters
    ----------
    chart : Chart
        What it shows.
    width_mm, height_mm : float
        Size on paper [mm].

    Returns
    -------
    Sheet
        With the layers grid, band, axes, curves, labels and notes.
    """
    notes = _note_lines(chart, width_mm - 2 * PAD)
    foot = PAD + len(notes) * LINE * SMALL
    head = height_mm - PAD - LINE * TITLE - LINE * LETTER - 2.0
    below = 2 * LINE * LETTER + 2.2
    height = head - foot - below
    y_ticks = nice_ticks(*_range(chart, chart.y, "y"), max(2, round(height / 11)))
    left = PAD + max((text_width_mm(tick_text(v, y_ticks), SMALL) for v in y_ticks.at), default=0.0) + TICK + 1.0
    labels, room = _labels_at_ends(chart, width_mm, height)
    key = () if labels else _key_rows(chart, width_mm - 2 * PAD)
    if key:
        foot += len(key) * LINE * LETTER + 1.0
        height = head - foot - below
    width = width_mm - left - (room + PAD if labels else PAD + 3.0)
    x_ticks = nice_ticks(*_range(chart, chart.x, "x"), max(2, round(width / 18)), tight=True)
    plot = _Plot(left, foot + below, width, height, x_ticks, y_ticks)
    curves = tuple(run for series in chart.series for run in _runs(series, plot))
    layers = (
        Layer("grid", _grid(plot)),
        Layer("band", _bands(chart, plot)),
        Layer("axes", _axes(chart, plot, height_mm, width_mm)),
        Layer("curves", curves),
        Layer("labels", _labels(chart, plot, labels, curves)),
        Layer("key", _key(key, foot)),
        Layer("notes", _notes(notes)),
    )
    return Sheet(width_mm, height_mm, layers, chart.title, _spoken(chart))


def _known(values: Values) -> list[float]:
    return [v for v in values if v is not None and math.isfinite(v)]


def _range(chart: Chart, axis: Axis, which: str) -> tuple[float, float]:
    """Range of the data along an axis, or the ends that are given."""
    seen: list[float] = []
    for series in chart.series:
        pairs = [(x, y) for x, y in zip(series.x, series.y, strict=True) if _both(x, y)]
        seen += _known([pair[0] if which == "x" else pair[1] for pair in pairs])
    for band in chart.bands:
        seen += _known(band.x) if which == "x" else [*_known(band.low), *_known(band.high)]
    seen += [marker.x if which == "x" else marker.y for marker in chart.markers]
    low = axis.low if axis.low is not None else min(seen, default=0.0)
    high = axis.high if axis.high is not None else max(seen, default=low + 1.0)
    return low, high


def _both(x: float | None, y: float | None) -> bool:
    return x is not None and y is not None and math.isfinite(x) and math.isfinite(y)


def _runs(series: Series, plot: _Plot) -> list[Shape]:
    """The curve between its gaps, cut to the plot; a lone value between two gaps is a dot."""
    shapes: list[Shape] = []
    for run in _unbroken(series):
        points = [plot.at(x, y) for x, y in run]
        if len(points) == 1 and cut_polyline(points * 2, plot.window):
            shapes.append(Circle(points[0], 0.5, None, "ink"))
        shapes += [Polyline(part, series.style) for part in cut_polyline(points, plot.window)]
    return shapes


def _unbroken(series: Series) -> list[list[tuple[float, float]]]:
    runs: list[list[tuple[float, float]]] = [[]]
    for x, y in zip(series.x, series.y, strict=True):
        if x is not None and y is not None and math.isfinite(x) and math.isfinite(y):
            runs[-1].append((x, y))
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if run]


def _gap_notes(series: Series, unit: str) -> list[str]:
    """Where a curve has no value between two that it has, or at an end, in words."""
    missing = [not _both(x, y) for x, y in zip(series.x, series.y, strict=True)]
    if all(missing):
        return [f"{series.name}: no values"]
    places: list[tuple[float, float]] = []
    open_gap = False
    for gone, x in zip(missing, series.x, strict=True):
        if gone and x is not None and math.isfinite(x):
            places = [*places[:-1], (places[-1][0], x)] if open_gap else [*places, (x, x)]
        open_gap = gone
    told = [number_text(a, 1) if a == b else f"{number_text(a, 1)} to {number_text(b, 1)}" for a, b in places]
    return [f"{series.name}: no value at {', '.join(told)}{unit_text(unit)}"] if told else []


def _note_lines(chart: Chart, room: float) -> tuple[str, ...]:
    notes = [*chart.notes, *(note for series in chart.series for note in _gap_notes(series, chart.x.unit))]
    if chart.not_modelled:
        notes.append(f"not modelled: {chart.not_modelled}")
    return tuple(line for note in notes for line in wrapped(note, SMALL, room))


def _labels_at_ends(chart: Chart, width: float, height: float) -> tuple[tuple[EndLabel, ...], float]:
    """What stands at the right ends and the room that it takes; nothing where it does not fit."""
    names = [(series.name, "ink") for series in chart.series if _unbroken(series)]
    names += [(band.name, "muted") for band in chart.bands if _band_edges(band)]
    most = 0.3 * width
    labels = tuple(EndLabel(wrapped(name, LETTER, most), "ink" if tone == "ink" else "muted") for name, tone in names)
    if not labels or blocks_height(labels, LETTER) > height or any(len(label.lines) > 2 for label in labels):
        return (), 0.0
    return labels, label_width_mm(labels, LETTER) + LEADER + 1.5


def _grid(plot: _Plot) -> tuple[Shape, ...]:
    left, bottom, right, top = plot.window
    across = [Line((left, plot.at(plot.x.low, v)[1]), (right, plot.at(plot.x.low, v)[1]), "grid") for v in plot.y.at]
    up = [Line((plot.at(v, plot.y.low)[0], bottom), (plot.at(v, plot.y.low)[0], top), "grid") for v in plot.x.at]
    return (*across, *up)


def _axes(chart: Chart, plot: _Plot, height_mm: float, width_mm: float) -> tuple[Shape, ...]:
    left, bottom, right, top = plot.window
    title_base = height_mm - PAD - CAPITAL * TITLE
    title = shortened(chart.title, TITLE, width_mm - 2 * PAD, "semibold")
    shapes: list[Shape] = [
        Text((PAD, title_base), title, TITLE, weight="semibold"),
        Text((PAD, top + 3.0), shortened(chart.y.heading, LETTER, width_mm - 2 * PAD), LETTER),
        Line((left, bottom), (left, top), "thin"),
        Line((left, bottom), (right, bottom), "thin"),
    ]
    for value in plot.y.at:
        y = plot.at(plot.x.low, value)[1]
        shapes.append(Line((left - TICK, y), (left, y), "thin"))
        shapes.append(Text((left - TICK - 0.8, y), tick_text(value, plot.y), SMALL, "end", "middle"))
    for value in plot.x.at:
        x = plot.at(value, plot.y.low)[0]
        shapes.append(Line((x, bottom - TICK), (x, bottom), "thin"))
        shapes.append(Text((x, bottom - TICK - BELOW_TICK), tick_text(value, plot.x), SMALL, "middle", "top"))
    low = bottom - TICK - BELOW_TICK - (CAPITAL + BELOW) * SMALL - (ABOVE - CAPITAL) * LETTER - 0.3
    shapes.append(Text((right, low), shortened(chart.x.heading, LETTER, right - PAD), LETTER, "end", "top"))
    if not chart.markers and not any(_unbroken(series) for series in chart.series):
        middle = ((left + right) / 2, (bottom + top) / 2)
        shapes.append(Text(middle, "no values", LETTER, "middle", "middle", tone="muted", halo=True))
    return tuple(shapes)


def _band_edges(band: Band) -> list[tuple[list[tuple[float, float]], list[tuple[float, float]]]]:
    """Lower and upper edge of a band, part by part; a gap in one is a gap in both."""
    whole = [_both(low, high) for low, high in zip(band.low, band.high, strict=True)]
    low = [v if known else None for v, known in zip(band.low, whole, strict=True)]
    high = [v if known else None for v, known in zip(band.high, whole, strict=True)]
    pairs = zip(_unbroken(Series("", band.x, low)), _unbroken(Series("", band.x, high)), strict=True)
    return list(pairs)


def _bands(chart: Chart, plot: _Plot) -> tuple[Shape, ...]:
    shapes: list[Shape] = []
    for band in chart.bands:
        for edges in _band_edges(band):
            outline = [plot.at(x, y) for x, y in (*edges[0], *reversed(edges[1]))]
            shapes += hatching(cut_area(outline, plot.window), 1.7)
            for edge in edges:
                parts = cut_polyline([plot.at(x, y) for x, y in edge], plot.window)
                shapes += [Polyline(part, "brief") for part in parts]
    return tuple(shapes)


def _labels(chart: Chart, plot: _Plot, labels: tuple[EndLabel, ...], curves: tuple[Shape, ...]) -> tuple[Shape, ...]:
    ends: list[Point] = []
    for series in chart.series:
        runs = _unbroken(series)
        if runs:
            ends.append(_into(plot.at(*runs[-1][-1]), plot.window))
    for band in chart.bands:
        edges = _band_edges(band)
        if edges:
            (x, y1), (_, y2) = edges[-1][0][-1], edges[-1][1][-1]
            ends.append(_into(plot.at(x, (y1 + y2) / 2), plot.window))
    at_ends = end_labels(labels, ends[: len(labels)], plot.window, LETTER)
    points = tuple((plot.at(marker.x, marker.y), marker.label) for marker in chart.markers)
    return (*at_ends, *marker_labels(points, curves, plot.window, SMALL))


def _into(point: Point, window: Window) -> Point:
    """The nearest point of a window."""
    left, bottom, right, top = window
    return min(max(point[0], left), right), min(max(point[1], bottom), top)


def _key_rows(chart: Chart, room: float) -> tuple[tuple[tuple[str, str], ...], ...]:
    """Names and styles in rows, for a key below the chart."""
    entries = [(series.name, series.style) for series in chart.series] + [(band.name, "brief") for band in chart.bands]
    rows: list[list[tuple[str, str]]] = []
    used = room + 1
    for name, style in entries:
        name = shortened(name, LETTER, room - 12.0)
        need = 12.0 + text_width_mm(name, LETTER) + 4.0
        if used + need > room + 4.0:
            rows.append([])
            used = 0.0
        rows[-1].append((name, style))
        used += need
    return tuple(tuple(row) for row in rows)


def _key(rows: tuple[tuple[tuple[str, str], ...], ...], top: float) -> tuple[Shape, ...]:
    shapes: list[Shape] = []
    for number, row in enumerate(rows):
        x, y = PAD, top - (number + 0.7) * LINE * LETTER
        for name, style in row:
            shapes.append(Line((x, y), (x + 10.0, y), style))
            shapes.append(Text((x + 12.0, y), name, LETTER, level="middle"))
            x += 12.0 + text_width_mm(name, LETTER) + 4.0
    return tuple(shapes)


def _notes(lines: tuple[str, ...]) -> tuple[Shape, ...]:
    base = PAD + (len(lines) - 1) * LINE * SMALL
    return tuple(
        Text((PAD, base - number * LINE * SMALL), line, SMALL, tone="muted") for number, line in enumerate(lines)
    )


def _spoken(chart: Chart) -> str:
    """What the chart shows, in a sentence for those who do not see it."""
    parts = [f"{chart.y.heading} over {chart.x.heading}"]
    for series in chart.series:
        runs = _unbroken(series)
        if runs:
            (x1, y1), (x2, y2) = runs[0][0], runs[-1][-1]
            ends = [number_text(v, 2) for v in (y1, x1, y2, x2)]
            parts.append(f"{series.name}: {ends[0]} at {ends[1]}, {ends[2]} at {ends[3]}")
    parts += [f"band: {band.name}" for band in chart.bands]
    parts += [f"marked: {marker.label}" for marker in chart.markers]
    return "; ".join(parts) + "."
