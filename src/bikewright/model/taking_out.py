"""Taking a table, a line of a list or a key out of the text of a TOML file, the rest left as its author wrote it.

A table goes with every table inside of it, and with the comment that stands right above its heading. Comments after
it, which stand above the next heading or apart, stay. Whoever calls this reads the text again and compares.
"""

import re
import tomllib
from pathlib import Path
from typing import Any

from bikewright.errors import Fault, ModelFileError
from bikewright.model.text_file import dotted

Keys = tuple[Any, ...]
"""Names of nested tables, and the place in a list of tables."""

_HEADING = re.compile(r"\s*\[.*\]\s*(#.*)?")


def taken_out(path: Path, text: str, keys: Keys) -> str:
    """The text of a file without what stands at some keys.

    Raises
    ------
    ModelFileError
        If it cannot be found in the text, or not be taken out.
    """
    lines = text.splitlines(keepends=True)
    headings = _headings(lines)
    mine = [spot for spot, (_, place) in enumerate(headings) if place[: len(keys)] == keys]
    if not mine:
        return _key_taken_out(path, text, keys)
    drop: set[int] = set()
    for spot in mine:
        first = headings[spot][0]
        end = headings[spot + 1][0] if spot + 1 < len(headings) else len(lines)
        last = max(row for row in range(first, end) if row == first or not _is_remark(lines[row]))
        while first > 0 and lines[first - 1].lstrip().startswith("#") and first - 1 not in drop:
            first -= 1
        drop.update(range(first, last + 1))
        if last + 1 < len(lines) and not lines[last + 1].strip():
            drop.add(last + 1)  # the empty line that stood before the next
    return "".join(line for row, line in enumerate(lines) if row not in drop)


def taken_from(data: dict[str, Any], keys: Keys) -> None:
    """Take the same out of what the text says."""
    here: Any = data
    for key in keys[:-1]:
        here = here[key]
    del here[keys[-1]]


def without_empty(thing: Any) -> Any:
    """Tables and lists without the empty tables in them, of which a text need not speak."""
    if isinstance(thing, dict):
        return {key: kept for key, value in thing.items() if (kept := without_empty(value)) not in ({}, [])}
    return thing


def _headings(lines: list[str]) -> list[tuple[int, Keys]]:
    """Row and keys of every heading; that of a list of tables with its place in the list."""
    found: list[tuple[int, Keys]] = []
    counts: dict[Keys, int] = {}
    for row, line in enumerate(lines):
        if not _HEADING.fullmatch(line.strip()):
            continue
        try:
            data: Any = tomllib.loads(line)
        except tomllib.TOMLDecodeError:
            continue  # a line of a text or of a list, not a heading
        keys: list[Any] = []
        while isinstance(data, dict) and data:
            name, data = next(iter(data.items()))
            keys.append(name)
            place = tuple(keys)
            if isinstance(data, list):
                counts[place] = counts.get(place, -1) + 1
                data = None
            if place in counts:
                keys.append(counts[place])
        found.append((row, tuple(keys)))
    return found


def _is_remark(line: str) -> bool:
    return not line.strip() or line.lstrip().startswith("#")


def _key_taken_out(path: Path, text: str, keys: Keys) -> str:
    """The text without one key of a table, or one table that has no heading of its own."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(text)
        table: Any = document
        for key in keys[:-1]:
            table = table[key]
        del table[keys[-1]]
        return tomlkit.dumps(document)
    except (TOMLKitError, LookupError, TypeError, ValueError, AttributeError) as error:
        told = f"This cannot be taken out here ({error}); take it out by hand."
        raise ModelFileError(Fault(file=str(path), key=dotted(keys), remedy=told)) from error
