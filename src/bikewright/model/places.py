"""Where each key of a TOML text stands: line and column of every leaf and table.

tomllib reads, this only places. It is asked after a fault, so a sound bike never pays for it. On a text
that tomllib refuses it goes as far as it can, which is how two tables of one name are told apart.
"""

import re
import tomllib
from bisect import bisect_right
from contextlib import suppress
from dataclasses import dataclass
from typing import NoReturn

Path = tuple[str | int, ...]
"""Keys from the top of a file down; an integer counts in a list, from 0."""

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_TEXT = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:"{0,2})' r"|'''.*?'''(?:'{0,2})" r'|"(?:\\.|[^"\\\n])*"' r"|'[^'\n]*'", re.DOTALL
)
_SCALAR = re.compile(r"[^,\[\]{}\n#]+")


@dataclass(frozen=True, slots=True)
class Place:
    """A place in a text; both count from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Repeat:
    """A key or a table that is written twice."""

    path: Path
    first: Place
    second: Place


class _LostError(Exception):
    """The text is not TOML from here on."""


def places_of(text: str) -> dict[Path, Place]:
    """The place of every key, table and list item of a text that tomllib reads.

    A key stands where it is written, a table where its own heading names it, else where it is first named.
    """
    return _Scan(text).places


def first_repeat(text: str) -> Repeat | None:
    """The first key or table that a text writes twice, or None."""
    return next(iter(_Scan(text).repeats), None)


class _Scan:
    def __init__(self, text: str) -> None:
        self.text = text.replace("\r\n", "\n")
        self.at = 0
        self.places: dict[Path, Place] = {}
        self.repeats: list[Repeat] = []
        self._lines = [0, *(found.end() for found in re.finditer("\n", self.text))]
        self._written: set[Path] = set()
        self._lists: dict[Path, int] = {}  # tables written as [[name]], and how many so far
        with suppress(_LostError, RecursionError):
            self._document()

    def _document(self) -> None:
        table: Path = ()
        while self._skip(_BLANK) < len(self.text):
            if self.text[self.at] == "[":
                table = self._heading()
            else:
                self._pair(table)

    def _heading(self) -> Path:
        brackets = 2 if self.text.startswith("[[", self.at) else 1
        self.at += brackets
        parts = self._key()
        self._expect("]" * brackets)
        path: Path = ()
        for name, place in parts[:-1]:
            path = (*path, name)
            self.places.setdefault(path, place)
            if path in self._lists:
                path = (*path, self._lists[path] - 1)
        name, place = parts[-1]
        path = (*path, name)
        if brackets == 1:
            self._write(path, place)
            return path
        count = self._lists.get(path, 0)
        self._lists[path] = count + 1
        self.places.setdefault(path, place)
        self.places[(*path, count)] = place
        return (*path, count)

    def _pair(self, table: Path) -> None:
        path = table
        *before, (name, place) = self._key()
        for part, part_place in before:
            path = (*path, part)
            self.places.setdefault(path, part_place)
        path = (*path, name)
        self._write(path, place)
        self._skip(_SPACE)
        self._expect("=")
        self._skip(_SPACE)
        self._value(path)

    def _value(self, path: Path) -> None:
        opening = self.text[self.at : self.at + 1]
        if opening == "[":
            self._items(path)
        elif opening == "{":
            self._inline(path)
        else:
            self._match(_TEXT if opening in ("'", '"') else _SCALAR)

    def _items(self, path: Path) -> None:
        self.at += 1
        count = 0
        self._skip(_BLANK)
        while not self._take("]"):
            self.places[(*path, count)] = self._place(self.at)
            self._value((*path, count))
            count += 1
            self._skip(_BLANK)
            if not self._take(","):
                self._expect("]")
                return
            self._skip(_BLANK)

    def _inline(self, path: Path) -> None:
        self.at += 1
        self._skip(_BLANK)
        while not self._take("}"):
            self._pair(path)
            self._skip(_BLANK)
            if not self._take(","):
                self._expect("}")
                return
            self._skip(_BLANK)

    def _key(self) -> list[tuple[str, Place]]:
        parts = []
        while True:
            self._skip(_SPACE)
            place = self._place(self.at)
            quoted = self.text[self.at : self.at + 1] in ("'", '"')
            written = self._match(_TEXT if quoted else _BARE)
            parts.append((_decoded(written) if quoted else written, place))
            self._skip(_SPACE)
            if not self._take("."):
                return parts

    def _write(self, path: Path, place: Place) -> None:
        if path in self._written:
            self.repeats.append(Repeat(path, self.places[path], place))
            return
        self._written.add(path)
        self.places[path] = place

    def _place(self, offset: int) -> Place:
        line = bisect_right(self._lines, offset)
        return Place(line, offset - self._lines[line - 1] + 1)

    def _skip(self, pattern: re.Pattern[str]) -> int:
        found = pattern.match(self.text, self.at)
        self.at = found.end() if found else self.at
        return self.at

    def _match(self, pattern: re.Pattern[str]) -> str:
        found = pattern.match(self.text, self.at)
        if found is None:
            _lost()
        self.at = found.end()
        return found[0]

    def _take(self, token: str) -> bool:
        taken = self.text.startswith(token, self.at)
        self.at += len(token) if taken else 0
        return taken

    def _expect(self, token: str) -> None:
        if not self._take(token):
            _lost()


def _lost() -> NoReturn:
    raise _LostError


def _decoded(written: str) -> str:
    try:
        (key,) = tomllib.loads(f"{written} = 0")
    except (tomllib.TOMLDecodeError, ValueError):
        _lost()
    return key
