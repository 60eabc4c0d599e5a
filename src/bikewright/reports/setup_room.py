"""Set-ups, the coil question and tune tables as JSON-ready data for the workbench.

Question answered   What does the page write about a rider's set-up, beside another's, and about springs and tunes?
Method              The steps, rows and sentences of the card and the printed answers, so that all of them say the same;
                    what may be taken into the draft as changes by address.
Left out            Layout and colour: the page's own.
"""

from collections.abc import Sequence
from typing import Any

from bikewright.reports import coil as told_coil
from bikewright.reports import setup as told_setup
from bikewright.reports.as_json import build_json
from bikewright.reports.chart_data import chart_data
from bikewright.reports.comparison import CAUTION
from bikewright.reports.screen import comparison_data
from bikewright.reports.sheets.tune_table import RULE, column_heading, column_waits, tune_cells, tune_refusals
from bikewright.reports.wording import ShownUnits, place_text
from bikewright.studies.coil_study import CoilStudy
from bikewright.studies.compare import Comparison
from bikewright.studies.setup import Setup
from bikewright.studies.tune_table import TuneTable


def setup_data(
    setup: Setup, other: Setup | None, comparison: Comparison | None, changes: Sequence[str], units: ShownUnits
) -> dict[str, Any]:
    """A set-up, ready to show; with another one, both beside each other.

    Parameters
    ----------
    setup : Setup
        The answer.
    other : Setup or None
        Another rider's.
    comparison : Comparison or None
        What follows on the bike from one to the other.
    changes : sequence of str
        What takes the set-up into the draft, from `bikewright.studies.taking.changes_to`.
    units : ShownUnits
        Units that the reader picked.

    Returns
    -------
    dict
        Refusals, steps in the order in which things are set, choices, the other rider, what is taken.
    """
    settings = setup.build.settings
    return {
        "build": build_json(setup.build),
        "rider": told_setup.rider_text(setup.build.rider, units),
        "refused": [f"{place_text(one.address)}: {one.text}" for one in setup.refused],
        "steps": [
            {"title": step.title, "lines": [(line.what, line.value, line.beside) for line in step.lines],
             "told": list(step.told)}
            for step in told_setup.setup_steps(setup, units)
        ],
        "choices": [
            {"name": one.name, "heads": one.heads, "rows": one.rows} for one in told_setup.setup_choices(setup, units)
        ],
        "sags": {end.end: getattr(settings, f"sag_{end.end}_pct") for end in setup.springs.ends},
        "reference": told_setup.reference_text(setup, "pick one above"),
        "beside": None if other is None else _beside(setup, other, units),
        "comparison": None if comparison is None else comparison_data(comparison, units),
        "changes": list(changes),
        "notes": [told_setup.NOT_MODELLED, told_setup.PRESSURE_CAUTION, CAUTION],
    }  # fmt: skip


def _beside(first: Setup, second: Setup, units: ShownUnits) -> dict[str, Any]:
    return {
        "heads": ["", *(told_setup.rider_text(one.build.rider, units) for one in (first, second))],
        "rows": [
            {"cells": (what, one, two), "differs": differs}
            for what, one, two, differs in told_setup.rows_beside(first, second, units)
        ],
    }


def coil_data(study: CoilStudy, units: ShownUnits) -> dict[str, Any]:
    """The coil question, ready to show: the answer, each reason, both springs."""
    laid = study.laid
    return {
        "build": build_json(study.build),
        "may": study.may,
        "answer": told_coil.ANSWERS[study.may],
        "reasons": [
            (told_coil.QUESTIONS[one.question], one.may, told_coil.reason_text(one, units)) for one in study.reasons
        ],
        "laid": None
        if laid is None
        else {
            "told": told_coil.laid_heading(study, laid, units),
            "rows": told_coil.feel_rows(laid, units),
            "support": told_coil.support_text(laid, units),
            "chart": chart_data(told_coil.coil_plot(study, laid, units)),
        },
        "laid_waits": study.laid_waits,
        "notes": [told_coil.NOT_MODELLED, told_setup.PRESSURE_CAUTION, CAUTION],
    }


def tunes_data(table: TuneTable, units: ShownUnits) -> dict[str, Any]:
    """A base tune table, ready to show."""
    builds = []
    for column in table.columns:
        heads, rows = tune_cells(column, units)
        builds.append(
            {
                "heading": column_heading(column, units),
                "heads": heads,
                "rows": [[{"text": cell.text, "below": cell.below} for cell in row] for row in rows],
                "refused": tune_refusals(column, units),
                "waits": column_waits(column),
            }
        )
    notes = [RULE, told_setup.NOT_MODELLED, told_setup.PRESSURE_CAUTION, CAUTION]
    return {"base": table.base, "builds": builds, "notes": notes}
