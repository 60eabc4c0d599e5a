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
from itertools import combinations, pairwise

from bikewright.errors import OutsideValidity
from bikewright.reports.cutting import cut_line
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
    """Every stroke and text of a sheet in drawing order; numbers of dimensions last in their layer.

    So the rim round a number keeps the lines of every dimension off it.

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
        numbers: list[Primitive] = []
        for shape in layer.shapes:
            done = placed(shape, layer)
            if isinstance(done, Dimension):
                for part in dimension_parts(done):
                    if isinstance(part, Text):
                        numbers.append(part)
                    else:
                        yield layer.name, part
            else:
                yield layer.name, done
        for number in numbers:
            yield layer.name, number


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


def extent(layers: tuple[Layer, ...]) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of everything that the layers put on paper [mm]; zeros for nothing."""
    corners: list[Point] = []
    for _, shape in primitives(Sheet(0.0, 0.0, layers, "")):
        if isinstance(shape, Text):
            corners += text_corners(shape)
        elif isinstance(shape, Line):
            corners += (shape.a, shape.b)
        elif isinstance(shape, Polyline):
            corners += shape.points
        else:
            # an arc counts as its whole circle: an upper bound
            (x, y), r = shape.centre, shape.radius
            corners += ((x - r, y - r), (x + r, y + r))
    if not corners:
        return 0.0, 0.0, 0.0, 0.0
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def crosses(stroke: Primitive, box: tuple[Point, ...]) -> bool:
    """Whether a stroke runs through the upright rectangle round a box."""
    window = (min(x for x, _ in box), min(y for _, y in box), max(x for x, _ in box), max(y for _, y in box))
    if isinstance(stroke, Line):
        return cut_line(stroke.a, stroke.b, window) is not None
    if isinstance(stroke, Polyline | Arc):
        points = _along(stroke)
        xs, ys = [x for x, _ in points], [y for _, y in points]
        if max(xs) < window[0] or min(xs) > window[2] or max(ys) < window[1] or min(ys) > window[3]:
            return False
        return any(cut_line(a, b, window) is not None for a, b in pairwise(points))
    if isinstance(stroke, Text):
        return overlap(text_corners(stroke), box)
    (x, y), r = stroke.centre, stroke.radius
    near = math.hypot(x - min(max(x, window[0]), window[2]), y - min(max(y, window[1]), window[3]))
    far = max(math.hypot(x - cx, y - cy) for cx in window[::2] for cy in window[1::2])
    return near <= r <= far


def _along(stroke: Polyline | Arc) -> tuple[Point, ...]:
    """Points along a stroke; an arc as straight pieces of five degrees at the most."""
    if isinstance(stroke, Polyline):
        return (*stroke.points, stroke.points[0]) if stroke.closed and stroke.points else stroke.points
    (x, y), r, sweep = stroke.centre, stroke.radius, stroke.end_deg - stroke.start_deg
    pieces = max(1, math.ceil(abs(sweep) / 5.0))
    angles = (math.radians(stroke.start_deg + sweep * number / pieces) for number in range(pieces + 1))
    return tuple((x + r * math.cos(angle), y + r * math.sin(angle)) for angle in angles)


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


def placed(shape: Shape, layer: Layer) -> Shape:
    """A shape of a layer in millimetres of paper.

    Raises
    ------
    OutsideValidity
        If it has a coordinate that is not a number.
    """
    move = layer.on_paper
    done: Shape
    if isinstance(shape, Line):
        done = Line(move(shape.a), move(shape.b), shape.style)
        _check_finite(done, *done.a, *done.b)
    elif isinstance(shape, Polyline):
        done = Polyline(tuple(move(p) for p in shape.points), shape.style, shape.closed, shape.fill)
        _check_finite(done, *(c for p in done.points for c in p))
    elif isinstance(shape, Circle):
        done = Circle(move(shape.centre), shape.radius * layer.scale, shape.style, shape.fill)
        _check_finite(done, *done.centre, done.radius)
    elif isinstance(shape, Arc):
        radius = shape.radius * layer.scale
        done = Arc(move(shape.centre), radius, shape.start_deg, shape.end_deg, shape.style)
        _check_finite(done, *done.centre, radius, done.start_deg, done.end_deg)
    elif isinstance(shape, Text):
        x, y = move(shape.at)
        at = (x + shape.shift_mm[0], y + shape.shift_mm[1])
        done = Text(at, shape.text, shape.size_mm, shape.anchor, shape.level, shape.angle_deg, shape.weight,
                      shape.tone, shape.halo)  # fmt: skip
        _check_finite(done, *at, done.size_mm, done.angle_deg)
    else:
        vertex = None if shape.vertex is None else move(shape.vertex)
        done = Dimension(shape.kind, move(shape.a), move(shape.b), move(shape.at), shape.text, vertex, shape.style,
                           shape.size_mm, shape.text_at)  # fmt: skip
        _check_finite(done, *done.a, *done.b, *done.at, *(vertex or ()))
    return done


def _check_finite(shape: Shape, *numbers: float) -> None:
    if not all(math.isfinite(number) for number in numbers):
        what = type(shape).__name__.lower()
        raise OutsideValidity(f"a {what} of the drawing has a coordinate that is not a number: {shape}")
