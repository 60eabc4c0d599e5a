"""Reports into files: whole or not at all.

Question answered   How does a drawing or a table get onto the disk?
Method              Written beside its place under another name, flushed, then renamed over it.
Left out            Model files, which keep what the user wrote: see ``bikewright.model.writing``.
"""

from collections.abc import Callable, Sequence
from pathlib import Path

from bikewright.errors import EnvironmentFault, OutsideValidity
from bikewright.model.saving import save_whole
from bikewright.reports.raster import to_png
from bikewright.reports.shapes import Sheet
from bikewright.reports.svg import to_svg

DRAWINGS = (".svg", ".png")
TABLES = (".csv",)
SHEETS = (".pdf",)


def check_place(path: Path, endings: Sequence[str]) -> None:
    """Refuse a file that could not be written, before anything is computed for it.

    Raises
    ------
    OutsideValidity
        If the ending names no format of this report.
    EnvironmentFault
        If there is no folder to write into.
    """
    ending = path.suffix.lower()
    if ending not in endings:
        found = f"'{ending}'" if ending else "a name without an ending"
        raise OutsideValidity(f"'{path.name}': this is written as {' or '.join(endings)}, not as {found}")
    if not path.parent.is_dir():
        raise EnvironmentFault(f"{path}: there is no folder {path.parent}. Make it first, or name another.")


def write_text(path: Path, text: str) -> None:
    """Write a table, whole or not at all.

    Raises
    ------
    OutsideValidity
        If the ending names no format of a table.
    EnvironmentFault
        If the folder is not there or cannot be written.
    """
    check_place(path, TABLES)
    _save(path, text.encode())


def write_drawing(path: Path, sheet: Sheet) -> None:
    """Write a drawing in the format that the file's ending names.

    Raises
    ------
    OutsideValidity
        If the ending names no format of drawing.
    EnvironmentFault
        If this machine lacks what a picture needs, or the folder is not there or cannot be written.
    """
    check_place(path, DRAWINGS)
    svg = to_svg(sheet)
    _save(path, svg.encode() if path.suffix.lower() == ".svg" else to_png(svg))


def write_chart(path: Path, *, table: Callable[[], str], drawing: Callable[[], Sheet]) -> None:
    """Write curves as a table or as a drawing, as the file's ending says; only that one is made.

    Raises
    ------
    OutsideValidity
        If the ending names no format of either.
    EnvironmentFault
        If this machine lacks what a picture needs, or the folder is not there or cannot be written.
    """
    if path.suffix.lower() in TABLES:
        write_text(path, table())
    else:
        write_drawing(path, drawing())


def write_sheet(path: Path, pdf: bytes) -> None:
    """Write a sheet on paper, whole or not at all.

    Raises
    ------
    OutsideValidity
        If the ending names no format of a sheet.
    EnvironmentFault
        If the folder is not there or cannot be written.
    """
    check_place(path, SHEETS)
    _save(path, pdf)


def write_bytes(path: Path, content: bytes, endings: Sequence[str]) -> None:
    """Write a file of one of the endings given, whole or not at all.

    Raises
    ------
    OutsideValidity
        If the ending is none of them.
    EnvironmentFault
        If the folder is not there or cannot be written.
    """
    check_place(path, endings)
    _save(path, content)


def _save(path: Path, content: bytes) -> None:
    try:
        save_whole(path, content)
    except OSError as error:
        told = f"{path}: it cannot be written: {error.strerror or error}. Nothing was changed; name another place."
        raise EnvironmentFault(told) from None
