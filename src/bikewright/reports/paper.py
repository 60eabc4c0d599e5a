"""A sheet on paper: every shape in millimetres of the sheet, and where its letters lie.

Question answered   Which strokes and letters does a writer put where, and do any letters collide?
Method              A layer's scale and origin are applied and dimensions are taken apart; the box of a text is its
                    estimated width by the height of its line, turned with it. Two boxes are apart if a side of one of
                    them separates them.
Axes and signs      Millimetres of paper, x to the right, y up.
Left out            Whether a line crosses a letter; a halo keeps lines off the letters where it matters.
"""

import math
from collections.abc import Iterator
from itertools import combinations

from bikewright.errors import OutsideValidity
from bikewright.reports.dimensioning import dimension_parts
from bikewright.reports.lettering import ABOVE, BELOW, CAPITAL, text_width_mm
from bikewright.reports.shapes import (
    Arc,
    Circle,
    Dimension,
    Layer,
    Line,
    Point,
    Polyline,
    Primitive,
    Shape,
    Sheet,
    Text,
)

TOUCH = 0.05
"""Boxes that overlap by less than this are taken as apart [mm]."""


def primitives(sheet: Sheet) -> Iterator[tuple[str, Primitive]]:
    """Every stroke and text of a sheet in drawing order.

    Parameters
    ----------
    sheet : Sheet
        The drawing.

    Yields
    ------
    tuple of str and Line, Polyline, Circle, Arc or Text
        Name of the layer, and the shape in millimetres of paper.

    Raises
    ------
    OutsideValidity
        If a shape has a coordinate that is not a number.
    """
    for layer in sheet.layers:
        for shape in layer.shapes:
            placed = _placed(shape, layer)
            if isinstance(placed, Dimension):
                for part in dimension_parts(placed):
                    yield layer.name, part
            else:
                yield layer.name, placed


def texts(sheet: Sheet) -> tuple[Text, ...]:
    """Every text of a sheet, numbers of dimensions among them, in millimetres of paper."""
    return tuple(shape for _, shape in primitives(sheet) if isinstance(shape, Text) and shape.text)


def colliding_texts(sheet: Sheet) -> tuple[tuple[str, str], ...]:
    """Pairs of texts whose boxes overlap on the sheet; empty for a drawing that may go out."""
    boxes = [(text.text, text_corners(text)) for text in texts(sheet)]
    return tuple((a, b) for (a, first), (b, second) in combinations(boxes, 2) if overlap(first, second))


def texts_off_sheet(sheet: Sheet) -> tuple[str, ...]:
    """Texts whose box leaves the sheet; empty for a drawing that may go out."""
    return tuple(
        text.text
        for text in texts(sheet)
        for corners in (text_corners(text),)
        if min(x for x, _ in corners) < -TOUCH
        or max(x for x, _ in corners) > sheet.width_mm + TOUCH
        or min(y for _, y in corners) < -TOUCH
        or max(y for _, y in corners) > sheet.height_mm + TOUCH
    )


def overlap(first: tuple[Point, ...], second: tuple[Point, ...]) -> bool:
    """Whether two convex boxes share more than a touch (separating axis)."""
    for box in (first, second):
        for (x1, y1), (x2, y2) in zip(box, box[1:] + box[:1], strict=True):
            length = math.hypot(x2 - x1, y2 - y1)
            if length == 0:
                continue
            nx, ny = (y2 - y1) / length, -(x2 - x1) / length
            a = [x * nx + y * ny for x, y in first]
            b = [x * nx + y * ny for x, y in second]
            if min(max(a), max(b)) - max(min(a), min(b)) <= TOUCH:
                return False
    return True


def text_corners(text: Text) -> tuple[Point, Point, Point, Point]:
    """Corners of the box that a text takes on paper, anticlockwise from its lower left."""
    width = text_width_mm(text.text, text.size_mm, text.weight)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    base = baseline_drop_mm(text)
    low, high = base - BELOW * text.size_mm, base + ABOVE * text.size_mm
    turn = math.cos(math.radians(text.angle_deg)), math.sin(math.radians(text.angle_deg))
    corners = ((left, low), (left + width, low), (left + width, high), (left, high))
    a, b, c, d = ((text.at[0] + x * turn[0] - y * turn[1], text.at[1] + x * turn[1] + y * turn[0]) for x, y in corners)
    return a, b, c, d


def baseline_drop_mm(text: Text) -> float:
    """Height of the baseline over the point of a text, before it is turned; never positive [mm]."""
    return -{"baseline": 0.0, "middle": CAPITAL / 2, "top": CAPITAL}[text.level] * text.size_mm


def _placed(shape: Shape, layer: Layer) -> Shape:
    """A shape of a layer in millimetres of paper."""
    move = layer.on_paper
    placed: Shape
    if isinstance(shape, Line):
        placed = Line(move(shape.a), move(shape.b), shape.style)
        _check_finite(placed, *placed.a, *placed.b)
    elif isinstance(shape, Polyline):
        placed = Polyline(tuple(move(p) for p in shape.points), shape.style, shape.closed, shape.fill)
        _check_finite(placed, *(c for p in placed.points for c in p))
    elif isinstance(shape, Circle):
        placed = Circle(move(shape.centre), shape.radius * layer.scale, shape.style, shape.fill)
        _check_finite(placed, *placed.centre, placed.radius)
    elif isinstance(shape, Arc):
        radius = shape.radius * layer.scale
        placed = Arc(move(shape.centre), radius, shape.start_deg, shape.end_deg, shape.style)
        _check_finite(placed, *placed.centre, radius, placed.start_deg, placed.end_deg)
    elif isinstance(shape, Text):
        x, y = move(shape.at)
        at = (x + shape.shift_mm[0], y + shape.shift_mm[1])
        placed = Text(at, shape.text, shape.size_mm, shape.anchor, shape.level, shape.angle_deg, shape.weight,
                      shape.tone, shape.halo)  # fmt: skip
        _check_finite(placed, *at, placed.size_mm, placed.angle_deg)
    else:
        vertex = None if shape.vertex is None else move(shape.vertex)
        placed = Dimension(shape.kind, move(shape.a), move(shape.b), move(shape.at), shape.text, vertex, shape.style,
                           shape.size_mm, shape.text_at)  # fmt: skip
        _check_finite(placed, *placed.a, *placed.b, *placed.at, *(vertex or ()))
    return placed


def _check_finite(shape: Shape, *numbers: float) -> None:
    if not all(math.isfinite(number) for number in numbers):
        what = type(shape).__name__.lower()
        raise OutsideValidity(f"a {what} of the drawing has a coordinate that is not a number: {shape}")
