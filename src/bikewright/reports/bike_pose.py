"""A bike's pose: where everything stands in one state, as plain points that a drawing can be made of.

Axes and signs      Ground axes in millimetres, x forward, z up: the front of the bike is on the right.
"""

from dataclasses import dataclass
from typing import Literal

from bikewright.reports.shapes import Point


@dataclass(frozen=True, slots=True)
class Body:
    """One body of the rear suspension, or a tube of the frame, by its points."""

    name: str
    kind: Literal["link", "shock", "frame"]
    points: tuple[Point, ...]
    """Pins and ends [mm]; for a shock, the eye of its body first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BikePose:
    """Where everything of a bike stands in one state; millimetres in ground axes, x forward, z up."""

    title: str
    state: str
    ground: tuple[Point, Point]
    """Two points of the ground."""
    front_axle: Point
    rear_axle: Point
    front_radius: float
    """Tyre radius [mm]."""
    rear_radius: float
    """Tyre radius [mm]."""
    bb: Point
    """Bottom-bracket centre."""
    crown: Point
    """Crown race seat, on the steering axis."""
    steerer_top: Point
    """Steering axis at the upper head-tube face."""
    head_upper: Point
    """Head-tube axis at its upper face."""
    head_lower: Point
    """Head-tube axis at its lower face."""
    hand: Point | None = None
    stem_clamp: Point | None = None
    """Middle of the bar in the stem."""
    saddle: Point | None = None
    """Sit point, on top of the saddle."""
    seat_axis: tuple[Point, Point] | None = None
    """Lower and upper end of the seat tube."""
    crank_mm: float | None = None
    ring_radius_mm: float | None = None
    bodies: tuple[Body, ...] = ()
    pins: tuple[tuple[str, Point], ...] = ()
    instant_centre: Point | None = None
    outlines: tuple[tuple[str, tuple[Point, ...]], ...] = ()
    """Drawn outlines of parts, by name."""
    axle_path: tuple[Point, ...] | None = None
