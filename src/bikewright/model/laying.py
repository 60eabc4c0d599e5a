"""Laying down the files of a new bike: a commented bike to start from, or one from a table and pivots.

The files are written beside the folder, read and checked there, and moved into place with ``bike.toml``
last, so that a folder that was not finished is no bike.
"""

import os
import re
import tempfile
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from bikewright.errors import Fault, ModelError, ModelFileError
from bikewright.model.faults import NAME_RULE, shown
from bikewright.model.files import read_bike
from bikewright.model.points import PlacedPin, Points
from bikewright.model.revision import BIKE, BRIEF, BUILDS
from bikewright.model.table_file import Table, bike_text
from bikewright.model.text_file import FORMAT, toml_key

_BLANK_NAME = "new-bike"


def lay_down(
    folder: str | Path,
    *,
    name: str | None = None,
    table: Table | None = None,
    points: Points | None = None,
    fork_length_mm: float | None = None,
    fork_offset_mm: float | None = None,
    front_radius_mm: float | None = None,
    rear_radius_mm: float | None = None,
) -> tuple[Path, ...]:
    """Lay down the files of a new bike.

    Parameters
    ----------
    folder : str or Path
        Where to; it is made if it is not there, and must hold no bike.
    name : str, optional
        Name of the bike; the folder's when absent.
    table : Table, optional
        Geometry table to write in place of the example's.
    points : Points, optional
        Pins of the linkage. Where they name the bodies that they join the linkage is written whole, else
        its places are written for the bodies to be filled in.
    fork_length_mm, fork_offset_mm, front_radius_mm, rear_radius_mm : float, optional
        What the table was stated at, where it does not say so itself. [mm]

    Returns
    -------
    tuple of Path
        The files, as they lie in the folder.

    Raises
    ------
    ModelError
        If there is a bike already, the name cannot stand in a file, or the table says too little.
    ModelFileError
        If the folder cannot be written, or what was given would be no sound bike.
    """
    home = Path(folder)
    called = sound_name(name) if name is not None else _name_from(home)
    texts = _blank_texts(called)
    if table is not None:
        texts[BIKE] = bike_text(
            table,
            called,
            fork_length_mm=fork_length_mm,
            fork_offset_mm=fork_offset_mm,
            front_radius_mm=front_radius_mm,
            rear_radius_mm=rear_radius_mm,
        )
        texts[BRIEF] = f"# What the bike is meant to be, as [[line]] headings.\nformat = {FORMAT}\n"
        texts[BUILDS] = f"# Builds, each under its name with a size and what differs.\nformat = {FORMAT}\n"
    if points is not None:
        texts[BIKE] = f"{_without_linkage(texts[BIKE])}\n{_linkage_text(points)}"
    try:
        return _laid(home, texts)
    except OSError as error:
        told = f"The bike cannot be laid down here: {error.strerror or error}."
        raise ModelFileError(Fault(file=str(home), remedy=told)) from None


def sound_name(name: str) -> str:
    """A bike's name as it may stand in a file.

    Raises
    ------
    ModelError
        If the name has spaces or signs in it.
    """
    if not re.fullmatch(r"\w[\w\-]{0,59}", name):
        raise ModelError(f"{shown(name)} cannot be a name; allowed: {NAME_RULE}")
    return name


def _name_from(folder: Path) -> str:
    name = re.sub(r"[^\w-]+", "-", folder.resolve().name).strip("-")[:60]
    return name or _BLANK_NAME


def _blank_texts(name: str) -> dict[str, str]:
    """The files of the example, by their place in the folder."""
    blank = resources.files("bikewright.model") / "blank"
    texts = dict(_files(blank, ""))
    texts[BIKE] = texts[BIKE].replace(f'name = "{_BLANK_NAME}"', f'name = "{name}"', 1)
    return texts


def _files(place: Traversable, prefix: str) -> list[tuple[str, str]]:
    found = []
    for entry in sorted(place.iterdir(), key=lambda entry: entry.name):
        if entry.is_dir():
            found += _files(entry, f"{prefix}{entry.name}/")
        elif entry.name.endswith(".toml"):
            found.append((prefix + entry.name, entry.read_text(encoding="utf-8")))
    return found


def _laid(home: Path, texts: dict[str, str]) -> tuple[Path, ...]:
    """Write, read back, and move into place."""
    for name in texts:
        if os.path.lexists(home / name):
            raise ModelError(f"{home / name} is there already, and nothing is written over it; name an empty folder")
    home.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=f".{home.name}.", dir=home.resolve().parent) as beside:
        draft = Path(beside) / home.name
        for name, text in texts.items():
            file = draft / name
            file.parent.mkdir(parents=True, exist_ok=True)
            with file.open("w", encoding="utf-8", newline="\n") as opened:
                opened.write(text)
                opened.flush()
                os.fsync(opened.fileno())
        _check(draft, home)
        for name in sorted(texts, key=lambda name: name == BIKE):
            target = home / name
            target.parent.mkdir(parents=True, exist_ok=True)
            (draft / name).replace(target)
    return tuple(home / name for name in texts)


def _check(draft: Path, home: Path) -> None:
    try:
        read_bike(draft)
    except ModelFileError as error:
        drafted, meant = str(draft), str(home)
        faults = [
            Fault(
                file=fault.file.replace(drafted, meant),
                key=fault.key,
                found=fault.found,
                allowed=fault.allowed,
                remedy=fault.remedy.replace(drafted, meant),
            )
            for fault in error.faults
        ]
        raise ModelFileError(*faults) from None


def _without_linkage(text: str) -> str:
    """The bike's text without the example's linkage."""
    return re.sub(r"(?ms)^# The linkage\..*?(?=^# What the frame allows)", "", text)


def _linkage_text(points: Points) -> str:
    """The linkage of a drawing, commented out as long as it does not say what the pins join."""
    whole = all(pin.joins for pin in points.pins)
    mark = "" if whole else "#"
    lines = [f"# From a drawing: {points.told}"]
    if not whole:
        lines.append('# Say what each pin joins, as in joins = ["frame", "swingarm"], and take the # away.')
        lines.append('# "frame" stands still, two pins join "shock", and the axle joins "wheel".')
    carrier = next((body for pin in points.pins if "wheel" in pin.joins for body in pin.joins if body != "wheel"), "")
    lines += [f"{mark}[linkage]", f'{mark}brake_on = "{carrier}"  # the body that carries the rear brake caliper']
    lines += [f"{mark}[linkage.pins]", *(f"{mark}{_pin_line(pin)}" for pin in points.pins)]
    return "\n".join(lines) + "\n"


def _pin_line(pin: PlacedPin) -> str:
    joins = ", ".join(f'"{body}"' for body in pin.joins)
    return f"{toml_key(pin.name)} = {{ x_mm = {pin.x_mm:.10g}, z_mm = {pin.z_mm:.10g}, joins = [{joins}] }}"
