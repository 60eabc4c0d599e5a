"""Bands: between which statures a size fits people of one build, for each proportion of the legs.

Along a line of one inseam over stature the least room inside all bounds (joint angles, post in the seat tube) is a
continuous function of the stature. Its edges are roots, bracketed from a rider who fits and closed by false position;
the next line starts at the edges of the last one, so that a size takes some tens of riders, not thousands.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial

from bikewright.errors import AddressError, BikewrightError, NotKnown
from bikewright.model.build import Build, remade
from bikewright.model.rider import Rider
from bikewright.physics.body import INSEAM_SHARE
from bikewright.physics.population import ANSUR_II, INSEAM_ON_STATURE
from bikewright.physics.population import Build as Column
from bikewright.studies.fitting import RANGES, Fit, PostureFit, Range, fit_of
from bikewright.units import MM

SEATPOST = "seatpost"
"""Where the bound of a saddle height is."""

Point = tuple[float, float]
"""(stature, inseam) [mm]."""

Ranges = Mapping[tuple[str, str], tuple[float | None, float | None]]
"""Bounds in degrees for (posture, angle), as in ``("standing", "trunk")``."""

ASKED_MM = (1300.0, 2200.0)
"""Statures that are asked about; a band that goes on beyond is open there."""
SHARE_STEPS = (1.2, 2.4, 3.6)
"""Lines of inseam over stature beside the mean one, either way, in standard deviations of the survey."""
COARSE_MM = 75.0
"""Between the statures at which a first rider who fits is looked for."""
WITHIN_MM = 0.5
"""How surely an edge is known."""
CLOSE = 0.002
"""Room at which an edge is found, in the scales below: 0.02 degrees, 0.06 mm."""
TIP_HALVINGS = 3
"""Halvings of the way to a proportion that fits nobody."""
STEP_MM = 30.0
"""First step outward from a rider who fits."""
_BOUND = re.compile(r"\s*(\w+)\.(\w+)\s*=\s*(\d+(?:\.\d+)?)?\s*\.\.\s*(\d+(?:\.\d+)?)?\s*")
ANGLE_SCALE_DEG, LENGTH_SCALE_MM = 10.0, 30.0
"""Room of an angle and of a length that count alike; they decide no edge, only how fast it is found."""


@dataclass(frozen=True, slots=True)
class Bound:
    """One thing that a rider must be inside of, and by how much this one is."""

    where: str
    """Posture, or the seatpost."""
    what: str
    """Label of the joint angle, or of the length."""
    room: float
    """Inside by so much, negative outside, in scales; -inf where it cannot be said by how much."""
    limit: float | None = None
    """The bound itself, in degrees or millimetres; None where there is none to name."""
    side: str = ""
    """``low`` or ``high``: which end of the range."""
    unit: str = ""
    """``deg`` or ``mm``."""
    by: float | None = None
    """Outside by so much; negative inside [unit]."""
    told: str = ""
    """The reason as the fit tells it, where there is no number."""


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

    @property
    def outline(self) -> tuple[Point, ...]:
        """Corners of the region, (stature, inseam), the low edges first [mm]."""
        lows = [(line.low.stature_mm, line.low.inseam_mm) for line in self.lines]
        highs = [(line.high.stature_mm, line.high.inseam_mm) for line in reversed(self.lines)]
        return (*lows, *highs) if len(self.lines) > 1 else ()


def body_mass_kg(stature_mm: float, column: Column) -> float:
    """Mean mass of the survey, by the square of the stature. Common practice, no source."""
    people = ANSUR_II[column]
    return people["mass"].mean * (stature_mm * MM / people["stature"].mean) ** 2


def person(stature_mm: float, inseam_mm: float, column: Column, name: str = "somebody") -> Rider:
    """A rider of these lengths, saddle height by the rule of the fit."""
    return Rider(
        name=name,
        mass_kg=round(min(max(body_mass_kg(stature_mm, column), 20.0), 200.0), 1),
        stature_mm=stature_mm,
        inseam_mm=inseam_mm,
        build=column,
    )


def fit_for(build: Build, rider: Rider) -> Fit:
    """The fit of a rider on a build set up for them: at the stated sag."""
    return fit_of(build.changed(rider=rider), sag="stated")


def without_saddle_height(build: Build, size: str) -> Build:
    """A build of a size whose saddle is put where the rider's legs want it, post not lowered."""
    settings = build.settings
    if settings.saddle_height_mm is not None or settings.post_lowered_mm:
        settings = remade(settings, {"saddle_height_mm": None, "post_lowered_mm": 0.0})
    return build.changed(size=size, settings=settings)


def read_bounds(texts: Iterable[str]) -> dict[tuple[str, str], tuple[float | None, float | None]]:
    """Bounds as they are typed: ``standing.shoulder=43..52``, ``seated.trunk=..45`` where one end is open.

    Raises
    ------
    AddressError
        If a posture or an angle is not known, or the range is none: says what there is.
    """
    found: dict[tuple[str, str], tuple[float | None, float | None]] = {}
    for text in texts:
        read = _BOUND.fullmatch(text)
        if read is None or not (read[3] or read[4]):
            raise AddressError(f"'{text}' is no bound; write POSTURE.ANGLE=LOW..HIGH in degrees, an open end empty")
        posture, angle = read[1], read[2]
        if posture not in RANGES:
            raise AddressError(f"'{posture}' is no posture. There are: {', '.join(RANGES)}.")
        known: dict[str, Range] = RANGES[posture]
        if angle not in known:
            raise AddressError(f"the posture {posture} has no angle '{angle}'. There are: {', '.join(known)}.")
        low, high = (float(end) if end else None for end in (read[3], read[4]))
        if low is not None and high is not None and not low < high:
            raise AddressError(f"'{text}': no angle lies from {low:g} to {high:g}°; the lower one goes first")
        found[(posture, angle)] = low, high
    return found


def bounds_of(fit: Fit, ranges: Ranges | None = None) -> Iterator[Bound]:
    """Everything that decides whether a rider fits, with the room inside it.

    Parameters
    ----------
    fit : Fit
        The rider on the build.
    ranges : mapping of (posture, angle) to (low, high), optional
        Bounds that stand in place of the fit's own; None at an end that is open.
    """
    for posture in fit.postures:
        yield from _posture_bounds(posture, ranges or {})
    post, height = fit.dropper, fit.saddle.height_mm
    lengths = (
        (SEATPOST, "saddle height", post.lowest_mm, "low", None if post.lowest_mm is None else height - post.lowest_mm),
        (
            SEATPOST,
            "saddle height",
            post.highest_mm,
            "high",
            None if post.highest_mm is None else post.highest_mm - height,
        ),
        (SEATPOST, "lowered saddle to the tyre at full travel", 0.0, "low", post.saddle_to_tyre_mm),
        ("feet", "heel to stay", 0.0, "low", fit.cockpit.heel_to_stay_mm),
    )
    for where, what, limit, side, room in lengths:
        if room is not None:
            yield Bound(where, what, room / LENGTH_SCALE_MM, limit, side, "mm", -room)
    told = any(room is not None and room < 0.0 for where, what, *_, room in lengths if what == "saddle height")
    if post.refusal and not told:
        yield Bound(SEATPOST, "", float("-inf"), told=post.refusal)


def tightest_of(fit: Fit, ranges: Ranges | None = None) -> Bound:
    """The bound that a rider is nearest to, or furthest outside of."""
    return min(bounds_of(fit, ranges), key=lambda bound: bound.room)


def _posture_bounds(posture: PostureFit, ranges: Ranges) -> Iterator[Bound]:
    if posture.refusal:
        yield Bound(posture.label, "", float("-inf"), told=posture.refusal)
    for angle in posture.angles:
        low, high = ranges.get((posture.name, angle.name), (angle.range.low, angle.range.high))
        for side, limit in (("low", low), ("high", high)):
            if limit is not None:
                room = angle.value_deg - limit if side == "low" else limit - angle.value_deg
                yield Bound(posture.label, angle.label, room / ANGLE_SCALE_DEG, limit, side, "deg", -room)


Margin = Callable[[float], Bound]
"""Tightest bound of a rider of a stature [mm]."""


@dataclass(slots=True)
class _Asked:
    """The tightest bound along a line, each stature computed once."""

    tightest: Margin
    known: dict[float, Bound] = field(default_factory=dict)

    def at(self, stature: float) -> Bound:
        if stature not in self.known:
            self.known[stature] = self.tightest(stature)
        return self.known[stature]

    def fits(self, stature: float) -> bool:
        return self.at(stature).room >= 0.0

    def anywhere(self, guesses: list[float]) -> float | None:
        """A stature that fits, or None: an even search where there is no guess, then uphill from the best."""
        low, high = ASKED_MM
        even = [low + COARSE_MM * k for k in range(int((high - low) / COARSE_MM) + 1)]
        for tried in (guesses, even) if len(guesses) == 0 or self.far(guesses) else (guesses,):
            for guess in tried:
                if self.fits(guess):
                    return guess
        best, step = self.nearest(), 0.5 * COARSE_MM
        while step > WITHIN_MM and self.at(best).room > float("-inf"):
            best = max((max(best - step, low), best, min(best + step, high)), key=lambda stature: self.at(stature).room)
            if self.fits(best):
                return best
            step *= 0.5
        return None

    def far(self, guesses: list[float]) -> bool:
        """Whether guesses came from nowhere: none is near a rider who fits."""
        return all(self.at(guess).room == float("-inf") for guess in guesses)

    def slope(self, edge: float, inward: float) -> float:
        """Room per millimetre of stature at an edge, from the stature nearest to it on the inner side."""
        inner = [stature for stature in self.known if inward * (stature - edge) > WITHIN_MM]
        inner = [stature for stature in inner if self.known[stature].room > float("-inf")]
        if not inner or edge not in self.known or self.known[edge].room == float("-inf"):
            return inward / 100.0
        near = min(inner, key=lambda stature: abs(stature - edge))
        return (self.known[near].room - self.known[edge].room) / (near - edge)

    def nearest(self) -> float:
        """The stature that misses least among those that were asked."""
        return max(self.known, key=lambda stature: self.known[stature].room)

    def edge(self, inside: float, sign: float) -> tuple[float, Bound | None]:
        """Last stature that fits on one side of one that does, and what ends it there."""
        limit = ASKED_MM[0] if sign < 0.0 else ASKED_MM[1]
        step, reach = STEP_MM, inside + sign * STEP_MM
        while True:
            reach = max(reach, limit) if sign < 0.0 else min(reach, limit)
            if not self.fits(reach):
                return self._closed(inside, reach)
            if reach == limit:
                return limit, None
            inside, step = reach, 2.0 * step
            reach += sign * step

    def near(self, guess: float, slope: float) -> tuple[float, Bound] | None:
        """The edge near a guess, by a few secant steps; None where they do not get there."""
        x, here = guess, self.at(guess)
        for _ in range(4):
            if abs(here.room) < CLOSE:
                return x, here
            if not abs(here.room) < 10.0 or slope == 0.0:
                return None
            following = min(max(x - here.room / slope, x - 150.0), x + 150.0)
            if not ASKED_MM[0] < following < ASKED_MM[1]:
                return None
            after = self.at(following)
            slope = (after.room - here.room) / (following - x)
            x, here = following, after
        return None

    def _closed(self, inside: float, outside: float) -> tuple[float, Bound]:
        """Edge between one that fits and one that does not: false position (Illinois), halving where what is outside
        has no number."""
        a, b = self.at(inside).room, self.at(outside).room
        last = 0
        while abs(outside - inside) > WITHIN_MM:
            known = b > float("-inf")
            middle = inside + (outside - inside) * (a / (a - b) if known else 0.5)
            here = self.at(middle)
            if abs(here.room) < CLOSE:
                return middle, here
            if here.room > 0.0:
                inside, a = middle, here.room
                b, last = (0.5 * b, 1) if last == 1 else (b, 1)
            else:
                outside, b = middle, here.room
                a, last = (0.5 * a, -1) if last == -1 else (a, -1)
        return inside, self.at(outside)


def band_of(build: Build, column: Column, guesses: Iterable[float] = (), ranges: Ranges | None = None) -> Band:
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

    Returns
    -------
    Band
        Its edges along each proportion of the legs.

    Raises
    ------
    NotKnown
        If hands, cranks or seat tube are missing.
    """

    def tightest(share: float, stature: float) -> Bound:
        try:
            fit = fit_for(build, person(stature, share * stature, column))
        except NotKnown:
            raise
        except BikewrightError as error:
            return Bound("", "", float("-inf"), told=str(error))
        return tightest_of(fit, ranges)

    return band_from(tightest, column, guesses)


def band_from(tightest: Callable[[float, float], Bound], column: Column, guesses: Iterable[float] = ()) -> Band:
    """The band of a function that gives the tightest bound for (inseam over stature, stature in mm)."""
    mean, deviation = INSEAM_SHARE[column], INSEAM_ON_STATURE[column].share_deviation
    asked, starts = _Asked(partial(tightest, mean)), list(guesses)
    middle = _line(asked, mean, (), starts)
    lines = [] if middle is None else [middle]
    for side in (-1.0, 1.0):
        found = [] if middle is None else [middle]
        for steps in SHARE_STEPS:
            share = mean + side * steps * deviation
            line = _line(_Asked(partial(tightest, share)), share, found, starts)
            if line is None and found:
                found += _tip(tightest, found, share)
                break  # proportions beyond this one fit less
            found += [] if line is None else [line]
        lines += found if middle is None else found[1:]
    nearest_mm = asked.nearest()
    return Band(
        column=column,
        lines=tuple(sorted(lines, key=lambda line: line.share)),
        middle=middle,
        nearest=asked.at(nearest_mm) if middle is None else None,
        nearest_mm=nearest_mm,
    )


def _tip(tightest: Callable[[float, float], Bound], found: list[Line], beyond: float) -> list[Line]:
    """Lines towards a proportion that fits nobody, halving the way to it, so that the region's end is not cut off."""
    tip: list[Line] = []
    held = found[-1].share
    for _ in range(TIP_HALVINGS):
        share = 0.5 * (held + beyond)
        line = _line(_Asked(partial(tightest, share)), share, [*found, *tip], [])
        if line is None:
            beyond = share
        else:
            tip.append(line)
            held = share
    return tip


def _line(asked: _Asked, share: float, beside: Sequence[Line], guesses: list[float]) -> Line | None:
    """The band of one proportion; it lies near the ones beside it, the nearest last."""
    if beside:
        (low_guess, low_slope), (high_guess, high_slope) = _carried(beside, share)
        low, high = asked.near(low_guess, low_slope), asked.near(high_guess, high_slope)
        if low is not None and high is not None and low[0] < high[0]:
            return _between(asked, share, low, high)
        guesses = [0.5 * (low_guess + high_guess)]
    inside = asked.anywhere(guesses)
    if inside is None:
        return None
    return _between(asked, share, asked.edge(inside, -1.0), asked.edge(inside, 1.0))


def _between(asked: _Asked, share: float, low: tuple[float, Bound | None], high: tuple[float, Bound | None]) -> Line:
    return Line(
        share,
        Edge(low[0], share * low[0], low[1]),
        Edge(high[0], share * high[0], high[1]),
        (asked.slope(low[0], 1.0), asked.slope(high[0], -1.0)),
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
