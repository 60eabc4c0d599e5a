"""Reports into files: whole or not at all.

Question answered   How does a drawing or a table get onto the disk?
Method              Written beside its place under another name, flushed, then renamed over it.
Left out            Model files, which keep what the user wrote: see ``bikewright.model.writing``.
"""

from pathlib import Path

from bikewright.errors import OutsideValidity
from bikewright.model.saving import save_whole
from bikewright.reports.raster import to_png
from bikewright.reports.shapes import Sheet
from bikewright.reports.svg import to_svg

DRAWINGS = (".svg", ".png")


def write_text(path: Path, text: str) -> None:
    """Write a text, whole or not at all."""
    save_whole(path, text.encode())


def write_drawing(path: Path, sheet: Sheet) -> None:
    """Write a drawing in the format that the file's ending names.

    Raises
    ------
    OutsideValidity
        If the ending names no format of drawing.
    EnvironmentFault
        If this machine lacks what a picture needs.
    """
    ending = path.suffix.lower()
    if ending not in DRAWINGS:
        raise OutsideValidity(f"'{path.name}': a drawing is written as {' or '.join(DRAWINGS)}, not as '{ending}'")
    svg = to_svg(sheet)
    save_whole(path, svg.encode() if ending == ".svg" else to_png(svg))
