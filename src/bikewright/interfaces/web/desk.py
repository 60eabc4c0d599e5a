"""The folder that lies on the desk: its files, its draft, its kept versions, and what is pinned beside it.

The files stay the truth. The draft is what the files say, or a kept version, with the journal's changes made on it.
When somebody writes a file, the changes are made again on what it says now; a change that it does not take is parked
and told. All of this runs on the one thread of `bikewright.interfaces.web.answering`.
"""

import json
import os
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from bikewright.errors import AddressError, BikewrightError, EnvironmentFault, Fault, ModelFileError
from bikewright.interfaces.web.lists import Lists
from bikewright.interfaces.web.views import Looking
from bikewright.model.addresses import read_scalar, with_value
from bikewright.model.back_to_files import changes_for_files
from bikewright.model.build import Build
from bikewright.model.drafting import Edit, made, read_edit, tried, value_in, value_text, with_version
from bikewright.model.drafts import PLACE, Draft, make_place
from bikewright.model.files import Bike, read_bike
from bikewright.model.inventory import REMOVE
from bikewright.model.locking import release, take
from bikewright.model.saving import save_whole
from bikewright.model.versions import Version, keep, labels, plain, read_version
from bikewright.model.writing import write_changes
from bikewright.studies.workbench import why_it_stops

PINNED = "pinned.json"
SERVED = "served.lock"
EMPTY_FILE = "format = 1\n"


class Desk:
    """One open folder."""

    def __init__(self, folder: Path):
        self.folder = folder
        self.files = read_bike(folder)
        """The bike as the files say it, or last said it while they were sound."""
        self.disk_trouble = ""
        """Why the files cannot be read at this moment; empty while they can."""
        self.lists = Lists(folder)
        """Lists of people that may be laid beside the sizes."""
        self._lock = _take_folder(folder)
        self.draft = Draft(folder)
        self._seen_on_disk = self._signature()
        self._base_key: Any = None
        self._base = self.files
        self.bike = self.files
        """The bike as the draft has it."""
        self._pinned = self._read_pinned() or {build.name: build for build in self.files.builds}
        self._stand()

    def close(self) -> None:
        """Let the folder go."""
        release(self._lock)

    # What is shown

    def look(self, view: Looking, changes: Iterable[str] = ()) -> tuple[Build, Build]:
        """The pinned build and the draft's with changes tried on it, in the size looked at.

        Raises
        ------
        AddressError
            If the view or a change names nothing.
        """
        name = view.build or self.bike.builds[0].name
        after = self.bike.build(name)
        before = self._pinned.get(name, after)
        # A build that has the size already stays the same object, on which what was worked out for it is remembered.
        if view.size and after.size != view.size:
            after = with_value(after, "size", _size(after, view.size))
        after = tried(self.bike, after, changes)
        if view.size and after.size != view.size:
            after = with_value(after, "size", view.size)
        if view.size not in ("", before.size) and any(size.name == view.size for size in before.frame.sizes):
            before = with_value(before, "size", view.size)
        return before, after

    def told(self) -> dict[str, Any]:
        """The draft, for every window."""
        standing = self.draft.standing()
        parked = [step for step in self.draft.steps[: self.draft.position] if step.id in self.draft.parked]
        return {
            "position": self.draft.position,
            "length": len(self.draft.steps),
            "can_undo": self.draft.can_undo,
            "can_redo": self.draft.can_redo,
            "dirty": bool(standing.edits or standing.version or standing.texts),
            "base": standing.version,
            "pinned": self.draft.pinned.get("to", "files"),
            "changes": [
                {"id": id, "build": edit.build, "address": edit.address, "text": edit.text}
                for id, edit in standing.edits
            ],
            "parked": [
                {"id": step.id, "changes": [str(edit) for edit in step.edits], "why": self.draft.parked[step.id]}
                for step in parked
            ],
            "conflicts": self._conflicts(),
            "versions": list(labels(self.folder)),
            "trouble": self.disk_trouble or self.draft.told,
            "builds": [build.name for build in self.bike.builds],
            "riders": [rider.name for rider in self.bike.riders],
            "stock": {
                shelf.kind: [{"name": part.name, "describe": part.describe} for part in shelf.parts]
                for shelf in self.bike.stock.shelves
            },
        }

    def model(self, view: Looking) -> dict[str, Any]:
        """The build looked at as tables, for forms: every value at its address."""
        build = self.bike.build(view.build or self.bike.builds[0].name)
        table: dict[str, Any] = plain(build.in_size(_size(build, view.size)) if view.size else build)
        return table

    def named(self, label: str, view: Looking) -> Build:
        """What is called ``files``, ``draft`` or by a version's label, in the size looked at where it has that size.

        Raises
        ------
        AddressError, ModelFileError
            If there is no such version or build, or it cannot be read.
        """
        if label in ("files", "draft"):
            bike = self.files if label == "files" else self.bike
            build = bike.build(view.build or bike.builds[0].name)
        else:
            build = self.version(label).build
        known = any(size.name == view.size for size in build.frame.sizes)
        return with_value(build, "size", view.size) if known else build

    def version(self, label: str) -> Version:
        """A kept version."""
        return read_version(self.folder, label)

    # What is done

    def make(self, id: str, view: Looking, changes: Iterable[str], *, rounded: bool = False) -> None:
        """Make changes and journal them; the same identity again changes nothing.

        Raises
        ------
        AddressError
            If a change names nothing: then none of them is made.
        """
        if self.draft.knows(id):
            return
        bike, edits = self.bike, []
        for text in changes:
            before = bike
            edit, bike = read_edit(bike, view.build or bike.builds[0].name, text, rounded=rounded, size=view.size)
            _refuse_stopped(before, bike, edit)
            edits.append(replace(edit, was=self._in_base(edit)))
        if not edits:
            raise AddressError("there is nothing to change; name a change such as fork=single-crown-160")
        self.draft.make(id, edits)
        self.bike = bike

    def undo(self, id: str) -> None:
        """Take the last step back."""
        self.draft.undo(id)
        self._stand()

    def redo(self, id: str) -> None:
        """Take the next step again."""
        self.draft.redo(id)
        self._stand()

    def open(self, id: str, label: str) -> None:
        """Go to a kept version, or to the files. What was changed stays in the journal, so undo leads back.

        Raises
        ------
        AddressError, ModelFileError
            If there is no such version, or it cannot be read.
        """
        self.draft.open(id, read_version(self.folder, label).label if label else "")
        self._stand()

    def keep(self, id: str, view: Looking, name: str, note: str) -> str:
        """Keep the build looked at as a version; returns its label."""
        if self.draft.knows(id):
            return self.draft.answer_of(id)
        build = self.look(view)[1]
        version = keep(self.folder, build, name, note=note, parent=self.draft.standing().version, request=id)
        self.draft.note(id, version.label)
        return version.label

    def pin(self, id: str, to: str) -> None:
        """Make the draft, the files or a kept version the baseline.

        Raises
        ------
        AddressError
            If there is no version of that label.
        """
        if self.draft.knows(id):
            return
        if to in ("current", "draft"):
            to, builds = "draft", self.bike.builds
        elif to == "files":
            builds = self.files.builds
        else:
            version = read_version(self.folder, to)
            to, builds = version.label, with_version(self.files, version.build).builds
        self._save_pinned(builds)
        self._pinned = {build.name: build for build in builds}
        self.draft.pin(id, {"to": to})

    def write(self, id: str) -> tuple[str, ...]:
        """Write what the draft says into the files; returns the files written.

        Raises
        ------
        AddressError, ModelFileError
            If something cannot be written, or a file was changed since it was read. Then no file is touched.
        """
        if self.draft.knows(id):
            return ()
        changes = changes_for_files(self.files, self.bike)
        if not changes:
            return ()
        before = self._texts()
        paths = [self._named(path) for path in write_changes(self.folder, changes, bike=self.files)]
        self.draft.wrote(id, {path: before.get(path) for path in paths})
        self._read_again()
        self._stand()
        return tuple(paths)

    def look_at_disk(self) -> bool:
        """Read the files again if somebody wrote them; returns whether anything is different now."""
        signature = self._signature()
        if signature == self._seen_on_disk:
            return False
        was, trouble = {file.file: file.sha256 for file in self.files.files}, self.disk_trouble
        self._read_again()
        now = {file.file: file.sha256 for file in self.files.files}
        if was == now:
            return trouble != self.disk_trouble
        changed = {self._named(Path(file)) for file in was.keys() | now.keys() if was.get(file) != now.get(file)}
        if changed & {file for step in self.draft.steps for file in step.texts}:
            self.draft.disk_changed(changed)
        self._base_key = None
        self._stand()
        return True

    # Within

    def _read_again(self) -> None:
        self._seen_on_disk = self._signature()
        try:
            self.files = read_bike(self.folder)
            self.disk_trouble = ""
        except (BikewrightError, OSError) as error:
            self.disk_trouble = str(error)

    def _stand(self) -> None:
        """Make the draft again on its base; steps that it does not take are parked, others taken up again."""
        standing = self.draft.standing()
        self._base = bike = self._base_of(standing.version, standing.texts)
        first = _first_of_stretch(self.draft)
        for step in self.draft.steps[first : self.draft.position]:
            if step.kind != "make":
                continue
            try:
                after = _made_all(bike, step.edits)
            except BikewrightError as error:
                if step.id not in self.draft.parked:
                    self.draft.park(step.id, str(error))
                continue
            bike = after
            if step.id in self.draft.parked:
                self.draft.park(step.id, "")
        self.bike = bike

    def _base_of(self, version: str, texts: dict[str, str | None]) -> Bike:
        """What a draft starts from; the files where a version is gone or old texts do not fit any more."""
        key = (version, tuple(sorted(texts.items(), key=lambda item: item[0])), tuple(self.files.files))
        if key == self._base_key:
            return self._base
        base = self.files
        try:
            if texts:
                said = {self.folder / name: EMPTY_FILE if text is None else text for name, text in texts.items()}
                base = replace(read_bike(self.folder, said), files=self.files.files)
            if version:
                base = with_version(base, read_version(self.folder, version).build)
        except BikewrightError as error:
            self.draft.told = f"The draft stands on the files now: {error}"
        self._base_key = key
        return base

    def _in_base(self, edit: Edit) -> str:
        try:
            return value_text(value_in(self._base, edit.build, edit.address, edit.size))
        except BikewrightError:
            return ""

    def _conflicts(self) -> list[dict[str, str]]:
        """What the screen and the files both changed: both values, the draft shows the screen's."""
        last = {(edit.build, edit.address): edit for _, edit in self.draft.standing().edits}
        found = []
        for (build, address), edit in last.items():
            disk = self._in_base(edit)
            try:
                shown = value_text(value_in(self.bike, build, address, edit.size))
            except BikewrightError:
                continue
            # as numbers, since an older journal says 32.0 for 32
            if edit.was and disk and read_scalar(disk) not in (read_scalar(edit.was), read_scalar(shown)):
                found.append({"build": build, "address": address, "disk": disk, "screen": shown, "was": edit.was})
        return found

    def _texts(self) -> dict[str, str]:
        return {self._named(Path(file.file)): Path(file.file).read_bytes().decode() for file in self.files.files}

    def _named(self, path: Path) -> str:
        return Path(os.path.relpath(path, self.folder)).as_posix()

    def _signature(self) -> tuple[tuple[str, int, int], ...]:
        """Names, times and lengths of the files; the folder's own and those that it is based on."""
        paths = {Path(file.file) for file in self.files.files}
        paths |= set(self.folder.glob("*.toml")) | set(self.folder.glob("parts/*.toml"))
        found = []
        for path in sorted(paths):
            try:
                stat = path.stat()
            except OSError:
                found.append((str(path), 0, -1))
            else:
                found.append((str(path), stat.st_mtime_ns, stat.st_size))
        return tuple(found)

    def _save_pinned(self, builds: Iterable[Build]) -> None:
        text = json.dumps({"format": 1, "builds": {build.name: plain(build) for build in builds}})
        path = self.folder / PLACE / PINNED
        try:
            save_whole(path, text.encode())
        except OSError as error:
            told = f"It cannot be written: {error.strerror or error}."
            raise ModelFileError(Fault(file=str(path), remedy=told)) from None

    def _read_pinned(self) -> dict[str, Build] | None:
        """What was pinned when the folder lay here last; None where nothing was, or it cannot be read any more."""
        path = self.folder / PLACE / PINNED
        if not self.draft.pinned or not path.exists():
            return None
        try:
            return {name: Build(**table) for name, table in json.loads(path.read_bytes())["builds"].items()}
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            self.draft.told = f"{path} cannot be read, so the files are the baseline."
            self.draft.pinned = {}
            return None


def _take_folder(folder: Path) -> int:
    """Lock the folder, so that one server alone keeps its draft."""
    place = folder / PLACE
    try:
        make_place(place)
        handle = take(place / SERVED, wait=False)
    except OSError as error:
        told = f"The folder cannot be served, since its draft cannot be kept: {error.strerror or error}."
        raise ModelFileError(Fault(file=str(place), remedy=told)) from None
    if handle is None:
        raise EnvironmentFault(f"{folder} is being served already; use the window that is open, or end that server.")
    return handle


def _first_of_stretch(draft: Draft) -> int:
    """The first step after the last one that opened a version or wrote the files."""
    held = draft.steps[: draft.position]
    return next((index for index in range(len(held), 0, -1) if held[index - 1].kind != "make"), 0)


def _refuse_stopped(before: Bike, after: Bike, edit: Edit) -> None:
    """A pin that the linkage needs to move is not taken out."""
    if edit.verb != REMOVE or before.frame == after.frame:
        return
    here = edit.build if any(build.name == edit.build for build in after.builds) else after.builds[0].name
    why = why_it_stops(before.build(here), after.build(here))
    if why:
        pin = edit.address.rpartition(".")[2]
        raise AddressError(f"the pin '{pin}' cannot be taken out: the linkage needs it to move. Without it: {why}")


def _made_all(bike: Bike, edits: Iterable[Edit]) -> Bike:
    for edit in edits:
        bike = made(bike, edit)
    return bike


def _size(build: Build, name: str) -> str:
    known = [size.name for size in build.frame.sizes]
    if name not in known:
        raise AddressError(f"no size is called '{name}'; there are: {', '.join(known)}")
    return name
