"""The parts of a bike as they stand on a side view: wheels, tubes, fork, shock, links, cranks, saddle.

Question answered   Which strokes stand for this part, given the points that place it?
Method              Points come from the pose. Thicknesses that no pose gives (tube widths, rim, saddle, lowers) are
                    usual proportions of the trade with no source; they are there to be recognised, not measured.
Axes and signs      Ground axes in millimetres, x forward, z up: the front of the bike is on the right.
Left out            Spokes, cables, brakes, chain.
"""

import math
from itertools import pairwise

from bikewright.reports.shapes import Circle, Line, Point, Polyline, Shape, Tone

RIM_SHARE = 0.86
"""Outer radius of the rim over the radius of the tyre."""
ARC_STEPS = 8
"""Straight pieces in a quarter of a rounded end."""


def plus(a: Point, b: Point, times: float = 1.0) -> Point:
    """a + times b."""
    return a[0] + times * b[0], a[1] + times * b[1]


def unit(a: Point, b: Point) -> Point:
    """Unit vector from a to b; straight up where they are one point."""
    length = math.dist(a, b)
    return (0.0, 1.0) if length == 0 else ((b[0] - a[0]) / length, (b[1] - a[1]) / length)


def forward(along: Point) -> Point:
    """The normal to the right of a direction: forward of an axis that points up."""
    return along[1], -along[0]


def foot(point: Point, a: Point, b: Point) -> Point:
    """Nearest point to ``point`` on the line through a and b."""
    u = unit(a, b)
    return plus(a, u, (point[0] - a[0]) * u[0] + (point[1] - a[1]) * u[1])


def wheel(axle: Point, radius: float) -> tuple[Shape, ...]:
    """Tyre, rim, hub and axle."""
    rim = RIM_SHARE * radius
    return (
        Circle(axle, radius, "outline"),
        Circle(axle, rim, "dimension"),
        Circle(axle, rim - 0.05 * radius, "hair"),
        Circle(axle, 0.07 * radius, "dimension", "paper"),
        *cross(axle, 0.11 * radius),
    )


def cross(at: Point, half: float) -> tuple[Shape, ...]:
    """Centre lines through a point."""
    return (
        Line((at[0] - half, at[1]), (at[0] + half, at[1]), "hair"),
        Line((at[0], at[1] - half), (at[0], at[1] + half), "hair"),
    )


def tube(a: Point, b: Point, width_a: float, width_b: float | None = None, style: str = "thin") -> Polyline:
    """A tube between two points, tapered where the widths differ."""
    normal = forward(unit(a, b))
    half_a, half_b = width_a / 2, (width_a if width_b is None else width_b) / 2
    corners = (plus(a, normal, half_a), plus(b, normal, half_b), plus(b, normal, -half_b), plus(a, normal, -half_a))
    return Polyline(corners, style, closed=True, fill="paper")


def rounded(points: tuple[Point, ...], radius: float, style: str = "thin", fill: Tone | None = "paper") -> Polyline:
    """A plate round some points: the outline of discs at them with a belt round it; a bar with round ends for two."""
    corners = convex_hull(points)
    outline: list[Point] = []
    for i, corner in enumerate(corners):
        before, after = corners[i - 1], corners[(i + 1) % len(corners)]
        start = _heading(before, corner) - 90.0
        turn = (_heading(corner, after) - _heading(before, corner)) % 360.0 if len(corners) > 1 else 360.0
        steps = max(1, math.ceil(turn / 90.0 * ARC_STEPS))
        for step in range(steps + 1):
            angle = math.radians(start + turn * step / steps)
            outline.append((corner[0] + radius * math.cos(angle), corner[1] + radius * math.sin(angle)))
    return Polyline(tuple(outline), style, closed=True, fill=fill)


def convex_hull(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Corners of the belt round some points, anticlockwise (Andrew's monotone chain, from memory)."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)
    chains = []
    for run in (ordered, ordered[::-1]):
        chain: list[Point] = []
        for point in run:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0:
                chain.pop()
            chain.append(point)
        chains.append(chain[:-1])
    return (*chains[0], *chains[1])


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _heading(a: Point, b: Point) -> float:
    return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))


def fork(crown: Point, steerer_top: Point, axle: Point) -> tuple[Shape, ...]:
    """Stanchion, lowers and crown of one leg, parallel to the steering axis.

    Parameters
    ----------
    crown, steerer_top : Point
        Two points of the steering axis, the crown race seat first [mm].
    axle : Point
        Front axle [mm].

    Returns
    -------
    tuple of Shape
        In drawing order.
    """
    up = unit(crown, steerer_top)
    ahead = forward(up)
    offset = (axle[0] - crown[0]) * ahead[0] + (axle[1] - crown[1]) * ahead[1]
    length = (crown[0] - axle[0]) * up[0] + (crown[1] - axle[1]) * up[1]
    leg = plus(axle, ahead, -min(14.0, max(offset, 0.0)))
    top = plus(leg, up, length - 4.0)
    lowers = min(290.0, 0.72 * length)
    shoulder = plus(leg, up, lowers)
    return (
        tube(shoulder, top, 36.0),
        tube(plus(leg, up, 6.0), shoulder, 42.0, 50.0),
        tube(shoulder, plus(shoulder, up, 9.0), 54.0),
        rounded((leg, axle), 19.0),
        rounded((plus(crown, up, -18.0), plus(top, up, -14.0)), 22.0),
        Circle(axle, 8.0, "thin", "paper"),
    )


def cockpit(steerer_top: Point, head_lower: Point, clamp: Point | None, hand: Point | None) -> tuple[Shape, ...]:
    """Steerer with its spacers, stem, bar and grip."""
    if clamp is None:
        return ()
    up = unit(head_lower, steerer_top)
    on_axis = foot(clamp, head_lower, steerer_top)
    shapes: list[Shape] = [tube(steerer_top, plus(on_axis, up, -18.0), 38.0)]
    if hand is not None:
        shapes.append(rounded((clamp, hand), 11.0))
    shapes += [tube(on_axis, clamp, 34.0, 30.0), tube(plus(on_axis, up, -20.0), plus(on_axis, up, 20.0), 40.0)]
    shapes += [Circle(clamp, 20.0, "thin", "paper"), Circle(clamp, 16.0, "hair")]
    if hand is not None:
        shapes += [Circle(hand, 17.0, "thin", "paper"), Circle(hand, 4.0, None, "ink")]
    return tuple(shapes)


SADDLE = (
    (150.0, -14.0), (146.0, -6.0), (120.0, -3.0), (70.0, -2.0), (10.0, 0.0), (-40.0, 4.0), (-80.0, 12.0),
    (-112.0, 20.0), (-122.0, 18.0), (-124.0, 4.0), (-112.0, -16.0), (-60.0, -26.0), (20.0, -22.0), (90.0, -20.0),
)  # fmt: skip
"""Outline of a saddle round its sit point [mm]."""


def saddle_and_post(sit: Point | None, seat_axis: tuple[Point, Point] | None) -> tuple[Shape, ...]:
    """Seatpost on the seat axis, clamp, rails and saddle."""
    if sit is None:
        return ()
    shapes: list[Shape] = []
    rails = plus(sit, (0.0, -42.0))
    if seat_axis is not None:
        head = foot(rails, *seat_axis)
        up = unit(*seat_axis)
        shapes += [
            tube(plus(seat_axis[1], up, -1.0), head, 31.0),
            tube(plus(seat_axis[1], up, 45.0), seat_axis[1], 38.0),
            rounded((head, rails), 13.0),
        ]
    shapes += [
        Polyline((plus(sit, (88.0, -20.0)), plus(sit, (50.0, -40.0)), plus(sit, (-45.0, -40.0)),
                  plus(sit, (-86.0, -22.0))), "dimension"),
        Polyline(tuple(plus(sit, corner) for corner in SADDLE), "thin", closed=True, fill="paper"),
    ]  # fmt: skip
    return tuple(shapes)


def cranks(
    bb: Point, crank_mm: float | None, ring_radius_mm: float | None, crank_deg: float = 0.0
) -> tuple[Shape, ...]:
    """Ring, cranks with level pedals, bottom bracket; the near crank points where the angle says, level at 0."""
    shapes: list[Shape] = []
    if ring_radius_mm is not None:
        shapes += [Circle(bb, ring_radius_mm, "thin"), Circle(bb, max(ring_radius_mm - 8.0, 1.0), "hair")]
    if crank_mm is not None:
        along = (math.cos(math.radians(crank_deg)), math.sin(math.radians(crank_deg)))
        far, near = plus(bb, along, -crank_mm), plus(bb, along, crank_mm)
        # the far side's crank lies behind the frame, so it is drawn as a hidden edge
        shapes.append(rounded((bb, far), 12.0, "hidden", None))
        shapes.append(_pedal(far, "hidden", None))
        shapes += [rounded((bb, near), 14.0), _pedal(near, "thin", "paper")]
    shapes += [Circle(bb, 22.0, "thin", "paper"), Circle(bb, 12.0, "dimension"), *cross(bb, 34.0)]
    return tuple(shapes)


def _pedal(at: Point, style: str, fill: Tone | None) -> Polyline:
    x, y = at
    return Polyline(((x - 48.0, y - 8.0), (x + 48.0, y - 8.0), (x + 48.0, y + 8.0), (x - 48.0, y + 8.0)), style,
                    closed=True, fill=fill)  # fmt: skip


def shock(a: Point, b: Point) -> tuple[Shape, ...]:
    """A shock as two diameters between its eyes: body at the first, shaft at the second."""
    along = unit(a, b)
    length = math.dist(a, b)
    shoulder = plus(a, along, 0.58 * length)
    return (
        tube(shoulder, plus(b, along, -12.0), 26.0),
        tube(plus(a, along, 14.0), shoulder, 46.0),
        tube(plus(shoulder, along, -9.0), shoulder, 50.0),
        Circle(a, 14.0, "thin", "paper"),
        Circle(b, 14.0, "thin", "paper"),
    )


def link(points: tuple[Point, ...]) -> tuple[Shape, ...]:
    """A link: a bar or a plate round its pins; a long frame-like one as tubes from point to point."""
    if not points:
        return ()
    longest = max((math.dist(a, b) for a in points for b in points), default=0.0)
    if len(points) < 3 or longest < 230.0:
        return (rounded(points, 15.0),)
    return tuple(rounded(pair, 12.0) for pair in pairwise(points))


def pin(at: Point) -> tuple[Shape, ...]:
    """A pivot: a circle with its centre."""
    return Circle(at, 8.0, "thin", "paper"), Circle(at, 2.0, None, "ink")


LIMB_WIDTH = {"trunk": 120.0, "upper_arm": 56.0, "forearm": 46.0, "thigh": 96.0, "shank": 70.0, "foot": 52.0}
"""Width of a rider's segments, to be recognised [mm]; the head is drawn as a circle, the hand is on the grip."""


def rider(segments: tuple[tuple[str, tuple[Point, Point]], ...], style: str = "hair") -> tuple[Shape, ...]:
    """A rider, in hairlines where the bike is the subject; nothing where nobody rides."""
    shapes: list[Shape] = []
    for name, (first, second) in segments:
        if name == "head":
            middle = ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2)
            shapes.append(Circle(middle, 0.55 * math.dist(first, second), style))
        elif name in LIMB_WIDTH:
            shapes.append(rounded((first, second), LIMB_WIDTH[name] / 2, style, None))
    return tuple(shapes)


def ground_line(a: Point, b: Point, left: float, right: float, stroke: float) -> tuple[Shape, ...]:
    """The ground from one side to the other, hatched below.

    Parameters
    ----------
    a, b : Point
        Two points of the ground [mm].
    left, right : float
        Where it begins and ends [mm].
    stroke : float
        Length of a hatch stroke [mm].

    Returns
    -------
    tuple of Shape
        In drawing order.
    """
    along = unit(a, b) if b[0] >= a[0] else unit(b, a)
    down = forward(along)
    start, end = (plus(a, along, (x - a[0]) / along[0]) for x in (left, right))
    shapes: list[Shape] = [Line(start, end, "outline")]
    for number in range(int(math.dist(start, end) / stroke)):
        top = plus(start, along, (number + 1) * stroke)
        shapes.append(Line(top, plus(plus(top, along, -0.7 * stroke), down, 0.7 * stroke), "hair"))
    return tuple(shapes)
