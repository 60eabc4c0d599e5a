"""The set-up of one rider on one build, in the order in which it is set.

Question answered   Which tyre pressures, springs, spacers, preload, clicks and saddle height for this rider on this
                    build?
Method              Springs for the wanted sags, then tyre pressures for the loads that follow; again, since another
                    coil weighs otherwise and another pressure stands otherwise, until nothing moves that can be set;
                    then the clicks for those springs. Each is a study of its own; what one of them waits for leaves the
                    others readable.
Left out            What the model does not hold: levers, bite points, cleats.
Theory              docs/guide/set-up.md
"""

from dataclasses import dataclass, replace
from typing import Literal

from bikewright.errors import NotKnown, SolverDidNotSettle
from bikewright.model.build import Build, remade
from bikewright.model.limits import Refusal, refusals
from bikewright.model.stock import Stock
from bikewright.model.tune import BaseTune
from bikewright.studies.damping_setup import DampingSetup, clicks_for
from bikewright.studies.spring_setup import SpringSetup, fitted, springs_for
from bikewright.studies.taking import as_taken
from bikewright.studies.tyre_setup import TyreSetup, pressures_for

From = Literal["settings", "rider", "size", ""]

ROUNDS = 8
"""Most rounds of springs and tyres; two or three are usual."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cockpit:
    """What of saddle and bar is set with a spanner; None where it is not known."""

    saddle_height_mm: float | None
    """Bottom bracket to the top of the saddle [mm]."""
    saddle_from: From
    """Who says so; empty where nobody does."""
    saddle_back_mm: float
    """Behind the middle of the rails [mm]."""
    stem_spacers_mm: float
    """Below the stem [mm]."""
    bar_roll_deg: float
    """[deg]"""
    lever_reach_mm: float | None
    """From grip to brake lever at rest [mm]."""
    lever_bite_mm: float | None
    """The same where the pads bite [mm]."""
    lever_angle_deg: float | None
    """Below level [deg]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """One rider's set-up of one build."""

    build: Build
    """With everything set."""
    springs: SpringSetup
    tyres: TyreSetup | None
    tyres_wait: str
    """Why no tyre pressures are told; empty where they are."""
    damping: DampingSetup | None
    damping_waits: str
    """Why no clicks are told; empty where they are."""
    cockpit: Cockpit
    refused: tuple[Refusal, ...]
    """What the frame or a part does not allow of the finished build."""


def setup_for(build: Build, stock: Stock, base: BaseTune | None = None, *, bands: bool = True) -> Setup:
    """Set one build up for its rider.

    Parameters
    ----------
    build : Build
        With a rider; its settings say which sags are wanted.
    stock : Stock
        Its coils are chosen from.
    base : BaseTune, optional
        A ridden or tested set-up that clicks, reserves and tyre pressures are told against.
    bands : bool
        Whether the friction bands of the sags are asked for.

    Returns
    -------
    Setup

    Raises
    ------
    NotKnown
        If there is no rider, here or on the base, or a spring's dimensions are not known.
    LimitExceeded
        If no spring or tyre pressure inside the limits of the parts serves: says by how much.
    SolverDidNotSettle
        If springs and tyres keep moving each other.
    """
    if base is not None and base.build.rider is None:
        raise NotKnown(f"nobody rides the base '{base.name}', so nothing can be told against it; give it a rider")
    pumped, tyres, tyres_wait = _sprung_and_pumped(build, stock, base)
    springs = springs_for(pumped, stock, None if base is None else base.build, bands=bands)
    springs = replace(springs, reference="" if base is None else base.name)
    damping, damping_waits = None, ""
    try:
        damping = clicks_for(springs.build, base)
    except NotKnown as error:
        damping_waits = str(error)
    ready = springs.build if damping is None else _dialled(springs.build, damping)
    springs = replace(springs, build=ready)
    return Setup(
        build=ready,
        springs=springs,
        tyres=tyres,
        tyres_wait=tyres_wait,
        damping=damping,
        damping_waits=damping_waits,
        cockpit=_cockpit(ready),
        refused=refusals(ready),
    )


def _sprung_and_pumped(build: Build, stock: Stock, base: BaseTune | None) -> tuple[Build, TyreSetup | None, str]:
    """The build on springs and tyres that taking them leaves as they are, the tyres, and what these wait for."""
    at_first: TyreSetup | None = None
    asked = build
    for _ in range(ROUNDS):
        found, tyres, waits = fitted(asked, stock), None, ""
        try:
            tyres = pressures_for(found, base)
        except NotKnown as error:
            waits = str(error)
        else:
            at_first = at_first or tyres
            bar = {"front_tyre_bar": tyres.front.recommended_bar, "rear_tyre_bar": tyres.rear.recommended_bar}
            found = found.changed(settings=remade(found.settings, bar))
        if as_taken(found) == asked:
            return found, None if tyres is None or at_first is None else _pumped_now(tyres, at_first), waits
        asked = as_taken(found)
    raise SolverDidNotSettle(
        f"springs and tyre pressures of '{build.name}' still move each other after {ROUNDS} rounds; name the coil, or "
        "ask for another sag"
    )


def _pumped_now(tyres: TyreSetup, at_first: TyreSetup) -> TyreSetup:
    """The tyres, beside what the build was pumped to before anything was set."""
    front, rear = (
        replace(end, set_bar=first.set_bar, set_reserve=first.set_reserve)
        for end, first in ((tyres.front, at_first.front), (tyres.rear, at_first.rear))
    )
    return replace(tyres, front=front, rear=rear)


def _dialled(build: Build, damping: DampingSetup) -> Build:
    """The build with its dials where they are recommended, each counted as its damper is counted."""
    clicks = {}
    for one in damping.circuits:
        damper = getattr(build.parts, one.end).damper
        counted = one.from_closed if damper.counted_from == "closed" else one.from_open
        if counted is not None:
            clicks[f"{one.end}_{one.circuit}_clicks"] = counted
    return build.changed(settings=remade(build.settings, clicks)) if clicks else build


def _cockpit(build: Build) -> Cockpit:
    settings, rider = build.settings, build.rider
    said: From = ""
    if settings.saddle_height_mm is not None:
        said = "settings"
    elif rider is not None and rider.saddle_height_mm is not None:
        said = "rider"
    elif build.geometry_row.saddle_height_mm is not None:
        said = "size"
    return Cockpit(
        saddle_height_mm=build.saddle_height_mm,
        saddle_from=said,
        saddle_back_mm=settings.saddle_back_mm,
        stem_spacers_mm=settings.stem_spacers_mm,
        bar_roll_deg=settings.bar_roll_deg,
        lever_reach_mm=settings.lever_reach_mm,
        lever_bite_mm=settings.lever_bite_mm,
        lever_angle_deg=settings.lever_angle_deg,
    )
