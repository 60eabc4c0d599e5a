"""The files of a bike's folder, and a revision laid over the bike that it is based on.

A revision is a folder whose ``bike.toml`` says ``based_on = "../quillback"``: it holds only what differs.
Tables are merged key by key before anything is checked, so a fault names the file that the value is in.
Lists are taken whole from the newer folder. ``remove = ["linkage.chips.dropout"]`` takes something out.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from bikewright.errors import Fault, ModelFileError
from bikewright.model.faults import near, shown
from bikewright.model.parts import KINDS
from bikewright.model.places import Path
from bikewright.model.text_file import FORMAT, Sheet, TextFile, read_text_file

BIKE, RIDERS, BRIEF, BUILDS, TUNES, PARTS = (
    "bike.toml",
    "riders.toml",
    "brief.toml",
    "builds.toml",
    "tunes.toml",
    "parts",
)
"""The files of a folder; parts may be spread over any number of files in ``parts``."""
DEEPEST_CHAIN = 20
"""Revisions on revisions."""
MOST_PARTS_FILES = 500


@dataclass(frozen=True)
class Sheets:
    """Everything that a folder says, each kind as one sheet."""

    bike: Sheet
    parts: Sheet
    riders: Sheet
    brief: Sheet
    builds: Sheet
    tunes: Sheet

    @property
    def files(self) -> tuple[TextFile, ...]:
        """Every file that was read."""
        return tuple(layer for sheet in vars(self).values() for layer in sheet.layers)


def read_sheets(folder: FilePath, texts: Mapping[FilePath, str], faults: list[Fault]) -> Sheets:
    """Read a folder and every folder that it is based on.

    Parameters
    ----------
    folder : Path
        The bike's folder.
    texts : mapping of Path to str
        What some files are about to say, in place of what they say on disk.
    faults : list of Fault
        Faults of files that can still be read are added here.

    Returns
    -------
    Sheets
        What the folder says, laid over what it is based on.

    Raises
    ------
    ModelFileError
        If a file cannot be read, is no TOML or is newer than this release: all such files at once.
    """
    chain: list[Sheets] = []
    seen: list[str] = []
    here: FilePath | None = folder
    while here is not None:
        seen.append(_real(here))
        sheets = _folder(here, texts, faults)
        chain.append(sheets)
        here = _base(here, sheets.bike, seen)
    result = chain.pop()
    while chain:
        result = _over(chain.pop(), result, faults)
    return result


def _base(folder: FilePath, bike: Sheet, seen: list[str]) -> FilePath | None:
    """The folder that a bike is based on, or None."""
    based_on = bike.data.get("based_on", "")
    if based_on == "":
        return None
    path: Path = ("based_on",)
    allowed = 'a folder, as in "../quillback"'
    if not isinstance(based_on, str):
        raise ModelFileError(bike.fault(path, found=shown(based_on), allowed=allowed))
    base = FilePath(os.path.normpath(folder / based_on))
    if _real(base) != _real(folder / based_on):  # a link on the way: ".." leads from where it points to
        base = FilePath(_real(folder / based_on))
    if _real(base) in seen:
        raise ModelFileError(
            bike.fault(path, found=shown(based_on), remedy="That bike is based on this one, so neither has a start.")
        )
    if len(seen) > DEEPEST_CHAIN:
        raise ModelFileError(
            bike.fault(path, found=f"more than {DEEPEST_CHAIN} revisions", remedy="Write one of them out in full.")
        )
    try:
        there = (base / BIKE).is_file()
    except (OSError, ValueError):
        there = False
    if not there:
        told = f"There is no {BIKE} in {shown(str(base))}. A folder is named from this one."
        raise ModelFileError(bike.fault(path, found=shown(based_on), allowed=allowed, remedy=told))
    return base


def _real(folder: FilePath) -> str:
    try:
        return os.path.realpath(folder)
    except (OSError, ValueError):  # a name that no folder can have is told when it is opened
        return str(folder)


def _folder(folder: FilePath, texts: Mapping[FilePath, str], faults: list[Fault]) -> Sheets:
    """The sheets of one folder alone."""
    stopping: list[Fault] = []
    sheets = {}
    for name in (BIKE, RIDERS, BRIEF, BUILDS, TUNES):
        path = folder / name
        needed = name == BIKE or path in texts or _stands(path)
        file = _read(path, texts, stopping) if needed else None
        sheets[name] = _sheet(path, file, faults, stopping)
    files = [_read(path, texts, stopping) for path in _parts_files(folder, texts, stopping)]
    parts = _joined(folder / PARTS, [file for file in files if file is not None], faults, stopping)
    if stopping:
        raise ModelFileError(*stopping)
    return Sheets(sheets[BIKE], parts, sheets[RIDERS], sheets[BRIEF], sheets[BUILDS], sheets[TUNES])


def _stands(path: FilePath) -> bool:
    return os.path.lexists(path)  # a link to nowhere is told, not passed over


def _parts_files(folder: FilePath, texts: Mapping[FilePath, str], stopping: list[Fault]) -> list[FilePath]:
    inside = folder / PARTS
    found = {path for path in texts if path.parent == inside}
    if _stands(inside):
        try:
            # hidden names are an editor's or a system's own
            found |= {path for path in inside.iterdir() if path.suffix == ".toml" and not path.name.startswith(".")}
        except OSError as error:
            reason = error.strerror or "it cannot be read"
            stopping.append(Fault(file=str(inside), remedy=f"It should be a folder of TOML files: {reason}."))
    if len(found) > MOST_PARTS_FILES:
        allowed = f"up to {MOST_PARTS_FILES}"
        stopping.append(Fault(file=str(inside), found=f"{len(found)} files", allowed=allowed, remedy="Join some."))
        return []
    return sorted(found)


def _read(path: FilePath, texts: Mapping[FilePath, str], stopping: list[Fault]) -> TextFile | None:
    try:
        return read_text_file(path, texts.get(path))
    except ModelFileError as error:
        stopping.extend(error.faults)
        return None


def _sheet(path: FilePath, file: TextFile | None, faults: list[Fault], stopping: list[Fault]) -> Sheet:
    if file is None:
        return Sheet(str(path))
    sheet = Sheet(str(path), file.data, (file,))
    return Sheet(sheet.shown, _without_format(sheet, faults, stopping), sheet.layers)


def _without_format(sheet: Sheet, faults: list[Fault], stopping: list[Fault]) -> dict[str, Any]:
    """The data without its format, which is checked."""
    data = dict(sheet.data)
    missing = object()
    found = data.pop("format", missing)
    if found is missing:
        faults.append(
            sheet.fault((), found="no format", remedy=f"Write format = {FORMAT} as the first line of the file.")
        )
    elif isinstance(found, int) and not isinstance(found, bool) and found > FORMAT:
        told = "This file was written by a newer release; bring the program up to date."
        stopping.append(sheet.fault(("format",), found=shown(found), allowed=f"up to {FORMAT}", remedy=told))
    elif found is True or found != FORMAT or not isinstance(found, int):
        faults.append(sheet.fault(("format",), found=shown(found), allowed=str(FORMAT)))
    return data


def _joined(inside: FilePath, files: list[TextFile], faults: list[Fault], stopping: list[Fault]) -> Sheet:
    """All parts files of one folder as one sheet; the same part twice is a fault that names both places."""
    joined: dict[str, Any] = {}
    whole = Sheet(str(inside), joined, tuple(files))
    homes: dict[tuple[str, str], Sheet] = {}
    for file in files:
        alone = Sheet(file.shown, file.data, (file,))
        for kind, named in _without_format(alone, faults, stopping).items():
            if kind not in KINDS:
                faults.append(alone.fault((kind,), found="a kind of part that is not known", remedy=near(kind, KINDS)))
            elif not isinstance(named, dict):
                told = f"Write the part as [{kind}.its-name]."
                faults.append(alone.fault((kind,), found=shown(named), allowed="a table for each part", remedy=told))
            else:
                for name, table in named.items():
                    first = homes.setdefault((kind, name), alone)
                    if first is alone:
                        joined.setdefault(kind, {})[name] = table
                    else:
                        other, place = first.spot((kind, name))
                        told = f"It is also in {other}, line {place.line if place else 1}. Give one another name."
                        faults.append(alone.fault((kind, name), found=f"a second {kind} of this name", remedy=told))
    return whole


def _over(new: Sheets, old: Sheets, faults: list[Fault]) -> Sheets:
    """A revision laid over what it is based on."""
    bike = _laid(new.bike, old.bike)
    inherited = {key: value for key, value in bike.data.items() if key != "remove"}
    for dotted in _removals(new.bike, faults):
        steps = tuple(dotted.split("."))
        if not _removed(inherited, steps):
            told = "Nothing of that name is there to be taken out."
            faults.append(new.bike.fault(("remove",), found=shown(dotted), remedy=told))
    bike = Sheet(bike.shown, inherited, bike.layers)
    if "reason" not in new.bike.data:
        told = "Say why this revision differs from the one it is based on."
        faults.append(new.bike.fault(("reason",), found="nothing", remedy=told))
    return Sheets(
        bike,
        _laid(new.parts, old.parts),
        _laid(new.riders, old.riders),
        _laid(new.brief, old.brief),
        _laid(new.builds, old.builds),
        _laid(new.tunes, old.tunes),
    )


def _removals(bike: Sheet, faults: list[Fault]) -> list[str]:
    given = bike.data.get("remove", [])
    if isinstance(given, list) and all(isinstance(item, str) for item in given):
        return given
    allowed = 'a list of keys, as in ["linkage.chips.dropout"]'
    faults.append(bike.fault(("remove",), found=shown(given), allowed=allowed))
    return []


def _removed(table: dict[str, Any], steps: tuple[str, ...]) -> bool:
    """Take a key out of nested tables, which are copies already; False where it is not there."""
    for step in steps[:-1]:
        inner = table.get(step)
        if not isinstance(inner, dict):
            return False
        table[step] = dict(inner)
        table = table[step]
    return table.pop(steps[-1], None) is not None


def _laid(new: Sheet, old: Sheet) -> Sheet:
    return Sheet(new.shown, merged(old.data, new.data), (*new.layers, *old.layers))


def merged(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    """Two tables laid over each other key by key; the order of the older one is kept."""
    result = dict(old)
    for key, value in new.items():
        below = result.get(key)
        result[key] = merged(below, value) if isinstance(below, dict) and isinstance(value, dict) else value
    return result
