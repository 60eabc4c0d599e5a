"""Springs for a wanted sag at both ends at once, for one rider on one build.

Question answered   Which pressures and volume spacers, which coil and how much preload, put the standing rider at the
                    wanted sag in front and behind, and what is left before the ends bottom?
Method              The bike is held at both wanted sags and its balance asked once (group carried): so both ends are
                    right together, and each spring is turned round for the force that it has to hold. The bike is then
                    put to rest on what was found, which tells the sag reached and its friction band.
Left out            Friction in the choice: the sag is the one after a bounce. Temperature and altitude: as at the pump.
Theory              docs/theory/springs.md, docs/theory/rest.md
"""

from dataclasses import dataclass, replace
from typing import Literal

from bikewright.errors import LimitExceeded, NotKnown, OutsideValidity
from bikewright.model.build import Build, remade
from bikewright.model.limits import refusals
from bikewright.model.parts import AirChamber, Coil, Fork, Shock
from bikewright.model.stock import Stock
from bikewright.studies.end_springs import (
    AirChoice,
    CoilChoice,
    air_choices,
    best_coil,
    coil_choices,
    coils_like,
    nearest_two,
)
from bikewright.studies.evaluate import Answer, evaluate
from bikewright.studies.reserve import End, Over, Reserve, fast_pair, over, ratio, reserve, reserve_of
from bikewright.studies.resting import Bands, Carried, Settled
from bikewright.units import MM, PCT

ENOUGH = 0.99
"""Share of the reference's drop height that counts as reaching it: no more than a pump's gauge can tell [-]."""

ChosenBy = Literal["reserve", "short", "as set", "nearest", "only one"]


@dataclass(frozen=True, slots=True, kw_only=True)
class EndSetup:
    """One end as it is to be set up; what does not belong to its kind of spring is None."""

    end: End
    part: str
    """Name of fork or shock."""
    kind: Literal["air", "coil"]
    wanted_sag_pct: float
    sag_pct: float
    """Reached, after a bounce [%]."""
    sag_mm: float
    """At the ring: of stanchion or shaft [mm]."""
    least_sag_pct: float | None
    """Loaded down slowly; None where friction is not known [%]."""
    most_sag_pct: float | None
    """Let up slowly [%]."""
    force_n: float
    """That the spring holds there [N]."""
    pressure_bar: float | None = None
    limit_low_bar: float | None = None
    limit_high_bar: float | None = None
    spacers: int | None = None
    chosen_by: ChosenBy | None = None
    """Why this count of spacers: fewest that reach the reference's drop; nearest to it, still short of it; without a
    reference as the build has it, or the nearest to that which the limits allow; the only one known or allowed."""
    air: tuple[AirChoice, ...] = ()
    """Every count of volume spacers."""
    coil: Coil | None = None
    turns: float | None = None
    """Preload from where the collar touches the coil [turns]."""
    coils: tuple[CoilChoice, ...] = ()
    """The nearest two rates."""
    unknown: tuple[str, ...] = ()
    """Limits that could not be checked, by the key that they wait for."""
    drop_ratio: float | None = None
    """Drop that uses all travel, over that of the reference build [-]."""
    step_ratio: float | None = None
    """Speed over a square step that uses all travel, over that of the reference build [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringSetup:
    """Both ends."""

    build: Build
    """With everything set."""
    front: EndSetup | None
    """None for a rigid fork."""
    rear: EndSetup | None
    """None for a hardtail."""
    reference: str
    """Name of the build that reserves are told against; empty without one."""

    @property
    def ends(self) -> tuple[EndSetup, ...]:
        """Front and rear, those that there are."""
        return tuple(end for end in (self.front, self.rear) if end is not None)


@dataclass(frozen=True, slots=True)
class _Task:
    """What one end has to do, in SI."""

    end: End
    part: Fork | Shock
    stroke: float
    wanted_pct: float
    force: float
    above: Over
    reference: Reserve | None

    @property
    def at(self) -> float:
        return self.wanted_pct * PCT * self.stroke


def springs_for(build: Build, stock: Stock, reference: Build | None = None, *, bands: bool = True) -> SpringSetup:
    """Springs for the wanted sags of a build's settings.

    Parameters
    ----------
    build : Build
        With a rider; its settings ``sag_front_pct`` and ``sag_rear_pct`` are what is wanted.
    stock : Stock
        Its coils are chosen from.
    reference : Build, optional
        Ridden or tested, with its own rider: drops and steps are told against it.
    bands : bool
        Whether the friction bands are asked for, which costs as much as all else.

    Returns
    -------
    SpringSetup

    Raises
    ------
    NotKnown
        If there is no rider, or a part's dimensions are not known.
    LimitExceeded
        If no pressure, spacer or coil inside the limits of the part gives the wanted sag: says by how much.
    OutsideValidity
        If no sag is wanted where there is a spring.
    """
    ready, chosen = _fit(build, stock, reference, bands)
    told = _told(ready, chosen, bands)
    name = "" if reference is None else reference.name
    return SpringSetup(build=ready, front=told.get("front"), rear=told.get("rear"), reference=name)


def fitted(build: Build, stock: Stock) -> Build:
    """The build with springs for its wanted sags, for a study that needs no more than its loads.

    Raises
    ------
    BikewrightError
        As `springs_for`.
    """
    return _fit(build, stock, None, whole=False)[0]


def _fit(
    build: Build, stock: Stock, reference: Build | None, whole: bool
) -> tuple[Build, dict[str, tuple[_Task, EndSetup]]]:
    """The build with both springs set, and for each end what it had to do and what was found.

    The whole answer tells the sags of neighbouring coils as well, which takes two rests more.
    """
    if build.rider is None:
        raise NotKnown("waits for a rider: choose one, or give the build one")
    answer = evaluate(build)
    held: Carried = answer.group("carried")
    ready, chosen = build, {}
    for end in ("front", "rear"):
        task = _task(answer, held, end, reference)
        if task is not None:
            made = _set(ready, stock, task, whole)
            ready, chosen[end] = made[0], (task, made[1])
    return ready, chosen


def _task(answer: Answer, held: Carried, end: End, reference: Build | None) -> _Task | None:
    build = answer.build
    part = build.parts.fork if end == "front" else build.parts.shock
    if part is None and (end == "front" or build.frame.linkage is not None):
        raise NotKnown(f"waits for a {'fork' if end == 'front' else 'shock'}")
    if part is None or (part.spring is None and isinstance(part, Fork)):
        return None
    if part.spring is None:
        raise NotKnown(f"waits for the spring of '{part.name}'")
    stroke = (part.travel_mm if isinstance(part, Fork) else part.stroke_mm) * MM
    wanted = build.settings.sag_front_pct if end == "front" else build.settings.sag_rear_pct
    if not wanted > 0.0:
        raise OutsideValidity(f"a {end} sag of {wanted:g} % is none to set a spring by; ask for more than 0 %")
    force = held.rest.fork_force if end == "front" else held.rest.shock_force
    base = None if reference is None else reserve(reference, end)
    return _Task(end, part, stroke, wanted, force, over(answer, held.rest, end), base)


def _set(build: Build, stock: Stock, task: _Task, whole: bool) -> tuple[Build, EndSetup]:
    spring = task.part.spring
    if isinstance(spring, AirChamber):
        return _set_air(build, task, spring)
    if isinstance(spring, Coil):
        return _set_coil(build, stock, task, spring, whole)
    raise NotKnown(f"waits for the spring of '{task.part.name}'")


def _key(end: End) -> str:
    return "fork" if end == "front" else "shock"


def _start(task: _Task, kind: Literal["air", "coil"]) -> EndSetup:
    """What is known before the bike was put to rest; the rest is filled in then."""
    return EndSetup(
        end=task.end,
        part=task.part.name,
        kind=kind,
        wanted_sag_pct=task.wanted_pct,
        sag_pct=task.wanted_pct,
        sag_mm=task.at / MM,
        least_sag_pct=None,
        most_sag_pct=None,
        force_n=task.force,
    )


def _set_air(build: Build, task: _Task, spring: AirChamber) -> tuple[Build, EndSetup]:
    key = _key(task.end)
    now: int = getattr(build.settings, f"{key}_spacers")
    choices = [_with_reserve(build, task, one) for one in air_choices(task.part, spring, now, task.force, task.at)]
    allowed = [one for one in choices if not one.refusal and one.pressure_bar is not None]
    if not allowed:
        nearest = next((one for one in choices if one.spacers == now), choices[0])
        spacers = f"{nearest.spacers} volume spacer{'' if nearest.spacers == 1 else 's'}"
        raise LimitExceeded(
            f"{_who(build)} cannot be held at {task.wanted_pct:g} % sag by the {key}. With {spacers} "
            f"{nearest.refusal}. Ask for another sag, or fit another {key}"
        )
    best, why = _best_air(allowed, now, task.reference)
    settings = remade(build.settings, {f"{key}_pressure_bar": best.pressure_bar, f"{key}_spacers": best.spacers})
    found = replace(
        _start(task, "air"),
        pressure_bar=best.pressure_bar,
        limit_low_bar=spring.pressure_min_bar,
        limit_high_bar=spring.pressure_max_bar,
        spacers=best.spacers,
        chosen_by=why,
        air=tuple(choices),
        unknown=tuple(
            f"{key}.spring.{name}"
            for name in ("pressure_min_bar", "pressure_max_bar", "spacers_max", "spacer_volume_cm3")
            if getattr(spring, name) is None
        ),
    )
    return build.changed(settings=settings), found


def _who(build: Build) -> str:
    rider = build.rider
    return "nobody" if rider is None else f"{rider.name}, {rider.mass_kg:g} kg,"


def _with_reserve(build: Build, task: _Task, choice: AirChoice) -> AirChoice:
    if task.reference is None or choice.pressure_bar is None:
        return choice
    pair = fast_pair(build, task.end, choice.pressure_bar, choice.spacers, 0.0, task.at)
    left = reserve_of(*pair, task.above)
    return replace(
        choice,
        drop_ratio=ratio(left.drop_mm, task.reference.drop_mm),
        step_ratio=ratio(left.step_kmh, task.reference.step_kmh),
    )


def _best_air(allowed: list[AirChoice], now: int, reference: Reserve | None) -> tuple[AirChoice, ChosenBy]:
    """Fewest spacers that reach the reference's drop; without a reference, as many as are in."""
    if len(allowed) == 1:
        return allowed[0], "only one"
    rated = [(one, one.drop_ratio) for one in allowed if one.drop_ratio is not None]
    if reference is None or not rated:
        nearest = min(allowed, key=lambda one: abs(one.spacers - now))
        return nearest, "as set" if nearest.spacers == now else "nearest"
    enough = [one for one, drop in rated if drop >= ENOUGH]
    if enough:
        return min(enough, key=lambda one: one.spacers), "reserve"
    return max(rated, key=lambda pair: pair[1])[0], "short"


def _set_coil(build: Build, stock: Stock, task: _Task, spring: Coil, whole: bool) -> tuple[Build, EndSetup]:
    choices = coil_choices(coils_like(spring, stock), task.part, task.stroke, task.force, task.at)
    try:
        best = best_coil(choices)
    except LimitExceeded as error:
        told = f"{_who(build)} cannot be held at {task.wanted_pct:g} % sag by the {_key(task.end)}: {error}"
        raise LimitExceeded(told) from None
    near = tuple(_with_sag(build, task, one) if whole else one for one in nearest_two(choices))
    found = replace(
        _start(task, "coil"),
        coil=best.coil,
        turns=best.turns,
        coils=near,
        unknown=tuple(
            f"{_key(task.end)}.spring.{name}"
            for name in ("stroke_to_bind_mm", "preload_max_turns")
            if getattr(best.coil, name) is None
        ),
    )
    return _with_coil(build, task, best.coil, best.turns or 0.0), found


def _with_coil(build: Build, task: _Task, coil: Coil, turns: float) -> Build:
    key = _key(task.end)
    parts = remade(build.parts, {key: remade(task.part, {"spring": coil})})
    return build.changed(parts=parts, settings=remade(build.settings, {f"{key}_preload_turns": turns}))


def _with_sag(build: Build, task: _Task, choice: CoilChoice) -> CoilChoice:
    """The sag that a coil gives at the base preload; none where it would bind there or the other end is not set."""
    trial = _with_coil(build, task, choice.coil, choice.base_turns)
    if any(refusal.address.startswith(f"{_key(task.end)}.spring") for refusal in refusals(trial)):
        return choice
    try:
        settled: Settled = evaluate(trial).group("rest", "standing")
    except NotKnown:
        return choice
    sag = settled.sag_front if task.end == "front" else settled.sag_rear
    return replace(choice, base_sag_pct=None if sag is None else sag / PCT)


def _told(ready: Build, chosen: dict[str, tuple[_Task, EndSetup]], banded: bool) -> dict[str, EndSetup]:
    """Each end with the sag that the finished build reaches, its friction band and its reserve."""
    answer = evaluate(ready)
    settled: Settled = answer.group("rest", "standing")
    bands: Bands | None = answer.group("band") if banded else None
    told = {}
    for end, (task, found) in chosen.items():
        front = end == "front"
        sag = settled.sag_front if front else settled.sag_rear
        least, most = _band(bands, front)
        left = None if task.reference is None else reserve(ready, task.end)
        told[end] = replace(
            found,
            sag_pct=(sag or 0.0) / PCT,
            sag_mm=(sag or 0.0) * task.stroke / MM,
            least_sag_pct=None if least is None else least / PCT,
            most_sag_pct=None if most is None else most / PCT,
            drop_ratio=None if left is None or task.reference is None else ratio(left.drop_mm, task.reference.drop_mm),
            step_ratio=None
            if left is None or task.reference is None
            else ratio(left.step_kmh, task.reference.step_kmh),
        )
    return told


def _band(bands: Bands | None, front: bool) -> tuple[float | None, float | None]:
    if bands is None:
        return None, None
    return (bands.sag_front_least, bands.sag_front_most) if front else (bands.sag_rear_least, bands.sag_rear_most)
