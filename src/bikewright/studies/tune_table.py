"""The base tune table: every build that is sold, set up for riders of every mass.

Question answered   What does the maker tell a customer of this mass to begin with?
Method              The set-up of one rider, again and again. A build keeps its own rider with another mass: stature,
                    inseam and build of the body stay, so that the table has one posture a build and says whose.
Left out            That lighter riders are shorter for the most part.
Theory              docs/guide/set-up.md
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from bikewright.errors import BikewrightError, NotKnown
from bikewright.model.build import Build, remade
from bikewright.model.stock import Stock
from bikewright.model.tune import BaseTune
from bikewright.studies.setup import Setup, setup_for

MASSES_KG = tuple(float(mass) for mass in range(45, 125, 5))
"""Of the rider in kit [kg]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tune:
    """One rider's mass on one build."""

    mass_kg: float
    setup: Setup | None
    """None where it is refused."""
    refusal: str = ""
    """Why it is: by how much; empty where it is not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TuneColumn:
    """One build for every mass."""

    build: Build
    """As it is in the files, with the rider whose posture the tunes have."""
    tunes: tuple[Tune, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TuneTable:
    """All builds."""

    masses_kg: tuple[float, ...]
    columns: tuple[TuneColumn, ...]
    base: str
    """Name of the base tune; empty without one."""


def tune_table(
    builds: Sequence[Build],
    stock: Stock,
    base: BaseTune | None = None,
    masses_kg: Iterable[float] = MASSES_KG,
    told: Callable[[int, int], None] = lambda done, all_of_them: None,
) -> TuneTable:
    """Set every build up for every mass.

    Parameters
    ----------
    builds : sequence of Build
        Each with a rider, whose mass is replaced.
    stock : Stock
        Its coils are chosen from.
    base : BaseTune, optional
        That clicks, reserves and tyre pressures are told against.
    masses_kg : iterable of float
        Of the rider in kit [kg].
    told : callable
        Called with how many set-ups are done, and of how many.

    Returns
    -------
    TuneTable
        A mass that no spring or tyre takes is refused in its cell, by how much; the others stay.

    Raises
    ------
    NotKnown
        If a build has no rider.
    """
    masses = tuple(masses_kg)
    columns, done = [], 0
    for build in builds:
        rider = build.rider
        if rider is None:
            raise NotKnown(f"build '{build.name}' waits for a rider: its posture is kept while the mass changes")
        tunes = []
        for mass in masses:
            tunes.append(_tune(build.changed(rider=remade(rider, {"mass_kg": mass})), stock, base, mass))
            done += 1
            told(done, len(builds) * len(masses))
        columns.append(TuneColumn(build=build, tunes=tuple(tunes)))
    return TuneTable(masses_kg=masses, columns=tuple(columns), base="" if base is None else base.name)


def _tune(build: Build, stock: Stock, base: BaseTune | None, mass: float) -> Tune:
    try:
        return Tune(mass_kg=mass, setup=setup_for(build, stock, base, bands=False))
    except BikewrightError as error:
        return Tune(mass_kg=mass, setup=None, refusal=str(error))
