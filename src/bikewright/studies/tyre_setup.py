"""Tyre pressures for a rider on a build, and what they give.

Question answered   Which pressure in front and rear, how far may it be off, and what stands between rim and edge?
Method              The higher of two needs: a wanted drop under the standing load, and an edge of the chosen ground at
                    its speed that must not reach the rim.
Left out            Grip, rolling resistance, temperature, burping of tubeless tyres.
Theory              docs/theory/tyre.md
"""

import math
from dataclasses import dataclass
from typing import Literal

from bikewright.errors import LimitExceeded, NotKnown
from bikewright.model.build import Build
from bikewright.model.limits import tyre_limit
from bikewright.model.parts import Tyre, Wheel
from bikewright.model.tune import BaseTune
from bikewright.physics import tyre as physics
from bikewright.physics.tyre import Edge, Meeting, Rim
from bikewright.studies import crossing
from bikewright.studies.evaluate import Answer, evaluate
from bikewright.studies.resting import Settled
from bikewright.studies.springing import Masses
from bikewright.units import BAR, KMH, MM, N_PER_MM, PCT

End = Literal["front", "rear"]


@dataclass(frozen=True, slots=True)
class Ground:
    """What a kind of ground asks of a tyre."""

    drop_pct: float
    """Most drop, of the section height, under the larger of the loads on the level and on the descent [%]."""
    grade_pct: float
    """Of the descents on it: where edges are met, the speed held with the brakes, the rider not moved back [%]."""
    edge_mm: float
    """Square edge that the rim must just not feel [mm]."""
    speed_kmh: float
    """At which it is met [km/h]."""


GROUNDS = {
    "smooth": Ground(drop_pct=8.5, grade_pct=10.0, edge_mm=50.0, speed_kmh=22.0),
    "mixed": Ground(drop_pct=10.0, grade_pct=15.0, edge_mm=55.0, speed_kmh=25.0),
    "rough": Ground(drop_pct=12.0, grade_pct=20.0, edge_mm=60.0, speed_kmh=27.0),
}
"""Choices of ours, no source. Grade and speed of rough ground are set so that a rider of 90 kg in kit comes to what is
common practice there, front and rear; how other riders, tyres and rims differ from that follows from the model."""

LEAST_BAR = 0.5
"""Below it no pressure is told, where the tyre itself prints no minimum [bar]."""

SPEED_BAND = 0.1
"""How much slower and faster the edge may be met within the range of a pressure [-]."""
DROP_BAND_PCT = 1.0
"""How much more and less drop the range allows [points]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreEnd:
    """One tyre at its recommended pressure, loaded by the standing rider; workshop units."""

    end: End
    tyre: str
    """Name of the part."""
    recommended_bar: float
    """Pressure to begin with [bar]."""
    least_bar: float
    """Lower end of its range: the edge met 10 % slower, or a point more drop [bar]."""
    most_bar: float
    """Upper end: 10 % faster, or a point less drop [bar]."""
    set_by: Literal["drop", "edge"]
    """Which of the two needs decides."""
    drop_bar: float
    """What the wanted drop alone needs [bar]."""
    edge_bar: float
    """What the edge alone needs [bar]."""
    least_is_limit: bool
    """Whether the range ends there because the tyre allows no less."""
    most_is_limit: bool
    """Whether it ends there because tyre, rim or rule allow no more."""
    load_n: float
    """Of this wheel on the level, standing [N]."""
    descent_load_n: float
    """The same on the descent of this ground [N]."""
    width_mm: float
    """Section on this rim [mm]."""
    stiffness_n_per_mm: float
    """Vertical, on flat ground, casing included [N/mm]."""
    casing_n_per_mm: float | None
    """The casing's share of it; None where the casing is not named, counted as nought [N/mm]."""
    drop_mm: float
    """How much lower the axle stands [mm]."""
    drop_pct: float
    """Of the section height [%]."""
    contact_mm: float
    """Length of the contact on flat ground [mm]."""
    loaded_radius_mm: float
    """Axle to ground [mm]."""
    reserve: float
    """Energy that the tyre takes up before the edge reaches the rim, over the energy with which it meets it [-]."""
    limit_bar: float | None
    """Lowest limit of tyre, rim and straight-side rule; None where none is known [bar]."""
    limit_from: str
    """What sets that limit; empty where none is known."""
    set_bar: float | None
    """What the build is pumped to now; None where that is not known [bar]."""
    set_reserve: float | None
    """Reserve at that pressure [-]."""
    base_bar: float | None
    """What the base tune was ridden at; None without one [bar]."""
    base_reserve: float | None
    """Reserve of the base tune, its rider on its tyre, at the same edge and speed [-]."""
    assumed: tuple[str, ...]
    """What was taken for want of a value, each a sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreSetup:
    """Both tyres."""

    terrain: str
    """smooth, mixed or rough."""
    wanted_drop_pct: float
    """Of the section height [%]."""
    grade_pct: float
    """Of the descent [%]."""
    edge_mm: float
    """Height of the square edge [mm]."""
    speed_kmh: float
    """At which it is met [km/h]."""
    base: str
    """Name of the base tune; empty without one."""
    front: TyreEnd
    rear: TyreEnd


def pressures_for(build: Build, base: BaseTune | None = None) -> TyreSetup:
    """Tyre pressures for the build's rider, at rest standing.

    Parameters
    ----------
    build : Build
        With a rider, tyres and wheels; the ground is its setting ``terrain``.
    base : BaseTune, optional
        A ridden set-up to lay the reserve beside.

    Returns
    -------
    TyreSetup
        Front and rear, in workshop units.

    Raises
    ------
    NotKnown
        If a tyre or what the standing rest needs is not known.
    LimitExceeded
        If the pressure needed is above the limit of tyre, rim or straight-side rule, or below the least that the
        tyre allows: says by how much.

    Notes
    -----
    The wheel loads are those of the build as it is pumped now; they hardly move with tyre pressure.
    """
    terrain = build.settings.terrain
    ground = GROUNDS[terrain]
    answer = evaluate(build)
    before = None if base is None else evaluate(base.build)
    return TyreSetup(
        terrain=terrain,
        wanted_drop_pct=ground.drop_pct,
        grade_pct=ground.grade_pct,
        edge_mm=ground.edge_mm,
        speed_kmh=ground.speed_kmh,
        base="" if base is None else base.name,
        front=_end(answer, "front", ground, before),
        rear=_end(answer, "rear", ground, before),
    )


@dataclass(frozen=True, slots=True)
class _Wheel:
    """One wheel in SI."""

    load: float
    descent: float
    unsprung: float
    whole: float
    radius: float
    half_width: float
    casing: float
    height: float
    """Of the section, from the bead seat."""
    rim: Rim

    def pressure(self, rate: float) -> float:
        """Pressure that gives a vertical rate; nought where the casing alone does."""
        if rate <= self.casing:
            return 0.0
        return physics.pressure_for_rate(rate, self.radius, self.half_width, self.casing)

    def rate(self, pressure: float) -> float:
        return physics.vertical_rate(pressure, self.radius, self.half_width, self.casing)

    def meets(self, ground: Ground, faster: float = 1.0) -> Meeting:
        edge = Edge(height=ground.edge_mm * MM, speed=ground.speed_kmh * KMH * faster)
        return physics.meeting(edge, self.rim, self.descent, self.unsprung, self.whole)

    def for_edge(self, ground: Ground, faster: float = 1.0) -> float:
        return self.pressure(physics.rate_for_edge(self.meets(ground, faster).energy, self.rim))

    def for_drop(self, drop_pct: float) -> float:
        return self.pressure(max(self.load, self.descent) / (drop_pct * PCT * self.height))

    def reserve(self, ground: Ground, pressure: float) -> float:
        return physics.energy_to_rim(self.rate(pressure), self.rim) / self.meets(ground).energy


def _wheel(answer: Answer, end: End, ground: Ground) -> _Wheel:
    """One wheel of a build whose rider stands on it."""
    build = answer.build
    tyre: Tyre | None = getattr(build.parts, f"{end}_tyre")
    wheel: Wheel | None = getattr(build.parts, f"{end}_wheel")
    section = crossing.tyre_section(build, end)
    if tyre is None or section is None or wheel is None:
        raise NotKnown(f"the {end} tyre pressure waits for {'a tyre' if tyre is None else 'a wheel'} at the {end}")
    try:
        settled: Settled = answer.group("rest", "standing")
    except NotKnown as error:
        lacking = str(error).removeprefix("waits for ")
        raise NotKnown(
            f"the loads on the tyres wait for {lacking}. `bikewright setup` finds springs and tyres together."
        ) from None
    weights: Masses = answer.group("masses")
    radius, half_width, casing = section
    height, room = radius - 0.5 * tyre.bead_seat_mm * MM, crossing.rim_room(build, end)
    insert = tyre.insert
    level, descent = _loads(settled, ground.grade_pct * PCT)
    at = 0 if end == "front" else 1
    return _Wheel(
        load=level[at],
        descent=descent[at],
        unsprung={"front": weights.front, "rear": weights.rear}[end],
        whole=weights.bike + crossing.carried_kg(build) + (0.0 if build.rider is None else build.rider.mass_kg),
        radius=radius,
        half_width=half_width,
        casing=casing,
        height=height,
        rim=Rim(
            radius=radius,
            room=room,
            insert_height=0.0 if insert is None else min(insert.height_mm * MM, room),
            insert_rate=0.0 if insert is None else (insert.rate_n_per_mm or 0.0) * N_PER_MM,
        ),
    )


def _loads(settled: Settled, grade: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Front and rear wheel load on the level, and down a grade at a held speed, the rider as on the level [N].

    Moments about the rear contact: with t the slope, h the height of the centre of mass and x its place from there, the
    front wheel carries W (x cos t + h sin t)/L.
    """
    rest = settled.rest
    weight, slope = rest.front_load + rest.rear_load, math.atan(grade)
    front = weight * (rest.com_ahead * math.cos(slope) + rest.com_height * math.sin(slope)) / rest.wheelbase
    return (rest.front_load, rest.rear_load), (front, weight * math.cos(slope) - front)


def _end(answer: Answer, end: End, ground: Ground, before: Answer | None) -> TyreEnd:
    build, wheel = answer.build, _wheel(answer, end, ground)
    tyre: Tyre = getattr(build.parts, f"{end}_tyre")
    needs = wheel.for_drop(ground.drop_pct), wheel.for_edge(ground)
    pressure = max(needs)
    least = max(wheel.for_drop(ground.drop_pct + DROP_BAND_PCT), wheel.for_edge(ground, 1.0 - SPEED_BAND))
    most = max(wheel.for_drop(ground.drop_pct - DROP_BAND_PCT), wheel.for_edge(ground, 1.0 + SPEED_BAND))
    limit, limit_from = tyre_limit(build, end)
    lowest = LEAST_BAR if tyre.pressure_min_bar is None else tyre.pressure_min_bar
    _refuse(build, end, tyre, pressure / BAR, lowest)
    rate = wheel.rate(pressure)
    drop = wheel.load / rate
    pumped: float | None = getattr(build.settings, f"{end}_tyre_bar")
    base_bar = None if before is None else getattr(before.build.settings, f"{end}_tyre_bar")
    return TyreEnd(
        end=end,
        tyre=tyre.name,
        recommended_bar=pressure / BAR,
        least_bar=max(least / BAR, lowest),
        most_bar=most / BAR if limit is None else min(most / BAR, limit),
        least_is_limit=least / BAR < lowest,
        most_is_limit=limit is not None and most / BAR > limit,
        set_by="drop" if needs[0] >= needs[1] else "edge",
        drop_bar=needs[0] / BAR,
        edge_bar=needs[1] / BAR,
        load_n=wheel.load,
        descent_load_n=wheel.descent,
        width_mm=2.0 * wheel.half_width / MM,
        stiffness_n_per_mm=rate / N_PER_MM,
        casing_n_per_mm=None if tyre.casing is None else wheel.casing / N_PER_MM,
        drop_mm=drop / MM,
        drop_pct=drop / wheel.height / PCT,
        contact_mm=physics.contact_length(drop, wheel.radius) / MM,
        loaded_radius_mm=(wheel.radius - drop) / MM,
        reserve=wheel.reserve(ground, pressure),
        limit_bar=limit,
        limit_from=limit_from,
        set_bar=pumped,
        set_reserve=None if pumped is None else wheel.reserve(ground, pumped * BAR),
        base_bar=base_bar,
        base_reserve=None
        if before is None or base_bar is None
        else _wheel(before, end, ground).reserve(ground, base_bar * BAR),
        assumed=_assumed(build, end, tyre),
    )


def _assumed(build: Build, end: End, tyre: Tyre) -> tuple[str, ...]:
    """What nobody has given and the answer rests on."""
    wheel: Wheel | None = getattr(build.parts, f"{end}_wheel")
    told = []
    if wheel is not None and wheel.rim_height_mm is None:
        told.append(f"the {end} rim's edge is taken {physics.RIM_HEIGHT / MM:g} mm above its bead seat (rim_height_mm)")
    if wheel is not None and (wheel.rim_inner_mm is None or tyre.measured_on_mm is None):
        told.append(f"the {end} tyre is taken as wide on this rim as it was measured (rim_inner_mm, measured_on_mm)")
    if tyre.casing is None:
        told.append(f"the {end} casing is counted as nought (casing)")
    if tyre.insert is not None and tyre.insert.rate_n_per_mm is None:
        told.append(f"the {end} insert takes up no energy (insert.rate_n_per_mm)")
    return tuple(told)


def _refuse(build: Build, end: End, tyre: Tyre, needed_bar: float, lowest_bar: float) -> None:
    """A pressure that no part allows is no answer, and neither is the limit that stands in its way."""
    limit, limit_from = tyre_limit(build, end)
    rider = "" if build.rider is None else f" under {build.rider.name} ({build.rider.mass_kg:g} kg)"
    needs = f"the {end} tyre '{tyre.name}' needs {needed_bar:.2f} bar{rider} on {build.settings.terrain} ground"
    if limit is not None and needed_bar > limit:
        raise LimitExceeded(
            f"{needs}; {limit_from} allows {limit:.2f} bar, {needed_bar - limit:.2f} bar less. Take a wider tyre, a "
            "stiffer casing or an insert"
        )
    if needed_bar < lowest_bar:
        raise LimitExceeded(
            f"{needs}; it may not be ridden below {lowest_bar:.2f} bar, {lowest_bar - needed_bar:.2f} bar more. Take a "
            "lighter casing or a narrower tyre"
        )


@dataclass(frozen=True, slots=True)
class Sweep:
    """One tyre over pressure, under the standing rider."""

    end: End
    pressure_bar: tuple[float, ...]
    """[bar]"""
    stiffness_n_per_mm: tuple[float, ...]
    """[N/mm]"""
    drop_mm: tuple[float, ...]
    """On the level [mm]."""
    reserve: tuple[float, ...]
    """At the edge of the ground, at its speed [-]."""


SWEEP_STEPS = 40


def over_pressure(build: Build) -> tuple[Sweep, Sweep]:
    """What front and rear tyre do from half of the lower to one and a half times the higher pressure,
    inside their limits.

    Parameters
    ----------
    build : Build
        As for `pressures_for`.

    Returns
    -------
    front, rear : Sweep

    Raises
    ------
    BikewrightError
        As `pressures_for`.
    """
    setup, ground, answer = pressures_for(build), GROUNDS[build.settings.terrain], evaluate(build)
    told = (setup.front.recommended_bar, setup.rear.recommended_bar)
    span = max(0.5 * min(told), LEAST_BAR), 1.5 * max(told)
    return _sweep(answer, setup.front, ground, span), _sweep(answer, setup.rear, ground, span)


def _sweep(answer: Answer, told: TyreEnd, ground: Ground, span: tuple[float, float]) -> Sweep:
    wheel = _wheel(answer, told.end, ground)
    low, high = span
    high = high if told.limit_bar is None else min(high, told.limit_bar)
    bars = tuple(low + (high - low) * step / SWEEP_STEPS for step in range(SWEEP_STEPS + 1))
    rates = [wheel.rate(bar * BAR) for bar in bars]
    return Sweep(
        end=told.end,
        pressure_bar=bars,
        stiffness_n_per_mm=tuple(rate / N_PER_MM for rate in rates),
        drop_mm=tuple(wheel.load / rate / MM for rate in rates),
        reserve=tuple(wheel.reserve(ground, bar * BAR) for bar in bars),
    )
