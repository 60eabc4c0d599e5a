"""Kept versions: a build written out in full, once, in a file of its own.

``versions/0007-longer-stays.toml`` holds frame, size, parts, settings and rider of one build with every
value that it had, so that it reads the same when the stock, the riders and the frame have moved on. A
version is never written again. Guide: docs/guide/workbench-files.md
"""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import MISSING, replace
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from bikewright.errors import AddressError, Fault, ModelError, ModelFileError
from bikewright.model.build import Build
from bikewright.model.digest import digest
from bikewright.model.faults import near
from bikewright.model.locking import locked
from bikewright.model.saving import save_once
from bikewright.model.text_file import FORMAT
from bikewright.model.values import UNKNOWN, Count, Text, value

VERSIONS = "versions"
"""The folder, beside ``bike.toml``."""
LARGEST = 2_000_000
"""Bytes of a version; a build of twenty sizes has some 30,000."""
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
            version = Version(
                number=max((_number(label) for label in labels(folder)), default=0) + 1,
                name=plain_name(name),
                note=note,
                parent=parent,
                key=digest(build),
                kept=datetime.now(UTC).strftime("%Y-%m-%d %H:%M:%S"),
                request=request,
                build=build,
            )
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
        label = next((one for one in known if _number(one) == int(label)), label)
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
        return str(_parsed(path)[1].get("version", {}).get("request", ""))
    except ModelFileError:
        return ""


def _parsed(path: Path) -> tuple[str, dict[str, Any]]:
    """The text of a version's file and what it says."""
    try:
        if path.stat().st_size > LARGEST:
            raise ModelFileError(Fault(file=str(path), found="more than 2 MB", remedy="This is no kept version."))
        text = path.read_bytes().decode()
        return text, tomllib.loads(text)
    except OSError as error:
        told = f"It cannot be read: {error.strerror or error}."
        raise ModelFileError(Fault(file=str(path), remedy=told)) from None
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
        told = f"It is no kept version ({error}). Take it out of the folder."
        raise ModelFileError(Fault(file=str(path), remedy=told)) from None


def _read(path: Path) -> Version:
    text, data = _parsed(path)
    if data.get("format") != FORMAT:
        found = repr(data.get("format"))
        told = "Bring the program up to date, or take the file out of the folder."
        raise ModelFileError(Fault(file=str(path), key="format", found=found, allowed=str(FORMAT), remedy=told))
    head, build = data.get("version"), data.get("build")
    if not isinstance(head, dict) or not isinstance(build, dict):
        told = "A kept version has the tables [version] and [build]. Take the file out of the folder."
        raise ModelFileError(Fault(file=str(path), remedy=told))
    try:
        version = Version(**{**head, "build": build})
    except (ValidationError, ModelError, TypeError) as error:
        raise ModelFileError(*_faults(path, error)) from None
    _, mark, build_text = text.partition("\n[build]\n")
    if sha256((mark[1:] + build_text).encode()).hexdigest() != version.content:
        told = "It was changed after it was kept. Restore it, or take it out of the folder."
        raise ModelFileError(Fault(file=str(path), key="version.content", found=version.content, remedy=told))
    return version


def _faults(path: Path, error: Exception) -> Iterator[Fault]:
    if not isinstance(error, ValidationError):
        yield Fault(file=str(path), remedy=str(error))
        return
    for fault in error.errors()[:20]:
        key = ".".join(str(step) for step in fault["loc"])
        yield Fault(file=str(path), key=key, found=repr(fault["input"])[:80], remedy=f"{fault['msg']}.")
