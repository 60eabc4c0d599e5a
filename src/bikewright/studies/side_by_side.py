"""Two or three builds beside one another, each told against the first.

Question answered   Where do these builds differ so that a rider or the brief notices it, and by how much?
Method              Every pair is compared by `bikewright.studies.compare`. What any pair moves by a felt step, turns in
                    the brief, or gives or takes a value, is one row: the value of each build in the state in which the
                    pair tells it, the change against the first build in felt steps, and what the brief says of each.
Axes and signs      Changes are the build less the first.
Left out            What differs by less than a rider feels.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from bikewright.errors import AddressError
from bikewright.model.brief import Brief
from bikewright.model.build import Build
from bikewright.quantities import Quantity
from bikewright.studies.compare import Comparison, Consequence, compare
from bikewright.studies.evaluate import Value, evaluate
from bikewright.studies.verdicts import Judged, felt_steps, judge, line_for, rider_of

LEAST, MOST = 2, 3
"""Builds that can be laid beside one another."""


@dataclass(frozen=True, slots=True)
class Told:
    """One quantity of one build."""

    value: Value
    change: float | None
    """Against the first build, in the quantity's unit; None for the first, and where one value is unknown."""
    steps: float | None
    """That change in felt steps, without sign; None as well for a quantity that no rider feels."""
    judged: Judged | None
    """What the brief says; None where it has no line for it."""


@dataclass(frozen=True, slots=True)
class Row:
    """One quantity over all builds."""

    quantity: Quantity
    state: str
    """State that it is told in; empty for a quantity of the build as a whole."""
    told: tuple[Told, ...]

    @property
    def steps(self) -> float:
        """The largest change against the first build, in felt steps."""
        return max((told.steps or 0.0 for told in self.told), default=0.0)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two of the builds, by their places, and what follows when the first of them becomes the second."""

    first: int
    second: int
    comparison: Comparison


@dataclass(frozen=True, slots=True)
class SideBySide:
    """The answer."""

    builds: tuple[Build, ...]
    rows: tuple[Row, ...]
    """The most felt change against the first build leads."""
    pairs: tuple[Pair, ...]
    """The first build with each other, then the others among themselves."""


def side_by_side(builds: Sequence[Build], brief: Brief | None = None) -> SideBySide:
    """Lay builds beside one another.

    Parameters
    ----------
    builds : sequence of Build
        Two or three; the first is what the others are told against.
    brief : Brief, optional
        Bands to judge by, and felt steps that override the catalogue's.

    Returns
    -------
    SideBySide
        Rows over all builds, and the comparison of each pair.

    Raises
    ------
    AddressError
        If there are fewer than two or more than three builds.
    """
    if not LEAST <= len(builds) <= MOST:
        raise AddressError(f"two or three builds are laid beside one another, not {len(builds)}")
    brief = Brief() if brief is None else brief
    pairs = tuple(Pair(a, b, compare(builds[a], builds[b], brief)) for a, b in combinations(range(len(builds)), 2))
    addresses = dict.fromkeys(
        consequence.after.address
        for pair in pairs
        for consequence in (*pair.comparison.consequences, *pair.comparison.stopped)
        if _is_told(consequence)
    )
    rows = sorted((_row(address, builds, brief) for address in addresses), key=lambda row: -row.steps)
    return SideBySide(tuple(builds), tuple(rows), pairs)


def _is_told(consequence: Consequence) -> bool:
    """Felt, turned in the brief, or a value that only one of the two has."""
    return consequence.is_felt or consequence.verdict_changed or consequence.change is None


def _row(address: str, builds: Sequence[Build], brief: Brief) -> Row:
    values = [evaluate(build).value(address) for build in builds]
    first = values[0]
    told = tuple(
        _told(first, value, build, brief, is_first=place == 0)
        for place, (value, build) in enumerate(zip(values, builds, strict=True))
    )
    return Row(first.quantity, first.state, told)


def _told(first: Value, value: Value, build: Build, brief: Brief, *, is_first: bool) -> Told:
    line = line_for(brief, value, build.size, rider_of(build))
    change = steps = None
    if not is_first and first.number is not None and value.number is not None:
        change = value.number - first.number
        steps = felt_steps(brief, value.quantity, first.number, value.number)
    return Told(value, change, steps, None if line is None else judge(line, value))
