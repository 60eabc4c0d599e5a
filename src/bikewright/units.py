"""Units: multipliers into SI, the suffixes a name may end in, and texts such as ``500 lbf/in``.

Multiply to come in, divide to go out.

>>> chainstay = 440 * MM          # metres from here on
>>> round(chainstay / MM, 1)      # millimetres again, for people
440.0
>>> read_quantity("500 lbf/in", "n_per_mm")
87.5634...

A units library would do this too, but costs half a second at every start of a command.
"""

import math
import re
from dataclasses import dataclass

from bikewright.errors import UnitError

MM = 1e-3
CM = 1e-2
INCH = 25.4e-3
DEG = math.pi / 180
GRAM = 1e-3
POUND = 0.45359237
LBF = 4.4482216152605
N_PER_MM = 1e3
LBF_PER_IN = LBF / INCH
BAR = 1e5
PSI = LBF / INCH**2
KMH = 1 / 3.6
PCT = 1e-2
CM2 = 1e-4
CM3 = 1e-6


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: what it measures, its size in SI, and how people write it."""

    suffix: str
    """Ending of a name: the ``mm`` of ``reach_mm``."""
    kind: str
    """What it measures; two units of one kind convert into each other."""
    si: float
    """Size of one unit in SI."""
    symbol: str
    """As shown to people, after a number."""
    spellings: tuple[str, ...] = ()
    """Other ways in which people write it in a file."""


UNITS = {
    unit.suffix: unit
    for unit in (
        Unit("mm", "length", MM, "mm"),
        Unit("cm", "length", CM, "cm"),
        Unit("in", "length", INCH, "in", ("inch", '"')),
        Unit("deg", "angle", DEG, "°", ("degree", "degrees")),
        Unit("kg", "mass", 1.0, "kg"),
        Unit("g", "mass", GRAM, "g"),
        Unit("lb", "mass", POUND, "lb", ("lbs",)),
        Unit("n", "force", 1.0, "N"),
        Unit("lbf", "force", LBF, "lbf"),
        Unit("n_per_mm", "rate", N_PER_MM, "N/mm"),
        Unit("lbf_in", "rate", LBF_PER_IN, "lbf/in", ("lb/in", "lbs/in")),
        Unit("bar", "pressure", BAR, "bar"),
        Unit("psi", "pressure", PSI, "psi"),
        Unit("j", "energy", 1.0, "J"),
        Unit("w", "power", 1.0, "W"),
        Unit("s", "time", 1.0, "s"),
        Unit("kmh", "speed", KMH, "km/h", ("kph",)),
        Unit("mm_s", "shaft speed", MM, "mm/s"),
        Unit("m_s", "shaft speed", 1.0, "m/s"),
        Unit("in_s", "shaft speed", INCH, "in/s"),
        Unit("n_s_per_mm", "damping", N_PER_MM, "N s/mm", ("N·s/mm",)),
        Unit("hz", "frequency", 1.0, "Hz"),
        Unit("pct", "share", PCT, "%", ("percent",)),
        Unit("nm", "torque", 1.0, "N m", ("N·m",)),
        Unit("turns", "turns", 1.0, "turns", ("turn",)),
        Unit("clicks", "clicks", 1.0, "clicks", ("click",)),
        Unit("cm2", "area", CM2, "cm²"),
        Unit("cm3", "volume", CM3, "cm³"),
    )
}
"""Every unit suffix that a public name may end in. A test refuses any other."""

SUFFIXES = tuple(sorted(UNITS, key=len, reverse=True))
"""The suffixes, longest first, so that ``_n_per_mm`` is not read as ``_mm``."""

_SPELLED = {
    spelling.lower(): unit for unit in UNITS.values() for spelling in (unit.suffix, unit.symbol, *unit.spellings)
}
_QUANTITY = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*+([^\s\d.,+-].*)", re.DOTALL)
_LONGEST_SHOWN = 60


def _a(kind: str) -> str:
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def suffix_of(name: str) -> str | None:
    """Unit suffix of a name, or None: ``"rate_n_per_mm"`` gives ``"n_per_mm"``."""
    return next((suffix for suffix in SUFFIXES if name.endswith("_" + suffix)), None)


def read_quantity(text: str, suffix: str) -> float:
    """Read a number written with its unit.

    Parameters
    ----------
    text : str
        As a person writes it: ``"500 lbf/in"``, ``"2.4 in"``.
    suffix : str
        Unit wanted, one of `SUFFIXES`.

    Returns
    -------
    float
        The value in the unit wanted.

    Raises
    ------
    UnitError
        If the text is no number with a unit, or the unit measures something else.
    """
    wanted = UNITS[suffix]
    found = _QUANTITY.fullmatch(text.strip())
    text = text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}..."
    if found is None:
        raise UnitError(f'"{text}" is not a number with a unit; write it as "12.5 {wanted.symbol}" or as a bare number')
    number, spelled = found[1], found[2]
    unit = _SPELLED.get(spelled.lower())
    same_kind = ", ".join(u.symbol for u in UNITS.values() if u.kind == wanted.kind)
    if unit is None:
        raise UnitError(
            f'"{spelled[:_LONGEST_SHOWN]}" is not a unit known here; {_a(wanted.kind)} may be in {same_kind}'
        )
    if unit.kind != wanted.kind:
        raise UnitError(f'"{text}" is {_a(unit.kind)}, but {_a(wanted.kind)} is wanted ({same_kind})')
    return convert(float(number), unit.suffix, suffix)


def convert(value: float, suffix: str, to: str) -> float:
    """The same quantity in another unit of its kind.

    Parameters
    ----------
    value : float
        Number in the first unit.
    suffix, to : str
        Unit it is in, and unit wanted; both from `SUFFIXES`.

    Returns
    -------
    float
        Number in the second unit.

    Raises
    ------
    UnitError
        If the two do not measure the same thing.
    """
    first, second = UNITS[suffix], UNITS[to]
    if first.kind != second.kind:
        raise UnitError(f"{first.symbol} measures {_a(first.kind)} and {second.symbol} {_a(second.kind)}")
    return value if first is second else value * first.si / second.si


def written(value: float, suffix: str, like: str) -> str:
    """A value (in ``suffix``) as a text in the unit that another text is written in.

    Keeps what a person wrote: a spring typed in lbf/in is written back in lbf/in.

    >>> written(78.807, "n_per_mm", "500 lbf/in")
    '450 lbf/in'
    """
    found = _QUANTITY.fullmatch(like.strip())
    unit = _SPELLED[found[2].lower()] if found else UNITS[suffix]
    spelled = found[2] if found else unit.symbol
    number = convert(value, suffix, unit.suffix)
    digits = max(6, len(str(int(abs(number)))) + 3)  # three decimals of a long number, more of a small one
    return f"{float(f'{number:.{digits}g}'):.10g} {spelled}"
