"""What the brief says of a value, and how large a change of it is felt."""

from dataclasses import dataclass
from typing import Literal

from bikewright.model.brief import Brief, BriefLine
from bikewright.model.build import Build
from bikewright.quantities import Quantity
from bikewright.studies.evaluate import Value, address_of, read_address

_KEPT, _KEPT_STEPS = "_lines_by_address", "_felt_steps"

Verdict = Literal["met", "low", "high", "unknown"]


@dataclass(frozen=True, slots=True)
class Judged:
    """A line of the brief and what it says of a value."""

    line: BriefLine
    verdict: Verdict
    short_by: float
    """How far outside the band, in the quantity's unit; zero when met or unknown."""


def line_for(brief: Brief, value: Value, size: str, rider: str = "") -> BriefLine | None:
    """The brief's line for a value of one size and rider; the line that names more of the two goes first.

    A line for one gear is not among them: a value is told in the build's own gear.
    """
    return governing(brief, value.address, size, rider)


def governing(brief: Brief, address: str, size: str, rider: str) -> BriefLine | None:
    """The line for an address in full, its state and gear included, on one size with one rider."""
    found = None
    for line in _by_address(brief).get(address, ()):
        if line.size not in ("", size) or line.rider not in ("", rider):
            continue
        if found is None or _named(line) > _named(found):
            found = line
    return found


def full_address(line: BriefLine) -> str:
    """Address of a line with the state that it means where it names none."""
    quantity, state, gear = read_address(line.name)
    told = address_of(quantity, state or "table")
    return f"{told}/{gear}" if gear else told


def _by_address(brief: Brief) -> dict[str, list[BriefLine]]:
    """The lines under their addresses in full, in the order of the brief; a comparison asks for each of its values."""
    kept: dict[str, list[BriefLine]] | None = brief.__dict__.get(_KEPT)
    if kept is None:
        kept = {}
        for line in brief.lines:
            kept.setdefault(full_address(line), []).append(line)
        brief.__dict__[_KEPT] = kept  # the brief is frozen, so what follows from it may be kept
    return kept


def rider_of(build: Build) -> str:
    """Name of the rider on a build; empty for none."""
    return "" if build.rider is None else build.rider.name


def _named(line: BriefLine) -> int:
    return bool(line.size) + bool(line.rider)


def judge(line: BriefLine, value: Value) -> Judged:
    """What a line says of a value, in the digits that are shown: what rounds to the limit meets it."""
    if value.number is None:
        return Judged(line, "unknown", 0.0)
    shown = round(value.number, value.quantity.decimals)
    if line.low is not None and shown < line.low:
        return Judged(line, "low", line.low - shown)
    if line.high is not None and shown > line.high:
        return Judged(line, "high", shown - line.high)
    return Judged(line, "met", 0.0)


def felt_step(brief: Brief, quantity: Quantity) -> float | None:
    """Smallest change that is felt: the brief's own where it has one, else the catalogue's."""
    kept: dict[str, float] | None = brief.__dict__.get(_KEPT_STEPS)
    if kept is None:
        kept = {}
        for line in brief.lines:
            if line.felt_step is not None:
                kept.setdefault(read_address(line.name)[0].key, line.felt_step)
        brief.__dict__[_KEPT_STEPS] = kept
    return kept.get(quantity.key, quantity.felt_step)


def felt_steps(brief: Brief, quantity: Quantity, before: float, after: float) -> float | None:
    """A change counted in felt steps, without sign; None for a quantity that no rider feels."""
    step = felt_step(brief, quantity)
    if step is None:
        return None
    change = abs(after - before)
    if quantity.felt_as == "relative":
        return change / (step * abs(before)) if before else None
    return change / step
