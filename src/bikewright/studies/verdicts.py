"""What the brief says of a value, and how large a change of it is felt."""

from dataclasses import dataclass
from typing import Literal

from bikewright.model.brief import Brief, BriefLine
from bikewright.quantities import Quantity
from bikewright.studies.evaluate import Value, read_address

Verdict = Literal["met", "low", "high", "unknown"]


@dataclass(frozen=True, slots=True)
class Judged:
    """A line of the brief and what it says of a value."""

    line: BriefLine
    verdict: Verdict
    short_by: float
    """How far outside the band, in the quantity's unit; zero when met or unknown."""


def line_for(brief: Brief, value: Value, size: str) -> BriefLine | None:
    """The brief's line for a value of one size; a line that names the size goes before one for all."""
    found = None
    for line in brief.lines:
        quantity, state, _ = read_address(line.name)
        if quantity.key != value.quantity.key or line.size not in ("", size):
            continue
        if quantity.scope == "state" and (state or "table") != value.state:
            continue
        if found is None or line.size:
            found = line
    return found


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
    for line in brief.lines:
        if line.felt_step is not None and read_address(line.name)[0].key == quantity.key:
            return line.felt_step
    return quantity.felt_step


def felt_steps(brief: Brief, quantity: Quantity, before: float, after: float) -> float | None:
    """A change counted in felt steps, without sign; None for a quantity that no rider feels."""
    step = felt_step(brief, quantity)
    if step is None:
        return None
    change = abs(after - before)
    if quantity.felt_as == "relative":
        return change / (step * abs(before)) if before else None
    return change / step
