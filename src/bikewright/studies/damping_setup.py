"""Clicks for a rider on a build: from a measured damper, or as an offset from a ridden base tune.

Question answered   Which click on every dial keeps the feel of the base tune for another rider, spring or build?
Method              Rebound keeps its damping ratio; compression scales with the force that the spring holds up at rest.
                    Without a measured table the change is told as an offset, from an assumed range of the dial.
Left out            Temperature, wear, friction, the damper's own lag.
Theory              docs/theory/damping.md
"""

import math
from dataclasses import dataclass
from typing import Literal

from bikewright.errors import AddressError, NotKnown, OutsideValidity
from bikewright.model.build import Build
from bikewright.model.damper_table import total_clicks
from bikewright.model.parts import Damper
from bikewright.model.tune import BaseTune
from bikewright.physics.damping import Dial, ForceSpeed, click_for
from bikewright.studies.evaluate import evaluate
from bikewright.studies.swinging import Resting, Swing, curve_of, dial_of, high_speed_part, set_clicks
from bikewright.units import MM

Circuit = Literal["rebound", "compression", "high_compression"]
End = Literal["fork", "shock"]

SPAN = (3.0, 4.5, 7.0)
"""Assumed damping of a closed dial over that of an open one, least, likely, most, where it was not measured [-]: an
assumption, no source. The likely one makes the offset, the other two its range; clicks are taken to change the damping
by one factor each."""
UNCOUNTED = 14
"""Clicks that a dial is taken to have where nobody has counted, for an offset only: an assumption, no source."""


@dataclass(frozen=True, slots=True)
class Neighbour:
    """What one click beside the recommended one gives."""

    from_closed: int
    """[clicks]"""
    ratio: float
    """Damping ratio at the named shaft speed [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitSetup:
    """One dial. Clicks are counted on this unit; what is not known is None and `waits` says why."""

    end: Literal["fork", "shock"]
    circuit: Circuit
    how: Literal["measured", "offset", "set", "unknown"]
    """From a measured table; as an offset from the base tune; as it is set now, for want of better; not at all."""
    total_clicks: int | None
    """Counted on this unit."""
    from_closed: int | None
    """Recommended [clicks]."""
    from_open: int | None
    """The same from the other end; None while the total is not known [clicks]."""
    turns_from_closed: float | None
    """Where the part counts turns [turns]."""
    offset_clicks: int | None
    """From the base tune, towards closed positive; None with no base tune [clicks]."""
    offset_least: int | None
    """Least of its range [clicks]."""
    offset_most: int | None
    """Most of its range [clicks]."""
    least_from_closed: int | None
    """Range of the recommended position: fewest clicks from closed."""
    most_from_closed: int | None
    base_from_closed: int | None
    """Where the base tune stood [clicks]."""
    wanted_ratio: float | None
    """Damping ratio that is aimed at; None without a measured table [-]."""
    ratio: float | None
    """Damping ratio at the recommended click; None without a measured table [-]."""
    neighbours: tuple[Neighbour, ...]
    """One click to either side, measured tables only."""
    scale: float | None
    """Damping wanted at the shaft over that of the base tune; None without one [-]."""
    refusal: str
    """By how much the dial cannot reach what is wanted; empty where it can."""
    waits: str
    """What it waits for; empty where clicks are told."""
    assumption: str
    """What an offset rests on; empty for a measured table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DampingSetup:
    """Every dial of fork and shock."""

    speed_mm_s: float
    """Shaft speed at which all ratios are told [mm/s]."""
    base: str
    """Name of the base tune; empty without one."""
    circuits: tuple[CircuitSetup, ...]
    """Fork first; rebound, compression, high-speed compression."""


def clicks_for(build: Build, base: BaseTune | None) -> DampingSetup:
    """Clicks for every dial of a build.

    Parameters
    ----------
    build : Build
        With its rider and its springs set.
    base : BaseTune or None
        A ridden set-up.

    Returns
    -------
    DampingSetup
        A dial that waits for something says so in `waits`.

    Raises
    ------
    BikewrightError
        What stopped the rest under load.

    Notes
    -----
    Rebound: the damper wanted at the shaft is that with the base tune's damping ratio, so it goes with the critical
    damping of the end and the square of its leverage. Compression: it goes with the force that the spring holds up at
    rest. High-speed compression stays as it was: neither rule speaks of it.
    """
    try:
        swing: Swing = evaluate(build).group("modes")
    except NotKnown as error:
        lacking = str(error).removeprefix("waits for ")
        raise NotKnown(f"how '{build.name}' swings waits for {lacking}") from None
    before: Swing | None = None if base is None else evaluate(base.build).group("modes")
    circuits = []
    for end in ENDS:
        part = getattr(build.parts, end)
        damper: Damper | None = None if part is None else part.damper
        if damper is None:
            continue
        here = _at(swing, end)
        there = None if before is None else _at(before, end)
        for circuit in CIRCUITS:
            if circuit == "high_compression" and damper.high_compression_clicks is None:
                continue
            circuits.append(_dial(_Asked(build, base, end, circuit, damper, here, there)))
    return DampingSetup(
        speed_mm_s=build.settings.damping_speed_mm_s, base="" if base is None else base.name, circuits=tuple(circuits)
    )


ENDS: tuple[End, ...] = ("fork", "shock")
CIRCUITS: tuple[Circuit, ...] = ("rebound", "compression", "high_compression")


def _at(swing: Swing, end: End) -> Resting:
    return swing.front if end == "fork" else swing.rear


@dataclass(frozen=True, slots=True)
class _Asked:
    """One dial, and the end of the bike that it works on, now and in the base tune."""

    build: Build
    base: BaseTune | None
    end: End
    circuit: Circuit
    damper: Damper
    here: Resting
    there: Resting | None

    @property
    def peak(self) -> float:
        """Shaft speed [m/s]."""
        return self.build.settings.damping_speed_mm_s * MM

    @property
    def scale(self) -> float | None:
        """Damping wanted at the shaft over that of the base tune."""
        if self.there is None:
            return None
        if self.circuit == "rebound":
            return self.here.coefficient(1.0) / self.there.coefficient(1.0)
        if self.circuit == "compression":
            return self.here.shaft_force / self.there.shaft_force
        return 1.0

    @property
    def base_damper(self) -> Damper | None:
        """Damper of the base tune."""
        part = None if self.base is None else getattr(self.base.build.parts, self.end)
        return None if part is None else part.damper

    @property
    def base_click(self) -> int | None:
        """Where the base tune stood, from closed."""
        if self.base is None:
            return None
        return set_clicks(self.base.build.settings, self.base_damper, self.end, self.circuit)

    @property
    def click(self) -> int | None:
        """Where the dial stands now, from closed."""
        return set_clicks(self.build.settings, self.damper, self.end, self.circuit)


def _dial(asked: _Asked) -> CircuitSetup:
    if asked.base is None:
        return _as_set(asked)
    if asked.base_click is None:
        place = f"{asked.end}_{asked.circuit}_clicks"
        counted = (
            ""
            if asked.base_damper is not None and asked.base_damper.counted_from == "closed"
            else (", and the total of the dial, as they count from open")
        )
        return _told(asked, waits=f"{place} of the base tune '{asked.base.name}'{counted}")
    if asked.circuit == "high_compression":
        return _as_base(asked, asked.base_click)
    dial, then = dial_of(asked.damper, asked.circuit), dial_of(asked.base_damper, asked.circuit)
    if dial is None or then is None:
        if _other_damper(asked):
            waits = "force-speed tables of both dampers: clicks of one say nothing about another"
            return _told(asked, waits=waits)
        return _offset(asked, asked.base_click)
    return _measured(asked, dial, asked.base_click)


def _other_damper(asked: _Asked) -> bool:
    """Whether the base tune was ridden on another part, whose clicks are others."""
    base = asked.base
    own, other = getattr(asked.build.parts, asked.end), None if base is None else getattr(base.build.parts, asked.end)
    return other is None or own is None or own.damper != other.damper


def _as_set(asked: _Asked) -> CircuitSetup:
    """Without a base tune nothing is recommended; what is set is told, with its ratio where it was measured."""
    click = asked.click
    if click is None:
        return _told(asked, waits="a ridden base tune")
    curve = _curve(asked, click)
    ratio = None if curve is None or asked.circuit == "high_compression" else _ratio(asked, curve)
    return _told(
        asked,
        how="set",
        click=click,
        ratio=ratio,
        neighbours=() if ratio is None else _neighbours(asked, click),
        waits="a ridden base tune, for a recommendation",
    )


def _as_base(asked: _Asked, click: int) -> CircuitSetup:
    if _other_damper(asked):
        return _told(asked, waits="a base tune that was ridden on this damper")
    return _told(
        asked, how="offset", click=click, offsets=(0, 0, 0), assumption="High-speed compression stays as it was ridden."
    )


def _measured(asked: _Asked, dial: Dial, base_click: int) -> CircuitSetup:
    base_curve = curve_of(asked.base_damper, asked.circuit, base_click, _high_click(asked, of_base=True))
    scale = asked.scale
    if base_curve is None or scale is None:
        return _told(asked, waits="the base tune's table")
    wanted = base_curve.equivalent(asked.peak) * scale
    turned = _high_turned(asked)
    # coefficients of curves that add up add up too
    from_low = (
        wanted if turned is None else wanted - turned[0].equivalent(asked.peak) + turned[1].equivalent(asked.peak)
    )
    wanted_ratio = asked.here.ratio(wanted)
    try:
        place = click_for(dial, from_low, asked.peak)
    except OutsideValidity as error:
        return _told(asked, wanted=wanted_ratio, refusal=_sentence(str(error)), waits="a damper that reaches it")
    click = round(place)
    curve = _curve(asked, click)
    return _told(
        asked,
        how="measured",
        click=click,
        offsets=(base_click - click,) * 3 if not _other_damper(asked) else None,
        wanted=wanted_ratio,
        ratio=None if curve is None else _ratio(asked, curve),
        neighbours=_neighbours(asked, click),
    )


def _offset(asked: _Asked, base_click: int) -> CircuitSetup:
    """Clicks from the base tune, towards closed positive, for a dial that nobody has measured."""
    total, scale = total_clicks(asked.damper, asked.circuit), asked.scale
    if scale is None:
        return _told(asked, waits="a ridden base tune")
    clicks = UNCOUNTED if total is None else total
    exact = [clicks * math.log(scale) / math.log(span) for span in SPAN]
    likely = round(exact[1])
    least, most = sorted((math.floor(min(exact)), math.ceil(max(exact))))
    counted = (
        f"{clicks} clicks from end to end" if total is not None else f"{UNCOUNTED} clicks, which nobody has counted"
    )
    assumption = (
        f"Not measured: a closed dial is taken to damp {SPAN[0]:g} to {SPAN[2]:g} times as much as an open one, likely "
        f"{SPAN[1]:g}, in even steps over {counted}."
    )
    target = base_click - likely
    over = -target if target < 0 else 0 if total is None else max(target - total, 0)
    if over:
        end = "closed" if target < 0 else "open"
        refusal = (
            f"The dial would have to go {over} click{'s' if over > 1 else ''} beyond {end}: {abs(likely)} from where "
            f"the base tune stood, {base_click} from closed."
        )
        return _told(
            asked,
            offsets=(likely, least, most),
            refusal=refusal,
            waits="a damper, or a tune of it, that reaches it",
            assumption=assumption,
        )
    return _told(asked, how="offset", click=target, offsets=(likely, least, most), assumption=assumption)


def _high_click(asked: _Asked, of_base: bool) -> int | None:
    """Where the high-speed dial stands: in a recommendation it stays where the base tune had it."""
    if asked.base is not None and (of_base or not _other_damper(asked)):
        return set_clicks(asked.base.build.settings, asked.base_damper, asked.end, "high_compression")
    return set_clicks(asked.build.settings, asked.damper, asked.end, "high_compression")


def _high_turned(asked: _Asked) -> tuple[ForceSpeed, ForceSpeed] | None:
    return high_speed_part(asked.damper, _high_click(asked, of_base=False)) if asked.circuit == "compression" else None


def _curve(asked: _Asked, click: int) -> ForceSpeed | None:
    return curve_of(asked.damper, asked.circuit, click, _high_click(asked, of_base=False))


def _ratio(asked: _Asked, curve: ForceSpeed) -> float:
    return asked.here.ratio(curve.equivalent(asked.peak))


def _neighbours(asked: _Asked, click: int) -> tuple[Neighbour, ...]:
    total = total_clicks(asked.damper, asked.circuit) or 0
    found = []
    for beside in (click - 1, click + 1):
        curve = _curve(asked, beside) if 0 <= beside <= total else None
        if curve is not None:
            found.append(Neighbour(beside, _ratio(asked, curve)))
    return tuple(found)


def _told(
    asked: _Asked,
    *,
    how: Literal["measured", "offset", "set", "unknown"] = "unknown",
    click: int | None = None,
    offsets: tuple[int, int, int] | None = None,
    wanted: float | None = None,
    ratio: float | None = None,
    neighbours: tuple[Neighbour, ...] = (),
    refusal: str = "",
    waits: str = "",
    assumption: str = "",
) -> CircuitSetup:
    total, base_click = total_clicks(asked.damper, asked.circuit), asked.base_click
    turn = asked.damper.clicks_per_turn
    ranged = how == "offset" and offsets is not None and base_click is not None
    least = most = click
    if ranged and offsets is not None and base_click is not None:
        # the dial ends where it ends: a range beyond it cannot be turned to
        least = max(base_click - offsets[2], 0)
        most = base_click - offsets[1] if total is None else min(base_click - offsets[1], total)
    return CircuitSetup(
        end=asked.end,
        circuit=asked.circuit,
        how=how,
        total_clicks=total,
        from_closed=click,
        from_open=None if total is None or click is None else total - click,
        turns_from_closed=None if turn is None or click is None else click / turn,
        offset_clicks=None if offsets is None else offsets[0],
        offset_least=None if offsets is None else offsets[1],
        offset_most=None if offsets is None else offsets[2],
        least_from_closed=least,
        most_from_closed=most,
        base_from_closed=base_click,
        wanted_ratio=wanted,
        ratio=ratio,
        neighbours=neighbours,
        scale=asked.scale,
        refusal=refusal,
        waits=waits,
        assumption=assumption,
    )


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


@dataclass(frozen=True, slots=True, kw_only=True)
class DialCurves:
    """Force over shaft speed of one dial, at every measured position and where it stands."""

    end: End
    circuit: Circuit
    part: str
    """Name of the fork or shock."""
    total_clicks: int
    from_closed: tuple[int, ...]
    """Positions, the measured ones and the set one."""
    set_from_closed: int | None
    """Where the dial stands in this build; None while that is not known [clicks]."""
    speed_mm_s: tuple[float, ...]
    """[mm/s]"""
    force_n: tuple[tuple[float, ...], ...]
    """One row for each position [N]."""


def measured_dials(build: Build) -> tuple[DialCurves, ...]:
    """Every dial of a build that has a table or coefficients.

    Parameters
    ----------
    build : Build
        The build.

    Returns
    -------
    tuple of DialCurves
        Fork first; empty where nothing was measured.
    """
    found = []
    for end in ENDS:
        part = getattr(build.parts, end)
        damper: Damper | None = None if part is None else part.damper
        for circuit in CIRCUITS:
            dial = dial_of(damper, circuit)
            if dial is None:
                continue
            standing = set_clicks(build.settings, damper, end, circuit)
            positions = sorted({*dial.positions, *(() if standing is None else (standing,))})
            curves = [dial.at(position) for position in positions]
            speeds = sorted({speed for curve in curves for speed in curve.speed})
            found.append(
                DialCurves(
                    end=end,
                    circuit=circuit,
                    part=part.name,
                    total_clicks=dial.total,
                    from_closed=tuple(positions),
                    set_from_closed=standing,
                    speed_mm_s=tuple(speed / MM for speed in speeds),
                    force_n=tuple(tuple(curve.at(speed) for speed in speeds) for curve in curves),
                )
            )
    return tuple(found)


def dial_curves(build: Build, name: str = "") -> DialCurves:
    """Curves of one measured dial.

    Parameters
    ----------
    build : Build
        The build.
    name : str
        As ``fork.rebound``; the first measured one where it is left out.

    Returns
    -------
    DialCurves

    Raises
    ------
    NotKnown
        If nothing was measured.
    AddressError
        If no measured dial has that name: lists those that have.
    """
    dials = {f"{dial.end}.{dial.circuit}": dial for dial in measured_dials(build)}
    if not dials:
        raise NotKnown("no damper of this build was measured: bring in a table with the command damper")
    if not name:
        return next(iter(dials.values()))
    if name not in dials:
        raise AddressError(f"no measured dial is called '{name}'; there are: {', '.join(dials)}")
    return dials[name]
