"""The groups extended, linkage and forces: the rear suspension of a build, in SI.

Everything is exact at 101 even steps of shock stroke; what is reported at sag is solved at that stroke, not
read off the curve.
"""

from dataclasses import dataclass
from functools import lru_cache, reduce

import numpy as np
from numpy.typing import NDArray

from bikewright.errors import LimitExceeded
from bikewright.model.build import Build
from bikewright.model.drawing import linkage_of
from bikewright.physics.linkage.bodies import body_motion, instant_centre
from bikewright.physics.linkage.forces import pin_forces
from bikewright.physics.linkage.layout import FRAME, SHOCK, Layout, PinPlace
from bikewright.physics.linkage.leverage import progression
from bikewright.physics.linkage.motion import Motion, solve_at, solve_motion
from bikewright.physics.linkage.path import axle_path, path_angle
from bikewright.physics.plane import Point
from bikewright.physics.rest import RearPath, rear_path
from bikewright.studies.graph import Ask
from bikewright.units import MM, PCT

Array = NDArray[np.float64]

POSITIONS = 101
"""Even steps of shock stroke at which every curve is exact."""

NUDGE = 0.01 * MM
"""Second position of the extended linkage, as a motion has two at least [m]."""


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """One curve over the wheel travel."""

    points: Array
    """At the 101 positions; NaN where `gap` says why."""
    slope: Array | None = None
    """Exact slope for each metre of wheel travel."""
    gap: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """Every curve of the group; SI, at the same positions."""

    leverage_ratio: Line
    """[-]"""
    shock_used: Line
    """[m]"""
    axle_x: Line
    """[m]"""
    axle_path_angle: Line
    """Positive backwards [rad]"""
    axle_path_radius: Line
    """[m]"""
    instant_centre_x: Line
    """[m]"""
    instant_centre_z: Line
    """[m]"""
    caliper_angle: Line
    """[rad]"""
    shock_angle: Line
    """[rad]"""


@dataclass(frozen=True, slots=True, eq=False)
class Forces:
    """What the pins carry for one newton straight up at the wheel."""

    largest: float
    """Over all pins and the whole travel [-]."""
    by_pin: dict[str, Line]
    """The larger of the forces on the pin's bodies [-]."""


@dataclass(frozen=True, slots=True)
class Eyes:
    """How far the shock turns in the bushings of its two eyes over the travel."""

    largest: float
    """The larger of the two [rad]."""
    by_pin: tuple[tuple[str, float], ...]
    """Pin and turn of each eye [rad]."""


@dataclass(frozen=True, slots=True, eq=False)
class Through:
    """The suspension through its travel."""

    rear_travel: float
    """[m]"""
    shock_stroke: float
    """[m]"""
    leverage_start: float
    leverage_at_sag: float
    leverage_end: float
    leverage_mean: float
    progression: float
    """Whole [-]"""
    progression_from_sag: float
    progression_last_fifth: float
    axle_rearmost: float
    """[m]"""
    rear_centre_growth: float
    """[m]"""
    axle_path_angle_at_sag: float
    """[rad]"""
    instant_centre_x_at_sag: float
    """NaN where the axle's body does not turn [m]."""
    instant_centre_z_at_sag: float
    """[m]"""
    caliper_turn: float
    """[rad]"""
    shock_turn: float
    """[rad]"""
    nearest_dead_point: float
    """[rad]"""
    travel_at_sag: float
    """[m]"""
    axle_at_sag: Point
    """[m]"""
    axle_bottomed: Point
    """[m]"""
    curves: Curves
    path: RearPath
    """Of the axle, with a wheel that turns freely."""
    motion: Motion
    """Every pin at the 101 positions."""
    motion_at_sag: Motion
    """A motion that passes the stated sag ..."""
    row_at_sag: int
    """... at this position."""


@dataclass(frozen=True, slots=True, eq=False)
class Extended:
    """The rear suspension at rest on its shock's full length, with the chips set."""

    layout: Layout
    marks: Array
    """Place of each pin on each of its bodies (n_marks, 2) [m]."""
    shock_length: float
    """From pin to pin, a yoke included [m]."""
    axle: Point
    """[m]"""
    motion: Motion
    """Two positions, the first of them fully extended."""


def extended(ask: Ask) -> Extended | None:
    """Group extended: None for a hardtail. While no shock is chosen the drawn length holds."""
    build = ask.build
    if build.frame.linkage is None:
        return None
    drawing = linkage_of(build)
    layout = _layout(drawing.pins)
    marks = np.array([(x * MM, z * MM) for _, _, x, z in drawing.marks])
    shock = build.parts.shock
    eye_to_eye_mm = drawing.drawn_eye_to_eye_mm if shock is None else shock.chassis.eye_to_eye_mm
    length = (eye_to_eye_mm + drawing.shock_extension_mm) * MM
    motion = solve_motion(layout, marks, [length, length - NUDGE])
    return Extended(layout, marks, length, _axle(motion, 0), motion)


@lru_cache(maxsize=64)
def _layout(pins: tuple[tuple[str, tuple[str, ...]], ...]) -> Layout:
    """One layout for all drawings of it, so that what follows from it is not worked out for every moved pin."""
    return Layout(tuple(PinPlace(name, joins) for name, joins in pins))


def through(ask: Ask) -> Through | None:
    """Group linkage: the suspension through its travel; None for a hardtail and while no shock is chosen."""
    rear: Extended | None = ask.of("extended")
    shock = ask.build.parts.shock
    if rear is None or shock is None:
        return None
    stroke = shock.stroke_mm * MM
    if stroke <= 0.0:
        raise LimitExceeded("the stroke reducer leaves the shock no stroke; fit a shorter one")
    length = rear.shock_length
    motion = solve_motion(rear.layout, rear.marks, np.linspace(length, length - stroke, POSITIONS))
    sag = stroke * ask.build.settings.sag_rear_pct * PCT
    at_sag = solve_at(motion, sag) if sag > 0.0 else motion
    return _through(ask.build, motion, at_sag, 1 if sag > 0.0 else 0, sag)


def _axle(motion: Motion, position: int) -> Point:
    x, z = motion.axle[position]
    return float(x), float(z)


def _through(build: Build, motion: Motion, at_sag: Motion, row: int, sag: float) -> Through:
    ratio, travel = motion.leverage_ratio, motion.wheel_travel
    falls = progression(motion, sag)
    path = axle_path(motion)
    carrier = motion.layout.axle_bodies[0]
    brake_on = build.frame.linkage.brake_on if build.frame.linkage is not None else FRAME
    caliper, shock = body_motion(motion, brake_on), body_motion(motion, SHOCK)
    centre_at_sag = instant_centre(at_sag, carrier).place[row]
    curves = _curves(motion, path.angle, path.radius, caliper.rotation, shock.rotation, carrier)
    centres = np.hypot(motion.axle[:, 0], motion.axle[:, 1])
    return Through(
        rear_travel=float(travel[-1]),
        shock_stroke=float(motion.stroke[-1]),
        leverage_start=float(ratio[0]),
        leverage_at_sag=float(at_sag.leverage_ratio[row]),
        leverage_end=float(ratio[-1]),
        leverage_mean=float(travel[-1] / motion.stroke[-1]),
        progression=falls.whole,
        progression_from_sag=falls.from_stroke or 0.0,
        progression_last_fifth=falls.last_fifth,
        axle_rearmost=float(motion.axle[0, 0] - motion.axle[:, 0].min()),
        rear_centre_growth=float(centres[-1] - centres[0]),
        axle_path_angle_at_sag=float(path_angle(at_sag)[row]),
        instant_centre_x_at_sag=float(centre_at_sag[0]),
        instant_centre_z_at_sag=float(centre_at_sag[1]),
        caliper_turn=float(caliper.rotation[-1] - caliper.rotation[0]),
        shock_turn=float(np.ptp(shock.rotation)),
        nearest_dead_point=float(np.arcsin(np.clip(motion.margin.min(), 0.0, 1.0))),
        travel_at_sag=float(at_sag.wheel_travel[row]),
        axle_at_sag=_axle(at_sag, row),
        axle_bottomed=_axle(motion, -1),
        curves=curves,
        path=rear_path(motion.stroke, motion.axle, motion.axle_velocity, motion.axle_acceleration),
        motion=motion,
        motion_at_sag=at_sag,
        row_at_sag=row,
    )


def _curves(
    motion: Motion, path_angle: Array, path_radius: Array, caliper: Array, shock: Array, carrier: str
) -> Curves:
    centre = instant_centre(motion, carrier)
    gap = next((f"the axle's body {why}" for why in centre.reason if why), "")
    straight = "the path is straight there" if np.isnan(path_radius).any() else ""
    return Curves(
        leverage_ratio=Line(motion.leverage_ratio, motion.leverage_slope),
        shock_used=Line(motion.stroke, 1.0 / motion.leverage_ratio),
        axle_x=Line(motion.axle_x.y, motion.axle_x.slope),
        axle_path_angle=Line(path_angle),
        axle_path_radius=Line(path_radius, gap=straight),
        instant_centre_x=Line(centre.place[:, 0], gap=gap),
        instant_centre_z=Line(centre.place[:, 1], gap=gap),
        caliper_angle=Line(caliper - caliper[0]),
        shock_angle=Line(shock - shock[0]),
    )


def forces(ask: Ask) -> Forces | None:
    """Group forces: None for a hardtail and while no shock is chosen."""
    rear: Through | None = ask.of("linkage")
    if rear is None:
        return None
    motion = rear.motion
    size = pin_forces(motion, (0.0, 1.0)).size
    by_pin = {
        pin.name: Line(reduce(np.maximum, [size[:, motion.layout.mark(pin.name, body)] for body in pin.joins]))
        for pin in motion.layout.pins
        if len(pin.joins) > 1
    }
    return Forces(max(float(line.points.max()) for line in by_pin.values()), by_pin)


def eyes(ask: Ask) -> Eyes | None:
    """Group eyes: turn of the shock against the body at each of its eyes; None for a hardtail and without a shock."""
    rear: Through | None = ask.of("linkage")
    if rear is None:
        return None
    motion = rear.motion
    shock, found = body_motion(motion, SHOCK).rotation, []
    for index in motion.layout.pins_of[SHOCK]:
        pin = motion.layout.pins[index]
        other = next((body for body in pin.joins if body != SHOCK), FRAME)
        found.append((pin.name, float(np.ptp(shock - body_motion(motion, other).rotation))))
    return Eyes(max(turn for _, turn in found), tuple(found))
