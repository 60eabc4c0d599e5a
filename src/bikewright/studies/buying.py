"""A firm's own list of buyers beside the coverage: which sizes the model would have named for each of them.

A size is named where the buyer's stature and inseam lie inside its region; named first is, among those, the size whose
own rider is nearest in stature. A buyer whom no size fits is told what the nearest size misses, and by how much.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from bikewright.model.people_file import People, Person
from bikewright.physics.crowd import is_inside
from bikewright.physics.population import Build as Column
from bikewright.studies.bounds import Bound, bounds_for, person, tightest
from bikewright.studies.coverage import Coverage, SizeCoverage, column_of, inseam_of

TOLD = 20
"""Buyers whom no size fits and who are told what the nearest misses; the others are counted."""
FEW = 20
"""Below so many, a share of returns is chance more than fit: told beside it. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Buyer:
    """One buyer of the list."""

    person: Person
    inseam_mm: float
    """Measured, else by the mean share of the stature."""
    named: tuple[str, ...]
    """Sizes that fit, the smallest first."""
    first: str
    """The one of them that is named first; empty where none fits."""
    nearest: str = ""
    """Where none fits: the size that misses least."""
    bound: Bound | None = None
    """What that size misses."""

    @property
    def bought_fits(self) -> bool | None:
        """Whether the size bought is among the named; None where the list does not say a size."""
        return self.person.size in self.named if self.person.size else None


@dataclass(frozen=True, slots=True)
class Part:
    """So many out of so many."""

    count: int
    of: int

    @property
    def pct(self) -> float | None:
        """In per cent; None out of nobody."""
        return 100.0 * self.count / self.of if self.of else None


@dataclass(frozen=True, slots=True)
class Buyers:
    """The list beside the coverage."""

    coverage: Coverage
    file: str
    buyers: tuple[Buyer, ...]

    @property
    def agree(self) -> Part:
        """Buyers whose size is among the named, of those whose size is known."""
        said = [buyer.bought_fits for buyer in self.buyers if buyer.bought_fits is not None]
        return Part(sum(said), len(said))

    @property
    def agree_first(self) -> Part:
        """Buyers whose size is the one named first."""
        said = [buyer for buyer in self.buyers if buyer.person.size]
        return Part(sum(buyer.first == buyer.person.size for buyer in said), len(said))

    def returned(self, fits: bool) -> Part:
        """Buyers who gave the bike back, of those whose bought size fits, or does not."""
        said = [
            buyer.person.returned
            for buyer in self.buyers
            if buyer.person.returned is not None and buyer.bought_fits is fits
        ]
        return Part(sum(said), len(said))

    @property
    def unfitted(self) -> tuple[Buyer, ...]:
        """Buyers whom no size fits."""
        return tuple(buyer for buyer in self.buyers if not buyer.named)


def lay_beside(coverage: Coverage, people: People) -> Buyers:
    """A list of people beside a coverage.

    Parameters
    ----------
    coverage : Coverage
        Regions of the sizes.
    people : People
        The list.

    Returns
    -------
    Buyers
        One entry a line of the list.
    """
    outlines = {
        (size.size, column): size.band(column).outline for size in coverage.sizes for column in ("male", "female")
    }
    found: list[Buyer] = []
    told = 0
    for one in people.people:
        column, inseam = column_of(one), inseam_of(one)
        inside = [size for size in coverage.sizes if is_inside((one.height_mm, inseam), outlines[(size.size, column)])]
        first = nearest_own(inside, one.height_mm)
        nearest, bound = "", None
        if not inside and told < TOLD:
            nearest, bound = _nearest(coverage, one.height_mm, inseam, column)
            told += 1
        found.append(Buyer(one, inseam, tuple(size.size for size in inside), first, nearest, bound))
    return Buyers(coverage, people.file, tuple(found))


def nearest_own(sizes: Sequence[SizeCoverage], stature_mm: float) -> str:
    """Of some sizes the one whose own rider is nearest in stature; empty for none."""
    if not sizes:
        return ""
    known = [size for size in sizes if size.own is not None] or list(sizes)

    def away(size: SizeCoverage) -> float:
        return 0.0 if size.own is None else abs(size.own.rider.stature_mm - stature_mm)

    return min(known, key=away).size


def _nearest(coverage: Coverage, stature_mm: float, inseam_mm: float, column: Column) -> tuple[str, Bound | None]:
    """The size that somebody misses least, and by what."""
    rider = person(stature_mm, inseam_mm, column)
    found = [(size.size, tightest(bounds_for(size.build, rider, coverage.ranges))) for size in coverage.sizes]
    return max(found, key=lambda one: one[1].room)
