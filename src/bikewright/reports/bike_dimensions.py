"""The dimensions of a bike's side view: which there are, and where their lines and numbers stand.

Question answered   Where is each dimension drawn so that it can be read?
Method              A dimension lies where its point says, or is stacked in rows outside the bike, short ones nearest.
                    Its number tries places along its line and takes the one that lies on no other number and crosses
                    fewest strokes, as near the middle as can be.
Axes and signs      Ground axes in millimetres, x forward, z up.
Left out            Values: every number is a text of the caller.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from bikewright.errors import OutsideValidity
from bikewright.reports import bike_symbols as symbol
from bikewright.reports.cutting import Window
from bikewright.reports.dimensioning import dimension_parts
from bikewright.reports.lettering import text_width_mm
from bikewright.reports.paper import crosses, extent, overlap, placed, primitives, text_corners
from bikewright.reports.shapes import Dimension, Layer, Line, Point, Primitive, Shape, Sheet, Text
from bikewright.studies.pose import BikePose

FIRST_ROW, ROW = 9.0, 6.5
"""From the bike to the first row of dimensions, and from row to row [mm of paper]."""
PLACES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.05, 0.95)
"""Where along its line a number may stand."""
RIM = 0.6
"""What strokes are to keep from a number, so that its rim of paper does not eat into them [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dim:
    """One dimension of the side view."""

    kind: Literal["horizontal", "vertical", "aligned", "angular"]
    label: str
    value_text: str
    start: Point
    end: Point
    """Points measured; for an angle, a point on each leg."""
    vertex: Point | None = None
    side: Literal["below", "above", "left", "right"] = "below"
    """Side of the bike on which its line is stacked."""
    at: Point | None = None
    """A point that the line passes through instead; needed by ``aligned`` and ``angular``."""

    @property
    def text(self) -> str:
        """What stands above the line."""
        return f"{self.label} {self.value_text}".strip()


def usual_dimensions(pose: BikePose, values: Mapping[str, str]) -> tuple[Dim, ...]:
    """The dimensions that a geometry drawing usually has, for the values that are given.

    Parameters
    ----------
    pose : BikePose
        Where the points are.
    values : mapping of str to str
        Texts with their units by ``wheelbase``, ``bb_height``, ``rear_centre``, ``front_centre`` (both direct),
        ``rear_centre_horizontal``, ``front_centre_horizontal``, ``reach``, ``stack``, ``head_angle``, ``seat_angle``.

    Returns
    -------
    tuple of Dim
        In that order, as far as given.

    Raises
    ------
    OutsideValidity
        If a name is none of these, or the pose lacks the seat axis that a seat angle is drawn at.
    """
    places = _usual_places(pose)
    unknown = sorted(set(values) - set(places))
    if unknown:
        raise OutsideValidity(f"no usual dimension is called {unknown[0]}; there are {', '.join(places)}")
    return tuple(replace(dim, value_text=values[key]) for key, dim in places.items() if key in values)


def _usual_places(pose: BikePose) -> dict[str, Dim]:
    bb, rear, front, upper = pose.bb, pose.rear_axle, pose.front_axle, pose.steerer_top
    ground = symbol.foot(bb, *pose.ground)
    clear = (pose.crank_mm or 100.0) + 75.0
    low = 0.34 * pose.rear_radius
    places = {
        "wheelbase": Dim(kind="horizontal", label="wheelbase", value_text="", start=rear, end=front),
        "bb_height": Dim(kind="vertical", label="BB height", value_text="", start=ground, end=bb,
                         at=(bb[0] + clear, bb[1])),
        "rear_centre": Dim(kind="aligned", label="rear centre", value_text="", start=rear, end=bb,
                           at=(rear[0], rear[1] - low)),
        "front_centre": Dim(kind="aligned", label="front centre", value_text="", start=bb, end=front,
                            at=(bb[0], bb[1] - low)),
        "rear_centre_horizontal": Dim(kind="horizontal", label="rear centre, horizontal", value_text="", start=rear,
                                      end=bb),
        "front_centre_horizontal": Dim(kind="horizontal", label="front centre, horizontal", value_text="", start=bb,
                                       end=front),
        "reach": Dim(kind="horizontal", label="reach", value_text="", start=bb, end=upper, at=upper),
        "stack": Dim(kind="vertical", label="stack", value_text="", start=bb, end=upper, at=bb),
        "head_angle": _angle_on_ground("head angle", pose.crown, pose.steerer_top, pose.ground),
    }  # fmt: skip
    if pose.seat_axis is not None:
        places["seat_angle"] = _angle_on_ground("seat angle", *pose.seat_axis, pose.ground)
    return places


def _angle_on_ground(label: str, low: Point, high: Point, ground: tuple[Point, Point]) -> Dim:
    """The angle behind an axis at the ground, its legs drawn from where the axis meets the ground."""
    along = symbol.unit(low, high)
    road = symbol.unit(*sorted(ground))
    # low + t along lies on the ground line where its distance from it is nought
    off = symbol.forward(road)
    apart = (low[0] - ground[0][0]) * off[0] + (low[1] - ground[0][1]) * off[1]
    slope = along[0] * off[0] + along[1] * off[1]
    if abs(slope) < 1e-6:
        raise OutsideValidity(f"the {label} cannot be drawn: its axis runs along the ground")
    vertex = symbol.plus(low, along, -apart / slope)
    behind = symbol.plus(vertex, road, -260.0)
    half = symbol.plus(vertex, symbol.unit((0.0, 0.0), symbol.plus(along, road, -1.0)), 175.0)
    return Dim(kind="angular", label=label, value_text="", start=behind, end=low, vertex=vertex, at=half)


def dimension_shapes(dims: tuple[Dim, ...], layers: tuple[Layer, ...], reduction: float) -> tuple[Shape, ...]:
    """Dimensions with their lines placed and their numbers apart.

    Parameters
    ----------
    dims : tuple of Dim
        What is dimensioned.
    layers : tuple of Layer
        The bike as drawn so far, at the origin of the pose.
    reduction : float
        8 for 1:8.

    Returns
    -------
    tuple of Shape
        In millimetres of the bike.

    Raises
    ------
    OutsideValidity
        If an aligned or angular dimension has no point for its line.
    """
    bike = extent(layers)
    rows = _rows(dims, reduction)
    lines = [
        Dimension(dim.kind, dim.start, dim.end,
                  dim.at if dim.at is not None else _stacked(dim, rows[dim], bike, reduction), dim.text, dim.vertex)
        for dim in dims
    ]  # fmt: skip
    legs = [Line(dim.vertex, dim.end, "centre") for dim in dims if dim.kind == "angular" and dim.vertex is not None]
    drawn = _strokes((*layers, Layer("", tuple(legs), 1.0 / reduction)))
    # a number must keep off the lines of every dimension, also of those that are drawn after it
    of_lines = [_strokes((Layer("", (line,), 1.0 / reduction),)) for line in lines]
    numbered: list[Dimension] = []
    taken: list[tuple[Point, ...]] = []
    for line, own in zip(lines, of_lines, strict=True):
        strokes = drawn + [stroke for other in of_lines if other is not own for stroke in other]
        best = min(
            (replace(line, text_at=place) for place in PLACES),
            key=lambda tried: (_crossings(tried, taken, strokes, reduction), abs(tried.text_at - 0.5)),
        )
        taken.append(_number_box(best, reduction))
        numbered.append(best)
    return (*legs, *numbered)


def _strokes(layers: tuple[Layer, ...]) -> list[Primitive]:
    return [shape for _, shape in primitives(Sheet(0.0, 0.0, layers, "")) if not isinstance(shape, Text)]


def _parts(shape: Dimension, reduction: float) -> tuple[Primitive, ...]:
    on_paper = placed(shape, Layer("", (), 1.0 / reduction))
    return dimension_parts(on_paper) if isinstance(on_paper, Dimension) else ()


def _number_box(shape: Dimension, reduction: float) -> tuple[Point, ...]:
    return next(text_corners(part) for part in _parts(shape, reduction) if isinstance(part, Text))


def _crossings(
    shape: Dimension, taken: list[tuple[Point, ...]], strokes: Sequence[Primitive], reduction: float
) -> tuple[int, int]:
    """How many other numbers the number of a dimension lies on, then how many strokes."""
    box = _number_box(shape, reduction)
    rimmed = tuple((x + dx, y + dy) for x, y in box for dx in (-RIM, RIM) for dy in (-RIM, RIM))
    return sum(overlap(box, other) for other in taken), sum(crosses(stroke, rimmed) for stroke in strokes)


def _rows(dims: tuple[Dim, ...], reduction: float) -> dict[Dim, int]:
    """Row of each dimension that is stacked: short ones nearest, and side by side where they do not meet."""
    rows: dict[Dim, int] = {}
    filled: dict[str, list[list[tuple[float, float]]]] = {}
    for dim in sorted((d for d in dims if d.at is None), key=_span):
        axis = 0 if dim.kind == "horizontal" else 1
        low, high = sorted((dim.start[axis], dim.end[axis]))
        need = (text_width_mm(dim.text, 3.0) + 2.0) * reduction
        if high - low < need:
            # arrowheads and number will stand outside
            low, high = low - 6.0 * reduction, high + need + 6.0 * reduction
        side = filled.setdefault(dim.side, [])
        row = next((i for i, used in enumerate(side) if all(high <= a or low >= b for a, b in used)), len(side))
        if row == len(side):
            side.append([])
        side[row].append((low, high))
        rows[dim] = row
    return rows


def _span(dim: Dim) -> float:
    axis = 0 if dim.kind == "horizontal" else 1
    return abs(dim.end[axis] - dim.start[axis])


def _stacked(dim: Dim, row: int, bike: Window, reduction: float) -> Point:
    """A point on the dimension's line, outside the bike on its side."""
    if dim.kind in ("aligned", "angular"):
        raise OutsideValidity(f'the dimension "{dim.text}" needs a point for its line to pass through')
    away = FIRST_ROW + row * ROW
    left, bottom, right, top = (edge * reduction for edge in bike)
    places = {
        "below": (dim.start[0], bottom - (away - 3.0) * reduction),
        "above": (dim.start[0], top + away * reduction),
        "left": (left - away * reduction, dim.start[1]),
        "right": (right + away * reduction, dim.start[1]),
    }
    return places[dim.side]
