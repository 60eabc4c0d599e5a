"""Tables for a terminal: values by family, the geometry chart over sizes, curves in figures.

Question answered   How does an answer read on a terminal of 100 columns?
Method              Columns are as wide as their longest text; a column that would pass the width is wrapped.
Axes and signs      None.
Left out            Colour: a table reads the same in a log, a mail and a diff.
"""

import textwrap
from collections.abc import Iterable, Sequence

from bikewright.model.build import Build
from bikewright.model.defaults import defaults_taken
from bikewright.model.files import Bike
from bikewright.model.limits import Refusal, refusals
from bikewright.quantities import CATALOGUE, FAMILIES, STATES
from bikewright.reports.wording import ShownUnits, band_text, label, place_text, verdict_text
from bikewright.studies.evaluate import Answer, Value
from bikewright.studies.verdicts import judge, line_for, rider_of

WIDTH = 100
"""Columns of a terminal."""
LEAST_ROOM = 20
"""A last column with less room than this is written below its row."""


def columns(rows: Sequence[Sequence[str]], aligned: str, indent: int = 2, gap: int = 2) -> list[str]:
    """Rows as lines with straight columns.

    Parameters
    ----------
    rows : sequence of sequence of str
        All of one length.
    aligned : str
        For each column ``l`` or ``r``.
    indent, gap : int
        Spaces before the first column and between columns.

    Returns
    -------
    list of str
        Lines no longer than `WIDTH`: the last column is wrapped, or written below, where it must be.
    """
    if not rows:
        return []
    widths = [max(len(row[column]) for row in rows) for column in range(len(aligned))]
    lead = indent + sum(widths[:-1]) + gap * (len(widths) - 1)
    room = WIDTH - lead
    below = room < LEAST_ROOM and widths[-1] > room
    lines = []
    for row in rows:
        cells = [
            cell.rjust(width) if side == "r" else cell.ljust(width)
            for cell, width, side in zip(row[:-1], widths[:-1], aligned[:-1], strict=True)
        ]
        start = " " * indent + (" " * gap).join(cells)
        if below:
            lines += [start.rstrip(), *paragraph(row[-1], indent + 6)]
            continue
        last = row[-1] if len(row[-1]) > room or aligned[-1] == "l" else row[-1].rjust(min(widths[-1], room))
        wrapped = textwrap.wrap(last, room) or [""]
        lines.append((start + " " * (gap if cells else 0) + wrapped[0]).rstrip())
        lines.extend(" " * lead + more for more in wrapped[1:])
    return lines


def paragraph(text: str, indent: int = 0) -> list[str]:
    """A sentence as lines no longer than `WIDTH`."""
    return textwrap.wrap(text, WIDTH - indent, initial_indent=" " * indent, subsequent_indent=" " * indent)


def refusal_lines(refused: Sequence[Refusal]) -> list[str]:
    """What the frame or a part does not allow, under a heading; nothing where nothing is refused."""
    if not refused:
        return []
    lines = ["Refused"]
    for refusal in refused:
        lines += paragraph(f"{place_text(refusal.address)}: {refusal.text}", indent=2)
    return [*lines, ""]


def answer_table(answer: Answer, bike: Bike, state: str, units: ShownUnits) -> list[str]:
    """Every value of one build in one state, family by family, with the brief's verdict; refusals before all else."""
    build = answer.build
    lines = [f"{build.frame.name}, size {build.size}, {build.name}", f"state {state}: {STATES[state]}", ""]
    lines += refusal_lines(refusals(build))
    blanks: dict[str, list[str]] = {}
    values = list(answer.values(state))
    for family, heading in FAMILIES.items():
        rows = []
        for value in values:
            if value.quantity.family != family:
                continue
            if value.number is None:
                blanks.setdefault(value.waits, []).append(value.quantity.label)
            else:
                rows.append(
                    (
                        value.quantity.label,
                        units.value(value.quantity, value.number),
                        _brief(value, bike, build, units),
                    )
                )
        if rows:
            lines += [heading, *columns(rows, "lrl"), ""]
    return lines + _blanks(blanks) + _defaults(build)


def _defaults(build: Build) -> list[str]:
    """Numbers that nobody gave and that the answer rests on, each by the address at which it can be given."""
    told = [f"{address} = {number:g}" for address, number in defaults_taken(build)]
    return ["", "taken as defaults", *paragraph("; ".join(told), indent=2)] if told else []


def _blanks(blanks: dict[str, list[str]]) -> list[str]:
    """What has no value yet, by what it waits for; what does not apply to this bike is said in one line."""
    if not blanks:
        return []
    lines = ["blank"]
    for reason, labels in blanks.items():
        told = reason if reason.startswith(("does not apply", "has no loads")) else f"{'; '.join(labels)}: {reason}"
        lines += paragraph(told, indent=2)
    return lines


def _brief(value: Value, bike: Bike, build: Build, units: ShownUnits) -> str:
    line = line_for(bike.brief, value, build.size, rider_of(build))
    if line is None or (line.low is None and line.high is None):
        return ""
    judged = judge(line, value)
    return f"brief {band_text(judged, value.quantity, units)}: {verdict_text(judged, value.quantity, units)}"


def size_table(answers: Sequence[Answer], keys: Iterable[str], state: str, units: ShownUnits) -> list[list[str]]:
    """The geometry chart: one row a quantity, one column a size, headings first; blank rows left out."""
    rows = [["", *(answer.build.size for answer in answers)]]
    for key in keys:
        values = [answer.value(in_state(key, state)) for answer in answers]
        if any(value.number is not None for value in values):
            rows.append([label(values[0], state), *(units.value(value.quantity, value.number) for value in values)])
    return rows


def in_state(key: str, state: str) -> str:
    """Address of a quantity in a state, if it has one there."""
    return f"{key}@{state}" if CATALOGUE[key].scope == "state" else key
