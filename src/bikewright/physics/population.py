"""Population: how tall, long-legged and heavy people are.

Question answered   What stature, inseam, span, sitting height and mass have people, and which inseam goes with a
                    stature?
Method              Percentiles of a published survey, straight lines between them; its regression of inseam on stature.
Axes and signs      None.
Left out            Everybody but the surveyed, soldiers of one army in 2012; what is below the 1st and above the 99th
                    percentile.
Theory              docs/theory/population.md
"""

from dataclasses import dataclass
from typing import Literal

from bikewright.errors import OutsideValidity
from bikewright.units import MM

Build = Literal["male", "female"]
"""Part of the population, and column of the segment table of `body`."""

PERCENTS = (1.0, 5.0, 25.0, 50.0, 75.0, 95.0, 99.0)
"""Percentiles that the table has."""


@dataclass(frozen=True, slots=True)
class Measure:
    """How one measure is spread over a population, in SI."""

    mean: float
    """[m, or kg for the mass]"""
    deviation: float
    """Standard deviation [m, or kg for the mass]."""
    percentiles: tuple[float, ...]
    """At `PERCENTS` [m, or kg for the mass]."""


def _mm(mean: float, deviation: float, *percentiles: float) -> Measure:
    return Measure(mean * MM, deviation * MM, tuple(value * MM for value in percentiles))


def _kg(mean: float, deviation: float, *percentiles: float) -> Measure:
    return Measure(mean, deviation, percentiles)


ANSUR_II: dict[Build, dict[str, Measure]] = {
    "male": {
        "stature": _mm(1756.21, 68.55, 1601.6, 1648, 1710, 1755, 1802, 1870, 1927),
        "inseam": _mm(845.93, 46.50, 746.8, 771, 814, 845, 876, 925, 960),
        "sitting_height": _mm(918.29, 35.70, 835.8, 860, 894.2, 918, 943, 977, 1001.2),
        "span": _mm(1814.15, 84.63, 1627.8, 1680, 1757, 1812, 1868.8, 1956.9, 2028.8),
        "buttock_knee": _mm(617.95, 30.59, 550.8, 569, 597, 617, 639, 669, 692),
        "mass": _kg(85.52, 14.22, 57.8, 64.4, 75.6, 84.6, 94.4, 110.7, 124.2),
    },
    "female": {
        "stature": _mm(1628.47, 64.20, 1482.5, 1525, 1586.2, 1626, 1672, 1740, 1777.6),
        "inseam": _mm(782.32, 44.64, 685.0, 712, 753, 780, 812, 857, 888.2),
        "sitting_height": _mm(856.63, 33.05, 784, 803, 834, 857, 879, 912, 932.2),
        "span": _mm(1660.29, 82.97, 1481.7, 1529, 1605, 1657, 1712.8, 1802.8, 1860.3),
        "buttock_knee": _mm(590.59, 32.60, 519, 541, 569, 589, 610, 646, 672.2),
        "mass": _kg(67.76, 10.99, 46.7, 51.3, 60.1, 66.8, 74.6, 87.1, 97.4),
    },
}
"""C. C. Gordon and others, NATICK/TR-15/007, 2014 (ANSUR II), computed from the public data of 4082 men and 1986 women;
the inseam is its crotch height. Percentiles hold to 1 mm: ways to interpolate in a sample differ by that."""


@dataclass(frozen=True, slots=True)
class Regression:
    """Inseam on stature: a straight line with its spread."""

    slope: float
    """[-]"""
    offset: float
    """[m]"""
    correlation: float
    """Of inseam and stature [-]."""
    share_deviation: float
    """Standard deviation of inseam over stature [-]."""


INSEAM_ON_STATURE: dict[Build, Regression] = {
    "male": Regression(0.58208, -176.3 * MM, 0.858, 0.0141),
    "female": Regression(0.59038, -179.1 * MM, 0.849, 0.0151),
}
"""ANSUR II, computed from the public data."""


@dataclass(frozen=True, slots=True)
class Expected:
    """What somebody's measure is likely to be."""

    mean: float
    """[m]"""
    deviation: float
    """Standard deviation about it [m]."""


def at_percentile(build: Build, measure: str, percent: float) -> float:
    """Value that so many per cent of people stay below.

    Parameters
    ----------
    build : {"male", "female"}
        Part of the population.
    measure : str
        Key of `ANSUR_II`.
    percent : float
        From 1 to 99. [%]

    Returns
    -------
    float
        Straight between the percentiles of the table. [m, or kg for the mass]

    Raises
    ------
    OutsideValidity
        If the percentile is outside the table, or the measure is not in it.
    """
    measures = ANSUR_II[build]
    if measure not in measures:
        raise OutsideValidity(f"the survey has no measure '{measure}'; take one of {', '.join(measures)}")
    if not PERCENTS[0] <= percent <= PERCENTS[-1]:
        raise OutsideValidity(
            f"the {percent:g} % point of {measure.replace('_', ' ')} is outside the table; ask for {PERCENTS[0]:g} to "
            f"{PERCENTS[-1]:g} %"
        )
    values = measures[measure].percentiles
    place = next(k for k in range(1, len(PERCENTS)) if percent <= PERCENTS[k])
    share = (percent - PERCENTS[place - 1]) / (PERCENTS[place] - PERCENTS[place - 1])
    return values[place - 1] + share * (values[place] - values[place - 1])


def percent_below(build: Build, measure: str, value: float) -> tuple[float | None, Literal["", "below", "above"]]:
    """Share of people whose measure is smaller: `at_percentile` backwards.

    Parameters
    ----------
    build : {"male", "female"}
        Part of the population.
    measure : str
        Key of `ANSUR_II`.
    value : float
        The measure. [m, or kg for the mass]

    Returns
    -------
    tuple
        Percentage and an empty text; None and the side where the value lies outside the table. [%]

    Raises
    ------
    OutsideValidity
        If the measure is not in the table.
    """
    low, high = (at_percentile(build, measure, percent) for percent in (PERCENTS[0], PERCENTS[-1]))
    if value < low:
        return None, "below"
    if value > high:
        return None, "above"
    values = ANSUR_II[build][measure].percentiles
    place = next(k for k in range(1, len(PERCENTS)) if value <= values[k])
    share = (value - values[place - 1]) / (values[place] - values[place - 1])
    return PERCENTS[place - 1] + share * (PERCENTS[place] - PERCENTS[place - 1]), ""


def expected_inseam(stature: float, build: Build) -> Expected:
    """Inseam that goes with a stature, by regression.

    Parameters
    ----------
    stature : float
        Inside the 1st to 99th percentile. [m]
    build : {"male", "female"}
        Part of the population.

    Returns
    -------
    Expected
        Mean inseam of people of that stature, and their spread. [m]

    Raises
    ------
    OutsideValidity
        If hardly anybody surveyed was so tall or so short.

    Notes
    -----
    Spread about the line: ``s sqrt(1 - r^2)``. Tall people have longer legs for their stature than short ones;
    `rider_body` takes the mean share at every stature, which differs from this line by up to 18 mm at the 1st and 99th
    percentile.
    """
    statures = ANSUR_II[build]["stature"].percentiles
    if not statures[0] <= stature <= statures[-1]:
        raise OutsideValidity(
            f"a stature of {stature / MM:.0f} mm is outside the survey's {statures[0] / MM:.0f} to "
            f"{statures[-1] / MM:.0f} mm; measure the inseam"
        )
    line = INSEAM_ON_STATURE[build]
    spread = ANSUR_II[build]["inseam"].deviation * (1.0 - line.correlation**2) ** 0.5
    return Expected(line.slope * stature + line.offset, spread)
