"""What is left before an end bottoms: the drop and the square step that use all of its travel.

Question answered   How much harder must the ground hit this set-up than another one before either end bottoms?
Method              `bikewright.physics.landing` with the fast curve of each spring: settled at full extension for a
                    drop, since the bike was in the air, and at the sag for a step.
Left out            Damping, friction, tyres, the rider's arms and legs, which are counted as rigid: so these numbers
                    are told as a ratio to a ridden or tested build, never by themselves.
Theory              docs/theory/landing.md
"""

from dataclasses import dataclass
from math import pi, sin
from typing import Literal

import numpy as np

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.model.build import Build
from bikewright.physics.landing import drop_height, step_speed, thrown_speed
from bikewright.physics.rest import GRAVITY, Rest
from bikewright.physics.springs.assembly import Assembly
from bikewright.studies import crossing
from bikewright.studies.evaluate import Answer, evaluate
from bikewright.studies.springing import FAST, Masses, fork_spring, shock_spring
from bikewright.studies.suspension import Through
from bikewright.units import KMH, MM

End = Literal["front", "rear"]

STEP_MM = 80.0
"""Height of the square step that speeds are told for [mm]."""


@dataclass(frozen=True, slots=True)
class Over:
    """What stands over one end at rest, in SI."""

    sprung: float
    """[kg]"""
    unsprung: float
    """[kg]"""
    sag: float
    """Stroke of fork or shock [m]."""
    travel: float
    """Full travel of the wheel, square to the ground [m]."""
    lean: float
    """Of the axle's path backwards from the vertical, at the sag [rad]."""
    radius: float
    """Of the tyre [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserve:
    """One end's reserve; for comparing only."""

    drop_mm: float | None
    """Height of a drop to flat ground that uses all travel; None where there is none to tell [mm]."""
    step_kmh: float | None
    """Speed over a square step of `STEP_MM` that uses all travel [km/h]."""
    waits: str = ""
    """Why one of them is not told; empty where both are."""


def over(answer: Answer, rest: Rest, end: End) -> Over:
    """What stands over one end of a bike at rest.

    Raises
    ------
    NotKnown
        If the rear has no suspension or no shock.
    """
    weights: Masses = answer.group("masses")
    rear_radius, front_radius = crossing.tyre_radii(answer.build, loaded=False)
    if end == "front":
        full = answer.group("front end").fork_travel or 0.0
        return Over(
            sprung=rest.front_load / GRAVITY - weights.front,
            unsprung=weights.front,
            sag=rest.fork_travel,
            travel=full * sin(rest.head_angle),
            lean=0.5 * pi - rest.head_angle,
            radius=front_radius,
        )
    through: Through | None = answer.group("linkage")
    if through is None:
        raise NotKnown("waits for a shock")
    path = np.interp(rest.shock_stroke, through.motion.stroke, through.curves.axle_path_angle.points)
    return Over(
        sprung=rest.rear_load / GRAVITY - weights.rear,
        unsprung=weights.rear,
        sag=rest.shock_stroke,
        travel=through.rear_travel,
        lean=float(path) + rest.pose.pitch,
        radius=rear_radius,
    )


def reserve_of(landed: Assembly, rolled: Assembly, above: Over) -> Reserve:
    """Drop and step of one end.

    Parameters
    ----------
    landed : Assembly
        Fast, the gas settled at full extension.
    rolled : Assembly
        Fast, the gas settled at the sag.
    above : Over
        What stands over it.
    """
    waits = []
    drop = step = None
    try:
        drop = drop_height(landed.energy_to_bottom, above.sprung, above.travel) / MM
    except OutsideValidity as error:
        waits.append(str(error))
    try:
        left = rolled.energy_to_bottom - float(rolled.energy(above.sag))
        thrown = thrown_speed(left, above.sprung, above.unsprung, above.lean)
        held = (above.sprung + above.unsprung) * GRAVITY / above.unsprung
        step = step_speed(thrown, above.radius, STEP_MM * MM, held, above.lean) / KMH
    except OutsideValidity as error:
        waits.append(str(error))
    return Reserve(drop_mm=drop, step_kmh=step, waits="; ".join(waits))


def fast_pair(
    build: Build, end: End, pressure_bar: float | None, spacers: int, turns: float, sag: float
) -> tuple[Assembly, Assembly]:
    """Both fast curves of an end: settled at full extension, and at the sag [m].

    Raises
    ------
    NotKnown
        If the spring waits for something.
    """
    made = []
    for settled in (0.0, sag):
        if end == "front":
            fork = build.parts.fork
            found, waits = (
                (None, "a fork") if fork is None else fork_spring(fork, pressure_bar, spacers, turns, FAST, settled)
            )
        else:
            shock = build.parts.shock
            found, waits = (
                (None, "a shock") if shock is None else shock_spring(shock, pressure_bar, spacers, turns, FAST, settled)
            )
        if found is None:
            raise NotKnown(f"waits for {waits}")
        made.append(found)
    return made[0], made[1]


def reserve(build: Build, end: End) -> Reserve:
    """Reserve of one end of a build as it is set up, its rider at rest on it.

    Raises
    ------
    BikewrightError
        What stops the bike from being put to rest.
    """
    answer, settings = evaluate(build), build.settings
    above = over(answer, answer.group("rest", "standing").rest, end)
    if end == "front":
        now = (settings.fork_pressure_bar, settings.fork_spacers, settings.fork_preload_turns)
    else:
        now = (settings.shock_pressure_bar, settings.shock_spacers, settings.shock_preload_turns)
    return reserve_of(*fast_pair(build, end, *now, above.sag), above)


def ratio(one: float | None, reference: float | None) -> float | None:
    """One over the other, where both are known [-]."""
    return None if one is None or not reference else one / reference
