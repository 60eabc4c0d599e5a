"""Sizes stepped by a rule, as a page of text, as CSV and as JSON.

Question answered   Which dimensions does the rule give each size, where can it not be met, and what does each rule cost
                    elsewhere?
Method              Dimensions before and after size by size; what each size does to the rider that it is made for; what
                    missed the rule; the rules side by side; the changes as they are typed.
Axes and signs      None.
Left out            Anything computed.
"""

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

from bikewright.reports.as_json import VERSION, build_json
from bikewright.reports.coverage import LENGTH
from bikewright.reports.numbers import number_text
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import ARROW, BLANK, Shown, ShownUnits, text_of
from bikewright.studies.bar_steps import BarStepped
from bikewright.studies.coverage import OwnRider
from bikewright.studies.resizing import Dimensions
from bikewright.studies.step_rules import Cost, Facts, SizeStep, Stepped

NOT_MODELLED = (
    "Not modelled: tubes, outlines and clearances of the changed sizes, which are to be drawn again; what a rider "
    "likes. Riders stand on level cranks on a bike at its stated sag."
)
RULE_TEXT = {
    "as drawn": "as drawn",
    "equal": "equal steps",
    "posture": "equal posture",
    "share": "equal share on the front wheel",
}
DIMENSIONS = (
    ("reach_mm", "reach"),
    ("stack_mm", "stack"),
    ("head_tube_mm", "head tube"),
    ("seat_tube_mm", "seat tube"),
    ("rear_centre_mm", "rear centre"),
)
FINE, ANGLE, SHARE = Shown("mm", 1), Shown("deg", 1), Shown("pct", 1)


def kept_text(found: Stepped | BarStepped) -> str:
    """Which size a rule leaves as it is; else where its steps start."""
    if found.keeps:
        return f"size {found.keep} kept"
    return f"stated ones from size {found.keep}, others even from {found.sizes[0].size} to {found.sizes[-1].size}"


def steps_lines(found: Stepped, costs: Sequence[Cost], units: ShownUnits, folder: str) -> list[str]:
    """A stepped range as lines of text of at most 100 columns."""
    build = found.before
    heading = f"{build.frame.name}, {build.name}: {RULE_TEXT[found.rule]}, {kept_text(found)}"
    return [
        *paragraph(heading),
        *paragraph(rule_text(found)),
        "",
        *_dimensions(found, units),
        "",
        "On the rider that each size is made for, standing",
        *_facts(found, units),
        *_missed(found),
        "",
        "What each rule costs: spreads over the sizes, largest less least; steps likewise",
        *_costs(costs, units),
        "",
        *set_lines(typed_changes(found), "To write it into the files, after a look at the drawing:", folder),
        *paragraph(NOT_MODELLED),
    ]


def rule_text(found: Stepped) -> str:
    """What the rule asks, with its tolerance, as a sentence."""
    if found.rule == "equal":
        return "Reach, stack, seat tube and rear centre step evenly; the head tube follows the stack."
    if found.rule == "posture":
        return (
            f"Reach and stack are solved so that trunk and shoulder stand at the angles of size {found.keep}'s rider, "
            f"within {found.within:g}°; the head tube follows the stack."
        )
    caps = {one.cap_mm for one in found.sizes if one.cap_mm is not None}
    cap = f"{min(low for low, _ in caps):g} to {max(high for _, high in caps):g} mm" if caps else "its cap"
    return (
        f"The rear centre is solved inside {cap} so that the front wheel carries the share that it carries in size "
        f"{found.keep}, within {found.within:g} points; the linkage moves with the rear axle."
    )


def _dimensions(found: Stepped, units: ShownUnits) -> list[str]:
    rows = [("", *(one.size for one in found.sizes)), *dimension_rows(found, units)]
    return columns(rows, "l" + "r" * len(found.sizes))


def dimension_rows(found: Stepped, units: ShownUnits) -> list[tuple[str, ...]]:
    """Dimensions before and after as cells: what, then size by size; what no size has is left out."""
    rows: list[tuple[str, ...]] = []
    for key, word in DIMENSIONS:
        cells = [_before_after(one, key, units) for one in found.sizes]
        if any(cell != BLANK for cell in cells):
            rows.append((f"{word}, {units.of('mm')}", *cells))
    return rows


def _before_after(one: SizeStep, key: str, units: ShownUnits) -> str:
    before, after = (getattr(facts.dimensions, key) for facts in (one.before, one.after))
    told = [BLANK if value is None else _bare(value, units) for value in (before, after)]
    return told[0] if told[0] == told[1] else f"{told[0]} {ARROW} {told[1]}"


def _bare(value_mm: float, units: ShownUnits) -> str:
    """A length without its unit, which stands in the first column."""
    return text_of(value_mm, FINE, units).rpartition(" ")[0]


FACT_HEADS = ("size", "rider", "front wheel", "trunk", "shoulder", "saddle to grip", "wheelbase")
COST_HEADS = ("", "front", "trunk", "shoulder", "reach step", "stack step", "rear centre", "wheelbase", "not met")


def fact_rows(found: Stepped, units: ShownUnits) -> list[tuple[str, ...]]:
    """What each size does to its own rider as cells, under `FACT_HEADS`."""
    rows: list[tuple[str, ...]] = []
    for one in found.sizes:
        rider = BLANK if one.own is None else text_of(one.own.rider.stature_mm, LENGTH, units)
        rows.append(
            (
                one.size,
                rider,
                *(
                    pair_text(getattr(one.before, key), getattr(one.after, key), entry, units)
                    for key, entry in (
                        ("front_share_pct", SHARE),
                        ("trunk_deg", ANGLE),
                        ("shoulder_deg", ANGLE),
                        ("seated_length_mm", LENGTH),
                        ("wheelbase_mm", LENGTH),
                    )
                ),
            )
        )
    return rows


def rider_notes(found: Stepped) -> list[str]:
    """Who chose the sizes' own riders, and what some of it waits for, as sentences."""
    return notes_of_riders((one.own, (one.before, one.after)) for one in found.sizes)


def notes_of_riders(sizes: Iterable[tuple[OwnRider | None, tuple[Facts, Facts]]]) -> list[str]:
    """The same of each size's own rider and the facts before and after."""
    riders, facts = zip(*sizes, strict=True)
    chosen = dict.fromkeys(own.chosen for own in riders if own is not None)
    waits = dict.fromkeys(one.waits for both in facts for one in both if one.waits)
    return [*([f"Riders by: {'; '.join(chosen)}."] if chosen else []), *waits]


def _facts(found: Stepped, units: ShownUnits) -> list[str]:
    rows = [FACT_HEADS, *fact_rows(found, units)]
    return [*columns(rows, "lrrrrrr"), *(line for text in rider_notes(found) for line in paragraph(text, 2))]


def pair_text(before: float | None, after: float | None, entry: Shown, units: ShownUnits) -> str:
    """A value before and after, once where it stays."""
    first, second = text_of(before, entry, units), text_of(after, entry, units)
    if first == second:
        return first
    short = first.removesuffix("°").partition(" ")[0]
    return f"{short} {ARROW} {second}"


def missed_texts(found: Stepped) -> list[str]:
    """Where the rule is not met, and why, as sentences."""
    return [f"{one.size}: {one.told}" for one in found.sizes if not one.met]


def _missed(found: Stepped) -> list[str]:
    lines = [line for text in missed_texts(found) for line in paragraph(text, 2)]
    return ["", "The rule is not met", *lines] if lines else []


def _costs(costs: Sequence[Cost], units: ShownUnits) -> list[str]:
    return columns([COST_HEADS, *cost_rows(costs, units)], "lrrrrrrrl", gap=1)


def cost_rows(costs: Sequence[Cost], units: ShownUnits) -> list[tuple[str, ...]]:
    """What each rule costs as cells, under `COST_HEADS`."""
    rows: list[tuple[str, ...]] = []
    for cost in costs:
        rows.append(
            (
                RULE_TEXT[cost.name].replace(" on the front wheel", ""),
                BLANK if cost.front_share_pts is None else f"{number_text(cost.front_share_pts, 1)} pts",
                text_of(cost.trunk_deg, ANGLE, units),
                text_of(cost.shoulder_deg, ANGLE, units),
                text_of(cost.reach_steps_mm, FINE, units),
                text_of(cost.stack_steps_mm, FINE, units),
                ends_text(cost.rear_centre_mm, units),
                ends_text(cost.wheelbase_mm, units),
                ", ".join(f"{size} (cap)" if size in cost.at_cap else size for size in cost.missed),
            )
        )
    return rows


def ends_text(ends: tuple[float, float] | None, units: ShownUnits) -> str:
    """The least and the most of a length, without its unit."""
    if ends is None:
        return BLANK
    low, high = (text_of(value, LENGTH, units).rpartition(" ")[0] for value in ends)
    return f"{low}–{high}"


def typed_changes(found: Stepped) -> list[str]:
    """Every change as it is typed."""
    return [f"{address}={value:g}" for address, value in found.changes]


def set_lines(typed: Sequence[str], heading: str, folder: str) -> list[str]:
    """How changes are written into a folder, as one command that may be copied."""
    if not typed:
        return ["Nothing changes.", ""]
    command = [f"  bikewright set {folder}", *(f"    {text}" for text in typed)]
    return [heading, *(f"{line} \\" for line in command[:-1]), command[-1], ""]


def steps_csv(found: Stepped) -> str:
    """Dimensions before and after as CSV, one row a size."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    keys = [key for key, _ in DIMENSIONS]
    heads = [f"{when}_{key}" for when in ("before", "after") for key in (*keys, "wheelbase_mm", "front_share_pct")]
    writer.writerow(["size", "met", *heads])
    for one in found.sizes:
        cells: list[str] = []
        for facts in (one.before, one.after):
            values = [getattr(facts.dimensions, key) for key in keys] + [facts.wheelbase_mm, facts.front_share_pct]
            cells += ["" if value is None else f"{value:.2f}" for value in values]
        writer.writerow([one.size, "yes" if one.met else "no", *cells])
    return out.getvalue()


def steps_json(found: Stepped, costs: Sequence[Cost]) -> dict[str, Any]:
    """A stepped range for programs."""
    return {
        "format": "bikewright/steps",
        "version": VERSION,
        "before": build_json(found.before),
        "after": build_json(found.after),
        "rule": found.rule,
        "keep": found.keep,
        "within": found.within,
        "met": found.met,
        "sizes": [_size_json(one) for one in found.sizes],
        "changes": [{"address": address, "value": value} for address, value in found.changes],
        "rules": [_cost_json(cost) for cost in costs],
        "not_modelled": NOT_MODELLED,
    }


def own_json(own: OwnRider | None) -> dict[str, Any] | None:
    """The rider that a size is made for."""
    if own is None:
        return None
    return {"stature_mm": own.rider.stature_mm, "inseam_mm": own.rider.inseam_mm, "chosen": own.chosen}


def _size_json(one: SizeStep) -> dict[str, Any]:
    return {
        "size": one.size,
        "own_rider": own_json(one.own),
        "before": _facts_json(one.before),
        "after": _facts_json(one.after),
        "met": one.met,
        "reason": one.told or None,
        "cap_mm": None if one.cap_mm is None else list(one.cap_mm),
        "at_cap": one.at_cap,
    }


def _facts_json(facts: Facts) -> dict[str, Any]:
    dimensions: Dimensions = facts.dimensions
    found: dict[str, Any] = {key: getattr(dimensions, key) for key, _ in DIMENSIONS}
    keys = ("wheelbase_mm", "front_share_pct", "trunk_deg", "shoulder_deg", "seated_length_mm")
    found |= {key: getattr(facts, key) for key in keys}
    return found | ({"waits": facts.waits} if facts.waits else {})


def _cost_json(cost: Cost) -> dict[str, Any]:
    return {
        "rule": cost.name,
        "front_share_pts": cost.front_share_pts,
        "trunk_deg": cost.trunk_deg,
        "shoulder_deg": cost.shoulder_deg,
        "reach_steps_mm": cost.reach_steps_mm,
        "stack_steps_mm": cost.stack_steps_mm,
        "rear_centre_mm": None if cost.rear_centre_mm is None else list(cost.rear_centre_mm),
        "wheelbase_mm": None if cost.wheelbase_mm is None else list(cost.wheelbase_mm),
        "at_cap": list(cost.at_cap),
        "missed": list(cost.missed),
    }
