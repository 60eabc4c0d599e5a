"""Round numbers along an axis.

Question answered   Where do the ticks of this axis stand, and how are they written?
Method              The least step of 1, 2, 2.5 or 5 times a power of ten that does not give more steps than wanted.
"""

import math
from dataclasses import dataclass

from bikewright.reports.numbers import number_text


@dataclass(frozen=True, slots=True)
class Ticks:
    """Round numbers along an axis."""

    at: tuple[float, ...]
    decimals: int
    low: float
    high: float


def nice_ticks(low: float, high: float, wanted: int, *, tight: bool = False) -> Ticks:
    """Round numbers that span a range in about the wanted number of steps.

    Parameters
    ----------
    low, high : float
        Range, the higher end last [unit of the axis].
    wanted : int
        Most steps that look well.
    tight : bool
        Keep the range as it is; otherwise it grows to the next round number at both ends.

    Returns
    -------
    Ticks
        Places of the ticks, the decimals that they need, and the range of the axis.
    """
    if high <= low:
        spare = abs(low) * 0.05 or 1.0
        low, high = low - spare, high + spare
    rough = (high - low) / wanted
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in (1.0, 2.0, 2.5, 5.0, 10.0) if factor * power >= rough * (1 - 1e-9))
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    if tight:
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    else:
        low, high = first * step, last * step
    decimals = next((d for d in range(9) if abs(round(step, d) - step) < 1e-9 * step), 9)
    return Ticks(tuple(number * step for number in range(first, last + 1)), decimals, low, high)


def tick_text(value: float, ticks: Ticks) -> str:
    """A tick's number, with the decimals that its axis needs."""
    return number_text(value, ticks.decimals)
