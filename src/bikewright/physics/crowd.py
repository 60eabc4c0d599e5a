"""Crowd: what share of people lies inside regions of stature and inseam.

Question answered   How many of a population does a size reach, any size, two sizes at once?
Method              Stature and inseam are jointly normal. A region is a polygon; over each stretch of stature in which
                    no corner and no crossing lies, its edges are straight, the inseam's share between two edges is a
                    difference of normal curves, and the stretch is summed by Gauss's rule.
Axes and signs      A point is (stature, inseam).
Left out            Tails that are not normal; people nobody surveyed.
Theory              docs/theory/crowd.md
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import chain, combinations, pairwise, product

import numpy as np
import numpy.typing as npt

from bikewright.errors import OutsideValidity
from bikewright.physics.plane import Point
from bikewright.physics.population import ANSUR_II, INSEAM_ON_STATURE, Build

Floats = npt.NDArray[np.float64]

FEWEST = 30
"""People that a mean and a spread are taken of at least: with fewer, a share of one half is uncertain by more than
18 points (two standard errors; common practice)."""

ALIGNED = 1.0 - 1e-9
"""Correlation of people who all lie on one line, which rounding must not take past 1 [-]."""
REACH = 8.0
"""Deviations of the stature either way that are summed; less than 1e-14 lies beyond [-]."""
WIDEST = 0.5
"""Widest stretch summed at once, in deviations of the stature [-]."""
NARROW = 0.2
"""Spread about the line of regression, over the inseam's own, below which an edge passes the people of one stature
faster than the points of a stretch can follow [-]."""
PASSED = (-8.0, -4.0, -2.0, 0.0, 2.0, 4.0, 8.0)
"""Places in such a spread, in deviations, at which a stretch is cut then [-]."""
_AT, _WEIGHT = (np.asarray(values) for values in np.polynomial.legendre.leggauss(8))

_erf = np.frompyfunc(math.erf, 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class People:
    """Stature and inseam of a population, jointly normal."""

    stature: float
    """Mean [m]."""
    stature_deviation: float
    """Standard deviation [m]."""
    inseam: float
    """Mean [m]."""
    inseam_deviation: float
    """Standard deviation [m]."""
    correlation: float
    """[-]"""

    def inseam_at(self, stature: float) -> float:
        """Mean inseam of people of a stature.

        Parameters
        ----------
        stature : float
            Floor to vertex. [m]

        Returns
        -------
        float
            On the line of regression. [m]
        """
        return self.inseam + self.correlation * self.inseam_deviation * self._steps(stature)

    def share_shorter(self, stature: float) -> float:
        """Share of people who are shorter than a stature.

        Parameters
        ----------
        stature : float
            Floor to vertex. [m]

        Returns
        -------
        float
            0 to 1. [-]
        """
        return 0.5 * (1.0 + math.erf(self._steps(stature) / math.sqrt(2.0)))

    def contour(self, share: float, points: int = 72) -> tuple[Point, ...]:
        """Ellipse that holds a share of the people.

        Parameters
        ----------
        share : float
            Between 0 and 1. [-]
        points : int
            How many to give.

        Returns
        -------
        tuple of tuple
            (stature, inseam), the first one again at the end. [m]

        Notes
        -----
        The square of the distance from the mean, in deviations, is chi-squared with two degrees of freedom: the radius
        of the ellipse is ``sqrt(-2 ln(1 - share))``.
        """
        radius, aside = math.sqrt(-2.0 * math.log(1.0 - share)), math.sqrt(1.0 - self.correlation**2)
        turns = [2.0 * math.pi * k / points for k in range(points + 1)]
        return tuple(
            (
                self.stature + radius * self.stature_deviation * math.cos(turn),
                self.inseam
                + radius * self.inseam_deviation * (self.correlation * math.cos(turn) + aside * math.sin(turn)),
            )
            for turn in turns
        )

    @property
    def spread(self) -> float:
        """Standard deviation of the inseam of people of one stature [m]."""
        return self.inseam_deviation * math.sqrt(1.0 - self.correlation**2)

    def _steps(self, stature: float) -> float:
        return (stature - self.stature) / self.stature_deviation


def surveyed(build: Build) -> People:
    """Men or women of the survey.

    Parameters
    ----------
    build : {"male", "female"}
        Part of the population.

    Returns
    -------
    People
        Means, deviations and correlation of ANSUR II. [m, -]
    """
    stature, inseam = ANSUR_II[build]["stature"], ANSUR_II[build]["inseam"]
    return People(
        stature=stature.mean,
        stature_deviation=stature.deviation,
        inseam=inseam.mean,
        inseam_deviation=inseam.deviation,
        correlation=INSEAM_ON_STATURE[build].correlation,
    )


def measured(people: Sequence[Point]) -> People:
    """A population from people who were measured.

    Parameters
    ----------
    people : sequence of tuple
        (stature, inseam) of each. [m]

    Returns
    -------
    People
        Means, deviations and correlation of the sample. [m, -]

    Raises
    ------
    OutsideValidity
        If there are fewer than `FEWEST`, or all are alike.
    """
    if len(people) < FEWEST:
        raise OutsideValidity(
            f"{len(people)} people are too few to say how stature and inseam are spread; give at least {FEWEST}"
        )
    table = np.asarray(people, dtype=np.float64)
    mean, deviation = table.mean(axis=0), table.std(axis=0, ddof=1)
    if not (deviation > 1e-6).all():  # alike but for rounding
        raise OutsideValidity("all people of the list have one stature or one inseam; give measured people")
    aside = (table - mean) / deviation
    correlation = float((aside[:, 0] * aside[:, 1]).sum()) / (len(people) - 1)
    return People(
        stature=float(mean[0]),
        stature_deviation=float(deviation[0]),
        inseam=float(mean[1]),
        inseam_deviation=float(deviation[1]),
        correlation=math.copysign(min(abs(correlation), ALIGNED), correlation),
    )


def share_inside(people: People, regions: Sequence[Sequence[Point]], wanted: int) -> float:
    """Share of people inside so many of some regions, or more.

    Parameters
    ----------
    people : People
        The population. [m]
    regions : sequence of sequence of tuple
        Polygons by their corners, (stature, inseam); an empty one holds nobody. [m]
    wanted : int
        1 for any of them, as many as there are for all.

    Returns
    -------
    float
        0 to 1. [-]
    """
    edges = [edge for number, region in enumerate(regions) for edge in _edges(region, number)]
    if not edges or wanted < 1:
        return 0.0
    total = 0.0
    for low, high in pairwise(_breaks(people, edges)):
        middle = 0.5 * (low + high)
        here = sorted((edge for edge in edges if edge.holds(middle)), key=lambda edge: edge.at(middle))
        statures = middle + 0.5 * (high - low) * _AT
        between = np.zeros_like(statures)
        for lower, upper in _runs(here, wanted):
            between += _below(people, statures, upper.along) - _below(people, statures, lower.along)
        steps = (statures - people.stature) / people.stature_deviation
        density = np.exp(-0.5 * steps * steps) / (math.sqrt(2.0 * math.pi) * people.stature_deviation)
        total += 0.5 * (high - low) * float(_WEIGHT @ (density * between))
    return min(max(total, 0.0), 1.0)


def is_inside(point: Point, region: Sequence[Point]) -> bool:
    """Whether a person lies inside a region.

    Parameters
    ----------
    point : tuple of float
        (stature, inseam). [m]
    region : sequence of tuple
        Corners of a polygon. [m]

    Returns
    -------
    bool
        By the number of edges below the point.
    """
    below = [edge for edge in _edges(region) if edge.holds(point[0]) and edge.at(point[0]) <= point[1]]
    return len(below) % 2 == 1


@dataclass(frozen=True, slots=True)
class _Edge:
    """An edge of a region from left to right."""

    left: Point
    """(stature, inseam) [m]."""
    right: Point
    """(stature, inseam) [m]."""
    region: int
    """Number of the region that it bounds."""

    def holds(self, x: float) -> bool:
        return self.left[0] <= x < self.right[0]

    def at(self, x: float) -> float:
        return float(self.along(np.asarray(x)))

    def along(self, x: Floats) -> Floats:
        (x1, y1), (x2, y2) = self.left, self.right
        return np.asarray(y1 + (y2 - y1) * (x - x1) / (x2 - x1))


def _edges(region: Sequence[Point], number: int = 0) -> list[_Edge]:
    """Edges of a polygon; upright ones bound no inseam."""
    found = []
    for a, b in pairwise((*region, *region[:1])):
        if a[0] != b[0]:
            found.append(_Edge(min(a, b), max(a, b), number))
    return found


def _breaks(people: People, edges: Sequence[_Edge]) -> list[float]:
    """Statures between which every edge is straight and none crosses another; none further apart than `WIDEST`.

    Where the inseam is all but told by the stature, the edges are cut where the people of one stature lie, too.
    """
    low, high = (people.stature + sign * REACH * people.stature_deviation for sign in (-1.0, 1.0))
    tight = people.spread < NARROW * people.inseam_deviation
    least, most = people.inseam_at(low), people.inseam_at(high)
    crowd = [
        _Edge((low, least + off), (high, most + off), -1)
        for off in (step * people.spread for step in (PASSED if tight else ()))
    ]
    found = {low, high, *(x for edge in edges for x in (edge.left[0], edge.right[0]))}
    for one, other in chain(combinations(edges, 2), product(edges, crowd)):
        left, right = max(one.left[0], other.left[0]), min(one.right[0], other.right[0])
        if left < right:
            first, last = one.at(left) - other.at(left), one.at(right) - other.at(right)
            if first * last < 0.0:
                found.add(left + (right - left) * first / (first - last))
    outer = sorted(x for x in found if low <= x <= high)
    even: list[float] = outer[:1]
    for a, b in pairwise(outer):
        parts = math.ceil((b - a) / (WIDEST * people.stature_deviation))
        even += [a + (b - a) * k / parts for k in range(1, parts + 1)]
    return even


def _runs(edges: Sequence[_Edge], wanted: int) -> list[tuple[_Edge, _Edge]]:
    """Pairs of edges, from below, between which at least so many regions lie."""
    inside: set[int] = set()
    runs: list[tuple[_Edge, _Edge]] = []
    start: _Edge | None = None
    for edge in edges:
        inside ^= {edge.region}
        if start is None and len(inside) >= wanted:
            start = edge
        elif start is not None and len(inside) < wanted:
            runs.append((start, edge))
            start = None
    return runs


def _below(people: People, statures: Floats, edge: Callable[[Floats], Floats]) -> Floats:
    """Share of the people of each stature whose inseam is below an edge."""
    steps = (statures - people.stature) / people.stature_deviation
    mean = people.inseam + people.correlation * people.inseam_deviation * steps
    z = (edge(statures) - mean) / (people.spread * math.sqrt(2.0))
    return 0.5 * (1.0 + np.asarray(_erf(z), dtype=np.float64))
