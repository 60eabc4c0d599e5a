"""What was laid down for a new bike, and what to do next.

Question answered   Which files are there now, and where do I begin?
Method              The files as they lie in the folder; how pivots were brought into frame axes, in a sentence.
Left out            The content of the files: their comments explain it.
"""

from collections.abc import Sequence
from pathlib import Path

from bikewright.model.points import Points
from bikewright.reports.tables import paragraph


def laid_down_lines(folder: Path, files: Sequence[Path], points: Points | None) -> list[str]:
    """Files of a new bike and the next step."""
    lines = [f"laid down in {folder}:", *(f"  {file}" for file in files)]
    if points is not None:
        lines += ["", *paragraph(points.told)]
    return [*lines, "", f"Edit bike.toml, then: bikewright show {folder}"]
