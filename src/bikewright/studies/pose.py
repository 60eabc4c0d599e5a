"""Where every point of a bike stands in one state, for whoever draws it.

Millimetres in ground axes: x forward, z up, the ground at z = 0, the bottom bracket above x = 0.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import cos, sin
from typing import Literal

from bikewright.errors import BikewrightError
from bikewright.physics import plane
from bikewright.physics.geometry import Attitude, SeatTube, attitude
from bikewright.physics.linkage.layout import FRAME, SHOCK, WHEEL
from bikewright.physics.linkage.motion import Motion, solve_at
from bikewright.studies import crossing
from bikewright.studies.evaluate import Answer
from bikewright.studies.states import STANCES, Given, Solved
from bikewright.studies.suspension import NUDGE, Extended, Through
from bikewright.units import MM

Point = tuple[float, float]
"""(x, z) [mm]."""

TRAVEL_POSES = 21
"""Poses through the rear travel: enough for a smooth scrub."""

AHEAD_OF_BB_MM = 25.0
"""A seat tube whose axis passes further ahead than this starts on the down tube, not at the bottom bracket."""


@dataclass(frozen=True, slots=True)
class Body:
    """One body of the rear suspension, by its points."""

    name: str
    kind: Literal["link", "shock", "frame"]
    points: tuple[Point, ...]
    """Pins and ends [mm]; for a shock, the eye of its body first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BikePose:
    """Where everything of a bike stands in one state."""

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
    crank_deg: float = 0.0
    """Where the near crank points, from forward over up; 0 is level."""
    ring_radius_mm: float | None = None
    bodies: tuple[Body, ...] = ()
    pins: tuple[tuple[str, Point], ...] = ()
    instant_centre: Point | None = None
    outlines: tuple[tuple[str, tuple[Point, ...]], ...] = ()
    """Drawn outlines of parts, by name."""
    axle_path: tuple[Point, ...] | None = None
    rider: tuple[tuple[str, tuple[Point, Point]], ...] = ()
    """Segments of the rider by name, each from its first endpoint to its second; empty where nobody rides."""


def pose_of(answer: Answer, state: str) -> BikePose:
    """Every point of a build in a state.

    Raises
    ------
    BikewrightError
        If the bike cannot be put on the ground in that state.
    """
    here = answer.group("geometry", state)
    ground = here.ground
    rear: Extended | None = answer.group("extended")
    moved = None if rear is None else _position(answer, rear, state)
    axles = (ground.rear_axle, ground.front_axle)
    drawn = _drawn(answer, state, ground.attitude, axles, (here.rear_radius, here.front_radius), moved)
    return replace(drawn, rider=_rider(answer, state, _placing(ground.attitude.to_ground)))


def _rider(
    answer: Answer, state: str, place: Callable[[plane.Point], Point]
) -> tuple[tuple[str, tuple[Point, Point]], ...]:
    """The rider's segments where a state has a rider; both legs, one arm for two."""
    if not isinstance(STANCES[state], Solved):
        return ()
    posture = answer.group("rest", state).posture
    if posture is None:
        return ()
    return tuple(
        (name, (place(first), place(second))) for name, ends in posture.pose.segments() for first, second in ends
    )


def poses_through_travel(answer: Answer) -> tuple[BikePose, ...]:
    """The bike at even steps of shock stroke from full extension to full travel, fork and tyres at the stated sag.

    Returns
    -------
    tuple of BikePose
        Named by their wheel travel in millimetres; empty for a hardtail and while no shock is chosen.

    Raises
    ------
    BikewrightError
        If the linkage or the bike cannot be placed.
    """
    through: Through | None = answer.group("linkage")
    if through is None:
        return ()
    here = answer.group("geometry", "stated-sag")
    motion, radii = through.motion, (here.rear_radius, here.front_radius)
    last = len(motion.stroke) - 1
    poses = []
    for row in sorted({round(step * last / (TRAVEL_POSES - 1)) for step in range(TRAVEL_POSES)}):
        axle = (float(motion.axle[row, 0]), float(motion.axle[row, 1]))
        standing = attitude(axle, here.ground.front_axle, *radii)
        axles = (axle, here.ground.front_axle)
        poses.append(_drawn(answer, f"{motion.wheel_travel[row] / MM:.3f}", standing, axles, radii, (motion, row)))
    return tuple(poses)


def _drawn(
    answer: Answer,
    state: str,
    standing: Attitude,
    axles: tuple[plane.Point, plane.Point],
    radii: tuple[float, float],
    moved: tuple[Motion, int] | None,
) -> BikePose:
    """All points for an attitude, axles and radii (rear, front), and the linkage at a row of a motion."""
    closed, front, fit = (answer.group(name) for name in ("table", "front end", "fit"))
    build, row = answer.build, answer.build.geometry_row
    ring_radius = crossing.ring_radius(build)
    place = _placing(standing.to_ground)
    ends = (standing.rear_contact - radii[0], standing.front_contact + radii[1])
    bodies, pins, path = ((), (), None) if moved is None else _linkage(answer, *moved, place)
    head = closed.head_tube
    lower = (
        head.upper_face[0] + head.length * cos(head.angle),
        head.upper_face[1] - head.length * sin(head.angle),
    )
    return BikePose(
        title=build.name,
        state=state,
        ground=((ends[0] / MM, 0.0), (ends[1] / MM, 0.0)),
        front_axle=place(axles[1]),
        rear_axle=place(axles[0]),
        front_radius=radii[1] / MM,
        rear_radius=radii[0] / MM,
        bb=place((0.0, 0.0)),
        crown=place(front.axis.crown),
        steerer_top=place(front.axis.upper),
        head_upper=place(head.upper_face),
        head_lower=place(lower),
        hand=None if fit.hand is None else place(fit.hand.point),
        stem_clamp=None if fit.hand is None else place(fit.hand.bar_centre),
        saddle=None if fit.saddle is None else place(fit.saddle),
        seat_axis=_seat_axis(closed.seat_tube, row.seat_tube_mm, row.stack_mm, place),
        crank_mm=None if build.parts.crank is None else build.parts.crank.length_mm,
        ring_radius_mm=None if ring_radius is None else ring_radius / MM,
        bodies=bodies,
        pins=pins,
        outlines=tuple(
            (outline.name, tuple(place(point) for point in points)) for outline, points in crossing.outlines(build)
        ),
        axle_path=path,
    )


def _placing(to_ground: Callable[[plane.Point], plane.Pair]) -> Callable[[plane.Point], Point]:
    def place(point: plane.Point) -> Point:
        x, z = to_ground(point)
        return float(x) / MM, float(z) / MM

    return place


def _seat_axis(
    tube: SeatTube | None, length_mm: float | None, stack_mm: float, place: Callable[[plane.Point], Point]
) -> tuple[Point, Point] | None:
    """Both ends of the seat tube; without its length, as high as the stack."""
    if tube is None or tube.setback is None:
        return None
    setback, angle = tube.setback, tube.angle
    low = 90.0 * MM if -setback > AHEAD_OF_BB_MM * MM else 0.0
    height = (stack_mm - 150.0 if length_mm is None else length_mm * sin(angle)) * MM

    def at(z: float) -> plane.Point:
        return -setback - z * cos(angle) / sin(angle), z

    return place(at(low)), place(at(height))


def _linkage(
    answer: Answer, motion: Motion, row: int, place: Callable[[plane.Point], Point]
) -> tuple[tuple[Body, ...], tuple[tuple[str, Point], ...], tuple[Point, ...] | None]:
    """Bodies and pins at a row of a motion, and the path of the axle as far as it is known."""
    layout = motion.layout
    at = {
        pin.name: place((float(motion.points[row, index, 0]), float(motion.points[row, index, 1])))
        for index, pin in enumerate(layout.pins)
    }
    bodies = []
    for body, held in layout.pins_of.items():
        points = tuple(at[layout.pins[index].name] for index in held)
        if body == SHOCK:
            bodies.append(Body(body, "shock", points))
        elif body not in (FRAME, WHEEL) and len(points) > 1:
            bodies.append(Body(body, "link", points))
    try:
        through: Through | None = answer.group("linkage")
    except BikewrightError:
        through = None  # a linkage that locks later in its travel can still be drawn extended
    path = None
    if through is not None:
        path = tuple(place((float(x), float(z))) for x, z in through.motion.axle[::5])
    return tuple(bodies), tuple(at.items()), path


def _position(answer: Answer, rear: Extended, state: str) -> tuple[Motion, int]:
    """The motion and the row in it at which a state stands."""
    stance = STANCES[state]
    if isinstance(stance, Given) and stance.rear == 0.0:
        return rear.motion, 0
    through: Through = answer.group("linkage")
    if isinstance(stance, Given):
        return (through.motion_at_sag, through.row_at_sag) if stance.rear is None else (through.motion, -1)
    settled = answer.group("rest", state).rest.shock_stroke
    return solve_at(rear.motion, max(settled, NUDGE)), 1
