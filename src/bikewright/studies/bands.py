"""Bands: between which statures a size fits people of one build, for each proportion of the legs.

Seven lines of one inseam over stature each, from the mean outward: an edge lies near that on the line before, so that
a size takes some tens of riders, not thousands. Between two lines that different bounds end stands a corner; where the
next line fits nobody, the region ends in a tip.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from bikewright.model.build import Build
from bikewright.physics.body import INSEAM_SHARE
from bikewright.physics.population import INSEAM_ON_STATURE
from bikewright.physics.population import Build as Column
from bikewright.studies.bounds import SEATPOST, Bound, Ranges, bounds_for, person
from bikewright.studies.edge_search import ASKED_MM, Asked, Found, Rooms, corner

Point = tuple[float, float]
"""(stature, inseam) [mm]."""

SHARE_STEPS = (1.0, 2.0, 3.0)
"""Lines of inseam over stature beside the mean one, either way, in standard deviations of the survey."""
TIP_HALVINGS = 2
"""Halvings of the way to a proportion that fits nobody, where the tip is no corner of two bounds."""
FINEST = 0.5
"""Lines are put between two others until they are so near, in standard deviations, where their corner is not found."""


@dataclass(frozen=True, slots=True)
class Edge:
    """One end of a band."""

    stature_mm: float
    inseam_mm: float
    bound: Bound | None
    """What ends the band; None where it goes on beyond the statures that are asked about."""


@dataclass(frozen=True, slots=True)
class Line:
    """The band along one proportion of the legs."""

    share: float
    """Inseam over stature [-]."""
    low: Edge
    high: Edge
    slopes: tuple[float, float]
    """Room per millimetre of stature at the low and the high edge, in scales [1/mm]."""


@dataclass(frozen=True, slots=True)
class Corner:
    """Where one bound of a band gives way to another."""

    share: float
    """Inseam over stature [-]."""
    stature_mm: float
    side: str
    """``low``, ``high``, or ``tip`` where both edges meet."""


@dataclass(frozen=True, slots=True)
class Band:
    """Whom one size fits, for men or for women."""

    column: Column
    lines: tuple[Line, ...]
    """From the shortest legs for the stature to the longest; without the proportions that fit nobody."""
    middle: Line | None
    """At the mean proportion; None where nobody of it fits."""
    nearest: Bound | None
    """Where nobody of the mean proportion fits: what the nearest of them misses."""
    nearest_mm: float
    """Stature of that rider."""
    corners: tuple[Corner, ...] = ()
    """Between the lines: where one bound gives way to another."""

    @property
    def outline(self) -> tuple[Point, ...]:
        """Corners of the region, (stature, inseam), the low edges first, from short legs to long ones [mm]."""
        if not self.lines:
            return ()
        lows = [(line.share, line.low.stature_mm) for line in self.lines]
        highs = [(line.share, line.high.stature_mm) for line in self.lines]
        lows += [(one.share, one.stature_mm) for one in self.corners if one.side != "high"]
        highs += [(one.share, one.stature_mm) for one in self.corners if one.side == "high"]
        whole = (*sorted(lows), *sorted(highs, reverse=True))
        return tuple((stature, share * stature) for share, stature in whole) if len(whole) > 2 else ()


def band_of(
    build: Build,
    column: Column,
    guesses: Iterable[float] = (),
    ranges: Ranges | None = None,
    near: Line | None = None,
) -> Band:
    """Whom a build fits.

    Parameters
    ----------
    build : Build
        In its size, without a saddle height of its own (`without_saddle_height`).
    column : {"male", "female"}
        Proportions and spread that are asked about.
    guesses : iterable of float
        Statures that may fit, to begin with [mm].
    ranges : mapping of (posture, angle) to (low, high), optional
        Bounds that stand in place of the fit's own.
    near : Line, optional
        A band that is nearly the same, as that of men is for women, to begin with.

    Returns
    -------
    Band
        Its edges along each proportion of the legs.

    Raises
    ------
    NotKnown
        If hands, cranks or seat tube are missing.
    """

    def rooms(share: float, stature: float) -> tuple[Bound, ...]:
        return bounds_for(build, person(stature, share * stature, column), ranges)

    return band_from(rooms, column, guesses, near)


def band_from(rooms: Rooms, column: Column, guesses: Iterable[float] = (), near: Line | None = None) -> Band:
    """The band of a function that gives every bound for (inseam over stature, stature in mm)."""
    mean, deviation = INSEAM_SHARE[column], INSEAM_ON_STATURE[column].share_deviation
    asked, starts = Asked(rooms, mean), list(guesses)
    middle = None if near is None else _line(asked, (near,), starts)
    if middle is None:
        middle = _line(asked, (), starts)
    lines = [] if middle is None else [middle]
    corners: list[Corner] = []
    for side in (-1.0, 1.0):
        found = [] if middle is None else [middle]
        for steps in SHARE_STEPS:
            share = mean + side * steps * deviation
            beyond = Asked(rooms, share)
            line = _line(beyond, found, starts, climb=not found)
            tip = None if line is not None or not found else _met(rooms, found, share)
            if line is None and tip is None:
                line = _line(beyond, found, starts)
            if line is None and found:
                corners += [] if tip is None else [tip]
                found += _halved(rooms, found, share) if tip is None else []
                break  # proportions beyond this one fit less
            found += [] if line is None else [line]
        lines += found if middle is None else found[1:]
    lines.sort(key=lambda line: line.share)
    more, between = _between_lines(rooms, lines, FINEST * deviation)
    nearest_mm = asked.nearest()
    return Band(
        column=column,
        lines=tuple(sorted((*lines, *more), key=lambda line: line.share)),
        middle=middle,
        nearest=asked.at(nearest_mm) if middle is None else None,
        nearest_mm=nearest_mm,
        corners=(*corners, *between),
    )


def _between_lines(rooms: Rooms, lines: Sequence[Line], finest: float) -> tuple[list[Line], list[Corner]]:
    """Corners between neighbouring lines; where one is not found, more lines."""
    more: list[Line] = []
    corners: list[Corner] = []
    pending = list(pairwise(lines))
    while pending:
        one, other = pending.pop()
        found, whole = [], True
        for side, first, second in (("low", one.low, other.low), ("high", one.high, other.high)):
            if first.bound is None or second.bound is None or first.bound.name == second.bound.name:
                continue
            start = 0.5 * (one.share + other.share), 0.5 * (first.stature_mm + second.stature_mm)
            at = corner(rooms, first.bound.name, second.bound.name, start, 0.2 * (other.share - one.share))
            if at is None or not one.share < at[0] < other.share:
                whole = False
            else:
                found.append(Corner(*at, side))
        if whole or other.share - one.share < 1.5 * finest:
            corners += found
            continue
        middle = _line(Asked(rooms, 0.5 * (one.share + other.share)), (one,), [])
        if middle is None:
            corners += found
        else:
            more.append(middle)
            pending += [(one, middle), (middle, other)]
    return more, corners


def _met(rooms: Rooms, found: Sequence[Line], beyond: float) -> Corner | None:
    """The tip before a line that seems to fit nobody, where both edges of the last one meet; None where they do not."""
    last = found[-1]
    low, high = last.low, last.high
    if low.bound is None or high.bound is None:
        return None
    start = 0.5 * (last.share + beyond), 0.5 * (low.stature_mm + high.stature_mm)
    at = corner(rooms, low.bound.name, high.bound.name, start, 0.2 * (beyond - last.share))
    if at is None or not min(last.share, beyond) < at[0] < max(last.share, beyond):
        return None
    return Corner(*at, "tip")


def _halved(rooms: Rooms, found: Sequence[Line], beyond: float) -> list[Line]:
    """Lines that halve the way to a proportion that fits nobody, so that the region's end is not cut off."""
    tip: list[Line] = []
    held = found[-1].share
    for _ in range(TIP_HALVINGS):
        share = 0.5 * (held + beyond)
        line = _line(Asked(rooms, share), [*found, *tip], [])
        if line is None:
            beyond = share
        else:
            tip.append(line)
            held = share
    return tip


def _line(asked: Asked, beside: Sequence[Line], guesses: list[float], climb: bool = True) -> Line | None:
    """The band of one proportion; it lies near the ones beside it, the nearest last.

    Without ``climb`` a rider who fits is not looked for further than half way between the edges that are guessed.
    """
    if beside:
        (low_guess, low_slope), (high_guess, high_slope) = _carried(beside, asked.share)
        if low_guess < high_guess:
            low = asked.near(low_guess, low_slope)
            high = None if low is None else asked.near(high_guess, high_slope)
            if low is not None and high is not None and low[0] < high[0] and low[2] > 0.0 > high[2]:
                return _between(asked, low, high)
        guesses = [0.5 * (low_guess + high_guess)]
        if not climb and not asked.fits(guesses[0]):
            return None
    inside = asked.anywhere(guesses, widely=not beside)
    return None if inside is None else _between(asked, asked.edge(inside, -1.0), asked.edge(inside, 1.0))


def _between(asked: Asked, low: Found, high: Found) -> Line:
    share = asked.share
    return Line(
        share,
        Edge(low[0], share * low[0], low[1]),
        Edge(high[0], share * high[0], high[1]),
        (low[2], high[2]),
    )


def _carried(beside: Sequence[Line], share: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where the edges of a line may lie and how steep the room is there: straight on from the two lines beside it, or
    from one the same stature, and the same inseam where the seat ends the band."""
    last, guesses = beside[-1], []
    for at, edge in enumerate((last.low, last.high)):
        guess = edge.stature_mm
        if edge.bound is not None and edge.bound.where == SEATPOST:
            guess = edge.inseam_mm / share
        elif len(beside) > 1:
            before = (beside[-2].low, beside[-2].high)[at]
            guess += (guess - before.stature_mm) * (share - last.share) / (last.share - beside[-2].share)
        guesses.append((min(max(guess, ASKED_MM[0]), ASKED_MM[1]), last.slopes[at]))
    return guesses[0], guesses[1]
