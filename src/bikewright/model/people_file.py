"""People as a firm has them: a CSV with a height, perhaps an inseam, the size bought and whether it came back.

Columns, in any order and whatever their case: ``height``, ``inseam``, ``build`` (male or female), ``size``,
``returned`` (yes or no). Only the height must be there. A length carries its unit, ``178 cm`` or ``5 ft 10 in``, or its
column's heading does: ``height (cm)``, ``height_cm``. A bare number in a column without a unit is refused, since 70 may
be an inseam in inches or in centimetres. Lines that begin with ``#`` are notes.
"""

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field

from bikewright.errors import Fault, ModelFileError, UnitError
from bikewright.model.faults import near, sentence, shown
from bikewright.model.values import Count, MaybeMm, Mm, Text, value
from bikewright.units import INCH, MM, UNITS, convert, read_quantity

LARGEST_BYTES = 20_000_000
MOST_FAULTS = 50
"""More are not told."""

COLUMNS = {
    "height": ("height", "stature", "body height"),
    "inseam": ("inseam", "inside leg", "leg", "inner leg"),
    "build": ("build", "sex"),
    "size": ("size", "size bought", "frame size"),
    "returned": ("returned", "return", "came back"),
}
"""Headings of each column; the first is the one that is told."""

HEIGHTS_MM, INSEAMS_MM = (1000.0, 2300.0), (400.0, 1150.0)
"""Least and most that may stand there, as in ``riders.toml``."""
BUILDS = {"male": "male", "m": "male", "man": "male", "female": "female", "f": "female", "woman": "female"}
ANSWERS = {"yes": True, "y": True, "true": True, "1": True, "no": False, "n": False, "false": False, "0": False}

_FEET = re.compile(r"(\d+)\s*(?:ft|feet|foot|')\s*(?:(\d+(?:\.\d+)?)\s*(?:in|inch|inches|\")?)?", re.IGNORECASE)


@value
class Person:
    """One line of a list of people."""

    height_mm: Mm = Field(ge=HEIGHTS_MM[0], le=HEIGHTS_MM[1])
    inseam_mm: MaybeMm = Field(default=None, ge=INSEAMS_MM[0], le=INSEAMS_MM[1])
    build: Literal["male", "female"] | None = None
    size: Text = ""
    """Size bought; empty where the list does not say."""
    returned: bool | None = None
    """Whether it came back; None where the list does not say."""
    line: Annotated[Count, Field(ge=1)]
    """Line of the file."""


@value
class People:
    """A list of people, as it was read."""

    file: Text
    people: tuple[Person, ...]
    has_sizes: bool
    """Whether every line says the size bought."""


def read_people(path: str | Path, sizes: tuple[str, ...] = ()) -> People:
    """Read a list of people.

    Parameters
    ----------
    path : str or Path
        A CSV file.
    sizes : tuple of str
        Sizes that may stand in the column ``size``; empty: any.

    Returns
    -------
    People
        One entry a line.

    Raises
    ------
    ModelFileError
        With file, line and column of every fault: what was found and what is allowed.
    """
    file = str(path)
    try:
        with Path(path).open("rb") as opened:
            content = opened.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        told = f"It cannot be read: {getattr(error, 'strerror', None) or error}."
        raise ModelFileError(Fault(file=file, remedy=told)) from None
    return people_in(content, file, sizes)


def people_in(content: bytes, file: str = "list", sizes: tuple[str, ...] = ()) -> People:
    """Read a list of people from the bytes of its file; raises as `read_people` does."""
    if len(content) > LARGEST_BYTES or b"\0" in content:
        told = f"It is no list of people: it is binary or larger than {LARGEST_BYTES // 10**6} MB."
        raise ModelFileError(Fault(file=file, remedy=told))
    try:
        return people_of(content.decode("utf-8-sig"), file, sizes)
    except UnicodeDecodeError:
        raise ModelFileError(Fault(file=file, remedy="It is not UTF-8; save it as CSV in UTF-8.")) from None


def people_of(text: str, file: str = "list", sizes: tuple[str, ...] = ()) -> People:
    """Read a list of people from its text; raises as `read_people` does."""
    rows = list(_rows(text, file))
    if not rows:
        raise ModelFileError(Fault(file=file, found="no line", remedy="Write a heading and a line for each person."))
    (head_line, head), *body = rows
    columns = _columns(head, head_line, file)
    faults: list[Fault] = []
    people = []
    for line, cells in body:
        if any(cells[len(head) :]):
            told = "A decimal comma needs tabs or semicolons between the columns."
            faults.append(Fault(file=file, line=line, found=f"{len(cells)} cells", allowed=f"{len(head)}", remedy=told))
            continue
        person = _person(cells, line, file, columns, sizes, faults)
        if person is not None:
            people.append(person)
    if faults:
        more = [Fault(file=file, remedy="There are more faults; mend these first.")]
        raise ModelFileError(*faults[:MOST_FAULTS], *(more if len(faults) > MOST_FAULTS else []))
    if not people:
        told = "Write a line for each person below the heading."
        raise ModelFileError(Fault(file=file, line=head_line, found="a heading alone", remedy=told))
    return People(file=file, people=tuple(people), has_sizes=all(person.size for person in people))


def _rows(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """Line number and stripped cells of each line that says something."""
    lines = text.splitlines()
    said = [line for line in lines if line.strip(" \t;,") and not line.lstrip().startswith("#")]
    mark = next((mark for mark in "\t;" if sum(mark in line for line in said) * 2 > len(said)), ",")
    for number, line in enumerate(lines, 1):
        if not line.strip(" \t;,") or line.lstrip().startswith("#"):
            continue
        try:
            yield number, [cell.strip() for cell in _cells(line, mark)]
        except csv.Error as error:
            raise ModelFileError(
                Fault(file=file, line=number, remedy=f"This is no line of a table: {error}.")
            ) from None


def _cells(line: str, mark: str) -> list[str]:
    """Cells of one line. A quote that is no quote but inches (``5'10"``) stays as it is."""
    if not line.lstrip().startswith('"') and f'{mark}"' not in line:
        return line.split(mark)
    return next(csv.reader(io.StringIO(line), delimiter=mark, skipinitialspace=True))


def _columns(head: list[str], line: int, file: str) -> dict[str, tuple[int, str]]:
    """Place and unit (or none) of each column that is known."""
    known = {name: key for key, names in COLUMNS.items() for name in names}
    found: dict[str, tuple[int, str]] = {}
    faults = []
    for place, heading in enumerate(head):
        if not heading:
            continue
        plain, unit = _heading(heading)
        key = known.get(plain)
        if key is None:
            told = f"{near(plain, known)} Take the column out if it says something else."
            faults.append(_fault(file, line, place, "", shown(heading), "a known column", told))
        elif key in found:
            faults.append(_fault(file, line, place, key, f"a second column {shown(heading)}", "one", ""))
        else:
            found[key] = place, unit
    if "height" not in found and not faults:
        faults.append(
            Fault(file=file, line=line, key="height", found="no such column", allowed="a column height", remedy="")
        )
    if faults:
        raise ModelFileError(*faults)
    return found


def _heading(text: str) -> tuple[str, str]:
    """A heading without its unit, and the unit's suffix: ``height (cm)``, ``height_cm``, ``Height, cm``."""
    words = re.sub(r"[^a-z0-9\"]+", " ", text.casefold()).split()
    lengths = {
        name.casefold(): unit.suffix
        for unit in UNITS.values()
        if unit.kind == "length"
        for name in (unit.suffix, *unit.spellings)
    }
    if len(words) > 1 and words[-1] in lengths:
        return " ".join(words[:-1]), lengths[words[-1]]
    return " ".join(words), ""


def _fault(file: str, line: int, place: int, key: str, found: str, allowed: str, remedy: str) -> Fault:
    """A fault in a cell; ``column`` counts the cells from 1."""
    return Fault(file=file, line=line, column=place + 1, key=key, found=found, allowed=allowed, remedy=remedy)


def _person(
    cells: list[str],
    line: int,
    file: str,
    columns: dict[str, tuple[int, str]],
    sizes: tuple[str, ...],
    faults: list[Fault],
) -> Person | None:
    """One person, or None with every fault of the line added."""
    before = len(faults)
    said: dict[str, Any] = {}

    def wrong(key: str, place: int, found: str, allowed: str, remedy: str = "") -> None:
        faults.append(_fault(file, line, place, key, found, allowed, remedy))

    for key, (place, unit) in columns.items():
        cell = cells[place] if place < len(cells) else ""
        if not cell or cell in ("-", "–", "?"):
            if key == "height":
                wrong(key, place, "nothing", 'a height with its unit, as in "178 cm"')
            continue
        if key in ("height", "inseam"):
            low, high = HEIGHTS_MM if key == "height" else INSEAMS_MM
            try:
                length_mm = read_length_mm(cell, unit)
            except UnitError as error:
                wrong(
                    key,
                    place,
                    shown(cell),
                    'a length with its unit, as in "178 cm" or "5 ft 10 in"',
                    sentence(str(error)),
                )
                continue
            if not low <= length_mm <= high:
                in_mm = f"{shown(cell)}, which is {length_mm:.0f} mm"
                wrong(key, place, in_mm, f"{low:.0f} to {high:.0f} mm", "Check the unit.")
            said[f"{key}_mm"] = length_mm
        elif key == "size":
            if sizes and cell not in sizes:
                wrong(key, place, shown(cell), " or ".join(sizes), near(cell, sizes))
            said[key] = cell
        else:
            words: dict[str, Any] = BUILDS if key == "build" else ANSWERS
            if cell.casefold() not in words:
                wrong(key, place, shown(cell), "male or female" if key == "build" else "yes or no")
            else:
                said[key] = words[cell.casefold()]
    if len(faults) > before:
        return None
    return Person(line=line, **said)


def read_length_mm(text: str, unit: str = "") -> float:
    """A body length as people write it.

    Parameters
    ----------
    text : str
        ``178 cm``, ``1.78 m``, ``5 ft 10 in``, ``5'10"``; a bare number where the unit is told.
    unit : str
        Suffix of the unit of a bare number; empty: there is none.

    Returns
    -------
    float
        The length [mm].

    Raises
    ------
    UnitError
        If it is no length, or a bare number whose unit nobody told.
    """
    text = re.sub(r"(\d),(\d{1,2})(?!\d)", r"\1.\2", text.strip()).replace("″", '"').replace("′", "'")
    feet = _FEET.fullmatch(text)
    if feet is not None:
        inches = float(feet[2] or 0.0)
        if inches >= 12.0:
            raise UnitError(f'"{text}" has {inches:g} inches beside its feet, and a foot has 12')
        return (12.0 * float(feet[1]) + inches) * INCH / MM
    metres = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(?:m|metres?|meters?)", text, re.IGNORECASE)
    if metres is not None:
        return float(metres[1]) / MM
    if re.fullmatch(r"\d+(?:\.\d+)?", text):
        if not unit:
            raise UnitError("a bare number may be in cm, mm or inches; write the unit behind it or in the heading")
        return convert(float(text), unit, "mm")
    return read_quantity(text, "mm")
