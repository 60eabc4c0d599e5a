"""Kept versions: a build written out in full, once, in a file of its own.

``versions/0007-longer-stays.toml`` holds frame, size, parts, settings and rider of one build with every
value that it had, so that it reads the same when the stock, the riders and the frame have moved on. A
version is never written again. Guide: docs/guide/workbench-files.md
"""

import re
from dataclasses import MISSING, replace
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from bikewright.errors import AddressError, Fault, ModelFileError
from bikewright.model.build import Build, sound
from bikewright.model.digest import digest
from bikewright.model.faults import made, near, shown
from bikewright.model.locking import locked
from bikewright.model.saving import save_once
from bikewright.model.text_file import FORMAT, Sheet, read_text_file
from bikewright.model.values import UNKNOWN, Count, Text, value

VERSIONS = "versions"
"""The folder, beside ``bike.toml``."""
LONGEST_NAME = 60
_FILE = re.compile(r"(\d{4,9})-([\w\-]+)\.toml")
_LOCK = ".lock"
_HEAD = ("number", "name", "note", "parent", "key", "content", "kept", "request")
_REMARK = "# A kept version: written once, never changed. To go on from it, open it in the workbench."


@value
class Version:
    """One kept version: what it is called, where it came from, and the build."""

    number: Count
    name: Text
    note: Text = ""
    parent: Text = ""
    """Label of the version that it was made from; empty: the files."""
    key: Text
    """SHA-256 of the build: `bikewright.model.digest`. A later release that knows more fields gives another."""
    content: Text = ""
    """SHA-256 of the file from its ``[build]`` on, so that a change made by hand is seen."""
    kept: Text = ""
    """Day and time, UTC."""
    request: Text = ""
    """Identity of the request that kept it, so that a request sent twice keeps one version."""
    build: Build

    @property
    def label(self) -> str:
        """Number and name, as in the file's name: ``0007-longer-stays``."""
        return _label(self.number, self.name)


def keep(
    folder: str | Path, build: Build, name: str, *, note: str = "", parent: str = "", request: str = ""
) -> Version:
    """Write a build as the next version.

    Parameters
    ----------
    folder : str or Path
        The bike's folder.
    build : Build
        What to keep.
    name : str
        A few words; what cannot stand in a file's name becomes a hyphen.
    note, parent : str
        Why it is kept, and the label of the version that it was made from.
    request : str
        Identity of the request; a version that it has kept already is returned and none is written.

    Returns
    -------
    Version
        As it was written.

    Raises
    ------
    ModelError
        If the note is too long, or is no text that a file can hold.
    ModelFileError
        If the folder cannot be written.
    """
    home = Path(folder) / VERSIONS
    try:
        home.mkdir(exist_ok=True)
        with locked(home / _LOCK):
            if request:
                for label in labels(folder):
                    if _request_of(home / f"{label}.toml") == request:
                        return read_version(folder, label)
            fields = {
                "number": max((_number(label) for label in labels(folder)), default=0) + 1,
                "name": plain_name(name),
                "note": note,
                "parent": parent,
                "key": digest(build),
                "kept": datetime.now(UTC).strftime("%Y-%m-%d %H:%M:%S"),
                "request": request,
                "build": build,
            }
            version = sound(Version, fields)
            version, text = written_out(version)
            save_once(home / f"{version.label}.toml", text.encode())
    except OSError as error:
        told = f"The version cannot be kept: {error.strerror or error}. Nothing was written."
        raise ModelFileError(Fault(file=str(home), remedy=told)) from None
    return version


def labels(folder: str | Path) -> tuple[str, ...]:
    """Labels of all kept versions, the oldest first."""
    home = Path(folder) / VERSIONS
    try:
        found = [path.stem for path in home.iterdir() if _FILE.fullmatch(path.name)]
    except OSError:
        return ()
    return tuple(sorted(found, key=lambda label: (_number(label), label)))


def read_version(folder: str | Path, label: str) -> Version:
    """One kept version.

    Parameters
    ----------
    folder : str or Path
        The bike's folder.
    label : str
        ``0007-longer-stays``, or its number.

    Raises
    ------
    AddressError
        If there is none of that label: names the nearest.
    ModelFileError
        If the file cannot be read or was changed after it was written.
    """
    known = labels(folder)
    if label not in known and label.isdecimal():
        label = next((one for one in known if str(_number(one)) == label.lstrip("0")), label)
    if label not in known:
        raise AddressError(f"no version is called '{label}'. {near(label, known)}")
    path = Path(folder) / VERSIONS / f"{label}.toml"
    return _read(path)


def written_out(version: Version) -> tuple[Version, str]:
    """A version with its content's hash, and the text of its file."""
    import tomlkit

    build = tomlkit.dumps({"build": plain(version.build)})
    version = replace(version, content=sha256(build.encode()).hexdigest())
    head = {name: getattr(version, name) for name in _HEAD}
    return version, f"{_REMARK}\n{tomlkit.dumps({'format': FORMAT, 'version': head})}\n{build}"


def plain(thing: Any) -> Any:
    """A model value as tables, lists and scalars, every value that is known written out.

    Named things stand under their names. A value that is not known is left out, or is ``"unknown"`` where
    leaving it out would mean another value.
    """
    fields = getattr(thing, "__dataclass_fields__", None)
    if fields is not None:
        return {
            name: UNKNOWN if found is None else plain(found)
            for name, field in fields.items()
            if (found := getattr(thing, name)) is not None or not _may_be_left_out(field)
        }
    if isinstance(thing, tuple):
        if thing and all(hasattr(item, "name") for item in thing):
            return {item.name: {key: kept for key, kept in plain(item).items() if key != "name"} for item in thing}
        return [plain(item) for item in thing]
    return thing


def plain_name(name: str) -> str:
    """A name as it can stand in a file's name."""
    worn = re.sub(r"[^\w]+", "-", name.strip().lower()).strip("-_")[:LONGEST_NAME].rstrip("-_")
    return worn or "version"


def _may_be_left_out(field: Any) -> bool:
    default = field.default
    if hasattr(default, "default"):  # what pydantic's Field made
        default = default.default
    return default is None or default is MISSING


def _label(number: int, name: str) -> str:
    return f"{number:04d}-{name}"


def _number(label: str) -> int:
    return int(label.partition("-")[0])


def _request_of(path: Path) -> str:
    try:
        head = read_text_file(path).data.get("version")
    except ModelFileError:
        return ""
    return str(head.get("request", "")) if isinstance(head, dict) else ""


def _read(path: Path) -> Version:
    file = read_text_file(path)
    sheet, faults = Sheet(file.shown, file.data, (file,)), list[Fault]()
    if file.data.get("format") != FORMAT:
        told = "Bring the program up to date, or take the file out of the folder."
        found = shown(file.data["format"]) if "format" in file.data else "nothing"
        raise ModelFileError(sheet.fault(("format",), found=found, allowed=str(FORMAT), remedy=told))
    head, tables = file.data.get("version"), file.data.get("build")
    if not isinstance(head, dict) or not isinstance(tables, dict):
        told = "A kept version has the tables [version] and [build]. Take the file out of the folder."
        raise ModelFileError(sheet.fault((), remedy=told))
    build = made(Build, tables, sheet, ("build",), faults)
    version = None if build is None else made(Version, {**head, "build": build}, sheet, ("version",), faults)
    if version is None:
        raise ModelFileError(*faults)
    _, mark, written = file.text.replace("\r\n", "\n").partition("\n[build]\n")  # as version control may lay it down
    if sha256((mark[1:] + written).encode()).hexdigest() != version.content:
        told = "It was changed after it was kept. Restore it, or take it out of the folder."
        raise ModelFileError(sheet.fault(("version", "content"), found=version.content, remedy=told))
    return version
