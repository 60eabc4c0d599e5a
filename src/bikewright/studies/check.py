"""The brief check: every line of the brief against one build, in every size.

A line is judged in the state that it names, with the rider that it names, in the gear that it names, and in
the digits in which its quantity is told. Where several lines are about the same value, the one that names
size or rider goes before the one that does not, and the other is not judged there. What cannot be answered
is neither met nor missed; it says what it waits for.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from bikewright.errors import AddressError, ModelError
from bikewright.model.addresses import with_value
from bikewright.model.brief import Brief, BriefLine
from bikewright.model.build import Build, remade
from bikewright.model.faults import near
from bikewright.model.limits import Refusal, refusals
from bikewright.model.rider import Rider
from bikewright.quantities import Quantity
from bikewright.studies.evaluate import Value, address_of, evaluate, read_address
from bikewright.studies.verdicts import Judged, felt_step, full_address, governing, judge, rider_of

FeltFrom = Literal["line", "other", "catalogue"]
"""Where a felt step comes from: the line's own, another line about the same quantity, or the catalogue's default."""

Standing = Literal["missed", "open", "met"]
"""How a line stands over the sizes: missed in one, not answered in one, or met in all."""

IN_SAG_GEAR = ("anti_squat_at_sag_pct", "anti_squat_at_sag_stated_pct")
"""Quantities that are told in the gear of the setting ``sag_gear``; in the state climbing it is ``climb_gear``."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What one line says of one size."""

    build: Build
    """The build that was judged, with the size, the rider and the gear of the line."""
    value: Value
    judged: Judged

    @property
    def size(self) -> str:
        """The size judged."""
        return self.build.size


@dataclass(frozen=True, slots=True)
class CheckedLine:
    """One line of the brief over the sizes that it holds for."""

    line: BriefLine
    quantity: Quantity
    state: str
    """State that it is judged in; empty for a quantity of the build as a whole."""
    gear: str
    """Gear that it names; empty: the build's own."""
    sizes: tuple[Checked, ...]
    """In the order of the frame's sizes."""

    @property
    def stands(self) -> Standing:
        """The worst over the sizes."""
        verdicts = {checked.judged.verdict for checked in self.sizes}
        if verdicts & {"low", "high"}:
            return "missed"
        return "open" if "unknown" in verdicts else "met"


@dataclass(frozen=True, slots=True)
class BriefRow:
    """One line of the brief as it stands for one build, whether it is judged there or not."""

    line: BriefLine
    quantity: Quantity
    state: str
    """State that it is told in; empty for a quantity of the build as a whole."""
    gear: str
    """Gear that it names; empty: the build's own."""
    value: Value | None
    """None where the line is about another size."""
    judged: Judged | None
    """None where the line is not judged here: `apart` says why."""
    apart: str
    """``"size"``, ``"other line"`` or ``"no band"``; empty where it is judged."""
    felt_step: float | None
    """Smallest change that is felt; None for a quantity that no rider feels."""
    felt_from: FeltFrom


@dataclass(frozen=True, slots=True)
class RefusedIn:
    """Something that the frame or a part does not allow, and in which sizes."""

    refusal: Refusal
    sizes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Check:
    """What the brief says of a build."""

    build: Build
    sizes: tuple[str, ...]
    """Sizes that were judged."""
    lines: tuple[CheckedLine, ...]
    """In the order of the brief."""
    refused: tuple[RefusedIn, ...]

    @property
    def is_met(self) -> bool:
        """Whether every line is met in every size, and nothing is refused."""
        return not self.refused and all(line.stands == "met" for line in self.lines)

    def standing(self, stands: Standing) -> tuple[CheckedLine, ...]:
        """The lines that stand so."""
        return tuple(line for line in self.lines if line.stands == stands)


def check_brief(build: Build, brief: Brief, riders: Sequence[Rider] = (), sizes: Sequence[str] = ()) -> Check:
    """Judge a build by every line of a brief.

    Parameters
    ----------
    build : Build
        Of any size; it is judged in each of ``sizes`` in turn.
    brief : Brief
        Lines without a band are left out: they say a felt step, nothing to be met.
    riders : sequence of Rider
        Those that a line may name.
    sizes : sequence of str
        Sizes to judge; every size of the frame if none are named.

    Returns
    -------
    Check
        Each line with its verdicts, and what is refused.

    Raises
    ------
    ModelError
        If no line of the brief is about these sizes, or a line names a rider who is not there.
    AddressError
        If a size is none of the frame's.
    """
    there = [size.name for size in build.frame.sizes]
    for name in sizes:
        if name not in there:
            raise AddressError(f"no size is called '{name}'. {near(name, there)}")
    names = tuple(sizes) or tuple(there)
    builds = [with_value(build, "size", name) for name in names]
    lines = tuple(found for line in brief.lines if (found := _checked_line(line, brief, builds, riders)).sizes)
    if not lines:
        raise ModelError(
            f"the brief of {build.frame.name} has no line to judge in {_sizes_text(names)}. Write what is wanted as a "
            f"[[line]] with low or high in brief.toml."
        )
    return Check(build, names, lines, _refused(builds))


def brief_rows(build: Build, brief: Brief, riders: Sequence[Rider] = ()) -> tuple[BriefRow, ...]:
    """Every line of a brief for one build in its size: value, verdict, and the felt step in use.

    Parameters
    ----------
    build : Build
        With the size and the rider that are asked about; a line that names a rider is told with that one.
    brief : Brief
        Lines without a band, of another size, or for which another line says more, are told but not judged.
    riders : sequence of Rider
        Those that a line may name.

    Returns
    -------
    tuple of BriefRow
        In the order of the brief.

    Raises
    ------
    ModelError
        If a line names a rider who is not there.
    """
    return tuple(_row(line, brief, build, riders) for line in brief.lines)


def _row(line: BriefLine, brief: Brief, build: Build, riders: Sequence[Rider]) -> BriefRow:
    quantity, _, gear = read_address(line.name)
    address = full_address(line)
    state = address.partition("/")[0].partition("@")[2]
    apart, value, judged = "size", None, None
    if line.size in ("", build.size):
        posed = _with_rider(build, line, riders)
        value = _value(posed, quantity, state, gear)[1]
        governs = governing(_asking(brief), address, posed.size, rider_of(posed)) == line
        apart = "no band" if not _asks(line) else "" if governs else "other line"
        judged = judge(line, value) if not apart else None
    step = felt_step(brief, quantity)
    own = line.felt_step is not None and step == line.felt_step
    source: FeltFrom = "line" if own else "catalogue" if step == quantity.felt_step else "other"
    return BriefRow(line, quantity, state, gear, value, judged, apart, step, source)


def _checked_line(line: BriefLine, brief: Brief, builds: Sequence[Build], riders: Sequence[Rider]) -> CheckedLine:
    quantity, _, gear = read_address(line.name)
    address = full_address(line)
    state = address.partition("/")[0].partition("@")[2]
    checked = []
    for build in builds:
        posed = _with_rider(build, line, riders)
        if _asks(line) and governing(_asking(brief), address, posed.size, rider_of(posed)) == line:
            held, value = _value(posed, quantity, state, gear)
            checked.append(Checked(held, value, judge(line, value)))
    return CheckedLine(line, quantity, state, gear, tuple(checked))


def _asks(line: BriefLine) -> bool:
    return line.low is not None or line.high is not None


def _asking(brief: Brief) -> Brief:
    """The lines that have a band."""
    return Brief(lines=tuple(line for line in brief.lines if _asks(line)))


def _with_rider(build: Build, line: BriefLine, riders: Sequence[Rider]) -> Build:
    """The build with the line's rider on it."""
    if not line.rider or rider_of(build) == line.rider:
        return build
    for rider in riders:
        if rider.name == line.rider:
            return build.changed(rider=rider)
    there = ", ".join(rider.name for rider in riders) or "none"
    raise ModelError(f"a line of the brief names the rider '{line.rider}', who is not there; riders are: {there}")


def _value(build: Build, quantity: Quantity, state: str, gear: str) -> tuple[Build, Value]:
    """The build in the gear of a line, and the value there."""
    if gear:
        setting = "climb_gear" if state == "climbing" else "sag_gear" if quantity.key in IN_SAG_GEAR else ""
        if not setting:
            told = f"is not told in a gear of its own; take /{gear} out of the line"
            return build, Value(quantity, state, None, told)
        build = build.changed(settings=remade(build.settings, {setting: gear}))
    return build, evaluate(build).value(address_of(quantity, state))


def _refused(builds: Sequence[Build]) -> tuple[RefusedIn, ...]:
    """Each refusal once, with its sizes."""
    found: dict[Refusal, list[str]] = {}
    for build in builds:
        for refusal in refusals(build):
            found.setdefault(refusal, []).append(build.size)
    return tuple(RefusedIn(refusal, tuple(sizes)) for refusal, sizes in found.items())


def _sizes_text(names: Sequence[str]) -> str:
    return f"size {names[0]}" if len(names) == 1 else f"sizes {', '.join(names)}"


__all__ = ["BriefRow", "Check", "Checked", "CheckedLine", "RefusedIn", "Standing", "brief_rows", "check_brief"]
