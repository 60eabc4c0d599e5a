"""A coil in place of air: may this frame take one, and what changes for the same rider at the same sag?

Question answered   May it be fitted, and for which reason not? How does it start, hold up and end against the air
                    spring?
Method              Every condition by itself, with what was found and what is allowed; an unknown one waits. Both
                    springs are set for the same sag and laid over each other (`bikewright.physics.springs.overlay`).
Left out            Heat, noise, the look; a coil's guide rubbing; loads on the shock's eyes from a frame that flexes.
Theory              docs/theory/springs.md
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from bikewright.errors import BikewrightError, NotKnown
from bikewright.model.build import Build, remade
from bikewright.model.parts import AirChamber, Coil, Shock
from bikewright.model.stock import Stock
from bikewright.physics.springs.assembly import Assembly
from bikewright.physics.springs.gas import ISOTHERMAL
from bikewright.physics.springs.overlay import FittedSpring, Overlay, overlay
from bikewright.physics.springs.wheel import wheel_forces
from bikewright.studies.end_springs import best_coil, coil_choices, coils_like
from bikewright.studies.evaluate import evaluate
from bikewright.studies.resting import Carried
from bikewright.studies.spring_setup import fitted
from bikewright.studies.springing import FAST, shock_spring
from bikewright.studies.suspension import Eyes, Through
from bikewright.studies.swinging import curve_of, dial_of, set_clicks
from bikewright.units import DEG, MM, PCT

Floats = NDArray[np.float64]

PROGRESSION_MIN_PCT = 15.0
"""Least fall of the leverage from start to end for a linear coil: common practice, no source [%]."""

SUPPORT_MM_S = 100.0
"""Shaft speed at which the low-speed compression offset is told: weight that shifts, no bump [mm/s]."""

Question = Literal["progression", "room", "coil bind", "eyes", "permission"]
May = Literal["yes", "no", "waits"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One condition."""

    question: Question
    may: May
    found: float | None = None
    """In `unit`; None where it is no number or not known."""
    allowed: float | None = None
    """In `unit`: the least for progression, the most for everything else."""
    unit: str = ""
    part: str = ""
    """Whose limit or dimension it is."""
    waits: str = ""
    """What is not known, by its key; empty where it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Both springs at the same sag; at the wheel where not said otherwise."""

    air: Shock
    air_build: Build
    """With the air shock in, set for the sag."""
    coil: Shock
    """With the coil in it."""
    turns: float
    """Preload with which the coil gives exactly the sag [turns]."""
    sag_pct: float
    over: Overlay
    """The first is air [N, J]."""
    travel: Floats
    """Of the wheel [m]."""
    air_force: Floats
    """Fast, from the sag [N]."""
    coil_force: Floats
    """[N]"""
    support_n: float
    """Compression damping at the shaft to add at `SUPPORT_MM_S`, so that half travel is held up as by the air [N]."""
    support_from_closed: int | None
    """Click of the coil shock's compression dial that adds it to what the air shock's dial gives where it stands."""
    support_waits: str
    """Why no click is told; empty where one is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilStudy:
    """The whole answer."""

    build: Build
    may: May
    """no: at least one reason says so; waits: none does, but one is not known."""
    reasons: tuple[Reason, ...]
    laid: Laid | None
    laid_waits: str
    """Why the springs are not laid over each other; empty where they are."""


def coil_study(build: Build, stock: Stock, progression_min_pct: float = PROGRESSION_MIN_PCT) -> CoilStudy:
    """May this frame take a coil, and what would change for its rider?

    Parameters
    ----------
    build : Build
        A build with rear suspension; with air or with a coil in.
    stock : Stock
        Its shocks and coils are looked through for the other one.
    progression_min_pct : float
        Least progression [%].

    Raises
    ------
    NotKnown
        If the frame has no rear suspension or no shock is chosen.
    BikewrightError
        What stopped the linkage.
    """
    shock = build.parts.shock
    if build.frame.linkage is None:
        raise NotKnown(f"{build.frame.name} has no rear suspension, so the question does not arise")
    if shock is None:
        raise NotKnown("waits for a shock")
    carrier = _of_kind(shock, stock, Coil)
    coil, turns, why = _wanted_coil(build, stock, carrier)
    reasons = (
        _progression(build, progression_min_pct),
        _room(build, coil),
        _bind(shock, coil, turns, why),
        _eyes(build, carrier or shock),
        _permission(carrier or shock),
    )
    found = {reason.may for reason in reasons}
    may: May = "no" if "no" in found else "waits" if "waits" in found else "yes"
    laid, waits = None, ""
    try:
        laid = _laid(build, stock, shock, carrier, coil, turns, why)
    except BikewrightError as error:
        waits = str(error)
    return CoilStudy(build=build, may=may, reasons=reasons, laid=laid, laid_waits=waits)


def _of_kind(shock: Shock, stock: Stock, kind: type) -> Shock | None:
    """The shock itself, or the first of the shelf with the same length and stroke, whose spring is of the kind."""
    shelf = [one for one in stock.shelf("shock") if isinstance(one, Shock)]
    size = (shock.chassis.eye_to_eye_mm, shock.stroke_mm)
    return next(
        (
            one
            for one in (shock, *shelf)
            if isinstance(one.spring, kind) and (one.chassis.eye_to_eye_mm, one.stroke_mm) == size
        ),
        None,
    )


def _with_shock(build: Build, shock: Shock) -> Build:
    return build.changed(parts=remade(build.parts, {"shock": shock}))


def _wanted_coil(build: Build, stock: Stock, carrier: Shock | None) -> tuple[Coil | None, float, str]:
    """The coil for this rider with its exact preload [turns], or the one that is in; else what it waits for."""
    if carrier is None or not isinstance(carrier.spring, Coil):
        return None, 0.0, "a coil shock of this length and stroke on the shelf"
    shelf = coils_like(carrier.spring, stock)
    try:
        answer = evaluate(_with_shock(build, carrier))
        held: Carried = answer.group("carried")
        stroke = carrier.stroke_mm * MM
        at = build.settings.sag_rear_pct * PCT * stroke
        best = best_coil(coil_choices(shelf, carrier, stroke, held.rest.shock_force, at))
    except NotKnown as error:
        return None, 0.0, str(error).removeprefix("waits for ")
    except BikewrightError as error:
        return None, 0.0, f"a coil that gives the sag: {error}"
    return best.coil, best.exact_turns, ""


def _progression(build: Build, least_pct: float) -> Reason:
    through: Through = evaluate(build).group("linkage")
    found = through.progression / PCT
    return Reason(
        question="progression", may="yes" if found >= least_pct else "no", found=found, allowed=least_pct, unit="pct"
    )


def _room(build: Build, coil: Coil | None) -> Reason:
    limit = build.frame.limits.shock_diameter_max_mm
    found = None if coil is None else coil.outer_diameter_mm
    waits = []
    if limit is None:
        waits.append("limits.shock_diameter_max_mm in bike.toml")
    if found is None:
        waits.append("a coil" if coil is None else f"wire_mm and mean_diameter_mm of '{coil.name}'")
    may: May = "waits" if limit is None or found is None else "yes" if found <= limit else "no"
    name = "" if coil is None else coil.name
    return Reason(question="room", may=may, found=found, allowed=limit, unit="mm", part=name, waits=" and ".join(waits))


def _bind(shock: Shock, coil: Coil | None, turns: float, why: str) -> Reason:
    if coil is None:
        return Reason(question="coil bind", may="waits", unit="mm", waits=why.removeprefix("waits for "))
    pressed = shock.stroke_mm + turns * (coil.preload_mm_per_turn or 0.0)
    limit = coil.stroke_to_bind_mm
    may: May = "waits" if limit is None else "yes" if pressed <= limit + 1e-9 else "no"
    return Reason(
        question="coil bind",
        may=may,
        found=pressed,
        allowed=limit,
        unit="mm",
        part=coil.name,
        waits=f"stroke_to_bind_mm of '{coil.name}'" if limit is None else "",
    )


def _eyes(build: Build, shock: Shock) -> Reason:
    turned: Eyes = evaluate(build).group("eyes")
    limit, found = shock.hardware.turn_max_deg, turned.largest / DEG
    may: May = "waits" if limit is None else "yes" if found <= limit else "no"
    return Reason(
        question="eyes",
        may=may,
        found=found,
        allowed=limit,
        unit="deg",
        part=shock.name,
        waits=f"hardware.turn_max_deg of '{shock.name}'" if limit is None else "",
    )


def _permission(shock: Shock) -> Reason:
    allowed = shock.chassis.coil_allowed
    may: May = "waits" if allowed is None else "yes" if allowed else "no"
    waits = f"chassis.coil_allowed of '{shock.name}'" if allowed is None else ""
    return Reason(question="permission", may=may, part=shock.name, waits=waits)


def _laid(
    build: Build, stock: Stock, shock: Shock, carrier: Shock | None, coil: Coil | None, turns: float, why: str
) -> Laid:
    air = _of_kind(shock, stock, AirChamber)
    if air is None:
        raise NotKnown("waits for an air shock of this length and stroke on the shelf")
    if carrier is None or coil is None:
        raise NotKnown(f"waits for {why}")
    set_air = fitted(_with_shock(build, air), stock)
    settings = set_air.settings
    wound_in = remade(carrier, {"spring": coil})
    stroke = shock.stroke_mm * MM
    sag = settings.sag_rear_pct * PCT * stroke
    through: Through = evaluate(set_air).group("linkage")
    slow, fast = (
        _curve(*shock_spring(air, settings.shock_pressure_bar, settings.shock_spacers, 0.0, exponent, at))
        for exponent, at in ((ISOTHERMAL, 0.0), (FAST, sag))
    )
    wound = _curve(*shock_spring(wound_in, None, 0, turns, ISOTHERMAL))
    both = overlay(
        FittedSpring(slow=slow, fast=fast, band=air.friction.breakaway_n or 0.0),
        FittedSpring(slow=wound, fast=wound, band=wound_in.friction.breakaway_n or 0.0),
        stroke,
        sag,
        through.motion,
    )
    middle = through.motion.stroke_at_travel(0.5 * through.rear_travel)
    air_force, coil_force = (wheel_forces(one, through.motion).force for one in (fast, wound))
    support = float(fast.force(middle)) - float(wound.force(middle))
    click, support_waits = _support_click(build, air, wound_in, support)
    return Laid(
        air=air,
        air_build=set_air,
        coil=wound_in,
        turns=turns,
        sag_pct=settings.sag_rear_pct,
        over=both,
        travel=through.motion.wheel_travel,
        air_force=air_force,
        coil_force=coil_force,
        support_n=support,
        support_from_closed=click,
        support_waits=support_waits,
    )


def _support_click(build: Build, air: Shock, coil: Shock, support: float) -> tuple[int | None, str]:
    """Click of the coil's damper with the air damper's force and the support [N]; both must have been measured."""
    speed = SUPPORT_MM_S * MM
    dial = dial_of(coil.damper, "compression")
    if dial is None:
        return None, f"a measured compression table of '{coil.name}'"
    standing = set_clicks(build.settings, air.damper, "shock", "compression")
    curve = None if standing is None else curve_of(air.damper, "compression", standing)
    if curve is None:
        return None, f"a measured compression table of '{air.name}' and where its dial stands"
    wanted = curve.at(speed) + support
    forces = [one.at(speed) for one in dial.curves]
    if not forces[-1] <= wanted <= forces[0]:
        over = wanted - forces[0] if wanted > forces[0] else forces[-1] - wanted
        end = "above what it gives closed" if wanted > forces[0] else "below what it gives open"
        return None, f"another damper: {wanted:.0f} N are wanted at the shaft, {over:.0f} N {end}"
    return round(float(np.interp(-wanted, [-force for force in forces], dial.positions))), ""


def _curve(found: Assembly | None, waits: str) -> Assembly:
    if found is None:
        raise NotKnown(f"waits for {waits}")
    return found
