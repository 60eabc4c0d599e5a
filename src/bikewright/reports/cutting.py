"""Cutting figures to a window, and hatching them.

Question answered   Which part of this line or area lies inside the plot, and which strokes shade it?
Method              Lines: Liang and Barsky. Areas: Sutherland and Hodgman, one edge of the window after another.
                    Hatching: parallel lines at whole multiples of their distance, cut to the area by counting
                    crossings, so that neighbouring areas share one pattern. All three from memory.
Axes and signs      Any plane; a window is (left, bottom, right, top).
Left out            Areas with holes.
"""

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

from bikewright.reports.shapes import Line, Point

Window = tuple[float, float, float, float]
"""Left, bottom, right, top."""


def cut_line(a: Point, b: Point, window: Window) -> tuple[Point, Point] | None:
    """The part of a straight line inside a window; None where it misses it.

    Parameters
    ----------
    a, b : Point
        Ends of the line.
    window : Window
        Left, bottom, right, top.

    Returns
    -------
    tuple of two Points, or None
        From the end near a to the end near b.
    """
    left, bottom, right, top = window
    dx, dy = b[0] - a[0], b[1] - a[1]
    enter, leave = 0.0, 1.0
    for step, room in ((-dx, a[0] - left), (dx, right - a[0]), (-dy, a[1] - bottom), (dy, top - a[1])):
        if step == 0:
            if room < 0:
                return None
        elif step < 0:
            enter = max(enter, room / step)
        else:
            leave = min(leave, room / step)
    if enter > leave:
        return None
    # an end inside stays the very same point, so that the next piece of a polyline begins where this one ends
    first = a if enter == 0.0 else (a[0] + enter * dx, a[1] + enter * dy)
    last = b if leave == 1.0 else (a[0] + leave * dx, a[1] + leave * dy)
    return first, last


def cut_polyline(points: Sequence[Point], window: Window) -> tuple[tuple[Point, ...], ...]:
    """The runs of a polyline that lie inside a window."""
    runs: list[list[Point]] = []
    for a, b in pairwise(points):
        part = cut_line(a, b, window)
        if part is None:
            continue
        if runs and runs[-1][-1] == part[0]:
            runs[-1].append(part[1])
        else:
            runs.append(list(part))
    return tuple(tuple(run) for run in runs)


def cut_area(points: Sequence[Point], window: Window) -> tuple[Point, ...]:
    """The part of an area inside a window, as one outline; empty where they do not meet."""
    left, bottom, right, top = window
    kept = list(points)
    for axis, limit, sign in ((0, left, 1), (0, right, -1), (1, bottom, 1), (1, top, -1)):
        kept = _cut_by_edge(kept, _height_over(axis, limit, sign))
    return tuple(kept)


def _height_over(axis: int, limit: float, sign: int) -> Callable[[Point], float]:
    return lambda point: sign * (point[axis] - limit)


def _cut_by_edge(points: list[Point], inside: Callable[[Point], float]) -> list[Point]:
    kept: list[Point] = []
    for a, b in zip(points, points[1:] + points[:1], strict=True):
        over_a, over_b = inside(a), inside(b)
        if over_a >= 0:
            kept.append(a)
        if over_a * over_b < 0:
            t = over_a / (over_a - over_b)
            kept.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))
    return kept


def hatching(outline: Sequence[Point], distance: float, angle_deg: float = 45.0) -> tuple[Line, ...]:
    """Strokes that shade an area.

    Parameters
    ----------
    outline : sequence of Points
        Corners of the area; the last is joined to the first.
    distance : float
        Between neighbouring strokes [mm].
    angle_deg : float
        Direction of the strokes.

    Returns
    -------
    tuple of Line
        In the style ``hatch``.
    """
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    turned = [(x * cos + y * sin, y * cos - x * sin) for x, y in outline]
    if len(turned) < 3:
        return ()
    heights = [v for _, v in turned]
    strokes = []
    for number in range(math.ceil(min(heights) / distance), math.floor(max(heights) / distance) + 1):
        v = number * distance
        crossings = sorted(
            u1 + (v - v1) * (u2 - u1) / (v2 - v1)
            for (u1, v1), (u2, v2) in zip(turned, turned[1:] + turned[:1], strict=True)
            if (v1 <= v) != (v2 <= v)
        )
        for u1, u2 in zip(crossings[::2], crossings[1::2], strict=True):
            a, b = (u1 * cos - v * sin, u1 * sin + v * cos), (u2 * cos - v * sin, u2 * sin + v * cos)
            strokes.append(Line(a, b, "hatch"))
    return tuple(strokes)
