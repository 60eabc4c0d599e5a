"""Fit, coverage and steps as JSON-ready data for the workbench: tables of texts, and what is drawn as numbers.

Question answered   What does the page draw and write about a rider on a build, about the people that the sizes fit, and
                    about sizes stepped by a rule?
Method              The cells and sentences of the printed answers, so that screen and paper say the same; poses and
                    charts as numbers, as in `bikewright.reports.screen`.
Axes and signs      Points in millimetres in ground axes, x forward, z up.
Left out            Layout and colour: the page's own.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from bikewright.reports import bar_stepping as told_bars
from bikewright.reports import coverage as told_coverage
from bikewright.reports import fit as told_fit
from bikewright.reports import stepping as told_steps
from bikewright.reports.as_json import build_json
from bikewright.reports.buying import buyers_data
from bikewright.reports.chart_data import chart_data
from bikewright.reports.comparison import CAUTION
from bikewright.reports.coverage_chart import coverage_plot
from bikewright.reports.fit_sheet import ARC, SHORT_LABEL
from bikewright.reports.numbers import unit_text, value_text
from bikewright.reports.screen import pose_data
from bikewright.reports.wording import ShownUnits
from bikewright.studies.bar_steps import BAR_ASKABLE, BarCost, BarStepped
from bikewright.studies.buying import Buyers
from bikewright.studies.coverage import COLUMNS, Coverage
from bikewright.studies.fit_pose import FitPicture, JointMark
from bikewright.studies.fitting import Fit, PostureFit
from bikewright.studies.step_rules import ASKABLE, Askable, Cost, Stepped


def fit_data(fit: Fit, pictures: Mapping[str, FitPicture], units: ShownUnits) -> dict[str, Any]:
    """A rider's fit, ready to show.

    Parameters
    ----------
    fit : Fit
        The answer.
    pictures : mapping of str to FitPicture
        By posture; a posture that cannot be taken has none.
    units : ShownUnits
        Units that the reader picked.

    Returns
    -------
    dict
        The verdict with its reasons, the rider, postures, saddle, post and cockpit as rows of cells.
    """
    post = fit.dropper
    return {
        "build": build_json(fit.build),
        "rider": fit.rider.name,
        "fits": fit.fits,
        "verdict": told_fit.verdict_line(fit),
        "reasons": list(fit.reasons),
        "measures": told_fit.rider_rows(fit, units),
        "measures_note": f"per cent {told_fit.POPULATION_NOTE}",
        "postures": [_posture(one, pictures.get(one.name), units) for one in fit.postures],
        "saddle": {
            "told": told_fit.saddle_text(fit, units),
            "rules": [told_fit.rule_row(rule, units) for rule in fit.saddle.rules],
        },
        "post": {
            "heading": told_fit.post_heading(fit, units),
            "rows": told_fit.post_rows(fit, units),
            "refusal": post.refusal,
            "waits": post.waits,
            "shelf": told_fit.shelf_rows(fit, units),
            "fitting": [one.name for one in post.shelf if one.fits],
            "now": post.post or "",
        },
        "cockpit": told_fit.cockpit_rows(fit, units),
        "cockpit_told": told_fit.reach_texts(fit, units),
        "cockpit_waits": list(fit.cockpit.waits),
        "notes": [told_fit.RANGES_NOTE, told_fit.NOT_MODELLED, CAUTION],
    }


def _posture(posture: PostureFit, picture: FitPicture | None, units: ShownUnits) -> dict[str, Any]:
    return {
        "name": posture.name,
        "label": posture.label,
        "heading": told_fit.posture_heading(posture),
        "refusal": posture.refusal,
        "angles": [
            {"cells": told_fit.angle_row(angle, units), "outside": angle.verdict != "inside"}
            for angle in posture.angles
        ],
        "loads": told_fit.load_texts(posture, units),
        "pose": None if picture is None else pose_data(picture.bike),
        "marks": [] if picture is None else [_mark(mark) for mark in picture.marks],
    }


def _mark(mark: JointMark) -> dict[str, Any]:
    """Where an angle is drawn, and its number."""
    vertex, first, second = ([round(x, 1) for x in point] for point in (mark.vertex, mark.first, mark.second))
    name = mark.angle.name
    return {
        "vertex": vertex,
        "first": first,
        "second": second,
        "radius": ARC[name],
        "text": f"{SHORT_LABEL[name]} {value_text(mark.angle.value_deg, told_fit.ANGLE)}",
        "outside": mark.angle.verdict != "inside",
    }


def coverage_data(found: Coverage, buyers: Buyers | None, units: ShownUnits) -> dict[str, Any]:
    """Whom the sizes fit, ready to show; with a firm's list laid beside it where there is one."""
    edges: list[tuple[str, ...]] = []
    for size in found.sizes:
        middle = size.men.middle
        own = told_coverage.own_text(size, units)
        if middle is None:
            edges.append((size.size, told_coverage.nobody_text(size.men, units), "", own))
        else:
            ends = [told_coverage.edge_text(edge, units) for edge in (middle.low, middle.high)]
            edges.append((size.size, *ends, own))
    charts = {column: coverage_plot(found, units, column) for column in COLUMNS}
    return {
        "build": build_json(found.build),
        "people": told_coverage.crowd_text(found.crowd),
        "whole": found.is_whole,
        "charts": {told_coverage.WHO[column]: chart_data(chart) for column, chart in charts.items()},
        "buyers": None if buyers is None else buyers_data(buyers, charts, units),
        "sold_heads": ["", *(size.size for size in found.sizes)],
        "sold": told_coverage.sold_rows(found, units),
        "heads": told_coverage.HEADS,
        "bands": told_coverage.band_rows(found, units),
        "edges": edges,
        "neighbours": [told_coverage.neighbours_text(pair, units) for pair in found.neighbours],
        "bounds": told_coverage.ranges_text(found),
        "notes": [told_coverage.NOT_MODELLED],
    }


def steps_data(found: Stepped, costs: Sequence[Cost], units: ShownUnits) -> dict[str, Any]:
    """Sizes stepped by a rule, ready to show, with the changes as they are made."""
    return {
        "build": build_json(found.before),
        "rule": found.rule,
        "keep": found.keep,
        "met": found.met,
        "told": told_steps.rule_text(found),
        "heads": ["", *(one.size for one in found.sizes)],
        "dimensions": told_steps.dimension_rows(found, units),
        "fact_heads": told_steps.FACT_HEADS,
        "facts": told_steps.fact_rows(found, units),
        "missed": told_steps.missed_texts(found),
        "cost_heads": _with_unit(told_steps.COST_HEADS, ("rear centre", "wheelbase"), units),
        "costs": told_steps.cost_rows(costs, units),
        "changes": told_steps.typed_changes(found),
        "notes": [*told_steps.rider_notes(found), told_steps.NOT_MODELLED],
    }


def _with_unit(heads: Sequence[str], lengths: Sequence[str], units: ShownUnits) -> list[str]:
    """The heads, with the unit of a length where the cells below are bare numbers."""
    return [f"{head}, {units.of('mm')}" if head in lengths else head for head in heads]


def bar_data(found: BarStepped, costs: Sequence[BarCost], units: ShownUnits) -> dict[str, Any]:
    """Bar parts stepped by a rule, ready to show, with the changes as they are made; of the form of `steps_data`."""
    return {
        "build": build_json(found.before),
        "rule": found.rule,
        "keep": found.keep,
        "met": found.met,
        "told": told_bars.rule_text(found, units),
        "heads": ["", *(one.size for one in found.sizes)],
        "dimensions": [
            (head, *cells)
            for head, cells in zip(
                told_bars.PART_ROWS, zip(*told_bars.part_cells(found, units), strict=True), strict=True
            )
        ],
        "fact_heads": told_bars.FACT_HEADS,
        "facts": told_bars.fact_rows(found, units),
        "missed": told_bars.missed_texts(found),
        "cost_heads": _with_unit(told_bars.COST_HEADS, ("stem",), units),
        "costs": told_bars.cost_rows(costs, units),
        "changes": told_bars.typed_changes(found),
        "notes": [*told_bars.rider_notes(found), told_bars.NOT_MODELLED],
    }


def rules_data() -> list[dict[str, Any]]:
    """What a form offers that asks for steps: of the frame first, then of stem, bar and spacers."""
    return [
        {"words": "the frame", "rules": [_rule_data(one, told_steps.RULE_TEXT) for one in ASKABLE]},
        {"words": "stem, bar and spacers", "rules": [_rule_data(one, told_bars.RULE_TEXT) for one in BAR_ASKABLE]},
    ]


def _rule_data(one: Askable, texts: Mapping[str, str]) -> dict[str, Any]:
    return {
        "rule": one.rule,
        "words": texts[one.rule],
        "steps": [{"name": name, "label": f"{name.replace('_', ' ')} step"} for name in one.steps],
        "within": "" if one.within is None else f"{one.within:g}",
        "unit": "points" if one.unit == "pts" else unit_text(one.unit).strip(),
        "capped": one.is_capped,
    }
