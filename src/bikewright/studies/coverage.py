"""Coverage: whom each size fits, where sizes overlap or leave a gap, and how many people that is.

A size fits a rider when the bike, set up to its stated sag, lets the rider stand, climb and sit inside the bounds of
the fit, on a post that the seat tube can hold. Bands are found by `bikewright.studies.bands`; shares are those of a
surveyed population (soldiers, not customers) or of a list of people.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from bikewright.errors import AddressError, OutsideValidity
from bikewright.model.build import Build
from bikewright.model.people_file import People as PeopleFile
from bikewright.model.people_file import Person
from bikewright.model.rider import Rider
from bikewright.physics import crowd, population
from bikewright.physics.body import INSEAM_SHARE
from bikewright.studies.bands import Band, band_of
from bikewright.studies.bounds import Ranges, fit_for, person, without_saddle_height
from bikewright.studies.edge_search import ASKED_MM, WITHIN_MM
from bikewright.studies.evaluate import evaluate
from bikewright.units import MM, PCT

Column = population.Build
"""Men or women, as the survey and the segment table have them."""
COLUMNS: tuple[Column, ...] = ("male", "female")
WOMEN_PCT = 50.0
"""Share of women among the mixed: a default, not a finding."""
SOURCE = "ansur2"
"""Where the population is from when no list is given, by its key in `bikewright.sources`."""
BY_TABLE = "saddle height of the geometry table"
Tell = Callable[[int, int], None]
"""Told how many of how many bands are done."""


@dataclass(frozen=True, slots=True)
class Shares:
    """Parts of a population in per cent. None where nobody of that kind is in it."""

    men_pct: float | None
    women_pct: float | None
    mixed_pct: float
    """Men and women as they are mixed in the question, or everybody of a list."""


@dataclass(frozen=True, slots=True)
class OwnRider:
    """The rider that a size is made for."""

    rider: Rider
    chosen: str
    """By what, as the end of a sentence."""


@dataclass(frozen=True, slots=True)
class SizeCoverage:
    """Whom one size fits."""

    size: str
    build: Build
    men: Band
    women: Band
    shares: Shares
    own: OwnRider | None
    """None where the size fits nobody and its table names no saddle height."""
    seat_low_mm: float | None
    """Lowest saddle height that post and tube allow; None where it is not known."""
    seat_high_mm: float | None
    hand_reach_mm: float | None
    """Bottom bracket forward to the hands, at the stated sag."""
    hand_height_mm: float | None
    """Bottom bracket up to the hands, at the stated sag."""
    seated_length_mm: float | None
    """Saddle to grip for the size's own rider, seated on the flat."""

    def band(self, column: Column) -> Band:
        """Band of men or of women."""
        return self.men if column == "male" else self.women

    @property
    def own_outside_mm(self) -> float | None:
        """How far the own rider's stature lies outside the band of mean proportions; None inside, or without a band."""
        middle = None if self.own is None else self.band(self.own.rider.build).middle
        if self.own is None or middle is None:
            return None
        stature = self.own.rider.stature_mm
        outside = max(middle.low.stature_mm - stature, stature - middle.high.stature_mm)
        return outside if outside > 0.0 else None


@dataclass(frozen=True, slots=True)
class Span:
    """Statures at the mean inseam between two bands."""

    low_mm: float
    high_mm: float
    is_gap: bool
    """Whether neither fits there; else both do."""

    @property
    def width_mm(self) -> float:
        """From end to end."""
        return self.high_mm - self.low_mm


@dataclass(frozen=True, slots=True)
class Neighbours:
    """Two sizes that follow each other."""

    smaller: str
    larger: str
    men: Span | None
    """None where one of them fits nobody."""
    women: Span | None
    both: Shares
    """People whom both fit, over stature and inseam together."""


@dataclass(frozen=True, slots=True)
class Crowd:
    """The people that shares are told of: two normal crowds, or a list."""

    men: crowd.People | None
    women: crowd.People | None
    listed: tuple[Person, ...] = ()
    """Empty for the survey."""
    file: str = ""
    women_pct: float = WOMEN_PCT
    """Of the mixed; for a list what it holds."""
    unsaid: int = 0
    """People of the list whose build it does not say; they are taken as men."""
    all: crowd.People | None = None
    """Men and women of a list together, for one that has too few of each."""

    @property
    def spreads(self) -> tuple[tuple[str, crowd.People], ...]:
        """Whose spread is known: men and women, or everybody of a list that has too few of both."""
        known = [(who, people) for who, people in (("men", self.men), ("women", self.women)) if people is not None]
        return tuple(known) if known or self.all is None else (("people", self.all),)


@dataclass(frozen=True, slots=True)
class Coverage:
    """Whom a range of sizes fits."""

    build: Build
    sizes: tuple[SizeCoverage, ...]
    neighbours: tuple[Neighbours, ...]
    any: Shares
    """People whom at least one size fits."""
    none: Shares
    several: Shares
    """People whom two sizes fit or more."""
    crowd: Crowd
    ranges: Ranges
    """Bounds that stood in place of the fit's own."""

    @property
    def is_whole(self) -> bool:
        """Whether every size fits somebody of mean proportions and no two neighbours leave a gap."""
        spans = [span for pair in self.neighbours for span in (pair.men, pair.women)]
        return all(size.men.middle is not None and size.women.middle is not None for size in self.sizes) and not any(
            span is not None and span.is_gap for span in spans
        )

    def size(self, name: str) -> SizeCoverage:
        """One size."""
        return {one.size: one for one in self.sizes}[name]


def surveyed(women_pct: float = WOMEN_PCT) -> Crowd:
    """Men and women of the survey, mixed in this proportion.

    Raises
    ------
    OutsideValidity
        If that is no share.
    """
    if not 0.0 <= women_pct <= 100.0:
        raise OutsideValidity(f"{women_pct:g} % of women is no share; give 0 to 100")
    return Crowd(crowd.surveyed("male"), crowd.surveyed("female"), women_pct=women_pct)


def listed(people: PeopleFile) -> Crowd:
    """The people of a list in place of the survey.

    Raises
    ------
    OutsideValidity
        If there are too few of them to say shares: says how many are needed.
    """
    if len(people.people) < crowd.FEWEST:
        raise OutsideValidity(
            f"{people.file}: {len(people.people)} people are too few for a population; give at least {crowd.FEWEST}, "
            "or lay them beside the survey with --list"
        )
    by_column = {column: [_lengths(one) for one in people.people if column_of(one) == column] for column in COLUMNS}
    spread = {
        column: crowd.measured(found) if len(found) >= crowd.FEWEST else None for column, found in by_column.items()
    }
    return Crowd(
        spread["male"],
        spread["female"],
        people.people,
        people.file,
        100.0 * len(by_column["female"]) / len(people.people),
        sum(one.build is None for one in people.people),
        crowd.measured([_lengths(one) for one in people.people]),
    )


def column_of(one: Person) -> Column:
    """Column of the segment table for somebody of a list; a man where the list does not say, as for a rider."""
    return one.build or "male"


def _lengths(one: Person) -> tuple[float, float]:
    """Stature and inseam, the inseam by the mean share where it is not given [m]."""
    return one.height_mm * MM, inseam_of(one) * MM


def inseam_of(one: Person) -> float:
    """Inseam of somebody of a list; the mean share of the stature where it is not given [mm]."""
    return INSEAM_SHARE[column_of(one)] * one.height_mm if one.inseam_mm is None else one.inseam_mm


def coverage(
    builds: Sequence[Build],
    people: Crowd | None = None,
    *,
    ranges: Ranges | None = None,
    riders: Mapping[str, Rider] | None = None,
    tell: Tell | None = None,
) -> Coverage:
    """Whom each size of a range fits.

    Parameters
    ----------
    builds : sequence of Build
        One build a size, the smallest size first.
    people : Crowd, optional
        Population that shares are told of; the survey, half and half, when not given.
    ranges : mapping of (posture, angle) to (low, high), optional
        Bounds in degrees that stand in place of the fit's own.
    riders : mapping of str to Rider, optional
        Riders that sizes are made for, by size.
    tell : callable, optional
        Told how many bands of how many are done.

    Returns
    -------
    Coverage
        Bands, overlaps, gaps and shares.

    Raises
    ------
    NotKnown
        If hands, cranks or seat tube are missing: names which.
    """
    people = surveyed() if people is None else people
    ranges = {} if ranges is None else ranges
    bare = [without_saddle_height(build, build.size) for build in builds]
    bands: list[dict[Column, Band]] = []
    guesses: dict[Column, list[float]] = {"male": [], "female": []}
    for index, build in enumerate(bare):
        found: dict[Column, Band] = {}
        for column in COLUMNS:
            near = found["male"].middle if column == "female" else None
            found[column] = band_of(build, column, guesses[column], ranges, near)
            middle = found[column].middle
            if middle is not None:
                centre = 0.5 * (middle.low.stature_mm + middle.high.stature_mm)
                guesses[column] = [centre, middle.high.stature_mm]
            if tell is not None:
                tell(len(COLUMNS) * index + COLUMNS.index(column) + 1, len(COLUMNS) * len(bare))
        bands.append(found)
    sizes = tuple(
        _size(build, found, people, (riders or {}).get(build.size)) for build, found in zip(bare, bands, strict=True)
    )
    every = _shares(people, bands, 1)
    return Coverage(
        build=builds[0],
        sizes=sizes,
        neighbours=tuple(_neighbours(one, other, people) for one, other in pairwise(sizes)),
        any=every,
        none=Shares(_rest(every.men_pct), _rest(every.women_pct), 100.0 - every.mixed_pct),
        several=_shares(people, bands, 2),
        crowd=people,
        ranges=ranges,
    )


def by_size(build: Build) -> list[Build]:
    """A build in every size of its frame, in the order of the geometry table."""
    return [build.changed(size=size.name) for size in build.frame.sizes]


def _size(build: Build, found: dict[Column, Band], people: Crowd, named: Rider | None) -> SizeCoverage:
    own = own_rider(build, found["male"], named)
    low = high = seated = None
    answer = evaluate(build)
    reach, height = (answer.value(f"{key}@stated-sag").number for key in ("hand_reach_mm", "hand_height_mm"))
    if own is not None:
        fit = fit_for(build, own.rider)
        low, high, seated = fit.dropper.lowest_mm, fit.dropper.highest_mm, fit.cockpit.seated_length_mm
    return SizeCoverage(
        size=build.size,
        build=build,
        men=found["male"],
        women=found["female"],
        shares=_shares(people, [found], 1),
        own=own,
        seat_low_mm=low,
        seat_high_mm=high,
        hand_reach_mm=reach,
        hand_height_mm=height,
        seated_length_mm=seated,
    )


def own_rider(build: Build, band: Band | None, named: Rider | None = None) -> OwnRider | None:
    """The rider that a size is made for.

    The one who is named; else the man of mean proportions who sits at the saddle height that the geometry table gives
    for the middle of the size; else the man in the middle of its band.
    """
    if named is not None:
        return OwnRider(named, "named")
    share, row = INSEAM_SHARE["male"], build.geometry_row
    if row.saddle_height_mm is not None:
        stature = _at_saddle_height(build, row.saddle_height_mm, share)
        return OwnRider(person(stature, share * stature, "male", f"own-{build.size}"), BY_TABLE)
    if band is None or band.middle is None:
        return None
    stature = round(0.5 * (band.middle.low.stature_mm + band.middle.high.stature_mm), 1)
    return OwnRider(person(stature, share * stature, "male", f"own-{build.size}"), "middle of its band of men")


def _at_saddle_height(build: Build, height_mm: float, share: float) -> float:
    """Stature of the man of mean proportions whose legs want a saddle height; the height grows with the legs [mm]."""
    low, high = ASKED_MM
    stature = min(max(height_mm / 0.88 / share, low), high)
    for _ in range(20):
        here = fit_for(build, person(stature, share * stature, "male")).saddle.height_mm
        # 0.88 of the inseam is near the slope of every rule, so that each step takes off most of what is left
        step = (height_mm - here) / (0.88 * share)
        if abs(step) < WITHIN_MM:
            return round(stature, 1)
        stature += step
        if not low <= stature <= high:
            break
    raise OutsideValidity(
        f"size {build.size}: the saddle height of {height_mm:g} mm in the geometry table is that of no rider of "
        f"{low:.0f} to {high:.0f} mm; check it, or name the size's own rider"
    )


def _outline(band: Band) -> tuple[tuple[float, float], ...]:
    return tuple((x * MM, z * MM) for x, z in band.outline)


def _shares(people: Crowd, bands: Sequence[Mapping[Column, Band]], wanted: int) -> Shares:
    """Share of people inside so many of the bands or more: by the normal crowds, or counted."""
    outlines = {column: [_outline(found[column]) for found in bands] for column in COLUMNS}
    if people.listed:
        inside = [
            (column_of(one), sum(crowd.is_inside(_lengths(one), outline) for outline in outlines[column_of(one)]))
            for one in people.listed
        ]
        parts = {column: _part([count >= wanted for whose, count in inside if whose == column]) for column in COLUMNS}
        return Shares(parts["male"], parts["female"], _part([count >= wanted for _, count in inside]) or 0.0)
    normal = {"male": people.men, "female": people.women}
    pct = {}
    for column in COLUMNS:
        whom = normal[column]
        assert whom is not None
        pct[column] = crowd.share_inside(whom, outlines[column], wanted) / PCT
    women = people.women_pct * PCT
    return Shares(pct["male"], pct["female"], (1.0 - women) * pct["male"] + women * pct["female"])


def _rest(pct: float | None) -> float | None:
    return None if pct is None else 100.0 - pct


def _part(answers: Sequence[bool]) -> float | None:
    return 100.0 * sum(answers) / len(answers) if answers else None


def _neighbours(one: SizeCoverage, other: SizeCoverage, people: Crowd) -> Neighbours:
    bands: list[Mapping[Column, Band]] = [{"male": size.men, "female": size.women} for size in (one, other)]
    return Neighbours(
        smaller=one.size,
        larger=other.size,
        men=_span(one.men, other.men),
        women=_span(one.women, other.women),
        both=_shares(people, bands, 2),
    )


def _span(one: Band, other: Band) -> Span | None:
    first, second = one.middle, other.middle
    if first is None or second is None:
        return None
    low = max(first.low.stature_mm, second.low.stature_mm)
    high = min(first.high.stature_mm, second.high.stature_mm)
    return Span(min(low, high), max(low, high), is_gap=low > high)


def named_builds(build: Build, changes: Mapping[str, Callable[[Build], Build]]) -> list[Build]:
    """A build in every size, some sizes with changes of their own.

    Raises
    ------
    AddressError
        If a size is named that the frame has not.
    """
    known = [size.name for size in build.frame.sizes]
    for name in changes:
        if name not in known:
            raise AddressError(f"no size is called '{name}'. There are: {', '.join(known)}.")
    return [changes[one.size](one) if one.size in changes else one for one in by_size(build)]
