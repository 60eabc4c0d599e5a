"""The spring of one end turned round: what holds a force at a stroke, inside the limits of the part.

Question answered   Which pressure, with how many volume spacers, or which stock coil with how much preload, holds this
                    force at this stroke?
Method              Air at rest is linear in the pressure, so the pressure follows at once; a coil's preload follows
                    from its rate. Nothing is clipped: what lies outside a limit is refused by how much.
Left out            Friction: the sag is the one after a bounce.
Theory              docs/theory/springs.md
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt

from bikewright.errors import BikewrightError, LimitExceeded, NotKnown
from bikewright.model.parts import AirChamber, Coil, Fork, Shock
from bikewright.model.stock import Stock
from bikewright.physics.springs.air import gauge_for_force
from bikewright.physics.springs.coil import coil_spring
from bikewright.physics.springs.gas import ISOTHERMAL
from bikewright.studies.springing import air_spring, fork_spring, lower_legs, shock_spring
from bikewright.units import BAR, LBF_PER_IN, MM, N_PER_MM, PSI

BASE_TURNS = 1.0
"""Preload that two coils are compared at: common practice, no source [turns]."""
LEAST_TURNS = 0.5
"""Just enough preload to stop the rattle: common practice, no source [turns]."""
TURN_STEP = 0.25
"""Preload is told in quarters of a turn [turns]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AirChoice:
    """One count of volume spacers."""

    spacers: int
    pressure_bar: float | None
    """For the wanted sag; None where no pressure gives it [bar]."""
    refusal: str = ""
    """By how much it is outside a limit; empty where it is inside."""
    drop_ratio: float | None = None
    """Drop that uses all travel, over that of the reference build [-]."""
    step_ratio: float | None = None
    """Speed over a square step that uses all travel, over that of the reference build [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilChoice:
    """One coil of the shelf."""

    coil: Coil
    exact_turns: float
    """Preload that gives the wanted sag, whatever the limits [turns]."""
    turns: float | None
    """Preload to set, in quarters of a turn; None where the limits do not hold it [turns]."""
    refusal: str = ""
    """Why it cannot give the wanted sag; empty where it can."""
    base_turns: float = 0.0
    """Preload at which `base_sag_pct` is told [turns]."""
    base_sag_pct: float | None = None
    """Sag with that preload, where it was asked for [%]."""


def air_choices(part: Fork | Shock, spring: AirChamber, spacers_now: int, force: float, at: float) -> list[AirChoice]:
    """The pressure that holds a force at a stroke, for every count of volume spacers that the part takes.

    Parameters
    ----------
    part : Fork or Shock
        Whose spring it is.
    spring : AirChamber
        The same part's spring.
    spacers_now : int
        As it is set up; the only count where the part does not say how many it takes, or how large one is.
    force, at : float
        To hold, and the stroke at which [N, m].

    Raises
    ------
    NotKnown
        If the spring's dimensions are not known.
    """
    chambers, waits = air_spring(spring, 0, None)
    if chambers is None:
        raise NotKnown(f"waits for {waits} of '{part.name}'")
    many = spring.spacers_max is not None and spring.spacer_volume_cm3 is not None
    counts = range((spring.spacers_max or 0) + 1) if many else (spacers_now,)
    return [_air_choice(part, spring, count, force, at) for count in counts]


def _air_choice(part: Fork | Shock, spring: AirChamber, spacers: int, force: float, at: float) -> AirChoice:
    legs = lower_legs(part) if isinstance(part, Fork) else None
    try:
        chambers, waits = air_spring(spring, spacers, legs)
        if chambers is None:
            raise NotKnown(f"waits for {waits} of '{part.name}'")
        rest = others(part, spacers, at)
        bar = gauge_for_force(chambers, force - rest, at) / BAR
    except BikewrightError as error:
        return AirChoice(spacers=spacers, pressure_bar=None, refusal=str(error))
    return AirChoice(spacers=spacers, pressure_bar=bar, refusal=_outside(part.name, spring, bar))


def others(part: Fork | Shock, spacers: int, at: float) -> float:
    """Force of bumper and top-out spring at a stroke [N]; the chambers are checked over the whole stroke on the way."""
    trial = fork_spring if isinstance(part, Fork) else shock_spring
    made, waits = trial(part, 1.0, spacers, 0.0, ISOTHERMAL)  # type: ignore[arg-type]
    if made is None:
        raise NotKnown(f"waits for {waits}")
    return float(sum(one.force(at) for one in made.parts[1:]))


def _outside(name: str, spring: AirChamber, bar: float) -> str:
    low, high = spring.pressure_min_bar, spring.pressure_max_bar
    for limit, over, word in ((high, bar - (high or 0.0), "above"), (low, (low or 0.0) - bar, "below")):
        if limit is not None and over > 1e-9:
            return (
                f"{_pressure(bar)} would be needed, {_pressure(over)} {word} the {_pressure(limit)} that '{name}' "
                f"{'allows' if word == 'above' else 'needs'}"
            )
    return ""


def _pressure(bar: float) -> str:
    return f"{bar:.2f} bar ({bar * BAR / PSI:.0f} psi)"


def coils_like(spring: Coil, stock: Stock) -> list[Coil]:
    """Coils of the shelf as long in the stroke as one; that one alone where there are none."""
    shelf = [one for one in stock.shelf("coil") if isinstance(one, Coil) and one.travel_mm == spring.travel_mm]
    return shelf or [spring]


def coil_choices(coils: Iterable[Coil], part: Fork | Shock, stroke: float, force: float, at: float) -> list[CoilChoice]:
    """What every coil would need to hold a force at a stroke, softest first.

    Parameters
    ----------
    coils : iterable of Coil
        Of the shelf.
    part : Fork or Shock
        That they go into.
    stroke, force, at : float
        Full stroke; force to hold and the stroke at which [m, N, m].
    """
    rest = others(part, 0, at)
    ordered = sorted(coils, key=lambda coil: (coil.rate_used_n_per_mm, coil.name))
    return [_coil_choice(coil, stroke, force - rest, at) for coil in ordered]


def _coil_choice(coil: Coil, stroke: float, force: float, at: float) -> CoilChoice:
    per_turn = coil.preload_mm_per_turn
    if per_turn is None:
        return CoilChoice(
            coil=coil, exact_turns=0.0, turns=None, refusal="waits for the preload for each turn (preload_mm_per_turn)"
        )
    exact = (_pressed(coil, force, stroke) - at) / (per_turn * MM)
    most = coil.preload_max_turns
    base = BASE_TURNS if most is None else min(BASE_TURNS, most)
    refusal = ""
    turns = round(exact / TURN_STEP) * TURN_STEP
    if turns < LEAST_TURNS:
        refusal = f"too stiff: its preload would be {LEAST_TURNS - exact:.2f} turns below the least of {LEAST_TURNS:g}"
    elif most is not None and turns > most + 1e-9:
        refusal = f"too soft: its preload would be {exact - most:.2f} turns above the {most:g} allowed"
    else:
        refusal = _binds(coil, stroke, turns)
    return CoilChoice(coil=coil, exact_turns=exact, turns=None if refusal else turns, refusal=refusal, base_turns=base)


def _pressed(coil: Coil, force: float, stroke: float) -> float:
    """Compression of a coil from its free length under a force [m]; its rate may rise evenly with the compression."""
    rate = coil.rate_used_n_per_mm * N_PER_MM
    if coil.end_rate_n_per_mm is None or coil.end_rate_n_per_mm == coil.rate_used_n_per_mm:
        return force / rate
    growth = (coil.end_rate_n_per_mm * N_PER_MM - rate) / stroke
    return (sqrt(rate * rate + 2.0 * growth * force) - rate) / growth


def _binds(coil: Coil, stroke: float, turns: float) -> str:
    """By how much a coil binds; empty where it does not, or where its stroke to bind is not known."""
    try:
        coil_spring(
            coil.rate_used_n_per_mm * N_PER_MM,
            stroke,
            preload=turns * (coil.preload_mm_per_turn or 0.0) * MM,
            stroke_to_bind=None if coil.stroke_to_bind_mm is None else coil.stroke_to_bind_mm * MM,
        )
    except LimitExceeded as error:
        return str(error)
    return ""


def nearest_two(choices: list[CoilChoice]) -> list[CoilChoice]:
    """The coil just too soft and the one just too stiff at the base preload, or the two at the end of the shelf."""
    measurable = [choice for choice in choices if choice.coil.preload_mm_per_turn is not None]
    softer = [choice for choice in measurable if choice.exact_turns > choice.base_turns]
    stiffer = [choice for choice in measurable if choice.exact_turns <= choice.base_turns]
    return (softer[-1:] + stiffer[:1]) if softer and stiffer else (softer[-2:] or stiffer[:2])


def best_coil(choices: list[CoilChoice]) -> CoilChoice:
    """The coil that gives the wanted sag with the preload nearest to the base.

    Raises
    ------
    LimitExceeded
        If no coil does: says by how much.
    NotKnown
        If no coil of the shelf says what a turn of preload is.
    """
    if choices and all(choice.coil.preload_mm_per_turn is None for choice in choices):
        named = ", ".join(f"'{choice.coil.name}'" for choice in choices)
        raise NotKnown(f"waits for preload_mm_per_turn of a coil: {named}")
    able = [choice for choice in choices if choice.turns is not None]
    if able:
        return min(able, key=lambda choice: abs(choice.exact_turns - choice.base_turns))
    near = nearest_two(choices) or choices
    told = "; ".join(
        f"{choice.coil.rate_used_n_per_mm * N_PER_MM / LBF_PER_IN:.0f} lbf/in ('{choice.coil.name}'): {choice.refusal}"
        for choice in near
    )
    raise LimitExceeded(f"no coil of the shelf gives it. {told or 'The shelf is empty'}")
