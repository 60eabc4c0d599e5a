"""What the frame and its parts refuse: a fork too long, a tyre too wide, a wheel that takes no such tyre.

Limits printed on a part, and those of its maker, come before anything here.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from bikewright.model.build import Build
from bikewright.model.parts import AirChamber, Coil, Damper

STRAIGHT_SIDE_BAR = 5.0
"""Most for a tubeless tyre on a rim with straight sides. ISO 5775-1 and ETRTO (from memory)."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a build may not be built."""

    address: str
    """Where the cause sits in the build."""
    text: str
    """What was found, what is allowed, what to do."""


def refusals(build: Build) -> tuple[Refusal, ...]:
    """Everything about a build that the frame or a part does not allow; empty for a sound build."""
    return (
        *_fork(build),
        *_shock(build),
        *_springs(build),
        *_dials(build),
        *_wheels(build),
        *_drive(build),
        *_seat(build),
    )


def _over(what: str, found: float | None, limit: float | None, address: str, remedy: str) -> Iterator[Refusal]:
    if found is not None and limit is not None and found > limit + 1e-9:
        over = found - limit
        text = f"{what} is {found:.4g} mm; the limit is {limit:.4g} mm ({over:.3g} mm over). {remedy}"
        yield Refusal(address, text)


def _fork(build: Build) -> Iterator[Refusal]:
    fork, limits, headset = build.parts.fork, build.frame.limits, build.parts.headset
    if fork is None:
        return
    longer = "Choose a shorter fork, or an air shaft with less travel."
    length = fork.axle_to_crown_mm
    yield from _over("the fork, axle to crown,", length, limits.fork_length_max_mm, "fork", longer)
    yield from _over("the fork's travel", fork.travel_mm, limits.fork_travel_max_mm, "fork", longer)
    yield from _over(
        "the fork's travel", fork.travel_mm, fork.chassis.travel_max_mm, "fork", "This chassis takes no such air shaft."
    )
    tyre = build.parts.front_tyre
    width = None if tyre is None else tyre.width_mm
    yield from _over(
        "the front tyre's width", width, fork.chassis.tyre_width_max_mm, "front_tyre", "Choose a narrower tyre."
    )
    if headset is not None and headset.printed_angle_deg is not None and headset.printed_at_head_tube_mm is None:
        yield Refusal(
            "headset",
            f"{headset.name} prints an angle of {headset.printed_angle_deg:g}° but not the head-tube length at which "
            f"it holds; give headset.printed_at_head_tube_mm.",
        )


def _shock(build: Build) -> Iterator[Refusal]:
    shock, linkage = build.parts.shock, build.frame.linkage
    if shock is None:
        return
    if linkage is None:
        yield Refusal("shock", f"{build.frame.name} has no linkage, so it takes no rear shock. Leave the shock out.")
        return
    yield from _over(
        "the shock's stroke",
        shock.stroke_mm,
        build.frame.limits.shock_stroke_max_mm,
        "shock",
        "Fit a stroke reducer or a shorter stroke.",
    )
    if shock.stroke_mm <= 0.0:
        yield Refusal("shock", "the stroke reducer leaves the shock no stroke at all. Fit a shorter one.")
    if shock.spring is not None and shock.spring.kind == "coil" and shock.chassis.coil_allowed is False:
        yield Refusal(
            "shock.spring", f"{shock.name} may not be ridden with a coil, its maker says. Keep the air spring."
        )


def _springs(build: Build) -> Iterator[Refusal]:
    settings, fork, shock = build.settings, build.parts.fork, build.parts.shock
    if fork is not None and fork.spring is not None:
        turns = settings.fork_preload_turns
        yield from _spring(
            "fork", fork.spring, fork.travel_mm, settings.fork_pressure_bar, settings.fork_spacers, turns
        )
    if shock is not None and shock.spring is not None:
        turns = settings.shock_preload_turns
        yield from _spring(
            "shock", shock.spring, shock.stroke_mm, settings.shock_pressure_bar, settings.shock_spacers, turns
        )


def _spring(
    end: str, spring: AirChamber | Coil, stroke_mm: float, pressure_bar: float | None, spacers: int, turns: float
) -> Iterator[Refusal]:
    """What an air chamber or a coil does not allow at one end of the bike."""
    if isinstance(spring, AirChamber):
        low, high, most = spring.pressure_min_bar, spring.pressure_max_bar, spring.spacers_max
        if pressure_bar is not None and high is not None and pressure_bar > high:
            text = f"{pressure_bar:.2f} bar is above the {high:.2f} bar that the {end} allows. Let air out."
            yield Refusal(f"{end}_pressure_bar", text)
        if pressure_bar is not None and low is not None and pressure_bar < low:
            text = f"{pressure_bar:.2f} bar is below the {low:.2f} bar that the {end} needs. Pump it up."
            yield Refusal(f"{end}_pressure_bar", text)
        if most is not None and spacers > most:
            text = f"{spacers} volume spacers are more than the {most} that the {end} takes. Take some out."
            yield Refusal(f"{end}_spacers", text)
        return
    if spring.preload_max_turns is not None and turns > spring.preload_max_turns:
        text = (
            f"{turns:g} turns of preload are more than the {spring.preload_max_turns:g} allowed. Take a stiffer coil."
        )
        yield Refusal(f"{end}_preload_turns", text)
    preload_mm = turns * (spring.preload_mm_per_turn or 0.0)
    yield from _over(
        f"the {end}'s stroke with its preload",
        stroke_mm + preload_mm,
        spring.stroke_to_bind_mm,
        f"{end}.spring",
        "The coil would bind: take preload off, or fit a coil with a longer stroke.",
    )


def _dials(build: Build) -> Iterator[Refusal]:
    """Dials that stand where they have no clicks."""
    for end in ("fork", "shock"):
        part = getattr(build.parts, end)
        damper: Damper | None = None if part is None else part.damper
        for circuit in ("rebound", "compression", "high_compression"):
            key = f"{end}_{circuit}_clicks"
            total = None if damper is None else getattr(damper, f"{circuit}_clicks")
            clicks = getattr(build.settings, key)
            if total is not None and clicks is not None and clicks > total:
                dial = circuit.replace("high_compression", "high-speed compression")
                text = f"{clicks} clicks of {dial} are {clicks - total} more than the {total} that the {end} has."
                yield Refusal(key, f"{text} Count them again.")


def tyre_limit(build: Build, end: str) -> tuple[float | None, str]:
    """The lowest pressure limit of a tyre, its rim and the straight-side rule.

    Parameters
    ----------
    build : Build
        The build.
    end : str
        ``front`` or ``rear``.

    Returns
    -------
    limit, name : float or None, str
        None and an empty text where nothing is known. [bar]
    """
    wheel, tyre = getattr(build.parts, f"{end}_wheel"), getattr(build.parts, f"{end}_tyre")
    found: list[tuple[float, str]] = [
        (part.pressure_max_bar, f"'{part.name}'")
        for part in (wheel, tyre)
        if part is not None and part.pressure_max_bar is not None
    ]
    if wheel is not None and tyre is not None and wheel.hooked is False and tyre.tubeless:
        found.append((STRAIGHT_SIDE_BAR, "a rim with straight sides, with a tubeless tyre,"))
    return min(found, default=(None, ""))


def _wheels(build: Build) -> Iterator[Refusal]:
    parts, limits = build.parts, build.frame.limits
    for end, wheel, tyre in (
        ("front", parts.front_wheel, parts.front_tyre),
        ("rear", parts.rear_wheel, parts.rear_tyre),
    ):
        if wheel is not None and tyre is not None and wheel.bead_seat_mm != tyre.bead_seat_mm:
            yield Refusal(
                f"{end}_tyre",
                f"the {end} tyre is made for a bead seat of {tyre.bead_seat_mm:g} mm, the {end} wheel has "
                f"{wheel.bead_seat_mm:g} mm. Change the tyre together with the wheel.",
            )
        pressure = build.settings.front_tyre_bar if end == "front" else build.settings.rear_tyre_bar
        limit, name = tyre_limit(build, end)
        if limit is not None and pressure is not None and pressure > limit:
            text = f"{pressure:.2f} bar is {pressure - limit:.2f} bar above the {limit:.2f} bar that {name} allows."
            yield Refusal(f"{end}_tyre_bar", f"{text} Let air out.")
        least = None if tyre is None else tyre.pressure_min_bar
        if tyre is not None and least is not None and pressure is not None and pressure < least:
            text = (
                f"{pressure:.2f} bar is {least - pressure:.2f} bar below the {least:.2f} bar that '{tyre.name}' needs."
            )
            yield Refusal(f"{end}_tyre_bar", f"{text} Pump it up.")
    rear = parts.rear_tyre
    width = None if rear is None else rear.width_mm
    yield from _over(
        "the rear tyre's width", width, limits.rear_tyre_width_max_mm, "rear_tyre", "Choose a narrower tyre."
    )
    seats = limits.bead_seats_mm
    if rear is not None and seats and rear.bead_seat_mm not in seats:
        fits = ", ".join(f"{seat:g}" for seat in seats)
        yield Refusal(
            "rear_wheel", f"a bead seat of {rear.bead_seat_mm:g} mm does not fit this frame; it takes {fits} mm."
        )


def _drive(build: Build) -> Iterator[Refusal]:
    ring, limit = build.parts.ring, build.frame.limits.ring_teeth_max
    if ring is not None and limit is not None and ring.teeth > limit:
        yield Refusal("ring", f"a ring of {ring.teeth} teeth is larger than the frame's limit of {limit}.")


def _seat(build: Build) -> Iterator[Refusal]:
    post, saddle, settings = build.parts.seatpost, build.parts.saddle, build.settings
    lowered, back, depth = settings.post_lowered_mm, abs(settings.saddle_back_mm), build.geometry_row.seat_tube_bend_mm
    if post is not None and lowered > post.drop_mm:
        yield Refusal(
            "post_lowered_mm", f"the post is lowered by {lowered:g} mm but drops {post.drop_mm:g} mm at the most."
        )
    least = None if post is None else post.insertion_min_mm
    if post is not None and least is not None and depth is not None and least > depth:
        yield Refusal(
            "seatpost",
            f"{post.name} must go {least:g} mm into the seat tube, which ends {depth:g} mm below its collar "
            f"({least - depth:.3g} mm too soon). Take a post with less insertion.",
        )
    if saddle is not None and back > saddle.rail_range_mm:
        yield Refusal(
            "saddle_back_mm",
            f"the saddle is {back:g} mm off the middle of its rails, which allow {saddle.rail_range_mm:g} mm "
            f"({back - saddle.rail_range_mm:.3g} mm over). Move it back to the middle, or fit a post with a setback.",
        )
