"""What follows from a change: every quantity before and after, gathered by what caused it.

A long list of differences hides what matters: a longer fork alone moves a dozen numbers. So the
differences between two builds are taken as causes; each cause is tried alone on the build before, and a
quantity is told under the cause that moves it most. Under a cause, one headline stands for each family of
quantities, the one that a rider feels most, and the rest of the family are its echoes.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from bikewright.errors import BikewrightError
from bikewright.model.addresses import FRAME_TEXTS, Difference, differences, with_value
from bikewright.model.brief import Brief
from bikewright.model.build import Build, remade
from bikewright.model.limits import Refusal, refusals
from bikewright.quantities import CATALOGUE, FAMILIES, Quantity
from bikewright.studies.bindings import BINDINGS
from bikewright.studies.evaluate import CURVE_SCOPES, Answer, Value, address_of, evaluate, read_address
from bikewright.studies.verdicts import Judged, felt_steps, judge, line_for, rider_of

ABOUT_FRAME = tuple(f"frame.{name}" for name in FRAME_TEXTS)
STATES_COMPARED = ("table", "stated-sag", "standing")
"""A quantity is told in the state in which it changes most; in the geometry chart's where that is a tie."""

TOLD_AT = {
    "seat_angle_at_saddle_deg": ("table", "climbing"),
    "sag_front_pct": ("standing", "climbing"),
    "sag_rear_pct": ("standing", "climbing"),
    "fork_travel_used_mm": ("standing", "braking"),
    "rear_travel_used_mm": ("standing", "climbing"),
    "shock_stroke_used_mm": ("standing",),
    "front_share_pct": ("standing", "climbing"),
    "front_load_n": ("standing", "braking"),
    "rear_load_n": ("standing", "climbing"),
    "fork_side_n": ("braking",),
    "trunk_lean_deg": ("climbing",),
    "knee_least_deg": ("climbing",),
    "knee_most_deg": ("seated",),
    "hip_least_deg": ("seated",),
    "elbow_deg": ("seated", "standing"),
    "shoulder_deg": ("seated", "standing"),
    "knee_to_bar_mm": ("climbing",),
    "front_lift_grade_pct": ("climbing",),
    "front_tyre_clearance_mm": ("front-bottomed",),
    "rear_tyre_clearance_mm": ("rear-bottomed",),
    "saddle_clearance_mm": ("rear-bottomed",),
}
"""Quantities that matter in other states: under load, or where a clearance is tightest."""

FELT = 1.0
"""One felt step or more is a felt change."""

_TIE = 1.05
"""States whose changes differ by less than this share are a tie."""

_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Consequence:
    """One quantity before and after."""

    before: Value
    after: Value
    steps: float | None
    """The change in felt steps, without sign; None where no rider feels it or one value is unknown."""
    shares: tuple[float, ...]
    """What each cause changes alone, in the order in which they differ; empty with one cause."""
    judged_before: Judged | None
    """What the brief says of the value before; None where it has no line for it."""
    judged_after: Judged | None

    @property
    def quantity(self) -> Quantity:
        """The catalogue's entry."""
        return self.after.quantity

    @property
    def change(self) -> float | None:
        """After less before, in the quantity's unit; None where one of them is unknown."""
        if self.before.number is None or self.after.number is None:
            return None
        return self.after.number - self.before.number

    @property
    def own_share(self) -> float | None:
        """What the cause that it is told under changes alone; None where the whole change is its own."""
        return max(self.shares, key=abs) if self.shares else None

    @property
    def is_felt(self) -> bool:
        """Whether an experienced rider notices it."""
        return self.steps is not None and self.steps >= FELT

    @property
    def verdict_changed(self) -> bool:
        """Whether the brief judges it otherwise than before."""
        return (
            self.judged_before is not None
            and self.judged_after is not None
            and self.judged_before.verdict != self.judged_after.verdict
        )


@dataclass(frozen=True, slots=True)
class Headline:
    """The most felt consequence of one family under one cause, with its echoes."""

    family: str
    lead: Consequence
    echoes: tuple[Consequence, ...]

    @property
    def steps(self) -> float:
        """Felt steps of the lead; zero where nobody feels it."""
        return self.lead.steps or 0.0


@dataclass(frozen=True, slots=True)
class Pull:
    """A quantity that a cause moves by a felt step or more, but another cause moves further."""

    quantity: Quantity
    alone: float
    """What the cause changes alone, in the quantity's unit."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One change of the build and what follows from it."""

    address: str
    """What was changed: a place on the bike, a pin, a setting."""
    differences: tuple[Difference, ...]
    headlines: tuple[Headline, ...]
    pulls: tuple[Pull, ...] = ()
    """What it moves as well, told under another cause."""

    @property
    def steps(self) -> float:
        """Felt steps of its strongest headline."""
        return max((headline.steps for headline in self.headlines), default=0.0)


@dataclass(frozen=True, slots=True)
class Comparison:
    """The answer to a change, for one size."""

    before: Build
    after: Build
    refusals: tuple[Refusal, ...]
    """What the frame or a part does not allow in the build after."""
    verdicts: tuple[Consequence, ...]
    """Consequences that the brief judges otherwise than before, whatever caused them."""
    causes: tuple[Cause, ...]
    """The most felt first."""
    stopped: tuple[Consequence, ...]
    """Quantities that had a value and lost it; the value after says why."""

    @property
    def size(self) -> str:
        """The size compared."""
        return self.after.size

    @property
    def consequences(self) -> tuple[Consequence, ...]:
        """Every consequence, headline by headline."""
        return tuple(
            consequence
            for cause in self.causes
            for headline in cause.headlines
            for consequence in (headline.lead, *headline.echoes)
        )

    @property
    def is_felt(self) -> bool:
        """Whether anything changed that a rider feels, a verdict, or a refusal, or a value was lost."""
        return bool(self.refusals or self.verdicts or self.stopped or any(c.is_felt for c in self.consequences))


def compare(before: Build, after: Build, brief: Brief | None = None) -> Comparison:
    """Everything that follows when one build becomes another.

    Parameters
    ----------
    before, after : Build
        Two builds, of one frame or of two revisions of it.
    brief : Brief, optional
        Bands to judge by, and felt steps that override the catalogue's.

    Returns
    -------
    Comparison
        Refusals, changed verdicts, and causes with their headlines.
    """
    return compared(evaluate(before), evaluate(after), brief)


def compared(old: Answer, new: Answer, brief: Brief | None = None) -> Comparison:
    """As `compare`, for callers who have both answers at hand.

    Parameters
    ----------
    old, new : Answer
        Of the build before and of the build after.
    brief : Brief, optional
        As for `compare`.

    Returns
    -------
    Comparison
        As `compare`.
    """
    brief = Brief() if brief is None else brief
    answers, before, after = (old, new), old.build, new.build
    causes = tuple(_causes(differences(before, after)))
    alone = [_alone(before, found) for _, found in causes] if len(causes) > 1 else []
    told: list[list[Consequence]] = [[] for _ in causes]
    stopped = []
    for was, now in _changed_values(answers, brief):
        consequence = _consequence(was, now, alone, brief, after)
        if now.number is None:
            stopped.append(consequence)
        else:
            told[_strongest(consequence.shares)].append(consequence)
    gathered = tuple(
        Cause(address, found, _headlines(told[index]), tuple(_pulls(index, told, brief)))
        for index, (address, found) in enumerate(causes)
    )
    return Comparison(
        before=before,
        after=after,
        refusals=refusals(after),
        verdicts=tuple(c for consequences in (*told, stopped) for c in consequences if c.verdict_changed),
        causes=tuple(sorted(gathered, key=lambda cause: -cause.steps)),
        stopped=tuple(stopped),
    )


def compare_sizes(before: Build, after: Build, brief: Brief | None = None) -> tuple[Comparison, ...]:
    """The same change for every size that both frames have, the worst first."""
    shared = {size.name for size in before.frame.sizes}
    return worst_first(
        compare(with_value(before, "size", size.name), with_value(after, "size", size.name), brief)
        for size in after.frame.sizes
        if size.name in shared
    )


def worst_first(compared: Iterable[Comparison]) -> tuple[Comparison, ...]:
    """Comparisons of several sizes in the order in which they are read: refusals, verdicts, then what is felt."""
    return tuple(
        sorted(
            compared,
            key=lambda one: (
                -len(one.refusals),
                -len(one.verdicts),
                -max((cause.steps for cause in one.causes), default=0.0),
            ),
        )
    )


def _causes(found: tuple[Difference, ...]) -> Iterator[tuple[str, tuple[Difference, ...]]]:
    """Differences gathered into what a workshop would call one change; what a frame says about itself is none."""
    gathered: dict[str, list[Difference]] = {}
    for difference in found:
        if difference.address in ABOUT_FRAME:
            continue
        gathered.setdefault(_cause_of(difference.address), []).append(difference)
    for address, together in gathered.items():
        yield address, tuple(together)


def _cause_of(address: str) -> str:
    steps = address.split(".")
    if steps[0] in ("front_tyre", "rear_tyre"):
        return steps[0].replace("tyre", "wheel")  # a wheel of another size brings its tyre with it
    for marker in ("pins", "chips", "idlers", "bodies"):
        if marker in steps[:-1]:
            return ".".join(steps[: steps.index(marker) + 2])
    if steps[0] in ("linkage", "sizes", "datum", "limits", "outlines"):
        return address
    return steps[0]


def _alone(before: Build, found: tuple[Difference, ...]) -> Answer | None:
    """The build before with one cause only; None where that cannot be made without the others."""
    try:
        build = before
        for difference in found:
            if difference.address == "size":
                build = remade(build, {"size": difference.after})  # what differs in the size has causes of its own
                continue
            build = with_value(build, difference.address, difference.after)
    except BikewrightError:
        return None
    return evaluate(build)


def _changed_values(answers: tuple[Answer, Answer], brief: Brief) -> Iterator[tuple[Value, Value]]:
    """Each quantity that changed, once, in the state in which it changes most."""
    apart: dict[tuple[str, str], bool] = {}

    def differ(address: str) -> bool:
        """Whether the groups that a value is read from are two; asked once for each group and state."""
        quantity, state, _ = read_address(address)
        place = BINDINGS[quantity.key].group, state
        if place not in apart:
            apart[place] = answers[0].source_key(address) != answers[1].source_key(address)
        return apart[place]

    for quantity in CATALOGUE.values():
        if quantity.scope in CURVE_SCOPES:
            continue
        pairs = [
            (answers[0].value(address), answers[1].value(address))
            for address in _addresses_compared(quantity)
            if differ(address)
        ]
        changed = [pair for pair in pairs if _differs(*pair)]
        if changed:
            told, *others = changed
            for pair in others:
                if _size_of(brief, *pair) > _TIE * _size_of(brief, *told):
                    told = pair
            yield told


def _addresses_compared(quantity: Quantity) -> Iterator[str]:
    states = TOLD_AT.get(quantity.key, STATES_COMPARED) if quantity.scope == "state" else ("",)
    for state in states:
        yield address_of(quantity, state)


def _differs(old: Value, new: Value) -> bool:
    if old.number is None or new.number is None:
        return (old.number is None) != (new.number is None)
    return abs(new.number - old.number) > _SAME


def _size_of(brief: Brief, old: Value, new: Value) -> float:
    """A change in felt steps, or in its unit where nobody feels it."""
    if old.number is None or new.number is None:
        return 0.0
    steps = felt_steps(brief, old.quantity, old.number, new.number)
    return abs(new.number - old.number) if steps is None else steps


def _consequence(old: Value, new: Value, alone: list[Answer | None], brief: Brief, after: Build) -> Consequence:
    steps = None
    if old.number is not None and new.number is not None:
        steps = felt_steps(brief, new.quantity, old.number, new.number)
    line = line_for(brief, new, after.size, rider_of(after))
    return Consequence(
        before=old,
        after=new,
        steps=steps,
        shares=tuple(_share(old, answer) for answer in alone),
        judged_before=None if line is None else judge(line, old),
        judged_after=None if line is None else judge(line, new),
    )


def _share(old: Value, alone: Answer | None) -> float:
    """What one cause changes by itself; zero where it cannot stand alone or leaves the value unknown."""
    if alone is None:
        return 0.0
    number = alone.value(old.address).number
    if number is None or old.number is None:
        return 0.0
    return number - old.number


def _strongest(shares: tuple[float, ...]) -> int:
    return max(range(len(shares)), key=lambda index: abs(shares[index])) if shares else 0


def _pulls(index: int, told: list[list[Consequence]], brief: Brief) -> Iterator[Pull]:
    """What one cause alone would make felt among the quantities that are told under others."""
    for other, consequences in enumerate(told):
        for consequence in consequences:
            if other == index or consequence.before.number is None:
                continue
            share, before = consequence.shares[index], consequence.before.number
            steps = felt_steps(brief, consequence.quantity, before, before + share)
            if steps is not None and steps >= FELT:
                yield Pull(consequence.quantity, share)


def _headlines(consequences: list[Consequence]) -> tuple[Headline, ...]:
    """One headline a family, its most felt consequence leading."""
    order = list(FAMILIES)
    headlines = []
    for family in order:
        members = [c for c in consequences if c.quantity.family == family]
        if members:
            lead, *echoes = sorted(members, key=lambda c: -(c.steps or 0.0))
            headlines.append(Headline(family, lead, tuple(echoes)))
    return tuple(sorted(headlines, key=lambda headline: -headline.steps))
