"""The draft of a bike: what was changed on screen and is not in the files, kept through a killed process.

One draft belongs to a folder, whichever window changes it. Each thing done is one line of
``FOLDER/.bikewright/draft.jsonl``, on the disk before it is answered. Undo and redo are lines too, so that
nothing is ever lost. A line that a kill cut short is dropped. Guide: docs/guide/workbench-files.md
"""

import json
import os
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from itertools import count
from pathlib import Path
from typing import Any

from bikewright.errors import Fault, ModelFileError
from bikewright.model.drafting import Edit
from bikewright.model.saving import save_whole, sync_folder

PLACE = ".bikewright"
"""Folder of what belongs to this machine's work on a bike, beside ``bike.toml``."""
JOURNAL = "draft.jsonl"
FORMAT = 1
MOST_ON_START = 200_000_000
"""Bytes of a journal that are read; a year of daily work is a hundredth of that."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that can be undone: changes made, a version opened, or the files written."""

    kind: str
    """``"make"``, ``"open"`` or ``"write"``."""
    id: str = ""
    edits: tuple[Edit, ...] = ()
    version: str = ""
    """Label of the version opened; empty: back to the files."""
    texts: dict[str, str | None] = field(default_factory=dict)
    """What each file said before it was written; None: it did not stand."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What a draft comes to: a base and the changes on it."""

    version: str
    """Label of the kept version that it starts from; empty: the files."""
    texts: dict[str, str | None]
    """Files that the base says otherwise than the disk, because a write was undone."""
    edits: tuple[tuple[str, Edit], ...]
    """Each change with the identity of the step that made it."""


class Draft:
    """The journal of one folder, and what it comes to. Used from one thread."""

    def __init__(self, folder: str | Path):
        self.path = Path(folder) / PLACE / JOURNAL
        self.told = ""
        """What was found wrong with the journal when it was read; empty where nothing was."""
        self.steps: list[Step] = []
        self.position = 0
        """Steps that hold; those after it are undone."""
        self.parked: dict[str, str] = {}
        """Steps that cannot be made on the files as they are, and why; they stay in the journal."""
        self.pinned: dict[str, Any] = {}
        """What the last pin said."""
        self._under: dict[str, str | None] = {}
        self._seen: dict[str, dict[str, Any]] = {}
        self._read()

    # What it comes to

    def standing(self) -> Standing:
        """Base and changes at the position."""
        version, edits = "", []
        for step in self.steps[: self.position]:
            if step.kind == "make":
                edits += [(step.id, edit) for edit in step.edits if step.id not in self.parked]
            else:
                version, edits = step.version, []
        return Standing(version, self._overlay(), tuple(edits))

    @property
    def can_undo(self) -> bool:
        """Whether a step holds."""
        return self.position > 0

    @property
    def can_redo(self) -> bool:
        """Whether a step is undone."""
        return self.position < len(self.steps)

    def knows(self, id: str) -> bool:
        """Whether something was done under this identity already."""
        return bool(id) and id in self._seen

    def answer_of(self, id: str) -> str:
        """What a request that is no step came to, as a version's label."""
        return str(self._seen.get(id, {}).get("answer", ""))

    # What is done

    def make(self, id: str, edits: Iterable[Edit]) -> None:
        """Journal changes; what was undone before is left behind."""
        self._do({"event": "make", "id": id, "edits": [asdict(edit) for edit in edits]})

    def open(self, id: str, version: str) -> None:
        """Go to a kept version, or with an empty label back to the files."""
        self._do({"event": "open", "id": id, "version": version})

    def wrote(self, id: str, texts: Mapping[str, str | None]) -> None:
        """The changes are in the files now; the texts are what the written files said before."""
        self._do({"event": "write", "id": id, "texts": {**texts, **self._overlay()}})

    def undo(self, id: str = "") -> None:
        """Take the last step back; nothing happens where there is none."""
        self._do({"event": "undo", "id": id})

    def redo(self, id: str = "") -> None:
        """Take the next step again; nothing happens where there is none."""
        self._do({"event": "redo", "id": id})

    def pin(self, id: str, pinned: Mapping[str, Any]) -> None:
        """Remember what the baseline is."""
        self._do({"event": "pin", "id": id, "pinned": dict(pinned)})

    def note(self, id: str, answer: str) -> None:
        """Remember what a request came to, so that it is answered the same when it is sent again."""
        self._do({"event": "note", "id": id, "answer": answer})

    def park(self, id: str, why: str) -> None:
        """A step that the files as they are do not take; an empty reason takes it up again."""
        self._do({"event": "park", "step": id, "why": why})

    def disk_changed(self, files: Iterable[str]) -> None:
        """Somebody else wrote these files: what they said before an own write is past."""
        self._do({"event": "disk", "files": sorted(files)})

    # The journal

    def _do(self, event: dict[str, Any]) -> None:
        if self.knows(event.get("id", "")):
            return
        line = json.dumps(event, ensure_ascii=False, separators=(",", ":")) + "\n"
        try:
            self._append(line.encode(errors="surrogatepass"))  # as `json.loads` reads them
        except OSError as error:
            told = f"The draft cannot be kept: {error.strerror or error}. Nothing was changed."
            raise ModelFileError(Fault(file=str(self.path), remedy=told)) from None
        self._take(event)

    def _append(self, line: bytes) -> None:
        make_place(self.path.parent)
        size = self.path.stat().st_size if self.path.exists() else 0
        if not size:
            head = json.dumps({"event": "draft", "format": FORMAT}, separators=(",", ":"))
            line = f"{head}\n".encode() + line
        with self.path.open("ab") as file:
            try:
                file.write(line)
                file.flush()
                os.fsync(file.fileno())
                if not size:  # the new names must reach the disk too
                    sync_folder(self.path.parent)
                    sync_folder(self.path.parent.parent)
            except OSError:
                os.truncate(self.path, size)  # a full disk must not leave half a line in the way of the next
                raise

    def _take(self, event: dict[str, Any]) -> None:
        """What an event does to the draft; the same when it is done and when it is read."""
        kind = event["event"]
        if event.get("id"):
            self._seen[event["id"]] = event
        if kind in ("make", "open", "write"):
            step = _step(event)  # first, so that an event that is none changes nothing
            self._under = {} if kind == "write" else self._overlay()
            self.steps[self.position :] = [step]
            self.position += 1
        elif kind == "undo":
            self.position = max(self.position - 1, 0)
        elif kind == "redo":
            self.position = min(self.position + 1, len(self.steps))
        elif kind == "pin":
            self.pinned = event["pinned"]
        elif kind == "park":
            step_id, why = event["step"], event["why"]
            self.parked.pop(step_id, None)
            if why:
                self.parked[step_id] = why
        elif kind == "disk":
            for texts in (self._under, *(step.texts for step in self.steps)):
                for file in event["files"]:
                    texts.pop(file, None)

    def _overlay(self) -> dict[str, str | None]:
        """What the files said at the position, where a write that came after it has changed them."""
        texts = dict(self._under)
        for step in reversed(self.steps[self.position :]):
            if step.kind == "write":
                texts.update(step.texts)
        return texts

    def _read(self) -> None:
        try:
            if self.path.stat().st_size > MOST_ON_START:
                self._set_aside("is larger than 200 MB")
                return
            content = self.path.read_bytes()
        except FileNotFoundError:
            return
        except OSError as error:
            raise ModelFileError(Fault(file=str(self.path), remedy=f"It cannot be read: {error.strerror}.")) from None
        whole, _, _ = content.rpartition(b"\n")
        good = 0
        for line in whole.split(b"\n") if whole else []:
            try:
                self._take_read(json.loads(line))
            except ModelFileError:
                raise
            except (ValueError, KeyError, TypeError, AttributeError):
                self._set_aside(f"cannot be read from byte {good + 1} on", content[:good])
                return
            good += len(line) + 1
        if good < len(content):
            os.truncate(self.path, good)  # the end of a line that a kill cut short

    def _take_read(self, event: dict[str, Any]) -> None:
        if event["event"] != "draft":
            self._take(event)
        elif event["format"] > FORMAT:
            told = "It was written by a newer release; bring the program up to date."
            raise ModelFileError(Fault(file=str(self.path), key="format", found=str(event["format"]), remedy=told))

    def _set_aside(self, why: str, good: bytes = b"") -> None:
        """Keep a damaged journal under another name and go on from its sound part."""
        names = (self.path.with_name(f"draft-damaged-{number}.jsonl") for number in count(1))
        aside = next(name for name in names if not name.exists())
        self.path.rename(aside)
        if good:
            save_whole(self.path, good)
        self.told = f"The journal {why}; it is kept as {aside.name}, and the draft goes on from what stands before."


def make_place(place: Path) -> None:
    """Make the folder of this machine's work, which version control is to pass over, where it does not stand yet."""
    ignored = place / ".gitignore"
    if not ignored.exists():  # not made yet, or a kill fell between the two
        place.mkdir(exist_ok=True)
        ignored.write_text("*\n", encoding="utf-8")


def _step(event: dict[str, Any]) -> Step:
    return Step(
        kind=event["event"],
        id=event["id"],
        edits=tuple(Edit(**edit) for edit in event.get("edits", ())),
        version=event.get("version", ""),
        texts=dict(event.get("texts", {})),
    )
