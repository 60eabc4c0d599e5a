"""Random TOML texts with the place of every key in them, written down as the text is made."""

import random
from collections.abc import Iterable

Path = tuple[str | int, ...]

BARE = ("a", "reach_mm", "x-1", "0", "2-4", "_", "A9")
QUOTED = {
    '"q.1"': "q.1",
    '"tab\\t"': "tab\t",
    "'lit\"x'": 'lit"x',
    '"\\u0041 b"': "A b",
    '""': "",
    '"#[="': "#[=",
    "'ü'": "ü",
}
SCALARS = (
    "1", "-3.5e4", "0x1F", "true", "inf", "-nan", "1979-05-27 07:32:00", "1979-05-27T07:32:00Z", "07:32:00", '"text"',
    '"# no comment"', "'[no.table]'", '"a \\"b\\" \\\\"', '"""one\n[two]\n# three"""', '"""ends in two"""""',
    "'''a\n'b''\n'''",
    "''", '""', '""""quoted" """', "'''''x'''''",
)  # fmt: skip


class RandomToml:
    """One random document: ``text`` and, independent of any scanner, ``places``: path to (line, column)."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.text = ""
        self.places: dict[Path, tuple[int, int]] = {}
        self._count = 0
        self._tables: list[Path] = []  # tables with a heading of their own, or that may still get one
        self._waiting: list[Path] = []
        for _ in range(self.random.randrange(4)):
            self._pair(())
        for _ in range(self.random.randrange(9)):
            self._heading()
        if self.random.random() < 0.3:
            self.text = self.text.rstrip("\n")

    def _here(self) -> tuple[int, int]:
        return self.text.count("\n") + 1, len(self.text) - (self.text.rfind("\n") + 1) + 1

    def _write(self, text: str) -> None:
        self.text += text

    def _blank(self) -> None:
        self._write(self.random.choice(("", "", "\n", "# comment [x] = 1\n", "  \t\n", "   ", "\t")))

    def _space(self) -> None:
        self._write(self.random.choice(("", " ", "  ", "\t")))

    def _key(self) -> tuple[str, str]:
        """A key that was not used yet, as written and as meant."""
        self._count += 1
        if self.random.random() < 0.7:
            name = f"{self.random.choice(BARE)}{self._count}"
            return name, name
        written, meant = self.random.choice(list(QUOTED.items()))
        return f"{written[:-1]}{self._count}{written[-1]}", f"{meant}{self._count}"

    def _keys(self, path: Path, keys: Iterable[tuple[str, str]]) -> Path:
        """Dotted keys; each has its place where it is first named."""
        for index, (written, meant) in enumerate(keys):
            if index:
                self._space()
                self._write(".")
                self._space()
            path = (*path, meant)
            self.places.setdefault(path, self._here())
            self._write(written)
        return path

    def _pair(self, table: Path, *, line: bool = True, depth: int = 0) -> None:
        if line:
            self._blank()
        path = self._keys(table, [self._key() for _ in range(self.random.choice((1, 1, 1, 2, 3)))])
        self._space()
        self._write("=")
        self._space()
        self._value(path, depth)
        if line:
            self._write(self.random.choice(("\n", " # a = [1]\n", "\t\n")))

    def _value(self, path: Path, depth: int, inline: bool = False) -> None:
        kind = self.random.random()
        if depth > 3 or kind < 0.6:
            self._write(self.random.choice([text for text in SCALARS if not (inline and "\n" in text)]))
        elif kind < 0.8:
            self._write("[")
            for index in range(self.random.randrange(4)):
                if index:
                    self._write(",")
                self._write(self.random.choice(("", " ", "\n  ", " # [ comment\n")))
                self.places[(*path, index)] = self._here()
                self._value((*path, index), depth + 1)
            self._write(self.random.choice(("", " ", "\n", "  # ]\n")) + "]")
        else:
            self._write("{")
            for index in range(self.random.randrange(3)):
                if index:
                    self._write(",")
                self._space()
                self._pair(path, line=False, depth=depth + 1)
                self._space()
            self._write("}")

    def _heading(self) -> None:
        self._blank()
        choice = self.random.random()
        if self._waiting and choice < 0.2:  # a table whose child had its heading first
            path = self._waiting.pop(self.random.randrange(len(self._waiting)))
            self._open(path[:-1], [(self._written(path[-1]), str(path[-1]))], brackets=1, own=True)
        elif choice < 0.45:
            self._array()
        else:
            base = self.random.choice([(), *self._tables])
            keys = [self._key() for _ in range(self.random.choice((1, 1, 2)))]
            if len(keys) == 2:
                self._waiting.append((*base, keys[0][1]))
            self._open(base, keys, brackets=1)

    def _array(self) -> None:
        base = self.random.choice([(), *self._tables])
        key = self._key()
        path: Path = (*base, key[1])
        for index in range(self.random.randrange(1, 4)):
            # A heading always means the last item, so what lies in the items before cannot be named any more.
            for tables in (self._tables, self._waiting):
                tables[:] = [table for table in tables if table[: len(path)] != path]
            self._open(base, [key], brackets=2, item=index)
            if self.random.random() < 0.4:
                sub = self._key()
                self._open((*path, index), [sub], brackets=1)

    @staticmethod
    def _written(name: str | int) -> str:
        return '"' + "".join(f"\\u{ord(char):04X}" for char in str(name)) + '"'

    def _open(
        self, base: Path, keys: list[tuple[str, str]], *, brackets: int, own: bool = False, item: int | None = None
    ) -> None:
        """A heading and a few pairs below it."""
        self._write("[" * brackets)
        for step in (step for step in base if isinstance(step, str)):
            self._space()
            self._write(self._written(step) + ".")
        self._space()
        path: Path = base
        place = (0, 0)
        for index, (written, meant) in enumerate(keys):
            if index:
                self._write(" . ")
            place = self._here()
            path = (*path, meant)
            if own:
                self.places[path] = place
            elif item is None or index < len(keys) - 1:
                self.places.setdefault(path, place)
            self._write(written)
        if item is not None:
            self.places.setdefault(path, place)
            path = (*path, item)
            self.places[path] = place
            self._tables.append(path)
        else:
            self._tables.append(path)
        self._space()
        self._write("]" * brackets + self.random.choice(("\n", " # [[x]]\n")))
        for _ in range(self.random.randrange(3)):
            self._pair(path)
