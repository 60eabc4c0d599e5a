"""An old range laid beside a new one, rider by rider, as a page of text and as JSON.

Question answered   Which size does each rider go to, with what gained and lost, and who loses their size?
Method              Those who lose their size first; then one block a group, with its changes in felt steps.
Axes and signs      A change is new less old.
Left out            Anything computed.
"""

from collections.abc import Iterable
from typing import Any

from bikewright.reports.as_json import VERSION, build_json
from bikewright.reports.coverage import LENGTH, WHO, crowd_text, span_text
from bikewright.reports.numbers import number_text
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import ARROW, BLANK, ShownUnits, text_of
from bikewright.studies.regrouping import Move, Regroup, Regrouped

NOT_MODELLED = (
    "Not modelled: what a rider likes. Of the sizes that fit, the one whose own rider is nearest in stature is named; "
    "both bikes stand at their stated sag, the saddle where the rider's legs want it."
)

HEADS = ("", "before and after", "change", "felt")
NONE = "none"
NO_OLD_SIZE = "the old range has no such size: nothing to lay beside it"


def regroup_lines(found: Regrouped, units: ShownUnits) -> list[str]:
    """Groups of riders as lines of text of at most 100 columns."""
    return [
        *paragraph(regroup_heading(found)),
        *paragraph(riders_text(found)),
        "",
        *_ends("Lose their size", (group for group in found.groups if group.loses), units),
        *_ends("Had no size and have one", (group for group in found.groups if group.wins), units),
        *(line for group in found.groups if group.old and group.new for line in _group(group, units)),
        *_ends("No size before or after", (one for one in found.groups if not one.old and not one.new), units),
        *paragraph(NOT_MODELLED),
    ]


def regroup_heading(found: Regrouped) -> str:
    """From what to what."""
    return f"From {_bike(found.old.build)} to {_bike(found.new.build)}"


def riders_text(found: Regrouped) -> str:
    """Who the riders are."""
    return f"Riders: the people of {found.file}." if found.file else crowd_text(found.old.crowd)


def _bike(build: Any) -> str:
    revision = f", revision {build.frame.revision}" if build.frame.revision else ""
    return f"{build.frame.name}{revision}, {build.name}"


def group_text(group: Regroup, units: ShownUnits) -> str:
    """Who a group is: statures, and how many."""
    low, high = (text_of(value, LENGTH, units) for value in (group.low_mm, group.high_mm))
    span = low if low == high else span_text(group.low_mm, group.high_mm, units)
    if group.count:
        return f"{group.count} {WHO[group.column]}, {span}"
    pct = "" if group.people_pct is None else f", {number_text(group.people_pct, 1)} % of them"
    return f"{WHO[group.column]} of mean legs, {span}{pct}"


def _ends(heading: str, groups: Iterable[Regroup], units: ShownUnits) -> list[str]:
    lines = []
    for group in groups:
        lines += paragraph(end_text(group, units), 2)
    return [heading, *lines, ""] if lines else []


def end_text(group: Regroup, units: ShownUnits) -> str:
    """A group that loses its size, or had none: the size, and who they are."""
    size = group.old or group.new
    return f"{size + ': ' if size else ''}{group_text(group, units)}"


def move_heading(group: Regroup) -> str:
    """From size to size."""
    return f"{group.old or NONE} {ARROW} {group.new or NONE}"


def rider_text(group: Regroup, units: ShownUnits) -> str:
    """By which rider a group is told."""
    told = f"told by {text_of(group.rider.stature_mm, LENGTH, units)}"
    if group.rider.inseam_mm is not None:
        told += f", inseam {text_of(group.rider.inseam_mm, LENGTH, units)}"
    return told


def _group(group: Regroup, units: ShownUnits) -> list[str]:
    lines = [f"{move_heading(group)}: {group_text(group, units)}"]
    if not group.moves:
        return [*lines, f"  {NO_OLD_SIZE}", ""]
    rows = [move_row(move, units) for move in group.moves]
    return [*lines, f"  {rider_text(group, units)}", *columns(rows, "lrrr", indent=4), ""]


def move_row(move: Move, units: ShownUnits) -> tuple[str, str, str, str]:
    """One quantity on the old and on the new size as cells, under `HEADS`."""
    quantity = move.quantity
    before, after = (units.value(quantity, value) for value in (move.before, move.after))
    change = BLANK
    if move.before is not None and move.after is not None:
        change = units.change(quantity, move.before, move.after)
    steps = "" if move.steps is None else f"{number_text(abs(move.steps), 1)} steps"
    return quantity.label, f"{before} {ARROW} {after}", change, steps


def regroup_json(found: Regrouped) -> dict[str, Any]:
    """Groups of riders for programs."""
    return {
        "format": "bikewright/regroup",
        "version": VERSION,
        "old": build_json(found.old.build),
        "new": build_json(found.new.build),
        "file": found.file or None,
        "groups": [
            {
                "people": WHO[group.column],
                "low_mm": group.low_mm,
                "high_mm": group.high_mm,
                "old": group.old or None,
                "new": group.new or None,
                "loses": group.loses,
                "people_pct": group.people_pct,
                "count": group.count,
                "rider": {"stature_mm": group.rider.stature_mm, "inseam_mm": group.rider.inseam_mm},
                "moves": [
                    {"address": move.address, "before": move.before, "after": move.after, "steps": move.steps}
                    for move in group.moves
                ],
            }
            for group in found.groups
        ],
        "not_modelled": NOT_MODELLED,
    }
