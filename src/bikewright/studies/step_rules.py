"""Steps: how dimensions grow over the sizes, by a rule that the person picks, and what each rule costs elsewhere.

equal      the same step of reach, stack, seat tube and rear centre from size to size, through the end sizes as they are
           or by a stated step from the kept size
posture    reach and stack of each size so that its own rider stands with the angles of trunk and shoulder that the kept
           size's rider has
share      rear centre of each size, inside a cap, so that its own rider puts the same share of the weight on the front
           wheel as the kept size's; reach and stack as given

Riders stand on level cranks on a bike at its stated sag. The answer is a list of changes by address, which `set` and
`--with` take.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, get_args

from bikewright.errors import AddressError, BikewrightError, NotKnown, OutsideValidity
from bikewright.model.addresses import with_value
from bikewright.model.brief import Brief
from bikewright.model.build import Build
from bikewright.model.rider import Rider
from bikewright.studies.bands import band_of
from bikewright.studies.bounds import person, without_saddle_height
from bikewright.studies.coverage import OwnRider, own_rider
from bikewright.studies.evaluate import evaluate
from bikewright.studies.fitting import fit_of
from bikewright.studies.resizing import Dimensions, dimensions_of, resized
from bikewright.studies.sag_share import front_share_pct
from bikewright.studies.step_solving import WITHIN_DEG, Tell, posture_solved, to_tenth
from bikewright.studies.verdicts import governing

Rule = Literal["equal", "posture", "share"]
RULES: tuple[Rule, ...] = get_args(Rule)

WITHIN_PTS = 0.5
"""Points by which a share may miss the kept size's: a default."""
CAP_EITHER_WAY_MM = 10.0
"""Cap of the rear centre about the drawn one, where neither the brief nor the person says: a default."""
STEPPED = ("reach", "stack", "seat_tube", "rear_centre")
"""What the rule `equal` steps; the head tube follows the stack."""


@dataclass(frozen=True, slots=True)
class Askable:
    """What a rule can be asked with besides the kept size and the riders."""

    rule: Rule
    steps: tuple[str, ...] = ()
    """What may be given a step of its own."""
    within: float | None = None
    """By how much it may be missed where the person does not say; None for a rule that cannot be missed."""
    unit: str = ""
    """Unit of that."""
    is_capped: bool = False
    """Whether the rear centre moves, inside a cap."""


ASKABLE = (
    Askable("equal", steps=STEPPED),
    Askable("posture", within=WITHIN_DEG, unit="deg"),
    Askable("share", within=WITHIN_PTS, unit="pts", is_capped=True),
)
_ANYBODY = person(1750.0, 842.0, "male")
"""Asked about where a size has no rider, to be told what the fit waits for."""


@dataclass(frozen=True, slots=True)
class Facts:
    """What one size does to its own rider. None while it waits for something."""

    dimensions: Dimensions
    wheelbase_mm: float | None
    front_share_pct: float | None
    trunk_deg: float | None
    """From plumb, standing."""
    shoulder_deg: float | None
    """Standing."""
    seated_length_mm: float | None
    waits: str = ""
    """Why a field is empty."""


@dataclass(frozen=True, slots=True)
class SizeStep:
    """One size before and after."""

    size: str
    own: OwnRider | None
    """None while the fit waits for something."""
    before: Facts
    after: Facts
    changes: tuple[tuple[str, float], ...]
    """Addresses and values."""
    met: bool
    """Whether the rule holds for it."""
    told: str
    """Where it does not: why, and by how much. Empty where it does."""
    cap_mm: tuple[float, float] | None = None
    """Least and most rear centre; None for a rule that does not move it."""
    at_cap: bool = False


@dataclass(frozen=True, slots=True)
class Stepped:
    """A range of sizes by one rule."""

    rule: Rule
    keep: str
    before: Build
    after: Build
    """Every size changed; its size is the kept one."""
    sizes: tuple[SizeStep, ...]
    within: float
    """Points or degrees by which the rule may be missed; zero for equal steps."""

    @property
    def changes(self) -> tuple[tuple[str, float], ...]:
        """Every change, as `set` and ``--with`` take it."""
        return tuple(change for one in self.sizes for change in one.changes)

    @property
    def keeps(self) -> bool:
        """Whether the kept size stays as it is: a straight line through the end sizes may pass beside it."""
        return not any(one.changes for one in self.sizes if one.size == self.keep)

    @property
    def met(self) -> bool:
        """Whether the rule holds in every size."""
        return all(one.met for one in self.sizes)


@dataclass(frozen=True, slots=True)
class Cost:
    """What a range does elsewhere: spreads over the sizes, largest less least. None where a size waits."""

    name: str
    """The rule, or ``as drawn``."""
    front_share_pts: float | None
    trunk_deg: float | None
    shoulder_deg: float | None
    reach_steps_mm: float
    """Largest less least step of reach."""
    stack_steps_mm: float
    rear_centre_mm: tuple[float, float] | None
    """Least and most."""
    wheelbase_mm: tuple[float, float] | None
    at_cap: tuple[str, ...]
    """Sizes whose rear centre is at its cap."""
    missed: tuple[str, ...]
    """Sizes that do not meet the rule."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a rule is asked with."""

    keep: str
    """Size that stays as it is."""
    own: Mapping[str, Rider]
    """Riders who are named for a size."""
    steps_mm: Mapping[str, float]
    """Stated steps by one of `STEPPED`, from the kept size."""
    within: float | None = None
    """Points or degrees; None: the rule's default."""
    cap_mm: tuple[float, float] | None = None
    """Least and most rear centre; None: the brief's line, else 10 mm either way."""


def step_sizes(build: Build, rule: Rule, asked: Asked, brief: Brief | None = None) -> Stepped:
    """A range of sizes stepped by a rule.

    Parameters
    ----------
    build : Build
        Parts, settings and frame; every size of the frame is stepped.
    rule : {"equal", "posture", "share"}
        The rule.
    asked : Asked
        The kept size, riders, steps, tolerance and cap.
    brief : Brief, optional
        Where the cap of the rear centre comes from when it is not stated.

    Returns
    -------
    Stepped
        Changes size by size; a size that cannot meet the rule says why.

    Raises
    ------
    AddressError
        If a size or a step is named that is not there.
    OutsideValidity
        If the rule cannot be asked of this range: one size, a tolerance or cap that means nothing.
    NotKnown
        If what the rule rests on waits for something.
    """
    return Range(build, asked, brief).by(rule)


def costs(build: Build, asked: Asked, brief: Brief | None = None) -> tuple[Cost, ...]:
    """The range as drawn and by each rule, side by side; a rule that waits for something is left out."""
    return Range(build, asked, brief).costs()


def sizes_and_costs(
    build: Build, rule: Rule, asked: Asked, brief: Brief | None = None, tell: Tell | None = None
) -> tuple[Stepped, tuple[Cost, ...]]:
    """What `step_sizes` and `costs` answer, what they share found once; `tell` hears of every size that is done."""
    whole = Range(build, asked, brief, tell)
    return whole.by(rule), whole.costs()


def cost_of(stepped: Stepped) -> Cost:
    """What a stepped range does elsewhere."""
    return _cost(
        stepped.rule,
        [one.after for one in stepped.sizes],
        tuple(one.size for one in stepped.sizes if one.at_cap),
        tuple(one.size for one in stepped.sizes if not one.met),
    )


class Range:
    """A frame's sizes with the rider of each; what the rules share is found once."""

    def __init__(self, build: Build, asked: Asked, brief: Brief | None = None, tell: Tell | None = None):
        names = [size.name for size in build.frame.sizes]
        refuse_asked(names, asked)
        self.build, self.asked, self.brief = build, asked, brief
        self.bare = [without_saddle_height(build, name) for name in names]
        self.kept = names.index(asked.keep)
        self._found: dict[Rule, Stepped] = {}
        self._tell, self._sizes_done = tell, 0
        self.own: list[OwnRider | None] = []
        self.facts: list[Facts] = []
        for one in self.bare:
            self.own.append(self._own(one))
            self.facts.append(facts_of(one, self.own[-1]))
            self._size_done()

    def _own(self, build: Build) -> OwnRider | None:
        named = self.asked.own.get(build.size)
        needs_band = named is None and build.geometry_row.saddle_height_mm is None
        try:
            found = own_rider(build, band_of(build, "male") if needs_band else None, named)
        except NotKnown:
            return None  # equal steps ask for no rider; the facts say what the others wait for
        if found is None:
            raise OutsideValidity(
                f"size {build.size} fits nobody of mean proportions, so that it has no rider of its own; name one, as "
                f"in --own {build.size}=RIDER"
            )
        return found

    def _size_done(self) -> None:
        """Of the range as it is drawn, and of each rule."""
        self._sizes_done += 1
        if self._tell is not None:
            self._tell(self._sizes_done, (1 + len(RULES)) * len(self.bare))

    def as_drawn(self) -> Cost:
        """The range as it is."""
        return _cost("as drawn", self.facts, (), ())

    def costs(self) -> tuple[Cost, ...]:
        """The range as drawn and by each rule; a rule that waits for something is left out."""
        found = [self.as_drawn()]
        for rule in RULES:
            try:
                found.append(cost_of(self.by(rule)))
            except NotKnown:
                continue
        return tuple(found)

    def by(self, rule: Rule) -> Stepped:
        """The range by one rule, found once."""
        if rule not in self._found:
            self._found[rule] = self._by(rule)
        return self._found[rule]

    def _by(self, rule: Rule) -> Stepped:
        one_size = {"equal": self._equal, "posture": self._posture, "share": self._share}[rule]
        sizes = []
        for index in range(len(self.bare)):
            sizes.append(one_size(index))
            self._size_done()
        after = self.bare[self.kept]
        for one in sizes:
            for address, value in one.changes:
                after = with_value(after, address, value)
        within = {"equal": 0.0, "posture": self._within(WITHIN_DEG), "share": self._within(WITHIN_PTS)}[rule]
        before = self.build.changed(size=self.asked.keep)
        return Stepped(rule, self.asked.keep, before, after.changed(settings=before.settings), tuple(sizes), within)

    def _within(self, default: float) -> float:
        return default if self.asked.within is None else self.asked.within

    def _done(
        self,
        index: int,
        changed: tuple[Build, tuple[tuple[str, float], ...]],
        told: Callable[[Facts], str] = lambda after: "",
        cap: tuple[float, float] | None = None,
        at_cap: bool = False,
    ) -> SizeStep:
        build, changes = changed
        after = facts_of(build, self.own[index]) if changes else self.facts[index]
        reason = told(after)
        return SizeStep(build.size, self.own[index], self.facts[index], after, changes, not reason, reason, cap, at_cap)

    def _failed(self, index: int, why: str) -> SizeStep:
        return self._done(index, (self.bare[index], ()), lambda after: why)

    def _equal(self, index: int) -> SizeStep:
        """One size on straight lines through the ends, or on stated steps from the kept size."""
        asked: dict[str, float] = {}
        for name in STEPPED:
            values = [getattr(one.dimensions, f"{name}_mm") for one in self.facts]
            step = self.asked.steps_mm.get(name)
            if step is not None:
                if values[self.kept] is None:
                    raise NotKnown(f"the step of {name.replace('_', ' ')} waits for it in size {self.asked.keep}")
                asked[f"{name}_mm"] = values[self.kept] + step * (index - self.kept)
            elif values[0] is not None and values[-1] is not None:
                even = (values[-1] - values[0]) / (len(values) - 1)
                asked[f"{name}_mm"] = values[0] + even * index
        try:
            return self._done(index, resized(self.bare[index], **asked))
        except BikewrightError as error:
            return self._failed(index, str(error))

    def _posture(self, index: int) -> SizeStep:
        """Reach and stack of one size from two angles of its rider."""
        kept = self.facts[self.kept]
        if kept.trunk_deg is None or kept.shoulder_deg is None:
            raise NotKnown(f"the posture of size {self.asked.keep}: {kept.waits}")
        if index == self.kept:
            return self._done(index, (self.bare[index], ()))
        build, own = self.bare[index], self.own[index]
        wanted = kept.trunk_deg, kept.shoulder_deg
        if own is None:
            raise NotKnown(f"the posture of size {build.size}: {self.facts[index].waits}")
        start = build.geometry_row
        try:
            reach, stack = posture_solved(build, own, wanted, (start.reach_mm, start.stack_mm))
        except BikewrightError as error:
            return self._failed(index, str(error))
        try:
            changed = resized(build, reach_mm=reach, stack_mm=stack)
        except BikewrightError as error:
            asks = f"the posture asks for a reach of {reach:.0f} mm and a stack of {stack:.0f} mm"
            return self._failed(index, f"{asks}, which the geometry table cannot have: {error}")

        def told(after: Facts) -> str:
            if after.trunk_deg is None or after.shoulder_deg is None:
                return after.waits
            off = max(abs(after.trunk_deg - wanted[0]), abs(after.shoulder_deg - wanted[1]))
            within = self._within(WITHIN_DEG)
            return (
                "" if off <= within else f"{off:.2f}° from the posture of size {self.asked.keep}, allowed {within:g}°"
            )

        return self._done(index, changed, told)

    def _share(self, index: int) -> SizeStep:
        """Rear centre of one size from the share on its front wheel."""
        wanted = self.facts[self.kept].front_share_pct
        if wanted is None:
            raise NotKnown(f"the share of size {self.asked.keep}: {self.facts[self.kept].waits}")
        build, own = self.bare[index], self.own[index]
        low, high = cap = self._cap(build, self.facts[index].dimensions.rear_centre_mm)
        if own is None:
            raise NotKnown(f"the share of size {build.size}: {self.facts[index].waits}")
        if index == self.kept:
            return self._done(index, (build, ()), cap=cap)

        def over(rear_centre: float) -> float:
            moved, _ = resized(build, rear_centre_mm=rear_centre)
            return front_share_pct(evaluate(moved.changed(rider=own.rider))) - wanted

        try:
            ends = over(low), over(high)
            if ends[0] * ends[1] < 0.0:
                found = to_tenth(over, (low, ends[0]), (high, ends[1]))
                at_cap = False
            else:
                found, at_cap = (low if abs(ends[0]) <= abs(ends[1]) else high), True
            changed = resized(build, rear_centre_mm=found)
        except BikewrightError as error:
            return self._failed(index, str(error))

        def told(after: Facts) -> str:
            if after.front_share_pct is None:
                return after.waits
            off, within = after.front_share_pct - wanted, self._within(WITHIN_PTS)
            if abs(off) <= within:
                return ""
            return (
                f"the rear centre is {'at its cap of ' if at_cap else ''}{found:g} mm, and the share stays "
                f"{abs(off):.2f} points {'over' if off > 0.0 else 'under'} that of size {self.asked.keep}; "
                f"allowed {within:g}"
            )

        return self._done(index, changed, told, cap, at_cap)

    def _cap(self, build: Build, drawn: float | None) -> tuple[float, float]:
        """Least and most rear centre of a size: as stated, else by the brief, else about the drawn one [mm]."""
        if self.asked.cap_mm is not None:
            return self.asked.cap_mm
        line = None if self.brief is None else governing(self.brief, "rear_centre_mm@table", build.size, "")
        middle = drawn or 0.0
        low = None if line is None else line.low
        high = None if line is None else line.high
        return (
            middle - CAP_EITHER_WAY_MM if low is None else low,
            middle + CAP_EITHER_WAY_MM if high is None else high,
        )


def facts_of(build: Build, own: OwnRider | None) -> Facts:
    """What a build's size does to its own rider."""
    rider = None if own is None else own.rider
    waits: list[str] = []
    share = trunk = shoulder = seated = None
    try:
        share = front_share_pct(evaluate(build.changed(rider=rider)))
    except (NotKnown, OutsideValidity) as error:
        waits.append(str(error))
    try:
        fit = fit_of(build.changed(rider=rider or _ANYBODY), sag="stated")
    except (NotKnown, OutsideValidity) as error:
        waits.append(str(error))
    else:
        standing = fit.postures[0]
        angles = {angle.name: angle.value_deg for angle in standing.angles}
        trunk, shoulder, seated = angles.get("trunk"), angles.get("shoulder"), fit.cockpit.seated_length_mm
        if standing.refusal:
            waits.append(standing.refusal)
    return Facts(
        dimensions=dimensions_of(build),
        wheelbase_mm=evaluate(build).value("wheelbase_mm@table").number,
        front_share_pct=share,
        trunk_deg=trunk,
        shoulder_deg=shoulder,
        seated_length_mm=seated,
        waits="; ".join(waits),
    )


def refuse_asked(names: Sequence[str], asked: Asked, stepped: Sequence[str] = STEPPED) -> None:
    """Refuse what cannot be asked of these sizes.

    Parameters
    ----------
    names : sequence of str
        The frame's sizes.
    asked : Asked
        What a rule would be asked with.
    stepped : sequence of str
        What may be stepped.

    Raises
    ------
    AddressError
        If a size or a dimension is named that there is not.
    OutsideValidity
        If there is one size alone, or the tolerance or the cap holds nothing.
    """
    if len(names) < 2:
        raise OutsideValidity(f"the frame has one size ({names[0]}); a step takes two or more")
    for name in (asked.keep, *asked.own):
        if name not in names:
            raise AddressError(f"no size is called '{name}'. There are: {', '.join(names)}.")
    for name in asked.steps_mm:
        if name not in stepped:
            raise AddressError(f"'{name}' is not stepped. There are: {', '.join(stepped)}.")
    if asked.within is not None and not asked.within > 0.0:
        raise OutsideValidity(f"a tolerance of {asked.within:g} cannot be met; give more than zero")
    if asked.cap_mm is not None and not asked.cap_mm[0] <= asked.cap_mm[1]:
        raise OutsideValidity(
            f"the cap {asked.cap_mm[0]:g} to {asked.cap_mm[1]:g} mm holds no rear centre; give low..high"
        )


def _cost(name: str, facts: Sequence[Facts], at_cap: tuple[str, ...], missed: tuple[str, ...]) -> Cost:
    def spread(values: Sequence[float | None]) -> float | None:
        known = [value for value in values if value is not None]
        return max(known) - min(known) if len(known) == len(values) else None

    def ends(values: Sequence[float | None]) -> tuple[float, float] | None:
        known = [value for value in values if value is not None]
        return (min(known), max(known)) if len(known) == len(values) else None

    def steps(values: Sequence[float]) -> float:
        differences = [after - before for before, after in pairwise(values)]
        return max(differences) - min(differences)

    return Cost(
        name=name,
        front_share_pts=spread([one.front_share_pct for one in facts]),
        trunk_deg=spread([one.trunk_deg for one in facts]),
        shoulder_deg=spread([one.shoulder_deg for one in facts]),
        reach_steps_mm=steps([one.dimensions.reach_mm for one in facts]),
        stack_steps_mm=steps([one.dimensions.stack_mm for one in facts]),
        rear_centre_mm=ends([one.dimensions.rear_centre_mm for one in facts]),
        wheelbase_mm=ends([one.wheelbase_mm for one in facts]),
        at_cap=at_cap,
        missed=missed,
    )
