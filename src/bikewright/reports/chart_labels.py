"""Labels of a chart: at the ends of its curves and beside its markers, so that none lies on another.

Question answered   Where does each label stand?
Method              End labels keep the order of their curves; where they would touch they are moved apart as little as
                    possible (least squares with a least distance, by pooling neighbours that touch). A marker's label
                    tries the places round its point and takes the first that no letter and fewest curves cross.
Axes and signs      Millimetres of paper, y up.
Left out            Labels inside the plot for curves that end early; a leader joins them.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from bikewright.reports.cutting import Window, cut_line
from bikewright.reports.lettering import CAPITAL, LINE, text_width_mm
from bikewright.reports.paper import overlap, text_corners
from bikewright.reports.shapes import Anchor, Circle, Line, Point, Polyline, Shape, Text, Tone

LEADER = 3.5
"""Room between the plot and its end labels, for leaders [mm]."""


@dataclass(frozen=True, slots=True)
class EndLabel:
    """The label of a curve, in one line or two."""

    lines: tuple[str, ...]
    tone: Tone = "ink"


def blocks_height(labels: Sequence[EndLabel], size: float) -> float:
    """Height that labels take when they stand one under the other [mm]."""
    return sum(len(label.lines) for label in labels) * LINE * size


def moved_apart(wanted: Sequence[float], heights: Sequence[float], low: float, high: float) -> tuple[float, ...]:
    """Middles of blocks that lie as near as possible to where they are wanted without touching.

    Parameters
    ----------
    wanted : sequence of float
        Middles wanted, in any order [mm].
    heights : sequence of float
        Height of each block [mm].
    low, high : float
        Range that the blocks may take; they fit into it together [mm].

    Returns
    -------
    tuple of float
        A middle for each block, in the order given [mm].
    """
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], -i))
    # place of each block if all stood on each other from zero; what is left to choose is one shift per pool
    stacked, top = {}, 0.0
    for i in order:
        stacked[i] = top + heights[i] / 2
        top += heights[i]
    pools: list[list[float]] = []  # sum of the shifts wanted, number of blocks
    for i in order:
        pools.append([wanted[i] - stacked[i], 1.0])
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] >= pools[-1][0] / pools[-1][1]:
            shift, count = pools.pop()
            pools[-1][0] += shift
            pools[-1][1] += count
    shifts = [min(max(total / count, low), high - top) for total, count in pools for _ in range(int(count))]
    placed = {i: stacked[i] + shift for i, shift in zip(order, shifts, strict=True)}
    return tuple(placed[i] for i in range(len(wanted)))


def end_labels(labels: Sequence[EndLabel], ends: Sequence[Point], window: Window, size: float) -> tuple[Shape, ...]:
    """Labels to the right of the plot with leaders to the ends of their curves."""
    heights = [len(label.lines) * LINE * size for label in labels]
    middles = moved_apart([y for _, y in ends], heights, window[1], window[3])
    x = window[2] + LEADER
    shapes: list[Shape] = []
    for label, (end_x, end_y), middle in zip(labels, ends, middles, strict=True):
        if end_x < window[2] - 0.5 or abs(middle - end_y) > 0.4 * size:
            shapes.append(Line((end_x, end_y), (x - 0.8, middle), "hair"))
        for number, line in enumerate(label.lines):
            y = middle + ((len(label.lines) - 1) / 2 - number) * LINE * size
            shapes.append(Text((x, y), line, size, level="middle", tone=label.tone))
    return tuple(shapes)


def marker_labels(
    markers: Sequence[tuple[Point, str]], curves: Sequence[Shape], window: Window, size: float
) -> tuple[Shape, ...]:
    """Dots with labels beside them; markers outside the plot are left out."""
    shapes: list[Shape] = []
    taken: list[tuple[Point, ...]] = []
    dots = [_square(point, 1.0) for point, _ in markers]
    for number, (point, label) in enumerate(markers):
        if not (window[0] <= point[0] <= window[2] and window[1] <= point[1] <= window[3]):
            continue
        others = [*taken, *(dot for i, dot in enumerate(dots) if i != number)]
        text = min(_places(point, label, size), key=lambda t, o=others: _cost(t, o, curves, window))  # type: ignore[misc]
        taken.append(text_corners(text))
        if math.dist(point, text.at) > 5.0:
            shapes.append(Line(point, text.at, "hair"))
        shapes += [Circle(point, 0.9, "thin", "paper"), text]
    return tuple(shapes)


def _places(point: Point, label: str, size: float) -> list[Text]:
    """The label at each place round its point that may be tried, nearest and most usual first."""
    places: list[Text] = []
    for far in (2.2, 6.0, 10.0, 15.0):
        sides: tuple[tuple[float, float, Anchor], ...] = (
            (0.8, 0.8, "start"),
            (0.8, -0.8, "start"),
            (-0.8, 0.8, "end"),
            (-0.8, -0.8, "end"),
            (0.0, 1.0, "middle"),
            (0.0, -1.0, "middle"),
        )
        for dx, dy, anchor in sides:
            # the nearest row stands clear of the dot by half the height of its capitals
            lift = dy * far + math.copysign(CAPITAL * size / 2, dy)
            at = (point[0] + dx * far, point[1] + lift)
            places.append(Text(at, label, size, anchor, "middle", halo=True))
    return places


def _cost(text: Text, taken: Sequence[tuple[Point, ...]], curves: Sequence[Shape], window: Window) -> float:
    """How bad a place is: letters on letters worst, then leaving the plot, then curves crossed."""
    corners = text_corners(text)
    box = (corners[0][0], corners[0][1], corners[2][0], corners[2][1])
    cost = 1000.0 * sum(overlap(corners, other) for other in taken)
    outside = (window[0] - box[0], window[1] - box[1], box[2] - window[2], box[3] - window[3])
    cost += 100.0 * sum(over > 0 for over in outside)
    for curve in curves:
        if isinstance(curve, Polyline):
            pairs = pairwise(curve.points)
            cost += 10.0 * any(cut_line(a, b, box) is not None for a, b in pairs)
    return cost


def _square(point: Point, half: float) -> tuple[Point, ...]:
    x, y = point
    return (x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)


def label_width_mm(labels: Sequence[EndLabel], size: float) -> float:
    """Width of the widest label [mm]."""
    return max((text_width_mm(line, size) for label in labels for line in label.lines), default=0.0)
