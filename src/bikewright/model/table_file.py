"""A geometry table as people have it: a CSV or TSV with dimensions in rows and sizes in columns, or turned.

It becomes the text of a ``bike.toml`` with what was given and ``unknown`` for the rest, and a frame gives
the same table again. Whether the numbers agree is for physics (`bikewright.physics.table`) to say.

Numbers may carry their unit, or the row's label may: ``Reach (mm)``, ``17.9 in``. A comma before one or two
last digits is a decimal comma (``64,5``); before three it may be either, so it is refused. Columns are
separated by tabs, semicolons or commas, whichever gives an even table.
"""

import csv
import io
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from bikewright.errors import ModelError, UnitError
from bikewright.model.faults import near, shown
from bikewright.model.frame import Datum, Frame, Size
from bikewright.model.text_file import toml_key
from bikewright.units import UNITS, convert, read_quantity, suffix_of

LARGEST_BYTES = 1_000_000
MOST_SIZES = 20

STAND_IN_TYRE = "29-x-2-4"
"""Tyre of the blank bike, named where a table does not say for which it holds."""

LABELS: dict[str, tuple[str, ...]] = {
    "reach_mm": ("reach",),
    "stack_mm": ("stack",),
    "head_angle_deg": ("head angle", "head tube angle", "steering angle", "ha", "hta"),
    "head_tube_mm": ("head tube", "head tube length"),
    "seat_angle_deg": (
        "seat angle", "effective seat angle", "seat angle effective", "effective seat tube angle", "seat tube angle",
        "seat tube angle effective", "virtual seat angle", "sta", "esta", "sa",
    ),
    "seat_tube_angle_deg": (
        "actual seat angle", "seat angle actual", "actual seat tube angle", "seat tube angle actual", "real seat angle",
    ),
    "seat_tube_mm": ("seat tube", "seat tube length"),
    "rear_centre_mm": (
        "rear centre", "rear center", "chainstay", "chainstay length", "chain stay", "chain stay length", "rear end",
    ),
    "bb_drop_mm": ("bb drop", "bottom bracket drop", "drop"),
    "bb_height_mm": ("bb height", "bottom bracket height"),
    "wheelbase_mm": ("wheelbase", "wheel base"),
    "saddle_height_mm": ("saddle height",),
    "seat_tube_offset_mm": ("seat tube offset",),
    "top_tube_ahead_mm": ("top tube point ahead",),
    "top_tube_height_mm": ("top tube point height",),
    "fork_length_mm": ("fork length", "axle to crown", "fork axle to crown", "a c", "fork length a c"),
    "fork_offset_mm": ("fork offset", "fork rake", "offset", "rake"),
    "lower_stack_mm": ("lower headset stack", "lower stack", "headset lower stack"),
    "upper_offset_mm": ("upper axis offset",),
    "lower_offset_mm": ("lower axis offset",),
    "front_radius_mm": ("front wheel radius", "front tyre radius", "front tire radius"),
    "rear_radius_mm": ("rear wheel radius", "rear tyre radius", "rear tire radius"),
}  # fmt: skip
"""Labels of the trade for each key; the first is the one that is written."""

FOLLOWS = (
    "front centre", "front center", "top tube", "effective top tube", "ett", "horizontal top tube", "top tube length",
    "top tube effective", "effective top tube length", "trail", "standover", "standover height", "wheel size",
    "bb offset", "stem length", "handlebar width", "bar width", "crank length", "rider height", "seatpost diameter",
    "size", "sizes", "travel", "rear travel", "fork travel", "wheel flop", "seatpost length", "max seatpost insertion",
)  # fmt: skip
"""Rows that a table often has and that are answers here, or belong to a part."""

_BY_LABEL = {label: key for key, labels in LABELS.items() for label in labels}
_UNIT_IN_LABEL = re.compile(r"\(([^)]*)\)|\[([^\]]*)\]")
_NOT_GIVEN = {"", "-", "–", "—", "n/a", "na", "?", "unknown", "tba", "tbc", "."}


@dataclass(frozen=True, slots=True)
class Table:
    """A geometry table as it was printed."""

    sizes: tuple[str, ...]
    rows: tuple[tuple[str, tuple[float | None, ...]], ...]
    """Key of the row, as in a file, and its value in each size; None where the cell is empty."""
    left_out: tuple[str, ...] = ()
    """Labels of rows that are answers here, or that belong to a part."""

    def row(self, key: str) -> tuple[float | None, ...]:
        """The values of one row, None in every size where there is no such row."""
        return dict(self.rows).get(key, (None,) * len(self.sizes))


def read_table(path: str | Path) -> Table:
    """Read a geometry table from a file.

    Parameters
    ----------
    path : str or Path
        A CSV or TSV file.

    Returns
    -------
    Table
        Its rows under the keys of a ``bike.toml``.

    Raises
    ------
    ModelError
        If it is no such table: says which line and cell, and what to write.
    """
    try:
        with Path(path).open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise ModelError(f"{path} cannot be read: {getattr(error, 'strerror', None) or error}") from None
    if len(content) > LARGEST_BYTES or b"\0" in content:
        raise ModelError(f"{path} is no geometry table: it is binary or larger than {LARGEST_BYTES // 10**6} MB")
    try:
        return table_of(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise ModelError(f"{path} is not UTF-8; save it as CSV in UTF-8") from None
    except ModelError as error:
        raise ModelError(f"{path}: {error}") from None


def table_of(text: str) -> Table:
    """Read a geometry table from its text; raises `ModelError` as `read_table` does."""
    cells = _cells(text)
    down = sum(_key_of(row[0]) is not None for row in cells)
    across = sum(_key_of(cell) is not None for cell in cells[0])
    if max(down, across) < 2:
        raise ModelError("no row is known; the first column wants labels such as Reach, Stack and Head angle")
    if across > down:
        cells = [list(column) for column in zip(*cells, strict=True)]
    sizes = tuple(_size_name(name) for name in cells[0][1:])
    twice = next((name for index, name in enumerate(sizes) if name in sizes[:index]), None)
    if twice is not None:
        raise ModelError(f"the size {twice} stands twice in the first row")
    if not 1 <= len(sizes) <= MOST_SIZES:
        raise ModelError(f"the table has {len(sizes)} sizes; allowed: 1 to {MOST_SIZES}, one a column")
    rows: dict[str, tuple[float | None, ...]] = {}
    left_out = []
    for label, *values in cells[1:]:
        key = _key_of(label)
        if key is None:
            if not label and not any(values):
                continue
            if _plain(label) not in FOLLOWS:
                raise ModelError(f"the row {shown(label)} is not known. {near(_plain(label), (*_BY_LABEL, *FOLLOWS))}")
            left_out.append(label)
        elif key in rows:
            raise ModelError(f"the row {shown(label)} says the same as another row ({key})")
        else:
            suffix = _unit_of(label) or suffix_of(key) or ""
            rows[key] = tuple(_number(cell, key, suffix, label, size) for cell, size in zip(values, sizes, strict=True))
    _refuse_incomplete(sizes, rows)
    return Table(sizes, tuple(rows.items()), tuple(left_out))


def _cells(text: str) -> list[list[str]]:
    """The table as an even grid of stripped cells, whichever separator it has."""
    lines = [line for line in text.splitlines() if line.strip(" \t;,")]
    if len(lines) < 2:
        raise ModelError("a table has a row of sizes and a row for each dimension; this has fewer than two rows")
    separator = next((mark for mark in "\t;" if sum(mark in line for line in lines) * 2 > len(lines)), ",")
    try:
        grid = [
            [cell.strip() for cell in row] for row in csv.reader(io.StringIO("\n".join(lines)), delimiter=separator)
        ]
    except csv.Error as error:
        raise ModelError(f"this is no table: {error}") from None
    grid = [row for row in map(_without_tail, grid) if row]
    width = len(grid[0]) if grid else 0
    if width < 2 or len(grid) < 2:
        raise ModelError("a table has a column of labels and a column for each size; this has one column")
    for number, row in enumerate(grid, 1):
        if len(row) > width:
            told = " A decimal comma needs tabs or semicolons between the columns." if separator == "," else ""
            raise ModelError(f"row {number} ({shown(row[0])}) has more cells than the first row.{told}")
    return [row + [""] * (width - len(row)) for row in grid]


def _without_tail(row: list[str]) -> list[str]:
    """A row without the empty cells that spreadsheets add at its end."""
    while row and not row[-1]:
        row = row[:-1]
    return row


def _plain(label: str) -> str:
    """A label without its unit, case, signs and accents."""
    text = _UNIT_IN_LABEL.sub(lambda found: "" if _unit(found[1] or found[2] or "") else f" {found[0]} ", label)
    text = unicodedata.normalize("NFKD", text).casefold()
    return " ".join(re.sub(r"[^a-z0-9]+", " ", text).split())


def _key_of(label: str) -> str | None:
    plain = _plain(label)
    found = _BY_LABEL.get(plain)
    if found is None:
        words = plain.rsplit(" ", 1)
        if len(words) == 2 and _unit(words[1]):
            found = _BY_LABEL.get(words[0])
    return found


def _unit(text: str) -> str | None:
    """The unit that a text in brackets names."""
    wanted = text.strip().casefold()
    for unit in UNITS.values():
        if unit.kind in ("length", "angle") and wanted in (unit.suffix, unit.symbol, *unit.spellings):
            return unit.suffix
    return "deg" if wanted in ("º", "˚") else None


def _unit_of(label: str) -> str | None:
    for found in _UNIT_IN_LABEL.finditer(label):
        unit = _unit(found[1] or found[2] or "")
        if unit:
            return unit
    return _unit(label.rsplit(" ", 1)[-1]) if " " in label.strip() else None


def _size_name(text: str) -> str:
    name = re.sub(r"[^\w-]+", "-", text.strip()).strip("-")
    if not name or len(name) > 60:
        raise ModelError(f"{shown(text)} in the first row is no name for a size; write S, M, L or the like")
    return name


def _number(cell: str, key: str, suffix: str, label: str, size: str) -> float | None:
    """A cell in the unit of its key."""
    text = cell.strip().replace("º", "°").replace("˚", "°").replace("\u00a0", " ").replace("”", '"').replace("″", '"')
    if text.casefold() in _NOT_GIVEN:
        return None
    where = f"row {shown(label)}, size {size}: {shown(cell)}"
    if re.search(r"\d,\d{3}(?!\d)", text):
        raise ModelError(f"{where} may be a thousand or a decimal comma; write it without the comma or with a point")
    text = re.sub(r"^([+-]?\d+),(\d{1,2})(?!\d)", r"\1.\2", text)
    wanted = suffix_of(key)
    if wanted is None:
        raise ModelError(f"{where} is in no known unit")
    try:
        value = float(text) if re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)", text) else None
        if value is not None:
            return round(convert(value, suffix, wanted), 6)
        return round(read_quantity(text, wanted), 6)
    except UnitError as error:
        raise ModelError(f"{where}: {error}") from None


def _refuse_incomplete(sizes: tuple[str, ...], rows: dict[str, tuple[float | None, ...]]) -> None:
    for key in ("reach_mm", "stack_mm", "head_angle_deg"):
        given = rows.get(key, (None,) * len(sizes))
        missing = [size for size, value in zip(sizes, given, strict=True) if value is None]
        if missing:
            raise ModelError(f"{LABELS[key][0]} is not given for {', '.join(missing)}; a frame needs it in every size")
    for key in _DATUM_ROWS:
        values = {value for value in rows.get(key, ()) if value is not None}
        if len(values) > 1:
            listed = ", ".join(f"{value:g}" for value in sorted(values))
            raise ModelError(f"{LABELS[key][0]} differs between the sizes ({listed}); a table holds for one")


_DATUM_ROWS = tuple(key for key in LABELS if key in Datum.__dataclass_fields__)
_SIZE_ROWS = tuple(key for key in LABELS if key in Size.__dataclass_fields__)
_SHOWN_UNKNOWN = ("head_tube_mm", "seat_angle_deg", "seat_tube_mm", "rear_centre_mm", "bb_drop_mm", "wheelbase_mm")
"""Rows that are written as unknown where the table has not got them."""


def bike_text(
    table: Table,
    name: str,
    *,
    fork_length_mm: float | None = None,
    fork_offset_mm: float | None = None,
    front_radius_mm: float | None = None,
    rear_radius_mm: float | None = None,
) -> str:
    """The text of a ``bike.toml`` with a table's numbers.

    Parameters
    ----------
    table : Table
        The geometry table.
    name : str
        Name of the bike.
    fork_length_mm : float, optional
        Axle to crown at which the table was stated; needed unless a row says it. [mm]
    fork_offset_mm : float, optional
        Its offset; unknown when absent. [mm]
    front_radius_mm, rear_radius_mm : float, optional
        Tyre radii at which it was stated; without them a tyre is named for the reader to exchange. [mm]

    Returns
    -------
    str
        TOML text.

    Raises
    ------
    ModelError
        If nothing says at which fork the table holds.
    """
    given = {
        "fork_length_mm": fork_length_mm,
        "fork_offset_mm": fork_offset_mm,
        "front_radius_mm": front_radius_mm,
        "rear_radius_mm": rear_radius_mm,
    }
    datum: dict[str, float] = {}
    for key in _DATUM_ROWS:
        value = next((value for value in table.row(key) if value is not None), None)
        stated = given.get(key)
        if stated is not None or value is not None:
            datum[key] = stated if stated is not None else value  # type: ignore[assignment]
    if "fork_length_mm" not in datum:
        raise ModelError(
            "a geometry table holds for one fork; say its length, axle to crown, in a row 'Fork length' or apart"
        )
    lines = [
        "format = 1",
        f'name = "{name}"',
        "",
        "# What the table was stated at. A part may be named in place of a number.",
        "[datum]",
        *(f"{key} = {value:.10g}" for key, value in datum.items()),
    ]
    if "fork_offset_mm" not in datum:
        lines.append('fork_offset_mm = "unknown"  # then it follows from the wheelbase')
    for end in ("front", "rear"):
        if f"{end}_radius_mm" not in datum:
            lines.append(f'{end}_tyre = "{STAND_IN_TYRE}"  # the table does not say: name the tyre that it holds for')
    if table.left_out:
        named = ", ".join(re.sub(r"[^\w ()-]", "", label) for label in table.left_out)
        lines += ["", f"# Not taken over, since it follows or belongs to a part: {named}."]
    for index, size in enumerate(table.sizes):
        lines += ["", f"[sizes.{toml_key(size)}]", *_size_lines(table, index)]
    return "\n".join(lines) + "\n"


def _size_lines(table: Table, index: int) -> Iterable[str]:
    stated = {key for key in _SIZE_ROWS if table.row(key)[index] is not None}
    for key in _SIZE_ROWS:
        if key in stated:
            yield f"{key} = {table.row(key)[index]:.10g}"
        elif key in _SHOWN_UNKNOWN and not (key == "bb_drop_mm" and "bb_height_mm" in stated):
            yield f'{key} = "unknown"'


def table_rows(frame: Frame) -> tuple[tuple[str, ...], ...]:
    """The geometry table of a frame as rows of text, labels first; only rows that say something.

    `read_table` reads it back. Dimensions are in mm and degrees, as the labels say.
    """
    header = ("Dimension", *(size.name for size in frame.sizes))
    rows = [header]
    for key, labels in LABELS.items():
        owners = [frame.datum] * len(frame.sizes) if key in _DATUM_ROWS else frame.sizes
        values = [getattr(owner, key) for owner in owners]
        if any(value is not None for value in values):
            unit = UNITS[suffix_of(key) or "mm"].symbol
            label = f"{labels[0][:2].upper()}{labels[0][2:]}" if labels[0].startswith("bb ") else labels[0].capitalize()
            rows.append((f"{label} ({unit})", *("" if value is None else f"{value:.10g}" for value in values)))
    return tuple(rows)
