"""Edges of a band: roots of the room of a rider's tightest bound, along one proportion of the legs, and its corners.

Along a line of one inseam over stature the room inside the tightest bound is a continuous function of the stature. An
edge is bracketed from a rider who fits and closed by false position, or found from the edge beside it by a few secant
steps. A corner, where the bound that ends the band gives way to another, is a root of both rooms in two unknowns.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from bikewright.studies.bounds import Bound, tightest

Found = tuple[float, Bound | None, float]
"""Stature of an edge, what ends the band there, and the room per millimetre of stature [mm, 1/mm]."""

Rooms = Callable[[float, float], tuple[Bound, ...]]
"""Every bound of a rider of (inseam over stature, stature in mm)."""

ASKED_MM = (1300.0, 2150.0)
"""Statures that are asked about; a band that goes on beyond is open there."""
COARSE_MM = 75.0
"""Between the statures at which a first rider who fits is looked for."""
WITHIN_MM = 0.5
"""How surely an edge is known."""
CLOSE_MM = 0.3
"""An edge is found where the room, over its slope, is no more."""
CORNER_CLOSE = 0.02
"""The same for a corner, and how far outside another bound it may lie."""
NARROWEST_MM = 4.0
"""Half the width of a band beside another one that is looked for; a narrower one is the tip of the region."""
FLAT_SLOPE = 0.002
"""Room per millimetre of an edge as flat as most: two degrees over a hundred."""
UNKNOWN_SLOPE = 0.01
"""Room per millimetre where it is not known: a degree over ten."""
STEP_MM = 30.0
"""First step outward from a rider who fits."""


@dataclass(slots=True)
class Asked:
    """The tightest bound along one proportion of the legs, each stature computed once."""

    rooms: Rooms
    share: float
    """Inseam over stature [-]."""
    known: dict[float, Bound] = field(default_factory=dict)
    """Tightest bound by stature [mm]."""

    def at(self, stature: float) -> Bound:
        if stature not in self.known:
            self.known[stature] = tightest(self.rooms(self.share, stature))
        return self.known[stature]

    def fits(self, stature: float) -> bool:
        return self.at(stature).room >= 0.0

    def anywhere(self, guesses: list[float], widely: bool) -> float | None:
        """A stature that fits, or None: a guess, where asked widely an even search, then uphill from the best."""
        low, high = ASKED_MM
        even = [low + COARSE_MM * k for k in range(int((high - low) / COARSE_MM) + 1)]
        tried: tuple[float, ...] = (*guesses, *(even if widely else ()))
        for guess in tried:
            if self.fits(guess):
                return guess
        best, step = self.nearest(), 0.5 * COARSE_MM
        while step > (WITHIN_MM if widely else NARROWEST_MM) and self.at(best).room > float("-inf"):
            best = max((max(best - step, low), best, min(best + step, high)), key=lambda stature: self.at(stature).room)
            if self.fits(best):
                return best
            step *= 0.5
        return None

    def nearest(self) -> float:
        """The stature that misses least among those that were asked."""
        return max(self.known, key=lambda stature: self.known[stature].room)

    def edge(self, inside: float, sign: float) -> Found:
        """Last stature that fits on one side of one that does, and what ends it there."""
        limit = ASKED_MM[0] if sign < 0.0 else ASKED_MM[1]
        step, reach = STEP_MM, inside + sign * STEP_MM
        while True:
            reach = max(reach, limit) if sign < 0.0 else min(reach, limit)
            if not self.fits(reach):
                return self._closed(inside, reach)
            if reach == limit:
                return limit, None, -sign * UNKNOWN_SLOPE
            inside, step = reach, 2.0 * step
            reach += sign * step

    def near(self, guess: float, slope: float) -> Found | None:
        """The edge near a guess, by a few secant steps; None where they do not get there."""
        x, here = guess, self.at(guess)
        if guess in ASKED_MM and here.room >= 0.0:
            return guess, None, slope
        flattest = min(abs(slope), FLAT_SLOPE)  # another bound may end this line, less steeply
        for _ in range(5):
            if slope == 0.0 or not abs(here.room) < 10.0:
                return None
            if abs(here.room) < CLOSE_MM * flattest:
                return x, here, slope
            following = min(max(x - here.room / slope, x - 150.0), x + 150.0)
            if not ASKED_MM[0] < following < ASKED_MM[1]:
                return None
            after = self.at(following)
            slope = (after.room - here.room) / (following - x)
            flattest = abs(slope)
            x, here = following, after
        return None

    def _closed(self, inside: float, outside: float) -> Found:
        """Edge between one that fits and one that does not: false position (Illinois), halving where what is outside
        has no number."""
        a, b = self.at(inside).room, self.at(outside).room
        last, slope = 0, (a - b) / (inside - outside) if b > float("-inf") else UNKNOWN_SLOPE
        while abs(outside - inside) > WITHIN_MM:
            known = b > float("-inf")
            middle = inside + (outside - inside) * (a / (a - b) if known else 0.5)
            here = self.at(middle)
            if known:
                slope = (a - here.room) / (inside - middle) if middle != inside else slope
                falls = slope * (outside - inside) < 0.0  # else it is the other edge that is near
                if falls and abs(here.room) < CLOSE_MM * abs(slope):
                    return middle, here, slope
            if here.room > 0.0:
                inside, a = middle, here.room
                b, last = (0.5 * b, 1) if last == 1 else (b, 1)
            else:
                outside, b = middle, here.room
                a, last = (0.5 * a, -1) if last == -1 else (a, -1)
        return inside, self.at(outside), slope


def corner(
    rooms: Rooms,
    first: tuple[str, str, str],
    second: tuple[str, str, str],
    start: tuple[float, float],
    share_step: float,
) -> tuple[float, float] | None:
    """Where a rider is at two bounds at once.

    Parameters
    ----------
    rooms : callable
        Every bound of a rider.
    first, second : tuple of str
        Names of both bounds.
    start : tuple of float
        Inseam over stature, and stature [-, mm].
    share_step : float
        How far the inseam over stature is varied to see how the rooms change [-].

    Returns
    -------
    tuple of float or None
        Inseam over stature, and stature [-, mm]; None where the search does not get there, or another bound is passed
        before.
    """

    def at(share: float, stature: float) -> tuple[float, float, float] | None:
        found = {bound.name: bound.room for bound in rooms(share, stature)}
        if first not in found or second not in found:
            return None
        return found[first], found[second], min(found.values())

    here, aside, along = at(*start), at(start[0] + share_step, start[1]), at(start[0], start[1] + 10.0)
    if here is None or aside is None or along is None:
        return None
    a, b = (aside[0] - here[0]) / share_step, (along[0] - here[0]) / 10.0
    c, d = (aside[1] - here[1]) / share_step, (along[1] - here[1]) / 10.0
    share, stature = start
    for _ in range(5):
        determinant = a * d - b * c
        if determinant == 0.0:
            return None
        ds, dh = (b * here[1] - d * here[0]) / determinant, (c * here[0] - a * here[1]) / determinant
        share, stature = share + ds, stature + dh
        if not (abs(share - start[0]) < 10.0 * share_step and ASKED_MM[0] < stature < ASKED_MM[1]):
            return None
        after = at(share, stature)
        if after is None:
            return None
        if max(abs(after[0]), abs(after[1])) < CORNER_CLOSE:
            return (share, stature) if after[2] > -CORNER_CLOSE else None
        # Broyden: the slopes that explain this step, changed as little as possible, each unknown by its own step
        u, v = ds / share_step**2, dh / 10.0**2
        size = ds * u + dh * v
        wrong = after[0] - here[0] - a * ds - b * dh, after[1] - here[1] - c * ds - d * dh
        a, b = a + wrong[0] * u / size, b + wrong[0] * v / size
        c, d = c + wrong[1] * u / size, d + wrong[1] * v / size
        here = after
    return None
