"""Tyre pressures: as a table, as a chart over pressure, as CSV and as JSON.

Question answered   Which pressures, why those, how far may they be off, and what do the tyres do at them?
Method              The study's answer, told once for people and once for programs.
Left out            Figures between the pressures of the chart.
"""

import csv
import io
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from bikewright.model.build import Build
from bikewright.reports.as_json import build_json
from bikewright.reports.chart import Axis, Chart, Marker, Series, draw_chart
from bikewright.reports.numbers import number_text, unit_text
from bikewright.reports.shapes import Sheet
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import BLANK, ShownUnits
from bikewright.studies.tyre_setup import Sweep, TyreEnd, TyreSetup
from bikewright.units import convert

NOT_MODELLED = (
    "Not modelled: grip, rolling resistance, stretch of the casing, temperature, a tubeless tyre that burps, edges met "
    "at an angle, the blow that the rider takes out with arms and legs."
)
CAUTION = (
    "The lowest pressure limit printed on tyre, rim or insert comes first, and so does the least pressure of the tyre. "
    "A gauge may be off by 0.1 bar. A qualified mechanic fits tubeless tyres; local rules hold."
)
REFERENCE = (
    "Drop and reserve rank pressures, tyres and riders; they are no absolutes. Lay them beside a set-up that was "
    "ridden (--base)."
)
_DECIMALS = {"bar": 2, "psi": 1, "mm": 1, "in": 2, "n": 0, "lbf": 0, "n_per_mm": 0, "lbf_in": 0, "kmh": 0, "pct": 1}


def _shown(number: float | None, suffix: str, units: ShownUnits, decimals: int | None = None) -> str:
    if number is None:
        return BLANK
    shown = units.of(suffix)
    places = _DECIMALS.get(shown, 1) if decimals is None or shown != suffix else decimals
    return f"{number_text(convert(number, suffix, shown), places)}{unit_text(shown)}"


def tyre_lines(build: Build, setup: TyreSetup, units: ShownUnits) -> list[str]:
    """Both tyres side by side."""
    both = (setup.front, setup.rear)
    rider = "" if build.rider is None else f", {build.rider.name}, {_shown(build.rider.mass_kg, 'kg', units)}"
    lines = [f"{build.frame.name}, size {build.size}, {build.name}{rider}: tyre pressures"]
    lines += paragraph(
        f"{setup.terrain} ground: drop of {number_text(setup.wanted_drop_pct, 1)} % of the section height at the most; "
        f"a square edge of {_shown(setup.edge_mm, 'mm', units, 0)} at {_shown(setup.speed_kmh, 'kmh', units)}, down "
        f"{number_text(setup.grade_pct, 0)} %, must just not reach the rim"
    )
    rows = [
        ("", "front", "rear"),
        ("tyre", *(end.tyre for end in both)),
        ("pressure to begin with", *(_shown(end.recommended_bar, "bar", units) for end in both)),
        ("range", *(_range(end, units) for end in both)),
        ("decided by", *("the drop" if end.set_by == "drop" else "the edge" for end in both)),
        ("the drop alone needs", *(_shown(end.drop_bar, "bar", units) for end in both)),
        ("the edge alone needs", *(_shown(end.edge_bar, "bar", units) for end in both)),
        ("limit", *(_shown(end.limit_bar, "bar", units) for end in both)),
        ("load, standing on the level", *(_shown(end.load_n, "n", units) for end in both)),
        ("load on the descent", *(_shown(end.descent_load_n, "n", units) for end in both)),
        ("width on this rim", *(_shown(end.width_mm, "mm", units) for end in both)),
        ("stiffness on flat ground", *(_shown(end.stiffness_n_per_mm, "n_per_mm", units) for end in both)),
        ("of that, the casing", *(_shown(end.casing_n_per_mm, "n_per_mm", units) for end in both)),
        ("drop, standing", *(f"{_shown(end.drop_mm, 'mm', units)}, {number_text(end.drop_pct, 1)} %" for end in both)),
        ("length of contact", *(_shown(end.contact_mm, "mm", units) for end in both)),
        ("loaded radius", *(_shown(end.loaded_radius_mm, "mm", units) for end in both)),
        ("reserve at the edge", *(number_text(end.reserve, 2) for end in both)),
        ("pumped to now", *(_shown(end.set_bar, "bar", units) for end in both)),
        ("reserve as pumped now", *(_ratio(end.set_reserve) for end in both)),
    ]
    if setup.base:
        rows += [
            (f"base tune {setup.base}", *(_shown(end.base_bar, "bar", units) for end in both)),
            ("its reserve", *(_ratio(end.base_reserve) for end in both)),
        ]
    lines += ["", *columns(rows, "lrr"), ""]
    assumed = (*setup.front.assumed, *setup.rear.assumed)
    if assumed:
        lines += [*paragraph(f"Taken as defaults: {'; '.join(assumed)}."), ""]
    return [*lines, *paragraph(REFERENCE), *paragraph(NOT_MODELLED), *paragraph(CAUTION)]


def _ratio(number: float | None) -> str:
    return BLANK if number is None else number_text(number, 2)


def _range(end: TyreEnd, units: ShownUnits) -> str:
    least = f"{_shown(end.least_bar, 'bar', units)}{' (its least)' if end.least_is_limit else ''}"
    return f"{least} to {_shown(end.most_bar, 'bar', units)}{' (limit)' if end.most_is_limit else ''}"


def tyres_json(build: Build, setup: TyreSetup) -> dict[str, Any]:
    """The same for programs, in fixed units."""
    return {
        "format": "bikewright/tyres",
        "version": 1,
        "build": build_json(build),
        "rider": None if build.rider is None else build.rider.name,
        **asdict(setup),
        "front": {**asdict(setup.front), "assumed": list(setup.front.assumed)},
        "rear": {**asdict(setup.rear), "assumed": list(setup.rear.assumed)},
    }


def tyre_chart(build: Build, setup: TyreSetup, sweeps: Sequence[Sweep], units: ShownUnits) -> Sheet:
    """Reserve over pressure, with the recommended pressures marked."""
    shown = units.of("bar")
    series = tuple(
        Series(
            sweep.end,
            [convert(bar, "bar", shown) for bar in sweep.pressure_bar],
            list(sweep.reserve),
            "current" if sweep.end == "front" else "second",
        )
        for sweep in sweeps
    )
    markers = tuple(
        Marker(convert(end.recommended_bar, "bar", shown), end.reserve, _shown(end.recommended_bar, "bar", units))
        for end in (setup.front, setup.rear)
    )
    edge = f"edge of {_shown(setup.edge_mm, 'mm', units, 0)} at {_shown(setup.speed_kmh, 'kmh', units)}"
    return draw_chart(
        Chart(
            title=f"{build.frame.name}, size {build.size}: reserve before the rim is struck",
            x=Axis("tyre pressure", shown),
            y=Axis("reserve", low=0.0),
            series=series,
            markers=markers,
            not_modelled="grip, stretch of the casing, temperature, edges at an angle",
            notes=(
                f"{setup.terrain} ground, {edge}",
                "A trend: lay it beside a set-up that was ridden. Printed limits come first.",
            ),
        )
    )


def tyre_csv(sweeps: Sequence[Sweep]) -> str:
    """Both tyres over pressure, in fixed units."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["end", "pressure_bar", "stiffness_n_per_mm", "drop_mm", "reserve"])
    for sweep in sweeps:
        for row in zip(sweep.pressure_bar, sweep.stiffness_n_per_mm, sweep.drop_mm, sweep.reserve, strict=True):
            writer.writerow([sweep.end, *(f"{number:.9g}" for number in row)])
    return out.getvalue()
