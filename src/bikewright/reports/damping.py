"""Damping: frequencies, ratios and clicks as a table, force over speed as a chart, as CSV and as JSON.

Question answered   How do rider and bike swing, how damped, and where should each dial stand?
Method              The study's answer, told once for people and once for programs.
Left out            Clicks that nobody has measured: they are told as offsets from a ridden base tune.
"""

import csv
import io
from dataclasses import asdict
from typing import Any

from bikewright.model.build import Build
from bikewright.quantities import CATALOGUE
from bikewright.reports.as_json import build_json, value_json
from bikewright.reports.chart import Axis, Chart, Series, draw_chart
from bikewright.reports.numbers import number_text, unit_text
from bikewright.reports.shapes import Sheet
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import BLANK, ShownUnits
from bikewright.studies.damping_setup import CircuitSetup, DampingSetup, DialCurves
from bikewright.studies.evaluate import Answer, Value
from bikewright.units import convert

NOT_MODELLED = (
    "Not modelled: unsprung masses, the rider's own arms and legs, friction, gas force, oil that warms, clicks that "
    "are not even, anything far from the place of rest."
)
CAUTION = (
    "Turn no dial past its stop. What is printed on fork and shock comes first; a qualified mechanic opens a damper. "
    "Change one dial at a time and ride the same piece of trail."
)
_FAMILY = "damping"
_DIALS = {"rebound": "rebound", "compression": "compression", "high_compression": "high-speed compression"}


def dial_name(told: CircuitSetup | DialCurves) -> str:
    """What a dial is called: ``fork, rebound``."""
    return f"{told.end}, {_DIALS[told.circuit]}"


def damping_values(answer: Answer) -> list[Value]:
    """Frequencies, centres and ratios of the standing rider."""
    return [answer.value(key) for key, quantity in CATALOGUE.items() if quantity.family == _FAMILY]


def damping_lines(answer: Answer, setup: DampingSetup, units: ShownUnits) -> list[str]:
    """Frequencies and ratios, then each dial."""
    build = answer.build
    rider = "" if build.rider is None else f", {build.rider.name}"
    shown = units.of("mm_s")
    speed = f"{number_text(convert(setup.speed_mm_s, 'mm_s', shown), 0 if shown == 'mm_s' else 2)}{unit_text(shown)}"
    lines = [f"{build.frame.name}, size {build.size}, {build.name}{rider}: damping, standing", ""]
    values = damping_values(answer)
    rows = [(v.quantity.label, units.value(v.quantity, v.number)) for v in values if v.number is not None]
    lines += [*columns(rows, "lr"), *_blanks(values), ""]
    lines += paragraph(
        f"Damping ratios are those of a sine stroke whose greatest shaft speed is {speed} (damping_speed_mm_s)."
    )
    base = f"kept from the base tune {setup.base}" if setup.base else "no base tune (--base): dials as they are set"
    lines += ["", f"dials, {base}"]
    if not setup.circuits:
        lines += ["  neither fork nor shock has a dial that is described"]
    else:
        head = ("", "from closed", "from open", "turns", "from base tune", "ratio", "how")
        lines += columns([head, *(_row(dial) for dial in setup.circuits)], "lrrrrrl")
    lines += _remarks(setup)
    return [*lines, "", *paragraph(NOT_MODELLED), *paragraph(CAUTION)]


def _blanks(values: list[Value]) -> list[str]:
    blank: dict[str, list[str]] = {}
    for value in values:
        if value.number is None:
            blank.setdefault(value.waits, []).append(value.quantity.label)
    lines: list[str] = []
    for reason, labels in blank.items():
        lines += paragraph(f"{'; '.join(labels)}: {reason}", indent=2)
    return lines


def _row(dial: CircuitSetup) -> tuple[str, ...]:
    how = {"measured": "measured", "offset": "offset", "set": "as set", "unknown": "waits"}[dial.how]
    return (
        dial_name(dial),
        _clicks(dial),
        BLANK if dial.from_open is None else str(dial.from_open),
        BLANK if dial.turns_from_closed is None else number_text(dial.turns_from_closed, 2),
        _offset(dial),
        BLANK if dial.ratio is None else number_text(dial.ratio, 2),
        how,
    )


def _clicks(dial: CircuitSetup) -> str:
    if dial.from_closed is None:
        return BLANK
    if dial.how == "offset" and dial.least_from_closed != dial.most_from_closed:
        return f"{dial.from_closed} ({dial.least_from_closed} to {dial.most_from_closed})"
    return str(dial.from_closed)


def _offset(dial: CircuitSetup) -> str:
    """Clicks from the base tune, and towards which end."""
    if dial.offset_clicks is None:
        return BLANK
    if dial.offset_clicks == 0:
        return "as it is"
    return f"{abs(dial.offset_clicks)} to {'closed' if dial.offset_clicks > 0 else 'open'}"


def _remarks(setup: DampingSetup) -> list[str]:
    lines: list[str] = []
    for dial in setup.circuits:
        told = []
        if dial.refusal:
            told.append(dial.refusal)
        if dial.waits:
            told.append(f"waits for {dial.waits}.")
        if dial.neighbours and dial.ratio is not None:
            beside = ", ".join(f"{n.from_closed} gives {number_text(n.ratio, 2)}" for n in dial.neighbours)
            aimed = "" if dial.wanted_ratio is None else f"ratio {number_text(dial.wanted_ratio, 2)} is aimed at; "
            told.append(f"{aimed}click {beside}.")
        if dial.how == "offset" and dial.offset_least is not None and dial.scale is not None:
            told.append(f"{number_text(dial.scale, 2)} times the damping of the base tune is wanted at the shaft.")
        if told:
            lines += paragraph(f"{dial_name(dial)}: {' '.join(told)}", indent=2)
    for assumption in dict.fromkeys(dial.assumption for dial in setup.circuits if dial.assumption):
        lines += paragraph(assumption, indent=2)
    return ["", *lines] if lines else []


def damping_json(answer: Answer, setup: DampingSetup) -> dict[str, Any]:
    """The same for programs, in fixed units."""
    build = answer.build
    return {
        "format": "bikewright/damping",
        "version": 1,
        "build": build_json(build),
        "rider": None if build.rider is None else build.rider.name,
        "speed_mm_s": setup.speed_mm_s,
        "base": setup.base,
        "values": [value_json(value) for value in damping_values(answer)],
        "dials": [{**asdict(dial), "neighbours": [asdict(n) for n in dial.neighbours]} for dial in setup.circuits],
    }


def force_speed_chart(build: Build, curves: DialCurves, units: ShownUnits) -> Sheet:
    """Force over shaft speed, a curve for each measured position; where the dial stands is drawn full."""
    speed, force = units.of("mm_s"), units.of("n")
    series = tuple(
        Series(
            f"click {click}{', as set' if click == curves.set_from_closed else ''}",
            [convert(x, "mm_s", speed) for x in curves.speed_mm_s],
            [convert(y, "n", force) for y in row],
            "current" if click == curves.set_from_closed else "before",
        )
        for click, row in zip(curves.from_closed, curves.force_n, strict=True)
    )
    return draw_chart(
        Chart(
            title=f"{build.frame.name}: {curves.part}, {dial_name(curves)}",
            x=Axis("shaft speed", speed),
            y=Axis("force", force, low=0.0),
            series=series,
            not_modelled="friction, gas force, temperature; between measured clicks forces are mixed in proportion",
            notes=(f"Clicks count from closed; the dial has {curves.total_clicks}.",),
        )
    )


def force_speed_csv(curves: DialCurves) -> str:
    """The same points, one row each, as the command damper reads them."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["clicks", "speed (mm/s)", "force (N)"])
    for click, row in zip(curves.from_closed, curves.force_n, strict=True):
        for speed, force in zip(curves.speed_mm_s, row, strict=True):
            writer.writerow([click, f"{speed:.9g}", f"{force:.9g}"])
    return out.getvalue()
