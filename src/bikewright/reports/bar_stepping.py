"""Bar parts stepped by a rule, as a page of text, as CSV and as JSON.

Question answered   Which stem, bar and spacers of the stock does the rule give each size, what is left over in
                    millimetres, and what does each rule cost elsewhere?
Method              Parts before and after size by size; what each does to the rider that the size is made for; what the
                    stock cannot give; the rules side by side; the changes as they are typed.
Axes and signs      Left over is what the hands have more than the rule wants: ahead, up, wider.
Left out            Anything computed.
"""

import csv
import io
from collections.abc import Sequence
from typing import Any

from bikewright.reports.as_json import VERSION, build_json
from bikewright.reports.coverage import LENGTH
from bikewright.reports.numbers import number_text
from bikewright.reports.stepping import (
    ANGLE,
    FINE,
    SHARE,
    ends_text,
    kept_text,
    notes_of_riders,
    own_json,
    pair_text,
    set_lines,
)
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import ARROW, BLANK, ShownUnits, text_of
from bikewright.studies.bar_steps import WIDTH_WITHIN_MM, BarCost, BarStep, BarStepped, Hands

NOT_MODELLED = (
    "Not modelled: what steering feels like with another stem or width, the steerer's length, hoses and cables, bars "
    "cut down, what a rider likes. That a width goes with the shoulders, and the spacers that are tried, are "
    "common practice, no source; limits printed on stem, bar and fork come first."
)
RULE_TEXT = {
    "as drawn": "as drawn",
    "equal": "equal steps of the hands",
    "posture": "equal posture",
}
PART_ROWS = (
    "stem",
    "bar",
    "spacers",
    "wanted width",
    "width left over",
    "reach left over",
    "height left over",
    "solved stem",
    "solved rise",
)
FACT_HEADS = ("size", "rider", "shoulders", "grip reach", "grip height", "trunk", "shoulder", "front wheel")
COST_HEADS = ("", "reach step", "height step", "trunk", "shoulder", "front", "width/shoulders", "stem", "not met")


def bar_lines(found: BarStepped, costs: Sequence[BarCost], units: ShownUnits, folder: str) -> list[str]:
    """Stepped bar parts as lines of text of at most 100 columns."""
    build = found.before
    heading = f"{build.frame.name}, {build.name}: bar parts, {RULE_TEXT[found.rule]}, {kept_text(found)}"
    missed = [line for text in missed_texts(found) for line in paragraph(text, 2)]
    return [
        *paragraph(heading),
        *paragraph(rule_text(found, units)),
        "",
        *_sizes(found, units),
        "On the rider that each size is made for, standing",
        *columns([FACT_HEADS, *fact_rows(found, units)], "l" + "r" * (len(FACT_HEADS) - 1), gap=1),
        *(line for text in rider_notes(found) for line in paragraph(text, 2)),
        *(["", "The stock does not meet the rule", *missed] if missed else []),
        "",
        "What each rule costs: spreads over the sizes, largest less least; steps likewise",
        *columns([COST_HEADS, *cost_rows(costs, units)], "lrrrrrrrl", gap=1),
        "",
        *set_lines(typed_changes(found), "To write it into the files:", f"{folder} --build {build.name}"),
        *paragraph(NOT_MODELLED),
    ]


def rule_text(found: BarStepped, units: ShownUnits) -> str:
    """What the rule asks, with its factor and tolerance, as sentences."""
    within = text_of(found.within_mm, LENGTH, units)
    hands = (
        "Stem, bar and spacers of the stock are chosen so that the hands step evenly ahead and up"
        if found.rule == "equal"
        else "Stem, bar and spacers of the stock are chosen so that trunk and shoulder stand at the angles of size "
        f"{found.keep}'s rider"
    )
    width = (
        "The width steps as stated."
        if found.width_factor is None
        else f"The width is {number_text(found.width_factor, 2)} times the breadth of the shoulders, as in size "
        f"{found.keep}, to the nearest of the stock within {text_of(WIDTH_WITHIN_MM, LENGTH, units)} (common practice, "
        "no source)."
    )
    return f"{hands}, within {within}. {width}"


def _sizes(found: BarStepped, units: ShownUnits) -> list[str]:
    """One block a size: parts have long names."""
    lines = []
    for one, cells in zip(found.sizes, part_cells(found, units), strict=True):
        told = [f"{head}: {cell}" for head, cell in zip(PART_ROWS, cells, strict=True) if cell != BLANK]
        lines += paragraph(f"{one.size}  {'; '.join(told)}", 2)
    return [*lines, ""]


def part_cells(found: BarStepped, units: ShownUnits) -> list[tuple[str, ...]]:
    """Parts before and after, what is wanted and left over, size by size, as cells under `PART_ROWS`."""
    return [_part_cells(one, units) for one in found.sizes]


def _part_cells(one: BarStep, units: ShownUnits) -> tuple[str, ...]:
    spacers = pair_text(one.before.spacers_mm, one.after.spacers_mm, LENGTH, units)
    wanted = text_of(one.wanted_width_mm, LENGTH, units)
    left = (BLANK if value is None else _signed(value, units) for value in one.left)
    solved = (text_of(length, LENGTH, units) for length in one.solved or (None, None))
    return (
        _exchanged(one.before.stem, one.after.stem),
        _exchanged(one.before.bar, one.after.bar),
        spacers,
        wanted,
        *left,
        *solved,
    )


def _exchanged(before: str, after: str) -> str:
    return after if before == after else f"{before} {ARROW} {after}"


def _signed(value_mm: float, units: ShownUnits) -> str:
    text = text_of(value_mm, FINE, units)
    return f"+{text}" if value_mm > 0.05 else text.replace("-0.0", "0.0").replace("\u22120.0", "0.0")


def fact_rows(found: BarStepped, units: ShownUnits) -> list[tuple[str, ...]]:
    """What each size's parts do to its own rider as cells, under `FACT_HEADS`."""
    return [
        (
            one.size,
            BLANK if one.own is None else text_of(one.own.rider.stature_mm, LENGTH, units),
            text_of(one.shoulders_mm, LENGTH, units),
            pair_text(one.before.reach_mm, one.after.reach_mm, LENGTH, units),
            pair_text(one.before.height_mm, one.after.height_mm, LENGTH, units),
            pair_text(one.before.facts.trunk_deg, one.after.facts.trunk_deg, ANGLE, units),
            pair_text(one.before.facts.shoulder_deg, one.after.facts.shoulder_deg, ANGLE, units),
            pair_text(one.before.facts.front_share_pct, one.after.facts.front_share_pct, SHARE, units),
        )
        for one in found.sizes
    ]


def rider_notes(found: BarStepped) -> list[str]:
    """Who chose the sizes' own riders, and what some of it waits for, as sentences."""
    return notes_of_riders((one.own, (one.before.facts, one.after.facts)) for one in found.sizes)


def missed_texts(found: BarStepped) -> list[str]:
    """Where the stock has nothing near enough, and by how much it misses, as sentences."""
    return [f"{one.size}: {one.told}" for one in found.sizes if not one.met]


def cost_rows(costs: Sequence[BarCost], units: ShownUnits) -> list[tuple[str, ...]]:
    """What each rule costs as cells, under `COST_HEADS`."""
    return [
        (
            RULE_TEXT[cost.name].removesuffix(" of the hands"),
            text_of(cost.reach_steps_mm, FINE, units),
            text_of(cost.height_steps_mm, FINE, units),
            text_of(cost.trunk_deg, ANGLE, units),
            text_of(cost.shoulder_deg, ANGLE, units),
            BLANK if cost.front_share_pts is None else f"{number_text(cost.front_share_pts, 1)} pts",
            BLANK
            if cost.width_over_shoulders is None
            else "–".join(number_text(value, 2) for value in cost.width_over_shoulders),
            ends_text(cost.stem_mm, units),
            ", ".join(cost.missed),
        )
        for cost in costs
    ]


def typed_changes(found: BarStepped) -> list[str]:
    """Every change as it is typed, each for one size."""
    return [f"{address}={value}" for address, value in found.changes]


_CSV_HANDS = ("stem", "bar", "width_mm", "rise_mm", "spacers_mm", "reach_mm", "height_mm")


def bar_csv(found: BarStepped) -> str:
    """Bar parts before and after as CSV, one row a size."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["size", "met", *(f"{when}_{key}" for when in ("before", "after") for key in _CSV_HANDS)])
    for one in found.sizes:
        cells = [getattr(hands, key) for hands in (one.before, one.after) for key in _CSV_HANDS]
        texts = [f"{cell:.2f}" if isinstance(cell, float) else cell for cell in cells]
        writer.writerow([one.size, "yes" if one.met else "no", *texts])
    return out.getvalue()


def bar_json(found: BarStepped, costs: Sequence[BarCost]) -> dict[str, Any]:
    """Stepped bar parts for programs."""
    return {
        "format": "bikewright/bar-steps",
        "version": VERSION,
        "before": build_json(found.before),
        "after": build_json(found.after),
        "rule": found.rule,
        "keep": found.keep,
        "within_mm": found.within_mm,
        "width_factor": found.width_factor,
        "met": found.met,
        "sizes": [_size_json(one) for one in found.sizes],
        "changes": [{"address": address, "value": value} for address, value in found.changes],
        "rules": [_cost_json(cost) for cost in costs],
        "not_modelled": NOT_MODELLED,
    }


def _size_json(one: BarStep) -> dict[str, Any]:
    width, reach, height = one.left
    return {
        "size": one.size,
        "own_rider": own_json(one.own),
        "shoulders_mm": one.shoulders_mm,
        "before": _hands_json(one.before),
        "after": _hands_json(one.after),
        "wanted": {
            "width_mm": one.wanted_width_mm,
            "reach_mm": one.wanted_reach_mm,
            "height_mm": one.wanted_height_mm,
        },
        "left_over": {"width_mm": width, "reach_mm": reach, "height_mm": height},
        "solved": None if one.solved is None else {"stem_mm": one.solved[0], "rise_mm": one.solved[1]},
        "met": one.met,
        "reason": one.told or None,
    }


def _hands_json(hands: Hands) -> dict[str, Any]:
    found: dict[str, Any] = {key: getattr(hands, key) for key in ("stem_mm", *_CSV_HANDS)}
    found |= {key: getattr(hands.facts, key) for key in ("trunk_deg", "shoulder_deg", "front_share_pct")}
    return found | ({"waits": hands.facts.waits} if hands.facts.waits else {})


def _cost_json(cost: BarCost) -> dict[str, Any]:
    ratio = cost.width_over_shoulders
    return {
        "rule": cost.name,
        "reach_steps_mm": cost.reach_steps_mm,
        "height_steps_mm": cost.height_steps_mm,
        "trunk_deg": cost.trunk_deg,
        "shoulder_deg": cost.shoulder_deg,
        "front_share_pts": cost.front_share_pts,
        "width_over_shoulders": None if ratio is None else list(ratio),
        "stem_mm": list(cost.stem_mm),
        "missed": list(cost.missed),
    }
