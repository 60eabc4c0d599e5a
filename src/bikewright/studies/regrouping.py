"""From an old range to a new one: which size each rider comes from and goes to, with what is gained and lost.

Riders are those of the surveyed population at mean proportions, cut into bands of stature within which neither size
changes, or the buyers of a list. Each group is told by the rider in its middle, on both bikes, set up for them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from bikewright.errors import BikewrightError
from bikewright.model.brief import Brief
from bikewright.model.build import Build
from bikewright.model.people_file import People
from bikewright.model.rider import Rider
from bikewright.physics.body import INSEAM_SHARE
from bikewright.physics.crowd import is_inside
from bikewright.physics.population import Build as Column
from bikewright.quantities import CATALOGUE, Quantity
from bikewright.studies.bounds import fit_for, person
from bikewright.studies.buying import nearest_own
from bikewright.studies.coverage import COLUMNS, Coverage, column_of, inseam_of
from bikewright.studies.edge_search import ASKED_MM
from bikewright.studies.evaluate import evaluate
from bikewright.studies.sag_share import front_share_pct
from bikewright.studies.verdicts import felt_steps
from bikewright.units import MM

TOLD = (
    "reach_mm@table",
    "stack_mm@table",
    "saddle_to_grip_mm@stated-sag",
    "saddle_to_grip_drop_mm@stated-sag",
    "wheelbase_mm@table",
    "front_share_pct@stated-sag",
)
"""What is told of a move, by address; the share is that of `bikewright.studies.sag_share`."""
LEAST_MM = 1.0
"""Narrower bands are not told."""


@dataclass(frozen=True, slots=True)
class Move:
    """One quantity on the old and on the new size. None where it waits for something."""

    address: str
    quantity: Quantity
    before: float | None
    after: float | None
    steps: float | None
    """Change in felt steps, with its sign; None where it is not known or nobody feels it."""


@dataclass(frozen=True, slots=True)
class Regroup:
    """Riders who come from one size and go to one."""

    column: Column
    low_mm: float
    """Statures."""
    high_mm: float
    old: str
    """Empty where no old size fitted, or a list does not say."""
    new: str
    """Empty where they lose their size."""
    rider: Rider
    """In the middle."""
    moves: tuple[Move, ...]
    """Empty where there is no old or no new size."""
    people_pct: float | None
    """Of the men or women surveyed, by stature; None for a list."""
    count: int
    """Buyers of a list; 0 for the survey."""

    @property
    def loses(self) -> bool:
        """Whether they had a size and have none."""
        return bool(self.old) and not self.new

    @property
    def wins(self) -> bool:
        """Whether they had none and have one."""
        return bool(self.new) and not self.old


@dataclass(frozen=True, slots=True)
class Regrouped:
    """A whole range of riders, from an old range to a new one."""

    old: Coverage
    new: Coverage
    groups: tuple[Regroup, ...]
    file: str = ""
    """List that the riders are from; empty for the survey."""


def regroup(old: Coverage, new: Coverage, people: People | None = None, brief: Brief | None = None) -> Regrouped:
    """Map the riders of one range to another.

    Parameters
    ----------
    old, new : Coverage
        Both ranges.
    people : People, optional
        The firm's list; its size bought is the old size, where it says one. Else the survey.
    brief : Brief, optional
        Felt steps that stand in place of the catalogue's.

    Returns
    -------
    Regrouped
        Groups of riders; those who lose their size among them.
    """
    brief = Brief() if brief is None else brief
    groups = _of_survey(old, new, brief) if people is None else _of_list(old, new, people, brief)
    return Regrouped(old, new, tuple(groups), "" if people is None else people.file)


def _of_survey(old: Coverage, new: Coverage, brief: Brief) -> list[Regroup]:
    found: list[Regroup] = []
    for column in COLUMNS:
        spans: list[tuple[float, float, str, str]] = []
        for low, high in pairwise(_breaks((old, new), column)):
            middle = 0.5 * (low + high)
            sizes = _named(old, middle, column), _named(new, middle, column)
            if spans and spans[-1][2:] == sizes and spans[-1][1] == low:
                spans[-1] = (spans[-1][0], high, *sizes)
            elif any(sizes):
                spans.append((low, high, *sizes))
        whom = old.crowd.men if column == "male" else old.crowd.women
        for low, high, before, after in spans:
            if high - low < LEAST_MM:
                continue
            stature = 0.5 * (low + high)
            rider = person(round(stature, 1), INSEAM_SHARE[column] * stature, column)
            pct = None if whom is None else 100.0 * (whom.share_shorter(high * MM) - whom.share_shorter(low * MM))
            moves = _moves(old, new, before, after, rider, brief)
            found.append(Regroup(column, low, high, before, after, rider, moves, pct, 0))
    return found


def _breaks(both: Sequence[Coverage], column: Column) -> list[float]:
    """Statures at which a size may change: edges of the bands, and half way between two sizes' own riders."""
    found = set(ASKED_MM)
    for one in both:
        for size in one.sizes:
            middle = size.band(column).middle
            if middle is not None:
                found |= {middle.low.stature_mm, middle.high.stature_mm}
        own = [size.own.rider.stature_mm for size in one.sizes if size.own is not None]
        found |= {0.5 * (first + second) for first in own for second in own if first < second}
    return sorted(found)


def _named(coverage: Coverage, stature: float, column: Column) -> str:
    """The size that is named first for somebody of mean proportions."""
    fitting = []
    for size in coverage.sizes:
        middle = size.band(column).middle
        if middle is not None and middle.low.stature_mm <= stature <= middle.high.stature_mm:
            fitting.append(size)
    return nearest_own(fitting, stature)


def _of_list(old: Coverage, new: Coverage, people: People, brief: Brief) -> list[Regroup]:
    together: dict[tuple[str, str, Column], list[tuple[float, float]]] = {}
    for one in people.people:
        column, stature, inseam = column_of(one), one.height_mm, inseam_of(one)
        before = one.size or _inside(old, stature, inseam, column)
        after = _inside(new, stature, inseam, column)
        together.setdefault((before, after, column), []).append((stature, inseam))
    order = [size.size for size in old.sizes]
    found = []
    for (before, after, column), riders in sorted(
        together.items(), key=lambda one: (one[0][2] != "male", order.index(one[0][0]) if one[0][0] in order else -1)
    ):
        riders.sort()
        stature, inseam = riders[len(riders) // 2]
        rider = person(stature, inseam, column)
        moves = _moves(old, new, before, after, rider, brief)
        found.append(Regroup(column, riders[0][0], riders[-1][0], before, after, rider, moves, None, len(riders)))
    return found


def _inside(coverage: Coverage, stature: float, inseam: float, column: Column) -> str:
    fitting = [size for size in coverage.sizes if is_inside((stature, inseam), size.band(column).outline)]
    return nearest_own(fitting, stature)


def _moves(old: Coverage, new: Coverage, before: str, after: str, rider: Rider, brief: Brief) -> tuple[Move, ...]:
    """What changes for a rider between two sizes."""
    known = {size.size for size in old.sizes}
    if not before or not after or before not in known:
        return ()
    values = _values(old.size(before).build, rider), _values(new.size(after).build, rider)
    found = []
    for address in TOLD:
        quantity = CATALOGUE[address.partition("@")[0]]
        first, second = (one[address] for one in values)
        steps = None
        if first is not None and second is not None:
            size = felt_steps(brief, quantity, first, second)
            steps = None if size is None else size if second >= first else -size
        found.append(Move(address, quantity, first, second, steps))
    return tuple(found)


def _values(build: Build, rider: Rider) -> dict[str, float | None]:
    try:
        answer = evaluate(fit_for(build, rider).build)
    except BikewrightError:
        answer = evaluate(build.changed(rider=rider))
    found: dict[str, float | None] = {}
    for address in TOLD:
        if address.startswith("front_share_pct"):
            try:
                found[address] = front_share_pct(answer)
            except BikewrightError:
                found[address] = None
        else:
            found[address] = answer.value(address).number
    return found
