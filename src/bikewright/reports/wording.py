"""How things are called in sentences and tables: values with their units, parts, places, changes.

Question answered   What does a reader call this part, this place on the bike, this difference, this verdict?
Method              Labels come from the catalogue, units from the reader's choice, parts from their description.
Axes and signs      None.
Left out            Numbers themselves: see ``numbers.py``.
"""

from dataclasses import dataclass
from typing import Any

from bikewright.errors import UnitError
from bikewright.model.addresses import Difference
from bikewright.quantities import Quantity
from bikewright.reports.numbers import change_text, number_text, pitch_text, unit_text, value_text
from bikewright.studies.compare import Cause, Comparison, Consequence
from bikewright.studies.evaluate import Value
from bikewright.studies.verdicts import Judged
from bikewright.units import UNITS, convert, suffix_of

BLANK = "–"
"""What stands in a table for a value that is not known."""

ARROW = "→"

SETTING_DECIMALS = {"bar": 2, "psi": 1}
"""Digits of a setting that a gauge can tell; other numbers of the model have four at the most."""


@dataclass(frozen=True, slots=True)
class ShownUnits:
    """Which unit each kind of quantity is shown in; none picked: the catalogue's."""

    picked: tuple[tuple[str, str], ...] = ()
    """Kind and unit suffix."""

    def of(self, suffix: str) -> str:
        """Unit to show a quantity in that is kept in another one."""
        if not suffix:
            return ""
        return dict(self.picked).get(UNITS[suffix].kind, suffix)

    def value(self, quantity: Quantity, number: float | None) -> str:
        """A number with its unit, or the blank."""
        if number is None:
            return BLANK
        if quantity.key == "pitch_deg":
            return pitch_text(number)
        return value_text(number, quantity, shown_in=self.of(quantity.unit))

    def change(self, quantity: Quantity, before: float, after: float) -> str:
        """A change with sign and unit."""
        return change_text(before, after, quantity, shown_in=self.of(quantity.unit))


@dataclass(frozen=True, slots=True)
class Shown:
    """Unit and decimals of a number that is not in the catalogue."""

    unit: str
    decimals: int


def text_of(value: float | None, entry: Shown, units: ShownUnits) -> str:
    """A number with its unit, or the blank."""
    return BLANK if value is None else value_text(value, entry, shown_in=units.of(entry.unit))


def shown_units(text: str) -> ShownUnits:
    """Units as a reader picks them: ``in,psi,lb``.

    Raises
    ------
    UnitError
        If a name is no unit, or two units of one kind are picked.
    """
    picked: dict[str, str] = {}
    for name in filter(None, (part.strip() for part in text.split(","))):
        if name not in UNITS:
            raise UnitError(f"'{name}' is no unit to show; there are: {', '.join(UNITS)}")
        if picked.get(UNITS[name].kind, name) != name:
            raise UnitError(f"both {picked[UNITS[name].kind]} and {name} measure a {UNITS[name].kind}; pick one")
        picked[UNITS[name].kind] = name
    return ShownUnits(tuple(picked.items()))


def label(value: Value, home: str = "table") -> str:
    """A quantity's label, with its state where that is not the one that the reader is in already."""
    return value.quantity.label if value.state in ("", home) else f"{value.quantity.label}, {state_text(value.state)}"


def state_text(state: str) -> str:
    """A state as words: ``stated-sag`` is "at sag"."""
    return {"stated-sag": "at sag", "table": "extended", "g-out": "g-out"}.get(state, state.replace("-", " "))


def place_text(address: str) -> str:
    """A place on the bike, from its address: ``linkage.pins.rocker`` is "pin rocker"."""
    steps = address.split(".")
    size = f" of size {steps[1]}" if steps[0] == "sizes" and len(steps) > 1 else ""
    for marker, word in (("pins", "pin"), ("chips", "chip"), ("idlers", "idler"), ("bodies", "link")):
        if marker in steps:
            return f"{word} {steps[steps.index(marker) + 1]}{size}"
    last = steps[-1]
    suffix = suffix_of(last)
    bare = last[: -len(suffix) - 1] if suffix else last
    return f"{bare.replace('_', ' ')}{size}"


def thing_text(thing: Any, address: str, units: ShownUnits) -> str:
    """A value of the model as words: a part by its description, a number with its unit."""
    if thing is None:
        return "unknown"
    described = getattr(thing, "describe", "")
    if described:
        return str(described)
    for field in ("position", "name"):
        if isinstance(getattr(thing, field, None), str):
            return str(getattr(thing, field))
    suffix = suffix_of(address)
    if isinstance(thing, int | float) and not isinstance(thing, bool) and suffix:
        shown = units.of(suffix)
        decimals = 4 if shown == suffix else 3  # as it was written, or as fine as a ruler in another unit
        number = number_text(convert(float(thing), suffix, shown), SETTING_DECIMALS.get(shown, decimals))
        return f"{number.rstrip('0').rstrip('.') if '.' in number else number}{unit_text(shown)}"
    if isinstance(thing, tuple):
        return ", ".join(thing_text(item, address, units) for item in thing) or "none"
    return str(thing)


def cause_text(cause: Cause, units: ShownUnits) -> str:
    """A cause as one line: what was changed, from what to what."""
    told = [difference_text(difference, units, cause.address) for difference in cause.differences]
    return f"{place_text(cause.address)}: {'; '.join(told)}"


def difference_text(difference: Difference, units: ShownUnits, within: str = "") -> str:
    """A difference as words; the field is named where the cause's place does not say it."""
    before = thing_text(difference.before, difference.address, units)
    after = thing_text(difference.after, difference.address, units)
    if difference.before is None and "chips" in difference.address:
        before = "as drawn"
    if difference.after is None and "chips" in difference.address:
        after = "as drawn"
    inner = difference.address.removeprefix(within).strip(".").replace(".", " ")
    suffix = suffix_of(inner)
    field = f"{inner[: -len(suffix) - 1] if suffix else inner} " if inner and inner != difference.address else ""
    return f"{field}{before} {ARROW} {after}"


def verdict_text(judged: Judged, quantity: Quantity, units: ShownUnits) -> str:
    """What the brief says, as words: "met", "low by 0.2°"."""
    if judged.verdict in ("low", "high"):
        return f"{judged.verdict} by {units.value(quantity, judged.short_by)}"
    return str(judged.verdict)


def band_text(judged: Judged, quantity: Quantity, units: ShownUnits) -> str:
    """The brief's band: "64.0° to 64.6°", "at least 120 mm"."""
    low, high = judged.line.low, judged.line.high
    if low is not None and high is not None:
        return f"{units.value(quantity, low)} to {units.value(quantity, high)}"
    if low is not None:
        return f"at least {units.value(quantity, low)}"
    return f"at most {units.value(quantity, high)}" if high is not None else "no band"


def consequence_text(consequence: Consequence, units: ShownUnits, home: str = "table") -> str:
    """A consequence in a few words, for a list of echoes: "trail +3 mm"."""
    before, after = consequence.before.number, consequence.after.number
    if before is None or after is None:
        gone = "no value any more" if after is None else f"now {units.value(consequence.quantity, after)}"
        return f"{label(consequence.after, home)} {gone}"
    return f"{label(consequence.after, home)} {units.change(consequence.quantity, before, after)}"


def change_of(consequence: Consequence, units: ShownUnits) -> str:
    """The change of a consequence with sign and unit; nothing where there is no number on one side."""
    before, after = consequence.before.number, consequence.after.number
    return "" if before is None or after is None else units.change(consequence.quantity, before, after)


def pulls_texts(cause: Cause, units: ShownUnits) -> list[str]:
    """What a cause changes alone in quantities that another cause leads: "reach +5 mm"."""
    return [f"{pull.quantity.label} {units.change(pull.quantity, 0.0, pull.alone)}" for pull in cause.pulls]


def lost_by_reason(comparison: Comparison) -> dict[str, list[str]]:
    """Labels of the values that the change lost, by the reason why there is none any more."""
    found: dict[str, list[str]] = {}
    for consequence in comparison.stopped:
        found.setdefault(consequence.after.waits, []).append(label(consequence.after))
    return found


def felt_step_text(quantity: Quantity, step: float | None, units: ShownUnits) -> str:
    """The smallest change that is felt, as words; in another unit than its own to two digits."""
    if step is None:
        return "not felt"
    if quantity.felt_as == "relative":
        return f"{100.0 * step:g} %"
    shown = units.of(quantity.unit)
    number = step if shown == quantity.unit else float(f"{convert(step, quantity.unit, shown):.2g}")
    return f"{number:g}{unit_text(shown)}"


def steps_text(steps: float | None) -> str:
    """A change in felt steps: "1.6 steps"."""
    return "" if steps is None else f"{number_text(steps, 1)} steps"
