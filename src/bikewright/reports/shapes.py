"""Neutral shapes: what a drawing is made of before anything writes it as SVG, DXF or PDF.

Question answered   What is drawn, where, and in which line?
Method              Frozen shapes in named layers on a sheet. A layer has a scale: its points are millimetres of the
                    thing drawn, while line weights, letters and arrowheads stay millimetres of paper. So a writer for
                    paper scales the points, and a writer for workshops takes them as they are, 1:1.
Axes and signs      x to the right, y up, origin at the lower left of the sheet; angles in degrees, anticlockwise.
Left out            Filled areas with holes, curves other than circles and their arcs.
"""

import math
from dataclasses import dataclass
from typing import Literal

from bikewright.errors import OutsideValidity

Point = tuple[float, float]
"""(x, y) in millimetres of the layer it lies in."""
Tone = Literal["ink", "accent", "muted", "pale", "paper"]
"""What colour a thing has, by its part in the drawing; a theme of the writer turns it into a colour."""
Anchor = Literal["start", "middle", "end"]
"""Which end of a text its point is at."""
Level = Literal["baseline", "middle", "top"]
"""Which height of a text its point is at: its baseline, the middle of its capitals, or the top of them."""
Weight = Literal["regular", "semibold"]


@dataclass(frozen=True, slots=True)
class LineStyle:
    """How a line is drawn on paper."""

    weight_mm: float
    """Width of the line, from the series of ISO 128 (from memory): 0.13, 0.18, 0.25, 0.35, 0.5, 0.7."""
    dash: tuple[float, ...] = ()
    """Lengths of dash and gap in turn [mm]; solid when empty."""
    tone: Tone = "ink"


STYLES: dict[str, LineStyle] = {
    # things
    "outline": LineStyle(0.5),
    "heavy": LineStyle(0.7),
    "thin": LineStyle(0.25),
    "hair": LineStyle(0.13, tone="muted"),
    "hidden": LineStyle(0.25, (1.6, 0.8)),
    "centre": LineStyle(0.13, (5.0, 0.9, 0.9, 0.9), "muted"),
    "accent": LineStyle(0.5, tone="accent"),
    "path": LineStyle(0.35, tone="accent"),
    "dimension": LineStyle(0.18),
    "frame": LineStyle(0.5),
    "rule": LineStyle(0.18),
    "grid": LineStyle(0.13, tone="pale"),
    "hatch": LineStyle(0.13, tone="muted"),
    # whose answer it is: told by the dash, so that a copy in black and white says the same
    "current": LineStyle(0.5),
    "before": LineStyle(0.35, (2.6, 1.1)),
    "pinned": LineStyle(0.35, (5.0, 1.0, 0.7, 1.0), "accent"),
    "brief": LineStyle(0.25, (0.7, 0.9)),
    "ghost": LineStyle(0.25, (2.6, 1.1), "muted"),
    # more curves in one chart
    "second": LineStyle(0.35, (1.4, 0.8)),
    "third": LineStyle(0.35, (6.0, 1.4)),
    "fourth": LineStyle(0.35, (3.0, 0.8, 0.7, 0.8, 0.7, 0.8)),
}
"""Every line style by its name."""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    a: Point
    b: Point
    style: str = "outline"


@dataclass(frozen=True, slots=True)
class Polyline:
    """Straight lines through points; closed and filled where wanted."""

    points: tuple[Point, ...]
    style: str | None = "outline"
    """None: only filled."""
    closed: bool = False
    fill: Tone | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A whole circle."""

    centre: Point
    radius: float
    """[mm of the layer]"""
    style: str | None = "outline"
    fill: Tone | None = None


@dataclass(frozen=True, slots=True)
class Arc:
    """A part of a circle, anticlockwise from its start to its end."""

    centre: Point
    radius: float
    start_deg: float
    end_deg: float
    style: str = "outline"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text."""

    at: Point
    text: str
    size_mm: float = 3.0
    """Font size on paper [mm]; a capital is two thirds of it."""
    anchor: Anchor = "start"
    level: Level = "baseline"
    angle_deg: float = 0.0
    weight: Weight = "regular"
    tone: Tone = "ink"
    halo: bool = False
    """Whether a rim of paper keeps lines behind it off the letters."""
    shift_mm: Point = (0.0, 0.0)
    """Further shift on paper, whatever the layer's scale [mm]."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension as on a workshop drawing: extension lines, arrowheads, number above the line."""

    kind: Literal["horizontal", "vertical", "aligned", "angular"]
    a: Point
    b: Point
    """The two points measured; for an angle, a point on each leg."""
    at: Point
    """A point that the dimension line, or the arc, passes through."""
    text: str
    vertex: Point | None = None
    """Where the legs of an angle meet."""
    style: str = "dimension"
    size_mm: float = 3.0
    """Font size on paper [mm]."""
    text_at: float = 0.5
    """Where along the line the number stands, 0 at its left or lower end and 1 at the other."""


Shape = Line | Polyline | Circle | Arc | Text | Dimension
Primitive = Line | Polyline | Circle | Arc | Text


@dataclass(frozen=True, slots=True)
class Layer:
    """Shapes that belong together, drawn in order."""

    name: str
    shapes: tuple[Shape, ...]
    scale: float = 1.0
    """Millimetres of paper for one millimetre of the thing drawn: 0.1 at 1:10."""
    origin: Point = (0.0, 0.0)
    """Where the layer's own origin lies on the sheet [mm of paper]."""

    def on_paper(self, point: Point) -> Point:
        """A point of this layer as a point of the sheet."""
        return self.origin[0] + self.scale * point[0], self.origin[1] + self.scale * point[1]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole drawing."""

    width_mm: float
    height_mm: float
    layers: tuple[Layer, ...]
    title: str
    """What the drawing is, for a screen reader and a window title."""
    description: str = ""
    """What it shows, in a sentence, for a screen reader."""


def horizontal(a: Point, b: Point, y: float, text: str) -> Dimension:
    """Dimension of the horizontal distance of two points, its line at height ``y``."""
    return Dimension("horizontal", a, b, (a[0], y), text)


def vertical(a: Point, b: Point, x: float, text: str) -> Dimension:
    """Dimension of the vertical distance of two points, its line at ``x``."""
    return Dimension("vertical", a, b, (x, a[1]), text)


def aligned(a: Point, b: Point, offset: float, text: str) -> Dimension:
    """Dimension of the distance of two points, its line ``offset`` to the left of the way from a to b."""
    length = math.dist(a, b)
    if length == 0:
        raise OutsideValidity(f'the dimension "{text}" measures from a point to itself; give it two points')
    nx, ny = -(b[1] - a[1]) / length, (b[0] - a[0]) / length
    return Dimension("aligned", a, b, (a[0] + offset * nx, a[1] + offset * ny), text)


def angular(vertex: Point, a: Point, b: Point, at: Point, text: str) -> Dimension:
    """Dimension of the angle between the legs from ``vertex`` to a and to b, on the side where ``at`` lies."""
    return Dimension("angular", a, b, at, text, vertex)
