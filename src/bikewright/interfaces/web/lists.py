"""Lists of people that the page lays beside the sizes: the firm's own, in memory, or a CSV file of the bike's folder.

Question answered   Which bytes are meant by the name of a list, and may they be read?
Method              A list that was handed over is held in memory under a name made of its content, a few of them, and
                    is gone when the server ends. It is written into the folder only when somebody asks for it, never
                    over a file that is there. A file of the folder goes by its bare name; a name that leads out of the
                    folder, by its steps or by a link, is refused before anything is looked at.
Left out            Reading a list: `bikewright.model.people_file`.
"""

import re
from collections import OrderedDict
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from bikewright.errors import AddressError, Fault, ModelFileError
from bikewright.model.people_file import LARGEST_BYTES
from bikewright.model.saving import save_new

LARGEST_LIST = 500_000
"""Bytes of a list that is handed over: some 15 000 people. The folder and the command take more."""
HELD = "held-"
MOST_HELD = 4
MOST_NAMED = 100
LONGEST_NAME = 120
LETTERS = 16
_NAME = re.compile(r"[\w][\w .()+-]*\.csv", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ListText:
    """A list as it was found, unread."""

    file: str
    """What it is called."""
    content: bytes

    @property
    def mark(self) -> tuple[str, str]:
        """The same for the same list."""
        return self.file, sha256(self.content).hexdigest()


class Lists:
    """The lists of one open folder. Used on the answering thread only."""

    def __init__(self, folder: Path):
        self.folder = folder
        self._held: OrderedDict[str, ListText] = OrderedDict()

    def hold(self, name: str, content: bytes) -> str:
        """Hold a list in memory; returns by what it is asked for."""
        shown = "".join(letter for letter in name if letter.isprintable()).strip()[:LONGEST_NAME] or "list"
        key = HELD + sha256(shown.encode() + b"\0" + content).hexdigest()[:LETTERS]
        self._held[key] = ListText(shown, content)
        self._held.move_to_end(key)
        while len(self._held) > MOST_HELD:
            self._held.popitem(last=False)
        return key

    def find(self, name: str) -> ListText:
        """The list of a name.

        Raises
        ------
        AddressError
            If it is held no more, or the name is none of a file of the folder.
        ModelFileError
            If the file cannot be read or is too large.
        """
        if name.startswith(HELD) and not name.casefold().endswith(".csv"):
            if name not in self._held:
                raise AddressError("this list is not held any more, as it was never stored; choose its file again")
            return self._held[name]
        path = self._path(name)
        try:
            with path.open("rb") as opened:
                content = opened.read(LARGEST_BYTES + 1)
        except OSError as error:
            told = f"It cannot be read: {error.strerror or error}."
            raise ModelFileError(Fault(file=name, remedy=told)) from None
        return ListText(name, content)

    def names(self) -> list[dict[str, str]]:
        """What may be chosen: lists that are held, then CSV files of the folder, each with what it is called."""
        held = [{"list": key, "name": one.file} for key, one in reversed(self._held.items())]
        files = sorted(path.name for path in self.folder.glob("*") if _NAME.fullmatch(path.name))[:MOST_NAMED]
        return [*held, *({"list": name, "name": name} for name in files if self._is_inside(self.folder / name))]

    def keep(self, key: str, name: str) -> str:
        """Write a list that is held into the folder, as somebody asked; returns the name of the file.

        Raises
        ------
        AddressError
            If it is not held, the name is none for a list, or a file of that name is there.
        ModelFileError
            If it cannot be written.
        """
        held = self.find(key)
        path = self._path(name)
        try:
            save_new(path, held.content)
        except FileExistsError:
            raise AddressError(f"{name} is there already; give another name") from None
        except OSError as error:
            told = f"It cannot be written: {error.strerror or error}."
            raise ModelFileError(Fault(file=name, remedy=told)) from None
        return name

    def _path(self, name: str) -> Path:
        """Where a file of the folder is."""
        path = self.folder / name
        if len(name) > LONGEST_NAME or not _NAME.fullmatch(name) or not self._is_inside(path):
            raise AddressError(
                f"'{name[:60]}' is no list of this folder; name a CSV file that lies in it, as in buyers.csv"
            )
        return path

    def _is_inside(self, path: Path) -> bool:
        return path.resolve().parent == self.folder.resolve()
