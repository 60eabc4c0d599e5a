"""An old range to a new one, the cockpit solved, and what may be asked of a range, as data for the workbench.

Question answered   What does the page draw and write about riders who go from size to size, about a wanted place of the
                    hands, and which bounds does it offer to be typed?
Method              The rows and sentences of the printed answers, so that screen and paper say the same. Bars are spans
                    of stature in the reader's unit; those of a row that would lie over each other stand in lanes.
Axes and signs      A change is new less old.
Left out            Layout and colour: the page's own.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from bikewright.errors import BikewrightError
from bikewright.reports import fit as told_fit
from bikewright.reports import regrouping as told
from bikewright.reports.as_json import build_json
from bikewright.reports.comparison import CAUTION
from bikewright.reports.coverage import NOT_MODELLED, SOLDIERS, WHO
from bikewright.reports.numbers import unit_text
from bikewright.reports.screen import comparison_data
from bikewright.reports.ticks import nice_ticks, tick_text
from bikewright.reports.wording import ShownUnits, place_text
from bikewright.studies.cockpit_solve import Solution
from bikewright.studies.compare import Comparison
from bikewright.studies.coverage import COLUMNS, Column, Coverage
from bikewright.studies.fitting import COMMON, RANGES, SHORT, Fit, label_of
from bikewright.studies.regrouping import Regroup, Regrouped
from bikewright.units import convert

STEPS_ACROSS = 6
"""Most steps between ticks: as many as a phone can show."""
SPARE_MM = 20.0
"""Beside the first and the last bar."""
NOBODY = (1500.0, 2000.0)
"""Statures of an axis on which nothing lies [mm]."""
HANDS = {
    "seated-length": "saddle to grip, seated on the flat",
    "seated-drop": "saddle over the grips",
    "hand-height": "grips over the ground, standing",
}
"""What of the cockpit the page has typed, as the fit calls it."""
BY_WORDS = {
    "reach": "reach of the frame",
    "stack": "stack of the frame",
    "stem": "stem, length",
    "spacers": "spacers under the stem",
    "rise": "bar, rise",
    "roll": "bar, roll",
    "saddle-back": "saddle back on its rails",
    "cup": "upper headset cup, height",
}


@dataclass(frozen=True, slots=True)
class Tried:
    """One dimension that was asked to bring the hands where they are wanted."""

    by: str
    """Key of `bikewright.studies.cockpit_solve.SHORT_NAMES`."""
    solution: Solution | None
    comparison: Comparison | None
    refused: BikewrightError | None
    """Why there is no solution."""


def regroup_data(found: Regrouped, units: ShownUnits) -> dict[str, Any]:
    """An old range laid beside a new one, ready to show: those who lose their size first."""
    both = [group for group in found.groups if group.old and group.new]
    return {
        "heading": told.regroup_heading(found),
        "people": told.riders_text(found),
        "loses": [told.end_text(group, units) for group in found.groups if group.loses],
        "wins": [told.end_text(group, units) for group in found.groups if group.wins],
        "nobody": [told.end_text(group, units) for group in found.groups if not group.old and not group.new],
        "heads": told.HEADS,
        "groups": [_group(group, units) for group in both],
        "bars": {WHO[column]: _bars(found, column, units) for column in COLUMNS},
        "notes": [told.NOT_MODELLED, *([] if found.file else [f"The surveyed people are {SOLDIERS}."]), NOT_MODELLED],
    }


def _group(group: Regroup, units: ShownUnits) -> dict[str, Any]:
    return {
        "heading": told.move_heading(group),
        "who": told.group_text(group, units),
        "rider": told.rider_text(group, units) if group.moves else told.NO_OLD_SIZE,
        "rows": [
            {"cells": told.move_row(move, units), "felt": move.steps is not None and abs(move.steps) >= 1.0}
            for move in group.moves
        ],
    }


def _bars(found: Regrouped, column: Column, units: ShownUnits) -> dict[str, Any]:
    """Bands of men or of women of mean legs: a row of the old sizes, one of the new, one of who goes where."""
    unit = units.of("mm")
    groups = [group for group in found.groups if group.column == column and (group.old or group.new)]
    rows = [_row(name, _spans(one, column)) for name, one in (("old sizes", found.old), ("new sizes", found.new))]
    ends = [end for row in rows for bar in row["bars"] for end in (bar["low"], bar["high"])]
    ends += [end for group in groups for end in (group.low_mm, group.high_mm)]
    low, high = (min(ends) - SPARE_MM, max(ends) + SPARE_MM) if ends else NOBODY
    ticks = nice_ticks(convert(low, "mm", unit), convert(high, "mm", unit), STEPS_ACROSS, tight=True)
    moves: list[dict[str, Any]] = [
        {
            "low": group.low_mm,
            "high": group.high_mm,
            "text": told.move_heading(group),
            "end": "loses" if group.loses else "wins" if group.wins else "",
        }
        for group in groups
        if group.high_mm > group.low_mm
    ]
    for bar in [*moves, *(bar for row in rows for bar in row["bars"])]:
        bar["low"], bar["high"] = (round(convert(bar[end], "mm", unit), 2) for end in ("low", "high"))
    return {
        "axis": {
            "label": f"stature,{unit_text(unit)}",
            "low": ticks.low,
            "high": ticks.high,
            "ticks": [{"at": at, "text": tick_text(at, ticks)} for at in ticks.at],
        },
        "rows": rows,
        "moves": moves,
        "spoken": f"Bands of stature of {WHO[column]} of mean legs: {_spoken(rows)}",
    }


def _spans(coverage: Coverage, column: Column) -> list[tuple[str, float, float]]:
    found = []
    for size in coverage.sizes:
        middle = size.band(column).middle
        if middle is not None:
            found.append((size.size, middle.low.stature_mm, middle.high.stature_mm))
    return found


def _row(name: str, spans: Sequence[tuple[str, float, float]]) -> dict[str, Any]:
    """Bars in the order of the sizes, each in the first lane in which it lies over no other."""
    lanes: list[list[tuple[float, float]]] = []
    bars = []
    for size, low, high in spans:
        lane = next((at for at, taken in enumerate(lanes) if all(high <= a or low >= b for a, b in taken)), len(lanes))
        if lane == len(lanes):
            lanes.append([])
        lanes[lane].append((low, high))
        bars.append({"text": size, "low": low, "high": high, "lane": lane})
    return {"name": name, "lanes": len(lanes), "bars": bars}


def _spoken(rows: Iterable[dict[str, Any]]) -> str:
    told = []
    for row in rows:
        bars = [f"{bar['text']} {bar['low']:.0f} to {bar['high']:.0f}" for bar in row["bars"]]
        told.append(f"{row['name']} {', '.join(bars) or 'fit nobody'}")
    return "; ".join(told)


def hands_data(fit: Fit, units: ShownUnits) -> list[dict[str, str]]:
    """What of the cockpit may be wanted, as it is: what the field is called, what it says, and its number in it."""
    cells = dict(told_fit.cockpit_rows(fit, units))
    now = {
        "seated-length": fit.cockpit.seated_length_mm,
        "seated-drop": fit.cockpit.seated_drop_mm,
        "hand-height": fit.cockpit.hand_height_mm,
    }
    return [
        {"want": want, "label": label, "text": cells[label], "now": f"{now[want]:.0f}"} for want, label in HANDS.items()
    ]


def cockpit_data(want: str, wanted_mm: float, tried: Sequence[Tried], units: ShownUnits) -> dict[str, Any]:
    """What each dimension does for a wanted place of the hands, ready to show, with the change as it is made."""
    return {
        "want": want,
        "told": told_fit.wanted_text(want, wanted_mm, units),
        "heads": ("by", "as it is", "becomes", "change"),
        "solutions": [_tried(one, units) for one in tried],
        "notes": [told_fit.NOT_MODELLED, CAUTION],
    }


def _tried(one: Tried, units: ShownUnits) -> dict[str, Any]:
    row: dict[str, Any] = {"by": one.by, "words": BY_WORDS.get(one.by, place_text(one.by))}
    if one.solution is None or one.comparison is None:
        return {**row, "refused": str(one.refused), "cells": None, "change": "", "reached": "", "follows": None}
    return {
        **row,
        "refused": "",
        "cells": told_fit.solution_cells(one.solution, units),
        "reached": told_fit.reached_text(one.solution, units),
        "change": f"{one.solution.by}={one.solution.value:g}",
        "stops": [f"{place_text(refusal.address)}: {refusal.text}" for refusal in one.comparison.refusals],
        "follows": comparison_data(one.comparison, units),
        "build": build_json(one.solution.changed),
    }


def bounds_data() -> list[dict[str, str]]:
    """Every angle whose range may be stated anew, with the range in use and where it is from."""
    found = []
    for posture, angles in RANGES.items():
        for angle, one in angles.items():
            where, what = label_of(posture, angle)
            low, high = ("" if end is None else f"{end:g}" for end in (one.low, one.high))
            found.append(
                {
                    "bound": f"{posture}.{angle}",
                    "posture": where,
                    "label": what,
                    "low": low,
                    "high": high,
                    "source": SHORT[one.source],
                }
            )
    return found


def bounds_note() -> str:
    """Where the ranges in use are from, as a sentence."""
    named = [
        f"{', '.join(label_of(posture, angle))}: {SHORT[one.source]}"
        for posture, angles in RANGES.items()
        for angle, one in angles.items()
        if one.source != COMMON
    ]
    return f"The default stands in grey. {'; '.join(named)}; all others: {SHORT[COMMON]}."
