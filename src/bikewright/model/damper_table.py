"""Force-speed tables of a damper: what a sound one is, and reading one from a CSV file.

A table has the same shaft speeds at every measured position of the dial. It begins slowly enough to tell a damping
ratio, leaves no hole over speeds or clicks, and pushes back harder at a higher speed and at a more closed position.
CSV columns: ``clicks``, ``speed`` and ``force``, each with its unit, as in ``speed (mm/s)``; one row a point.
"""

import csv
import io
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from bikewright.errors import AddressError, Fault, ModelError, ModelFileError
from bikewright.model.build import remade, sound
from bikewright.model.faults import near, shown
from bikewright.model.parts import Circuit, Damper
from bikewright.model.stock import Stock
from bikewright.units import convert

CIRCUITS = ("rebound", "compression", "high_compression")
"""Dials of a damper, each the name of its table and of its clicks."""
FIRST_SPEED_MM_S = 100.0
"""A table begins no faster."""
WIDEST_STEP = 2.5
"""A speed is at most so many times the one before it."""
WIDEST_STEP_MM_S = 300.0
"""Or so much more."""
LARGEST_BYTES = 5_000_000
_HEAD = re.compile(r"\s*(clicks?|speed|force)\s*(?:[(\[]\s*([^)\]]*?)\s*[)\]])?\s*", re.IGNORECASE)
_SPEEDS = {"mm/s": "mm_s", "m/s": "m_s", "in/s": "in_s"}
_FORCES = {"n": "n", "lbf": "lbf"}
_ALLOWED = {"speed": "speed (mm/s), speed (m/s) or speed (in/s)", "force": "force (N) or force (lbf)"}


@dataclass(frozen=True, slots=True)
class Unsound:
    """One thing that is wrong with a table."""

    column: str
    """clicks, speed_mm_s or force_n."""
    found: str
    allowed: str = ""
    remedy: str = ""
    row: int | None = None
    """Which position, from 0."""
    point: int | None = None
    """Which speed, from 0."""


def total_clicks(damper: Damper, circuit: str) -> int | None:
    """Clicks of a dial from end to end, counted on this unit; None while nobody has counted."""
    total: int | None = getattr(damper, f"{circuit}_clicks")
    return total


def unsound(damper: Damper, circuit: str) -> tuple[Unsound, ...]:
    """What is wrong with the table of a dial.

    Parameters
    ----------
    damper : Damper
        The damper.
    circuit : str
        One of `CIRCUITS`.

    Returns
    -------
    tuple of Unsound
        Empty for a sound table and where there is none.
    """
    held: Circuit = getattr(damper, circuit)
    if not held.clicks and not held.speed_mm_s and not held.force_n:
        return tuple(_half_knees(held))
    total = total_clicks(damper, circuit)
    if total is None:
        told = f"Count the clicks of this unit from end to end: {circuit}_clicks."
        return (Unsound("clicks", "no total of the dial", remedy=told),)
    shape = tuple(_shape(held))
    return shape or (*_speeds(held), *_clicks(held, total), *_forces(held, damper.counted_from))


def _half_knees(held: Circuit) -> Iterator[Unsound]:
    for end, other in (("closed", "open"), ("open", "closed")):
        if getattr(held, end) is not None and getattr(held, other) is None:
            yield Unsound(other, "nothing", remedy=f"Coefficients are needed at both ends; {end} is there.")
    if held.closed is not None and held.open is not None:
        for key in ("low_n_s_per_mm", "high_n_s_per_mm"):
            least, most = getattr(held.open, key), getattr(held.closed, key)
            if least > most:
                told = "A closed dial pushes back harder; exchange the two."
                yield Unsound("closed", f"{key} = {most:g}", f"at least {least:g}, that of open", told)


def _shape(held: Circuit) -> Iterator[Unsound]:
    if len(held.speed_mm_s) < 4:
        yield Unsound("speed_mm_s", f"{len(held.speed_mm_s)} speeds", "4 or more")
    if len(held.clicks) < 2:
        yield Unsound("clicks", f"{len(held.clicks)} positions", "2 or more, both ends among them")
    if len(held.force_n) != len(held.clicks):
        yield Unsound("force_n", f"{len(held.force_n)} rows", f"one for each of the {len(held.clicks)} positions")
    for row, forces in enumerate(held.force_n):
        if len(forces) != len(held.speed_mm_s):
            allowed = f"one for each of the {len(held.speed_mm_s)} speeds"
            yield Unsound("force_n", f"{len(forces)} forces", allowed, row=row)


def _speeds(held: Circuit) -> Iterator[Unsound]:
    speeds = held.speed_mm_s
    if speeds[0] < 0.0:
        told = "Write speeds without sign; the circuit says which way the shaft moves."
        yield Unsound("speed_mm_s", f"{speeds[0]:g} mm/s", "0 or more", told, point=0)
    elif speeds[0] > FIRST_SPEED_MM_S:
        told = "Slow strokes are missing, and a damping ratio is told at one."
        allowed = f"a first speed of {FIRST_SPEED_MM_S:g} mm/s at the most"
        yield Unsound("speed_mm_s", f"{speeds[0]:g} mm/s first", allowed, told, point=0)
    for point, (before, after) in enumerate(pairwise(speeds), start=1):
        if after <= before:
            told = f"It follows {before:g} mm/s; sort the points by speed."
            yield Unsound("speed_mm_s", f"{after:g} mm/s", "speeds that rise", told, point=point)
        elif before > 0.0 and after > max(WIDEST_STEP * before, before + WIDEST_STEP_MM_S):
            most = max(WIDEST_STEP * before, before + WIDEST_STEP_MM_S)
            told = f"Nothing was measured between {before:g} and {after:g} mm/s."
            yield Unsound("speed_mm_s", f"a gap up to {after:g} mm/s", f"up to {most:g} mm/s", told, point=point)


def _clicks(held: Circuit, total: int) -> Iterator[Unsound]:
    widest = max(1, math.ceil(total / 4))
    for row, position in enumerate(held.clicks):
        if not 0 <= position <= total:
            told = "That is the total counted on this unit."
            yield Unsound("clicks", f"position {position}", f"0 to {total}", told, point=row)
    for end, measured in ((0, held.clicks[0]), (total, held.clicks[-1])):
        if measured != end:
            told = f"Position {end} is missing; measure both ends of the dial."
            yield Unsound("clicks", f"{held.clicks[0]} to {held.clicks[-1]}", f"0 to {total}", told)
    for row, (before, after) in enumerate(pairwise(held.clicks), start=1):
        if after <= before:
            yield Unsound("clicks", f"{after} after {before}", "positions that rise", point=row)
        elif after - before > widest:
            told = f"Positions {before + 1} to {after - 1} are missing."
            yield Unsound("clicks", f"{after} after {before}", f"steps of up to {widest} clicks", told, point=row)


def _forces(held: Circuit, counted_from: str) -> Iterator[Unsound]:
    speeds = held.speed_mm_s
    for row, (position, forces) in enumerate(zip(held.clicks, held.force_n, strict=True)):
        for point, force in enumerate(forces):
            at = f"{force:g} N at {speeds[point]:g} mm/s, click {position}"
            if force < 0.0 or (force == 0.0 and speeds[point] > 0.0):
                told = "Write forces without sign; take off gas force and friction before."
                yield Unsound("force_n", at, "above 0 N" if speeds[point] > 0.0 else "0 N", told, row, point)
            elif speeds[point] == 0.0 and force != 0.0:
                told = "A damper that stands still has no force; take off gas force and friction."
                yield Unsound("force_n", at, "0 N", told, row, point)
            elif point and force < forces[point - 1]:
                told = f"It is {forces[point - 1]:g} N at {speeds[point - 1]:g} mm/s; a damper does not ease off."
                yield Unsound("force_n", at, "forces that do not fall with speed", told, row, point)
    for row, (firmer, softer) in enumerate(pairwise(held.force_n), start=1):
        if counted_from == "open":
            firmer, softer = softer, firmer
        for point, (more, less) in enumerate(zip(firmer, softer, strict=True)):
            if less > more:
                at = f"{held.force_n[row][point]:g} N at {speeds[point]:g} mm/s, click {held.clicks[row]}"
                told = (
                    f"Click {held.clicks[row - 1]} gives {held.force_n[row - 1][point]:g} N there, and clicks are "
                    f"counted from {counted_from}."
                )
                yield Unsound("force_n", at, "more force where the dial is more closed", told, row, point)


def read_circuit(path: str | Path, damper: Damper, circuit: str, other_clicks: int | None = None) -> Circuit:
    """The table of a dial from a CSV file.

    Parameters
    ----------
    path : str or Path
        The file.
    damper : Damper
        Whose table it is: its total of clicks and the end that they are counted from.
    circuit : str
        One of `CIRCUITS`.
    other_clicks : int, optional
        Where the other compression dial stood.

    Returns
    -------
    Circuit
        In millimetres a second and newtons, sorted by click; checked.

    Raises
    ------
    ModelFileError
        With file, line and column of everything that is wrong.
    """
    file = str(path)
    rows = _rows(Path(path))
    if not rows:
        raise ModelFileError(Fault(file=file, found="no rows", allowed="a heading and a row for each point"))
    columns, units = _headings(file, rows[0])
    points: list[_Row] = []
    faults: list[Fault] = []
    for line, cells in rows[1:]:
        point = _row(file, line, cells, columns, units, faults)
        if point is not None:
            points.append(point)
    if faults:
        raise ModelFileError(*faults)
    circuit_read, lines = _arranged(file, points, other_clicks)
    told = unsound(remade(damper, {circuit: circuit_read}), circuit)
    if told:
        raise ModelFileError(*(_placed(file, one, lines, columns) for one in told))
    return circuit_read


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    clicks: int
    speed: float
    """In mm/s."""
    force: float
    """In newtons."""


def _rows(path: Path) -> list[tuple[int, list[str]]]:
    """Rows that say something, with their lines."""
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise ModelFileError(Fault(file=str(path), found="a very large file", allowed=f"{LARGEST_BYTES} bytes"))
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ModelFileError(Fault(file=str(path), found="bytes that are no text", allowed="UTF-8")) from None
    except OSError as error:
        raise ModelFileError(Fault(file=str(path), remedy=f"It cannot be read: {error.strerror or error}.")) from None
    separator = ";" if text.partition("\n")[0].count(";") >= 2 else ","
    reader = csv.reader(io.StringIO(text), delimiter=separator)
    try:
        return [(reader.line_num, row) for row in reader if any(c.strip() for c in row) and row[0].strip()[:1] != "#"]
    except csv.Error as error:
        raise ModelFileError(Fault(file=str(path), line=reader.line_num, remedy=f"It is no CSV: {error}.")) from None


def _headings(file: str, heading: tuple[int, list[str]]) -> tuple[dict[str, int], dict[str, str]]:
    """Column of each thing, and the units of speed and force."""
    line, cells = heading
    columns: dict[str, int] = {}
    units: dict[str, str] = {}
    faults: list[Fault] = []
    for place, cell in enumerate(cells):
        found = _HEAD.fullmatch(cell)
        if found is None:
            told = near(cell.strip(), ("clicks", "speed", "force"))
            faults.append(Fault(file=file, line=line, column=place + 1, found=shown(cell.strip()), remedy=told))
            continue
        name = "clicks" if found[1].lower().startswith("click") else found[1].lower()
        unit = (found[2] or "").lower()
        known = {"speed": _SPEEDS, "force": _FORCES}.get(name)
        if name in columns:
            faults.append(Fault(file=file, line=line, column=place + 1, found=f"a second column of {name}"))
        elif known is not None and unit not in known:
            told = "Say in the heading which unit it is."
            at = Fault(
                file=file, line=line, column=place + 1, found=shown(cell.strip()), allowed=_ALLOWED[name], remedy=told
            )
            faults.append(at)
        else:
            units[name] = known[unit] if known is not None else ""
        columns.setdefault(name, place)
    for name in ("clicks", "speed", "force"):
        if name not in columns:
            faults.append(
                Fault(file=file, line=line, found=f"no column of {name}", allowed=_ALLOWED.get(name, "clicks"))
            )
    if faults:
        raise ModelFileError(*faults)
    return columns, units


def _row(
    file: str, line: int, cells: list[str], columns: dict[str, int], units: dict[str, str], faults: list[Fault]
) -> _Row | None:
    numbers: dict[str, float] = {}
    for name, place in columns.items():
        cell = cells[place].strip() if place < len(cells) else ""
        try:
            numbers[name] = float(cell)
        except ValueError:
            numbers[name] = math.nan
        if not math.isfinite(numbers[name]) or (name == "clicks" and numbers[name] != int(numbers[name])):
            wanted = "a whole number" if name == "clicks" else "a number"
            found = shown(cell) if cell else "nothing"
            faults.append(Fault(file=file, line=line, column=place + 1, key=name, found=found, allowed=wanted))
            return None
        if numbers[name] < 0.0:
            told = "The sign is wrong: write sizes, the circuit says which way the shaft moves."
            allowed = "0 or more"
            faults.append(
                Fault(file=file, line=line, column=place + 1, key=name, found=cell, allowed=allowed, remedy=told)
            )
            return None
    speed = convert(numbers["speed"], units["speed"], "mm_s")
    return _Row(line, int(numbers["clicks"]), speed, convert(numbers["force"], units["force"], "n"))


def _arranged(file: str, points: list[_Row], other_clicks: int | None) -> tuple[Circuit, list[list[int]]]:
    """The table, and the line of each of its points."""
    by_click: dict[int, list[_Row]] = {}
    for point in points:
        by_click.setdefault(point.clicks, []).append(point)
    clicks = sorted(by_click)
    if not clicks:
        raise ModelFileError(Fault(file=file, found="a heading only", allowed="a row for each point"))
    faults: list[Fault] = []
    speeds = [point.speed for point in max(by_click.values(), key=len)]
    for click in clicks:
        own = by_click[click]
        for point, before in zip(own[1:], own, strict=False):
            if point.speed <= before.speed:
                told = f"It follows {before.speed:g} mm/s in line {before.line}, of the same click."
                found, allowed = f"{point.speed:g} mm/s", "speeds that rise"
                faults.append(Fault(file=file, line=point.line, key="speed", found=found, allowed=allowed, remedy=told))
        missing = [speed for speed in speeds if not any(_same(speed, point.speed) for point in own)]
        strange = [point for point in own if not any(_same(speed, point.speed) for speed in speeds)]
        for speed in missing:
            found = f"no point at {speed:g} mm/s for click {click}"
            told = "Every click is measured at the same speeds."
            faults.append(Fault(file=file, line=own[-1].line, key="speed", found=found, remedy=told))
        for point in strange:
            found = f"{point.speed:g} mm/s for click {click}, which other clicks have not"
            faults.append(Fault(file=file, line=point.line, key="speed", found=found))
    if faults:
        raise ModelFileError(*faults)
    columns = {
        "clicks": tuple(clicks),
        "speed_mm_s": tuple(round(speed, 6) for speed in speeds),
        "force_n": tuple(tuple(round(point.force, 3) for point in by_click[click]) for click in clicks),
        "other_clicks": other_clicks,
    }
    try:
        table = sound(Circuit, columns)
    except ModelError as error:
        raise ModelFileError(Fault(file=file, remedy=str(error))) from None
    return table, [[point.line for point in by_click[click]] for click in clicks]


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= 0.005 * max(one, other, 1.0)


def _placed(file: str, told: Unsound, lines: list[list[int]], columns: dict[str, int]) -> Fault:
    """A fault of the table at its line in the CSV file."""
    name = {"speed_mm_s": "speed", "force_n": "force"}.get(told.column, "clicks")
    row = told.row if told.row is not None else (told.point or 0) if name == "clicks" else 0
    point = told.point if told.point is not None and name != "clicks" else 0
    return Fault(
        file=file,
        line=lines[min(row, len(lines) - 1)][point],
        column=columns[name] + 1,
        key=name,
        found=told.found,
        allowed=told.allowed,
        remedy=told.remedy,
    )


def table_changes(
    stock: Stock, part: str, circuit: str, path: str | Path, total: int | None = None, other_clicks: int | None = None
) -> tuple[tuple[str, Any], ...]:
    """Changes that write a CSV file's table into the part that it was measured on.

    Parameters
    ----------
    stock : Stock
        Every part.
    part : str
        ``fork.NAME`` or ``shock.NAME``.
    circuit : str
        One of `CIRCUITS`.
    path : str or Path
        The CSV file.
    total : int, optional
        Clicks of the dial from end to end, where the part does not say it yet. [clicks]
    other_clicks : int, optional
        Where the other compression dial stood. [clicks]

    Returns
    -------
    tuple of (str, value)
        For `bikewright.model.writing.write_changes`.

    Raises
    ------
    AddressError
        If there is no such part.
    ModelError
        If no dial has so many clicks.
    ModelFileError
        With everything that is wrong with the file.
    """
    kind, _, name = part.partition(".")
    if kind not in ("fork", "shock"):
        raise AddressError(f"'{part}' names no fork or shock. Write fork.NAME or shock.NAME")
    held = stock.part(kind, name)
    damper: Damper = getattr(held, "damper", None) or Damper()
    changes: list[tuple[str, Any]] = []
    if total is not None:
        damper = remade(damper, {f"{circuit}_clicks": total})
        changes.append((f"parts.{kind}.{name}.damper.{circuit}_clicks", total))
    table = read_circuit(path, damper, circuit, other_clicks)
    home = f"parts.{kind}.{name}.damper.{circuit}"
    changes += [
        (f"{home}.clicks", list(table.clicks)),
        (f"{home}.speed_mm_s", list(table.speed_mm_s)),
        (f"{home}.force_n", [list(row) for row in table.force_n]),
    ]
    if other_clicks is not None:
        changes.append((f"{home}.other_clicks", other_clicks))
    return tuple(changes)
