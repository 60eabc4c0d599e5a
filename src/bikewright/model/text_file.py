"""One TOML file as text, data and places, and several of them laid over each other.

A file that cannot be read at all (no TOML, not text, no file) is one fault that says so and where.
"""

import codecs
import hashlib
import re
import stat
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path as FilePath
from typing import Any

from bikewright.errors import Fault, ModelFileError
from bikewright.model.places import Path, Place, first_repeat, places_of

FORMAT = 1
"""Format of the files that this release writes, and the newest that it reads."""
LARGEST_BYTES = 5_000_000
DEEPEST = 30
"""Tables within tables; a bike needs eight."""
LONGEST_BITS = 64
"""Whole numbers that a TOML file must be able to hold; Python would read longer ones."""

# Possessive, and only from the start of a name, so that a long line costs one pass.
_LONG_KEY = re.compile(rf"(?<![\w\-\"'.])(?:[\w\-\"']++[ \t]*+\.[ \t]*+){{{DEEPEST},}}")
_AT = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


@dataclass(frozen=True)
class TextFile:
    """A file that was read."""

    shown: str
    """Its path as the user named it."""
    text: str
    data: dict[str, Any]
    sha256: str

    @cached_property
    def places(self) -> dict[Path, Place]:
        """Place of every key, looked up only after a fault."""
        return places_of(self.text)


@dataclass(frozen=True)
class Sheet:
    """What one or several files say together: ``layers`` newest first, ``data`` merged."""

    shown: str
    """The file to name where no layer has the place."""
    data: dict[str, Any] = field(default_factory=dict)
    layers: tuple[TextFile, ...] = ()

    def spot(self, path: Path) -> tuple[str, Place | None]:
        """File and place of a path, or of the nearest table around it."""
        best, deepest = None, 0
        for layer in self.layers:
            depth = _known_depth(layer.data, path)
            if best is None or depth > deepest:
                best, deepest = layer, depth
        if best is None:
            return self.shown, None
        for length in range(deepest, 0, -1):
            place = best.places.get(path[:length])
            if place is not None:
                return best.shown, place
        return best.shown, Place(1, 1)

    def fault(self, path: Path, *, found: str = "", allowed: str = "", remedy: str = "") -> Fault:
        """A fault at a path of this sheet."""
        shown, place = self.spot(path)
        line, column = (None, None) if place is None else (place.line, place.column)
        return Fault(
            file=shown,
            line=line,
            column=column,
            key=dotted(path),
            found=printable(found),
            allowed=printable(allowed),
            remedy=printable(remedy),
        )


def dotted(path: Iterable[str | int]) -> str:
    """A path as people write it: ``sizes.M.reach_mm``; ``line[2].low`` is in the second line."""
    shown = ""
    for step in path:
        if isinstance(step, int):
            shown += f"[{step + 1}]"
        else:
            plain = re.fullmatch(r"[\w-]{1,60}", step)
            shown += ("." if shown else "") + (step if plain else f'"{printable(step, 60)}"')
    return shown


def toml_key(name: str) -> str:
    """A name as a key in a TOML text: in quotes where it is not plain."""
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else f'"{name}"'


def printable(text: str, longest: int = 800) -> str:
    """A text that a file had a hand in, fit to be shown: no control signs, not endless."""
    clean = text[:longest] if text.isprintable() else "".join(c if c.isprintable() else "?" for c in text[:longest])
    return clean + ("..." if len(text) > longest else "")


def _known_depth(data: Any, path: Path) -> int:
    for depth, step in enumerate(path):
        known = step in data if isinstance(data, dict) else isinstance(data, list) and step in range(len(data))
        if not known:
            return depth
        data = data[step]
    return len(path)


def read_text_file(path: FilePath, text: str | None = None) -> TextFile:
    """Read one TOML file.

    Parameters
    ----------
    path : Path
        The file.
    text : str, optional
        What the file would say: checked in its place, before it is written.

    Returns
    -------
    TextFile
        Its text and data.

    Raises
    ------
    ModelFileError
        With one fault, if it cannot be read or is not TOML.
    """
    content = _content(path) if text is None else text.encode(errors="surrogatepass")
    shown = str(path)
    if not content.strip():
        _refuse(shown, found="an empty file", remedy=f"Write format = {FORMAT} and the tables, or take the file away.")
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        _refuse(shown, found="a text in UTF-16", allowed="UTF-8", remedy="Save the file as UTF-8.")
    if b"\0" in content:
        _refuse(shown, found="a binary file", allowed="TOML text", remedy="Is it another file under this name?")
    try:
        decoded = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        column = error.start - content.rfind(b"\n", 0, error.start)
        _refuse(shown, Place(line, column), found="a byte that is not UTF-8", remedy="Save the file as UTF-8.")
    return TextFile(shown, decoded, _parsed(shown, decoded), hashlib.sha256(content).hexdigest())


def _content(path: FilePath) -> bytes:
    shown = str(path)
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe would wait for ever
            what = "a folder" if path.is_dir() else "something that is no plain file"
            _refuse(shown, found=what, allowed="a TOML file")
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except ModelFileError:
        raise
    except FileNotFoundError:
        _refuse(shown, found="no file", remedy="Is the folder right? `bikewright new` lays down a bike to start from.")
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        _refuse(shown, remedy=f"It cannot be read: {reason}.")
    if len(content) > LARGEST_BYTES:
        _refuse(shown, found=f"more than {LARGEST_BYTES // 10**6} MB", remedy="A bike's file has a few kilobytes.")
    return content


def _refuse(shown: str, place: Place | None = None, *, found: str = "", allowed: str = "", remedy: str = "") -> Any:
    line, column = (None, None) if place is None else (place.line, place.column)
    raise ModelFileError(
        Fault(file=shown, line=line, column=column, found=found, allowed=allowed, remedy=remedy)
    ) from None


def _parsed(shown: str, text: str) -> dict[str, Any]:
    too_deep = _LONG_KEY.search(text)
    if too_deep is not None:
        line = text.count("\n", 0, too_deep.start()) + 1
        column = too_deep.start() - text.rfind("\n", 0, too_deep.start())
        _refuse(shown, Place(line, column), found=f"a key of more than {DEEPEST} parts", allowed=f"up to {DEEPEST}")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        _refuse_toml(shown, text, str(error))
    except RecursionError:
        _refuse(shown, found="lists or tables nested too deeply", allowed=f"up to {DEEPEST} levels")
    except ValueError:  # Python reads no whole number of more than 4300 digits
        _refuse(shown, found="a whole number that is too long", remedy="Write it with fewer digits.")
    _refuse_monsters(shown, data)
    return data


def _refuse_monsters(shown: str, data: dict[str, Any]) -> None:
    """What TOML allows and no bike needs, and what would make the checks below stumble."""
    level: list[Any] = [data]
    for _ in range(DEEPEST):
        inner: list[Any] = []
        for item in level:
            if isinstance(item, dict):
                inner.extend(item.values())
            elif isinstance(item, list):
                inner.extend(item)
            elif isinstance(item, int) and item.bit_length() > LONGEST_BITS:
                _refuse(shown, found="a whole number that is too long", remedy="Write it with fewer digits.")
        level = inner
    if level:
        _refuse(shown, found="lists or tables nested too deeply", allowed=f"up to {DEEPEST} levels")


def _refuse_toml(shown: str, text: str, told: str) -> None:
    """Say in plain words what tomllib said, after looking for the usual slips."""
    at = _AT.search(told)
    told = _AT.sub("", told)
    place = Place(int(at[1]), int(at[2])) if at and at[1] else Place(text.count("\n") + 1, 1)
    if re.match("Cannot (declare|overwrite|mutate|define)", told):
        repeat = first_repeat(text)
        if repeat is not None:
            first, second = repeat.first.line, repeat.second.line
            shared = f"'{dotted(repeat.path)}' twice, in line {first} and in line {second}"
            _refuse(shown, repeat.second, found=shared, remedy="Give one of them another name, or join the two.")
        _refuse(shown, place, found="a name that is in use above for something else", remedy="Give it another name.")
    lines = text.split("\n")
    line = lines[place.line - 1] if place.line <= len(lines) else ""
    _refuse(shown, place, remedy=f"This is not TOML: {told[:1].lower()}{told[1:]}. {_usual_slip(line)}".strip())


def _usual_slip(line: str) -> str:
    if re.search(r"=\s*[+-]?\d+,\d", line):
        return "Write a decimal point, not a comma."
    if re.search(r"=\s*[+-]?[\d.]+\s*[A-Za-z\"°%]", line):
        return 'A number with its unit stands in quotes, as in "2.4 in".'
    if re.search(r"=\s*[A-Za-z]", line):
        return "A text stands in quotes."
    if re.search(r"=\s*(#.*)?$", line):
        return "A value is missing after the equals sign."
    return ""
