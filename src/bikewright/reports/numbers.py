"""Numbers as people read them: value with unit, change with sign, unknown with what it waits for.

Question answered   How is this number written on a screen, a sheet or in a sentence?
Method              The catalogue entry gives unit and decimals; another unit of the same kind may be asked for, and
                    the decimals follow its size, so that no digit is invented. A minus is U+2212; the degree sign
                    stands without a space, every other unit after one.
Axes and signs      Pitch is told in words, so that no reader has to know a sign.
Left out            Grouping of thousands: workshop drawings do without.
"""

import math
from typing import Protocol

from bikewright.errors import OutsideValidity
from bikewright.units import UNITS, convert

MINUS = "\u2212"


class Catalogued(Protocol):
    """What a catalogue entry must say for its numbers to be written."""

    @property
    def unit(self) -> str:
        """Unit suffix, one of `bikewright.units.SUFFIXES`; empty for a pure number."""

    @property
    def decimals(self) -> int:
        """Decimals in that unit."""


def number_text(value: float, decimals: int) -> str:
    """A bare number with a true minus sign; a rounded zero has no sign.

    Parameters
    ----------
    value : float
        Any finite number.
    decimals : int
        Digits after the point.

    Returns
    -------
    str
        As in ``−12.5``.

    Raises
    ------
    OutsideValidity
        If the value is not finite: an unknown is None, never NaN.
    """
    if not math.isfinite(value):
        raise OutsideValidity(f"{value} cannot be shown as a number; what is not known is passed as None with a reason")
    text = f"{value:.{decimals}f}"
    if float(text) == 0.0:
        return text.lstrip("-")
    return text.replace("-", MINUS)


def unit_text(suffix: str) -> str:
    """What stands after a number in this unit, its space included: ``" mm"``, ``"°"``, nothing for a pure number."""
    if not suffix:
        return ""
    return UNITS[suffix].symbol if suffix == "deg" else f" {UNITS[suffix].symbol}"


def value_text(value: float | None, entry: Catalogued, *, shown_in: str = "", waits_for: tuple[str, ...] = ()) -> str:
    """A value with its unit, or that it is unknown and why.

    Parameters
    ----------
    value : float or None
        In the entry's unit; None is unknown.
    entry : Catalogued
        Unit and decimals.
    shown_in : str
        Another unit of the same kind, where the reader picked one.
    waits_for : tuple of str
        What an unknown value waits for, in trade words.

    Returns
    -------
    str
        ``64.3°``, ``343 mm``, ``unknown: waits for the axle-to-crown length``.
    """
    if value is None:
        return unknown_text(waits_for)
    shown, decimals, suffix = _shown(value, entry, shown_in)
    return number_text(shown, decimals) + unit_text(suffix)


def change_text(before: float | None, after: float | None, entry: Catalogued, *, shown_in: str = "") -> str:
    """The change from one value to another, with its sign and unit.

    Parameters
    ----------
    before, after : float or None
        In the entry's unit; None is unknown.
    entry : Catalogued
        Unit and decimals.
    shown_in : str
        Another unit of the same kind, where the reader picked one.

    Returns
    -------
    str
        ``+0.9°``, ``−12 mm``; a change that rounds to nothing has no sign; ``unknown`` if either is.
    """
    if before is None or after is None:
        return unknown_text()
    shown, decimals, suffix = _shown(after - before, entry, shown_in)
    text = number_text(shown, decimals)
    sign = "+" if shown > 0 and float(text) != 0 else ""
    return f"{sign}{text}{unit_text(suffix)}"


def unknown_text(waits_for: tuple[str, ...] = ()) -> str:
    """What stands in place of a number that nobody knows yet."""
    if not waits_for:
        return "unknown"
    listed = waits_for[0] if len(waits_for) == 1 else f"{', '.join(waits_for[:-1])} and {waits_for[-1]}"
    return f"unknown: waits for {listed}"


def pitch_text(nose_up_deg: float, decimals: int = 1) -> str:
    """Pitch in words.

    Parameters
    ----------
    nose_up_deg : float
        Turn of the bike from its datum attitude, positive with the front end up.
    decimals : int
        Digits after the point.

    Returns
    -------
    str
        ``1.2° nose up``, ``0.8° nose down`` or ``level``.
    """
    text = number_text(abs(nose_up_deg), decimals)
    if float(text) == 0.0:
        return "level"
    return f"{text}° nose {'up' if nose_up_deg > 0 else 'down'}"


def _shown(value: float, entry: Catalogued, shown_in: str) -> tuple[float, int, str]:
    """Value, decimals and unit suffix as shown: a larger unit takes more decimals, a smaller one fewer."""
    if not shown_in or shown_in == entry.unit:
        return value, entry.decimals, entry.unit
    converted = convert(value, entry.unit, shown_in)
    more = round(math.log10(UNITS[shown_in].si / UNITS[entry.unit].si))
    return converted, max(0, entry.decimals + more), shown_in
