"""Pivot points from a CSV or DXF file, brought into frame axes.

The drawing may have any origin and scale, may show the other side of the bike and may be turned by quarter
turns. It needs a point called ``bb`` (the bottom-bracket centre) and one called ``axle`` (the rear axle,
extended). What was done to the drawing is said in one sentence.

CSV   columns name, x, z (or y, which is up in a drawing); a unit may stand in the heading: ``x (mm)``. A
      column ``joins`` may name the bodies at each pin, with + between them: ``frame+swingarm``.
DXF   POINT, centres of CIRCLE and ARC, and INSERT; y is up. A point is named by the nearest text inside its
      circle or close to it, by a block's name or attribute, or by its layer.
"""

import csv
import io
import logging
import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bikewright.errors import PointsError
from bikewright.model.faults import near, shown

BOTTOM_BRACKET = ("bb", "bottom-bracket", "bottombracket", "bottom_bracket")
AXLE = ("axle", "rear-axle", "rear_axle", "rearaxle")
UNITS_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "m": 1000.0}
"""Units that a drawing may be in, in millimetres."""
SAME_LENGTH = 0.005
"""How well a stated rear centre must agree with the drawing, as a share."""
REAR_CENTRE_MM = (350.0, 550.0)
"""What a rear centre can be: tells the unit of a drawing that does not say it."""
LARGEST_BYTES = 50_000_000
MOST_POINTS = 2000

_INSUNITS = {1: "in", 4: "mm", 5: "cm", 6: "m"}
_NAME = re.compile(r"\w[\w\-]{0,59}")


@dataclass(frozen=True, slots=True)
class PlacedPin:
    """A pin in frame axes."""

    name: str
    x_mm: float
    """Ahead of the bottom bracket."""
    z_mm: float
    """Above it."""
    joins: tuple[str, ...] = ()
    """Bodies, where the file names them."""


@dataclass(frozen=True, slots=True)
class Points:
    """The pins of a drawing in frame axes: bottom bracket at the origin, x forward, z up."""

    pins: tuple[PlacedPin, ...]
    """Every named point but the bottom bracket, in the order of the file; the rear axle is called axle."""
    told: str
    """What was done to the drawing."""

    @property
    def rear_centre_mm(self) -> float:
        """Bottom bracket to rear axle."""
        axle = next(pin for pin in self.pins if pin.name == "axle")
        return math.hypot(axle.x_mm, axle.z_mm)


@dataclass(frozen=True, slots=True)
class _Raw:
    name: str
    x: float
    y: float
    joins: tuple[str, ...] = ()


def read_points(
    path: str | Path,
    *,
    rear_centre_mm: float | None = None,
    unit: str | None = None,
    turn_deg: int = 0,
    upside_down: bool = False,
) -> Points:
    """Read pivots from a CSV or DXF file and bring them into frame axes.

    Parameters
    ----------
    path : str or Path
        The file; its ending says which kind it is.
    rear_centre_mm : float, optional
        Bottom bracket to rear axle as stated elsewhere; checks the drawing, and tells its unit. [mm]
    unit : str, optional
        Unit of the drawing: mm, cm, m or in. Needed only where nothing else tells it.
    turn_deg : int
        Quarter turns anticlockwise that put the drawing upright: 0, 90, 180 or 270. [deg]
    upside_down : bool
        True where up in the bike is down in the drawing, as in pixels.

    Returns
    -------
    Points
        Pins in frame axes, and what was done.

    Raises
    ------
    PointsError
        If the file cannot be read, or its points cannot be placed: says what was found.
    """
    file = Path(path)
    if turn_deg % 90:
        raise PointsError(f"a drawing is turned by quarter turns, so {turn_deg} degrees cannot be meant")
    if unit is not None and unit not in UNITS_MM:
        raise PointsError(f"{shown(unit)} is no unit of a drawing; allowed: {', '.join(UNITS_MM)}")
    content = _content(file)
    raw, written_unit = _from_dxf(file) if file.suffix.lower() == ".dxf" else _from_csv(file, content)
    try:
        return _placed(_one_each(raw), unit, written_unit, rear_centre_mm, turn_deg, upside_down)
    except PointsError as error:
        raise PointsError(f"{path}: {error}") from None


def _content(file: Path) -> bytes:
    try:
        if file.exists() and not file.is_file():
            raise PointsError(f"{file} is no plain file")
        with file.open("rb") as opened:
            content = opened.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        if isinstance(error, PointsError):
            raise
        raise PointsError(f"{file} cannot be read: {getattr(error, 'strerror', None) or error}") from None
    if len(content) > LARGEST_BYTES:
        raise PointsError(f"{file} has more than {LARGEST_BYTES // 10**6} MB; save the pivots alone")
    if not content.strip():
        raise PointsError(f"{file} is empty")
    return content


def _from_csv(file: Path, content: bytes) -> tuple[list[_Raw], str | None]:
    """Points and unit of a CSV file."""
    if b"\0" in content:
        raise PointsError(f"{file} is binary; wanted: a CSV file with columns name, x, z, or a file ending in .dxf")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise PointsError(f"{file} is not UTF-8; save it as CSV in UTF-8") from None
    separator = next((mark for mark in "\t;" if mark in text.split("\n", 1)[0]), ",")
    try:
        rows = [[cell.strip() for cell in row] for row in csv.reader(io.StringIO(text), delimiter=separator)]
    except csv.Error as error:
        raise PointsError(f"{file} is no table: {error}") from None
    numbered = [(number, row) for number, row in enumerate(rows, 1) if any(row) and not row[0].startswith("#")]
    if not numbered:
        raise PointsError(f"{file} has no points in it")
    columns, unit = _columns(file, numbered[0][1])
    points = []
    for number, row in numbered[1:] if columns.pop("headed", 1) else numbered:
        cells = {name: row[at] if at < len(row) else "" for name, at in columns.items()}
        where = f"{file}, line {number}"
        joins = tuple(body for body in re.split(r"[+/ ]+", cells.get("joins", "")) if body)
        points.append(_Raw(cells["name"], _coordinate(cells["x"], where), _coordinate(cells["z"], where), joins))
    return points, unit


def _columns(file: Path, first: list[str]) -> tuple[dict[str, int], str | None]:
    """Where name, x, z and joins stand, and the unit in the heading; three columns may come without a heading."""
    if len(first) >= 3 and all(_is_number(cell) for cell in first[1:3]):
        return {"name": 0, "x": 1, "z": 2, "headed": 0}, None
    columns: dict[str, int] = {}
    units = set()
    for at, heading in enumerate(first):
        found = re.fullmatch(r"(name|point|pin|x|y|z|joins)(?:[\s_]*[\[(]?(mm|cm|m|in)?[\])]?)", heading.casefold())
        if found is None:
            continue
        columns.setdefault({"point": "name", "pin": "name"}.get(found[1], found[1]), at)
        units |= {found[2]} if found[2] else set()
    if "z" not in columns and "y" in columns:
        columns["z"] = columns["y"]
    columns.pop("y", None)
    missing = [name for name in ("name", "x", "z") if name not in columns]
    if missing:
        headings = ", ".join(shown(heading) for heading in first[:10])
        raise PointsError(f"{file} has no column {missing[0]}; found {headings}; wanted: name, x, z")
    if len(units) > 1:
        raise PointsError(f"{file} gives x in one unit and z in another ({' and '.join(sorted(units))})")
    return columns, next(iter(units), None)


def _is_number(text: str) -> bool:
    return re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", text) is not None


def _coordinate(text: str, where: str) -> float:
    if re.fullmatch(r"[+-]?\d+,\d+", text):
        text = text.replace(",", ".")
    value = float(text) if _is_number(text) else math.nan
    if not math.isfinite(value):
        raise PointsError(f"{where}: {shown(text)} is no coordinate; write a number such as -435.2")
    return value


def _from_dxf(file: Path) -> tuple[list[_Raw], str | None]:
    """Named points and unit of a DXF file."""
    import ezdxf

    logging.getLogger("ezdxf").addHandler(logging.NullHandler())  # what is wrong is told below, once
    try:
        drawing = ezdxf.readfile(file)  # type: ignore[attr-defined]
        unit = _INSUNITS.get(drawing.header.get("$INSUNITS", 0))
        space = drawing.modelspace()
        marks = list(_marks(space))
        texts = list(_texts(space))
    except Exception:  # a broken file makes the library stumble in ways that have no common kind
        raise PointsError(f"{file} is no DXF drawing that can be read; save it anew as DXF (R2000 or later)") from None
    if len(marks) > MOST_POINTS:
        raise PointsError(f"{file} has {len(marks)} points and circles; allowed: {MOST_POINTS}. Save the pivots alone")
    points = [point for mark in marks if (point := _named(mark, texts)) is not None]
    if not points:
        raise PointsError(
            f"{file} has {len(marks)} points and circles and none with a name; "
            "put a text inside each circle, or each point on a layer of its name"
        )
    return points, unit


@dataclass(frozen=True, slots=True)
class _Mark:
    """A point of a drawing, with the size of the circle around it and what may name it."""

    x: float
    y: float
    radius: float
    own: str
    layer: str


@dataclass(frozen=True, slots=True)
class _Label:
    text: str
    x: float
    y: float
    height: float


def _marks(space: Any) -> Iterator[_Mark]:
    for entity in space.query("POINT CIRCLE ARC INSERT"):
        kind, dxf, own, radius = entity.dxftype(), entity.dxf, "", 0.0
        if kind == "POINT":
            at = dxf.location
        elif kind == "INSERT":
            at = dxf.insert
            texts = [attribute.dxf.text for attribute in entity.attribs if attribute.dxf.text.strip()]
            own = texts[0] if texts else dxf.name
        else:
            at, radius = entity.ocs().to_wcs(dxf.center), float(dxf.radius)
        if math.isfinite(at.x) and math.isfinite(at.y) and math.isfinite(radius):
            yield _Mark(float(at.x), float(at.y), radius, own, dxf.layer)


def _texts(space: Any) -> Iterator[_Label]:
    for entity in space.query("TEXT MTEXT"):
        many = entity.dxftype() == "MTEXT"
        text = entity.plain_text() if many else entity.dxf.text
        height = float(entity.dxf.char_height if many else entity.dxf.height)
        yield _Label(text, float(entity.dxf.insert.x), float(entity.dxf.insert.y), height)
        if not many and entity.dxf.hasattr("align_point"):
            at = entity.dxf.align_point
            yield _Label(text, float(at.x), float(at.y), height)


def _named(mark: _Mark, texts: list[_Label]) -> _Raw | None:
    """The mark with its name, or None where it has none."""
    reach = [
        (distance, label.text)
        for label in texts
        if (distance := math.hypot(label.x - mark.x, label.y - mark.y)) <= max(mark.radius, 3.0 * label.height)
    ]
    layer = "" if mark.layer.casefold() in ("0", "defpoints") else mark.layer
    name = mark.own or (min(reach)[1] if reach else layer)
    plain = re.sub(r"[^\w-]+", "_", name.strip()).strip("_")
    return _Raw(plain, mark.x, mark.y) if plain else None


def _one_each(raw: Iterable[_Raw]) -> dict[str, _Raw]:
    """Points by name; concentric circles of one name are one point."""
    points: dict[str, _Raw] = {}
    for point in raw:
        name = point.name.strip()
        if name.casefold() in BOTTOM_BRACKET:
            name = "bb"
        elif name.casefold() in AXLE:
            name = "axle"
        if not _NAME.fullmatch(name):
            raise PointsError(f"{shown(name)} cannot be the name of a pin; allowed: letters, digits, - and _")
        other = points.setdefault(name, point)
        apart = math.hypot(other.x - point.x, other.y - point.y)
        if apart > 1e-6 * (1.0 + abs(other.x) + abs(other.y)):
            raise PointsError(f"two points are called {name}, at {_at(other)} and at {_at(point)}; rename one")
    for wanted, what in (("bb", "the bottom bracket"), ("axle", "the rear axle")):
        if wanted not in points:
            raise PointsError(f"no point is called {wanted} ({what}). {near(wanted, list(points)[:30])}")
    return points


def _at(point: _Raw) -> str:
    return f"({point.x:.6g}, {point.y:.6g})"


def _placed(
    points: dict[str, _Raw],
    unit: str | None,
    written_unit: str | None,
    rear_centre_mm: float | None,
    turn_deg: int,
    upside_down: bool,
) -> Points:
    """Points in frame axes: moved, turned, mirrored and scaled."""
    centre, axle = points["bb"], points["axle"]
    drawn = math.hypot(axle.x - centre.x, axle.y - centre.y)
    if not 0.0 < drawn < 1e9:
        raise PointsError(f"bb and axle are {drawn:g} apart; a rear centre cannot be that")
    chosen, why = _unit_of(drawn, unit, written_unit, rear_centre_mm)
    scale = UNITS_MM[chosen]
    cosine, sine = ((1, 0), (0, 1), (-1, 0), (0, -1))[turn_deg // 90 % 4]
    flip = -1 if upside_down else 1
    frame = {
        name: (
            scale * (cosine * (point.x - centre.x) - sine * (point.y - centre.y)),
            scale * flip * (sine * (point.x - centre.x) + cosine * (point.y - centre.y)),
        )
        for name, point in points.items()
    }
    x, z = frame["axle"]
    if abs(z) > abs(x):
        side = "above" if z > 0 else "below"
        raise PointsError(
            f"the axle lies {abs(z):.1f} mm {side} the bottom bracket; turn the drawing by 90 or 270 degrees"
        )
    mirrored = x > 0
    pins = tuple(
        PlacedPin(name, round(-x if mirrored else x, 4), round(z, 4), points[name].joins)
        for name, (x, z) in frame.items()
        if name != "bb"
    )
    done = [f"moved by ({0.0 - centre.x:.6g}, {0.0 - centre.y:.6g})", f"scaled by {scale:g} ({why})"]
    done += [f"turned by {turn_deg} degrees"] if turn_deg % 360 else []
    done += ["turned over, since up was down"] if upside_down else []
    done += ["mirrored, since the axle was ahead of the bottom bracket"] if mirrored else []
    told = f"{len(pins)} points and the bottom bracket; {', '.join(done)}; rear centre {drawn * scale:.1f} mm."
    return Points(pins, told)


def _unit_of(drawn: float, unit: str | None, written_unit: str | None, stated_mm: float | None) -> tuple[str, str]:
    """Unit of a drawing and what it was taken from."""
    each = {name: drawn * size for name, size in UNITS_MM.items()}
    tried = ", ".join(f"{length:.4g} mm if drawn in {name}" for name, length in each.items())
    low, high = REAR_CENTRE_MM
    if stated_mm is None:
        fits = [name for name, length in each.items() if low <= length <= high]
        told, why = f"a rear centre lies between {low:g} and {high:g} mm", "the only unit that makes it a rear centre"
    else:
        fits = [name for name, length in each.items() if abs(length / stated_mm - 1.0) <= SAME_LENGTH]
        told, why = f"the rear centre is stated as {stated_mm:g} mm", "from the stated rear centre"
    if not fits:
        raise PointsError(f"{told}, but bb and axle are {tried}. Say the unit, or the rear centre")
    for said, source, so in (
        (unit, "the unit given", "as given"),
        (written_unit, "the unit in the file", "as the file says"),
    ):
        if said is not None and said not in fits:
            overrule = "" if said == unit else "; give the unit to overrule the file"
            raise PointsError(
                f"{source} is {said}, which makes the rear centre {each[said]:.4g} mm, but {told}{overrule}"
            )
        if said is not None:
            return said, f"drawn in {said}, {so}"
    return fits[0], f"taken to be drawn in {fits[0]}, {why}"
