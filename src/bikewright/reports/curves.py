"""Curves through the rear travel: drawn, as figures and as CSV.

Question answered   How does this quantity run, before and after a change, and where does the brief want it?
Method              The 101 exact points of each curve; figures at every tenth of the travel.
Left out            Anything between the points that the curve itself does not say.
"""

import csv
import io
from collections.abc import Sequence

import numpy as np

from bikewright.errors import OutsideValidity
from bikewright.model.brief import Brief
from bikewright.model.build import Build
from bikewright.reports.chart import Axis, Band, Chart, Series, draw_chart
from bikewright.reports.numbers import number_text
from bikewright.reports.shapes import Sheet
from bikewright.reports.tables import WIDTH, columns
from bikewright.reports.wording import BLANK, ShownUnits
from bikewright.studies.curves import Curve
from bikewright.studies.evaluate import read_address
from bikewright.units import convert

FIGURE = 12
"""Room for the longest figure with its unit."""
NOT_MODELLED = "flex and friction of the linkage, play in pivots"


def curve_name(curve: Curve) -> str:
    """A curve's label, with its pin where it has one."""
    return f"{curve.quantity.label}, {curve.qualifier}" if curve.qualifier else curve.quantity.label


def curve_chart(
    build: Build, curves: Sequence[Curve], before: Sequence[Curve], brief: Brief, units: ShownUnits
) -> Sheet:
    """Curves of one unit in one chart, those of the build before dashed beside them, the brief's band behind.

    Raises
    ------
    OutsideValidity
        If the curves have different units, or run over different travels: one axis cannot carry them.
    """
    _refuse_apart(curves)
    apart = dict.fromkeys(curve.quantity.key for curve in curves if curve.quantity.unit != curves[0].quantity.unit)
    if apart:
        raise OutsideValidity(
            f"{curves[0].quantity.key} and {', '.join(apart)} have different units, so one axis cannot carry them; "
            f"draw them apart, or write .csv"
        )
    unit = units.of(curves[0].quantity.unit)
    length = units.of("mm")
    several = len(curves) > 1
    labels = {curve.quantity.label for curve in curves}
    series = [
        Series(f"{curve_name(curve)} before" if several else "before", *shown_points(curve, units), "before")
        for curve in before
    ]
    series += [Series(curve_name(curve) if several else "now", *shown_points(curve, units)) for curve in curves]
    gaps = tuple(dict.fromkeys(curve.gap for curve in curves if curve.gap))
    return draw_chart(
        Chart(
            # several are named at their ends, and their names would not fit into one line
            title=f"{build.frame.name}, size {build.size}" + ("" if several else f": {curve_name(curves[0])}"),
            x=Axis(_along(curves[0]), length),
            y=Axis(labels.pop() if len(labels) == 1 else "value", unit),
            series=tuple(series),
            bands=_bands(curves, brief, units),
            not_modelled=NOT_MODELLED,
            notes=gaps,
        )
    )


def _refuse_apart(curves: Sequence[Curve]) -> None:
    apart = dict.fromkeys(curve.quantity.key for curve in curves if _along(curve) != _along(curves[0]))
    if apart:
        raise OutsideValidity(
            f"{curves[0].quantity.key} runs over {_along(curves[0])}, {', '.join(apart)} does not; write them apart"
        )


def _along(curve: Curve) -> str:
    """What a curve runs over."""
    return "fork travel" if curve.quantity.scope == "fork" else "wheel travel"


def shown_points(curve: Curve, units: ShownUnits) -> tuple[list[float | None], list[float | None]]:
    """Travel and values of a curve in the units that are shown; None where it has no value."""
    unit, length = curve.quantity.unit, units.of("mm")
    xs: list[float | None] = [convert(float(x), "mm", length) for x in curve.x_mm]
    ys: list[float | None] = []
    for y in curve.y:
        if not np.isfinite(y):
            ys.append(None)
        else:
            ys.append(convert(float(y), unit, units.of(unit)) if unit else float(y))
    return xs, ys


def _bands(curves: Sequence[Curve], brief: Brief, units: ShownUnits) -> tuple[Band, ...]:
    """The brief's limits for a curve, over its whole travel."""
    bands = []
    for line in brief.lines:
        quantity = read_address(line.name)[0]
        for curve in curves:
            if curve.quantity.key == quantity.key and line.low is not None and line.high is not None:
                xs, _ = shown_points(curve, units)
                low, high = (
                    convert(limit, quantity.unit, units.of(quantity.unit)) if quantity.unit else limit
                    for limit in (line.low, line.high)
                )
                bands.append(Band("brief", (xs[0], xs[-1]), (low, low), (high, high)))
    return tuple(bands)


def curve_lines(curves: Sequence[Curve], units: ShownUnits) -> list[str]:
    """Figures at every tenth of the travel; curves that do not fit beside each other follow below."""
    lines: list[str] = []
    for together in _abreast(curves):
        lines += [*([""] if lines else []), *_figures(together, units)]
    return lines + [f"  {gap}" for gap in dict.fromkeys(curve.gap for curve in curves if curve.gap)]


def _abreast(curves: Sequence[Curve]) -> list[list[Curve]]:
    """Curves in groups, each as wide as a terminal takes beside its column of wheel travel."""
    groups: list[list[Curve]] = []
    left = 0
    for curve in curves:
        needed = 2 + max(len(curve_name(curve)), FIGURE)
        if needed > left or _along(curve) != _along(groups[-1][0]):
            groups.append([])
            left = WIDTH - len(_along(curve)) - 2
        groups[-1].append(curve)
        left -= needed
    return groups


def _figures(curves: Sequence[Curve], units: ShownUnits) -> list[str]:
    x_mm = curves[0].x_mm
    stops = np.linspace(x_mm[0], x_mm[-1], 11)
    rows = [(_along(curves[0]), *(curve_name(curve) for curve in curves))]
    for stop in stops:
        nearest = int(np.argmin(np.abs(x_mm - stop)))
        cells = [
            units.value(curve.quantity, float(curve.y[nearest])) if np.isfinite(curve.y[nearest]) else BLANK
            for curve in curves
        ]
        shown = convert(float(x_mm[nearest]), "mm", units.of("mm"))
        rows.append((number_text(shown, 1 if units.of("mm") == "mm" else 2), *cells))
    return columns(rows, "r" * len(rows[0]))


def curve_csv(curves: Sequence[Curve]) -> str:
    """All points of all curves, in fixed units; a point without a value is empty.

    Raises
    ------
    OutsideValidity
        If the curves run over different travels.
    """
    _refuse_apart(curves)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    heads = [f"{c.quantity.key}/{c.qualifier}" if c.qualifier else c.quantity.key for c in curves]
    writer.writerow([f"{_along(curves[0]).replace(' ', '_')}_mm", *heads])
    for row, x in enumerate(curves[0].x_mm):
        cells = [f"{curve.y[row]:.9g}" if np.isfinite(curve.y[row]) else "" for curve in curves]
        writer.writerow([f"{x:.9g}", *cells])
    return out.getvalue()
