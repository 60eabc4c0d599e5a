"""Dimension lines taken apart into lines, arrowheads and a number, on paper.

Question answered   Which strokes make up this dimension?
Method              Extension lines leave a gap at the thing measured and run past the dimension line; arrowheads
                    inside where number and heads fit between them, outside where not; the number above its line,
                    turned so that it reads from the bottom or from the right of the sheet. After ISO 129-1 (from
                    memory).
Axes and signs      Millimetres of paper, y up, angles anticlockwise.
Left out            Tolerances and chained dimensions.
"""

import math

from bikewright.errors import OutsideValidity
from bikewright.reports.lettering import CAPITAL, text_width_mm
from bikewright.reports.shapes import Arc, Dimension, Line, Point, Polyline, Primitive, Text

ARROW, ARROW_HALF = 2.4, 0.4
"""Length and half width of an arrowhead [mm]."""
GAP, PAST = 0.8, 1.4
"""Extension lines: free space at the thing measured, and run past the dimension line [mm]."""
CLEAR = 1.2
"""Between a number and its line [mm]."""
TAIL = 5.0
"""Length of the line outside when the arrowheads stand outside [mm]."""


def dimension_parts(dimension: Dimension) -> tuple[Primitive, ...]:
    """The strokes and the number of a dimension.

    Parameters
    ----------
    dimension : Dimension
        In millimetres of paper.

    Returns
    -------
    tuple of Line, Polyline, Arc and Text
        In drawing order.

    Raises
    ------
    OutsideValidity
        If its points do not span a length or an angle.
    """
    return _angular(dimension) if dimension.kind == "angular" else _linear(dimension)


def reading_angle_deg(direction: Point) -> float:
    """Angle of a text along a direction, such that it reads from the bottom or the right of the sheet [deg]."""
    angle = math.degrees(math.atan2(direction[1], direction[0]))
    while angle > 90.0 + 1e-9:
        angle -= 180.0
    while angle <= -90.0 + 1e-9:
        angle += 180.0
    return angle


def arrowhead(tip: Point, towards: Point) -> Polyline:
    """A filled arrowhead with its tip at a point, pointing along a unit vector."""
    x, y = tip
    ux, uy = towards
    back = (x - ARROW * ux, y - ARROW * uy)
    side = (-uy * ARROW_HALF, ux * ARROW_HALF)
    points = (tip, (back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1]))
    return Polyline(points, None, closed=True, fill="ink")


def _linear(dimension: Dimension) -> tuple[Primitive, ...]:
    a, b = dimension.a, dimension.b
    along = _direction(dimension)
    normal = (-along[1], along[0])
    p, q = _foot(a, dimension.at, normal), _foot(b, dimension.at, normal)
    # from left to right or from bottom to top, so that `text_at` means the same in every drawing
    if _dot(_minus(q, p), along) < 0:
        a, b, p, q = b, a, q, p
    length = math.dist(p, q)
    if length < 1e-9:
        raise OutsideValidity(f'the dimension "{dimension.text}" has no length; give it two points that differ')
    width = text_width_mm(dimension.text, dimension.size_mm)
    lift = (CLEAR * normal[0], CLEAR * normal[1])
    parts: list[Primitive] = [line for line in (_extension(a, p, dimension), _extension(b, q, dimension)) if line]
    angle = reading_angle_deg(along)
    if width + 1.0 <= length and length >= 2 * ARROW + 1.0:
        parts.append(Line(p, q, dimension.style))
        parts += [arrowhead(p, _times(along, -1)), arrowhead(q, along)]
        span = max(length - width - 1.0, 0.0)
        place = 0.5 * (length - span) + dimension.text_at * span
        middle = _plus(p, _times(along, place))
    else:
        # too short for both: arrowheads and number stand outside
        run = max(TAIL, ARROW + 1.0 + width)
        parts.append(Line(_plus(p, _times(along, -TAIL)), _plus(q, _times(along, run)), dimension.style))
        parts += [arrowhead(p, along), arrowhead(q, _times(along, -1))]
        middle = _plus(q, _times(along, run - width / 2))
    parts.append(Text(_plus(middle, lift), dimension.text, dimension.size_mm, "middle", angle_deg=angle, halo=True))
    return tuple(parts)


def _direction(dimension: Dimension) -> Point:
    """Unit vector along the dimension line, to the right or up."""
    if dimension.kind == "horizontal":
        return 1.0, 0.0
    if dimension.kind == "vertical":
        return 0.0, 1.0
    length = math.dist(dimension.a, dimension.b)
    if length < 1e-9:
        raise OutsideValidity(f'the dimension "{dimension.text}" has no length; give it two points that differ')
    along = _times(_minus(dimension.b, dimension.a), 1 / length)
    return along if along[0] > 1e-9 or (abs(along[0]) <= 1e-9 and along[1] > 0) else _times(along, -1)


def _extension(point: Point, foot: Point, dimension: Dimension) -> Line | None:
    """The extension line from a point measured to its end of the dimension line; None where they are close."""
    reach = math.dist(point, foot)
    if reach <= GAP:
        return None
    away = _times(_minus(foot, point), 1 / reach)
    return Line(_plus(point, _times(away, GAP)), _plus(foot, _times(away, PAST)), dimension.style)


def _angular(dimension: Dimension) -> tuple[Primitive, ...]:
    vertex = dimension.vertex
    radius = 0.0 if vertex is None else math.dist(vertex, dimension.at)
    if vertex is None or min(radius, math.dist(vertex, dimension.a), math.dist(vertex, dimension.b)) < 1e-9:
        raise OutsideValidity(f'the angle "{dimension.text}" needs a vertex and two legs that leave it')
    start, end = _angle(vertex, dimension.a), _angle(vertex, dimension.b)
    if (_angle(vertex, dimension.at) - start) % 360.0 > (end - start) % 360.0:
        start, end = end, start
    sweep = (end - start) % 360.0
    parts: list[Primitive] = []
    for leg, angle in ((dimension.a, _angle(vertex, dimension.a)), (dimension.b, _angle(vertex, dimension.b))):
        far = math.dist(vertex, leg)
        if radius > far + GAP:
            parts.append(Line(_polar(vertex, far + GAP, angle), _polar(vertex, radius + PAST, angle), dimension.style))
    # the head is drawn along the chord that ends in its tip, so that it lies on the arc
    lean = math.degrees(ARROW / radius) / 2
    if math.radians(sweep) * radius > 2 * ARROW + 1.0:
        parts.append(Arc(vertex, radius, start, start + sweep, dimension.style))
        heads = ((start, start - 90.0 + lean), (end, end + 90.0 - lean))
    else:
        tail = math.degrees(TAIL / radius)
        parts.append(Arc(vertex, radius, start - tail, start + sweep + tail, dimension.style))
        heads = ((start, start + 90.0 - lean), (end, end - 90.0 + lean))
    parts += [arrowhead(_polar(vertex, radius, tip), _unit(towards)) for tip, towards in heads]
    parts.append(_number_of_angle(dimension, vertex, radius, start + dimension.text_at * sweep))
    return tuple(parts)


def _number_of_angle(dimension: Dimension, vertex: Point, radius: float, angle: float) -> Text:
    """The number outside the arc, level, far enough for its box to clear the arc."""
    size = dimension.size_mm
    out = _unit(angle)
    half_width = text_width_mm(dimension.text, size) / 2
    half_height = CAPITAL * size / 2
    middle = _polar(vertex, radius + CLEAR + abs(out[0]) * half_width + abs(out[1]) * half_height, angle)
    return Text(middle, dimension.text, size, "middle", "middle", halo=True)


def _foot(point: Point, on_line: Point, normal: Point) -> Point:
    """Where the normal through a point meets the dimension line."""
    return _plus(point, _times(normal, _dot(_minus(on_line, point), normal)))


def _plus(a: Point, b: Point) -> Point:
    return a[0] + b[0], a[1] + b[1]


def _minus(a: Point, b: Point) -> Point:
    return a[0] - b[0], a[1] - b[1]


def _times(a: Point, factor: float) -> Point:
    return a[0] * factor, a[1] * factor


def _dot(a: Point, b: Point) -> float:
    return a[0] * b[0] + a[1] * b[1]


def _angle(vertex: Point, point: Point) -> float:
    return math.degrees(math.atan2(point[1] - vertex[1], point[0] - vertex[0]))


def _unit(angle_deg: float) -> Point:
    return math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))


def _polar(centre: Point, radius: float, angle_deg: float) -> Point:
    return _plus(centre, _times(_unit(angle_deg), radius))
