"""Bar parts over the sizes: stem, bar and spacers from the shelves, so that the hands come where a rule wants them.

equal      grip reach and grip height step evenly from size to size: on straight lines through the end sizes as they
           are, or by a stated step from the kept size
posture    each size's own rider stands with the angles of trunk and shoulder that the kept size's rider has; the hands
           that do that are solved with a stem and a rise of any length

The width of the bar goes with the shoulders: the kept size's width over the breadth of its rider's shoulders (a share
of the stature: Drillis and Contini), times those of each size's rider. That a width should go with the shoulders is
common practice, no source. A stated step of the width takes its place. Frames stay as they are. Riders stand on level
cranks on a bike at its stated sag.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from math import hypot
from typing import Literal, get_args

from bikewright.errors import AddressError, BikewrightError, NotKnown, OutsideValidity, SolverDidNotSettle
from bikewright.model.addresses import with_value
from bikewright.model.build import Build
from bikewright.model.build_file import DATUM
from bikewright.model.parts import Bar, Stem
from bikewright.model.stock import Stock
from bikewright.physics.cockpit import cockpit_on_ground, hand_point
from bikewright.studies import crossing
from bikewright.studies.coverage import OwnRider
from bikewright.studies.evaluate import evaluate
from bikewright.studies.fitting import standing_fit
from bikewright.studies.step_rules import Askable, Asked, Facts, Range, facts_of
from bikewright.studies.step_solving import WITHIN_DEG, Tell
from bikewright.units import MM

BarRule = Literal["equal", "posture"]
BAR_RULES: tuple[BarRule, ...] = get_args(BarRule)
BAR_STEPPED = ("bar_width", "grip_reach", "grip_height")
"""What may be given a step of its own."""
SPACERS_MM = (0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0)
"""Spacers below the stem that are tried, beside those in use. Common practice, no source."""
WITHIN_MM = 5.0
"""Distance of the hands from where the rule wants them: a default."""
WIDTH_WITHIN_MM = 10.0
"""Of a width from the wanted one: half a step of widths as they are sold. Common practice, no source."""
AS_GOOD_MM = 0.5
"""Of parts that are as good within this, those that change least are taken."""
STATE = "stated-sag"
BAR_ASKABLE = (
    Askable("equal", steps=BAR_STEPPED, within=WITHIN_MM, unit="mm"),
    Askable("posture", steps=("bar_width",), within=WITHIN_MM, unit="mm"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hands:
    """Where one size's parts put the hands, and what that does to its own rider. None while it waits for something."""

    stem: str
    stem_mm: float
    bar: str
    width_mm: float
    rise_mm: float
    spacers_mm: float
    reach_mm: float
    """Bottom bracket forward to the hands, at the stated sag."""
    height_mm: float
    """Bottom bracket up to the hands."""
    facts: Facts


@dataclass(frozen=True, slots=True, kw_only=True)
class BarStep:
    """The bar parts of one size before and after."""

    size: str
    own: OwnRider | None
    shoulders_mm: float | None
    """Breadth of its rider's shoulders."""
    before: Hands
    after: Hands
    wanted_width_mm: float | None
    wanted_reach_mm: float | None
    wanted_height_mm: float | None
    solved: tuple[float, float] | None
    """Stem and rise of any length that put the hands there, at the spacers in use [mm]; None where none was solved."""
    changes: tuple[tuple[str, str], ...]
    """Addresses and values, for this size alone."""
    told: str
    """Where the stock has nothing near enough: by how much it misses. Empty where the rule holds."""

    @property
    def met(self) -> bool:
        """Whether the rule holds for it."""
        return not self.told

    @property
    def left(self) -> tuple[float | None, float | None, float | None]:
        """What is left over of width, reach and height [mm]."""
        pairs = (
            (self.after.width_mm, self.wanted_width_mm),
            (self.after.reach_mm, self.wanted_reach_mm),
            (self.after.height_mm, self.wanted_height_mm),
        )
        width, reach, height = (None if wanted is None else has - wanted for has, wanted in pairs)
        return width, reach, height


@dataclass(frozen=True, slots=True)
class BarStepped:
    """Bar parts of a range of sizes by one rule."""

    rule: BarRule
    keep: str
    before: Build
    after: Build
    sizes: tuple[BarStep, ...]
    within_mm: float
    width_factor: float | None
    """Width over the breadth of the shoulders; None where a step of the width is stated or no rider is known."""

    @property
    def changes(self) -> tuple[tuple[str, str], ...]:
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
class BarCost:
    """What bar parts do elsewhere: spreads over the sizes, largest less least. None where a size waits."""

    name: str
    reach_steps_mm: float
    height_steps_mm: float
    trunk_deg: float | None
    shoulder_deg: float | None
    front_share_pts: float | None
    width_over_shoulders: tuple[float, float] | None
    """Least and most."""
    stem_mm: tuple[float, float]
    """Least and most length, which steering feels."""
    missed: tuple[str, ...]


def bar_rule(rule: str, asked: Asked) -> BarRule:
    """A rule that bar parts can be stepped by.

    Raises
    ------
    OutsideValidity
        If it is a rule of the frame alone, or a cap of the rear centre is stated.
    """
    found = next((one for one in BAR_RULES if one == rule), None)
    if found is None:
        raise OutsideValidity(
            f"the rule '{rule}' moves the rear centre, which is the frame's; step bar parts by {' or '.join(BAR_RULES)}"
        )
    if asked.cap_mm is not None:
        raise OutsideValidity("a cap of the rear centre means nothing for bar parts; leave it out")
    return found


def step_bars(build: Build, stock: Stock, rule: BarRule, asked: Asked) -> BarStepped:
    """Stem, bar and spacers of every size by a rule.

    Parameters
    ----------
    build : Build
        Parts, settings and frame; it must have a stem and a bar.
    stock : Stock
        Shelves that stems and bars are taken from.
    rule : {"equal", "posture"}
        The rule.
    asked : Asked
        The kept size, riders, steps by `BAR_STEPPED` and a distance by which the hands may miss [mm].

    Returns
    -------
    BarStepped
        Changes size by size; a size for which the stock has nothing near enough says by how much it misses.

    Raises
    ------
    AddressError
        If a size or a step is named that is not there.
    OutsideValidity
        If the build is the datum, or the rule cannot be asked of this range.
    NotKnown
        If stem, bar, shelf or what the rule rests on is missing.
    """
    return BarRange(build, stock, asked).by(rule)


def bar_costs(build: Build, stock: Stock, asked: Asked) -> tuple[BarCost, ...]:
    """The parts as they are and by each rule, side by side; a rule that waits for something is left out."""
    return BarRange(build, stock, asked).costs()


def bars_and_costs(
    build: Build, stock: Stock, rule: BarRule, asked: Asked, tell: Tell | None = None
) -> tuple[BarStepped, tuple[BarCost, ...]]:
    """What `step_bars` and `bar_costs` answer, what they share found once; `tell` hears of every size that is done."""
    whole = BarRange(build, stock, asked, tell)
    return whole.by(rule), whole.costs()


class BarRange:
    """A frame's sizes with the rider and the hands of each; what the rules share is found once."""

    def __init__(self, build: Build, stock: Stock, asked: Asked, tell: Tell | None = None):
        if build.name == DATUM:
            raise OutsideValidity("the datum's parts hold in every size; step the bar parts of another build")
        for name in asked.steps_mm:
            if name not in BAR_STEPPED:
                raise AddressError(f"'{name}' is not stepped by bar parts. There are: {', '.join(BAR_STEPPED)}.")
        self._found: dict[BarRule, BarStepped] = {}
        self._tell, self._done, self._parts = tell, 0, (1 + len(BAR_RULES)) * len(build.frame.sizes)
        self.range = Range(
            build,
            Asked(keep=asked.keep, own=asked.own, steps_mm={}, within=asked.within),
            tell=lambda done, of: self._size_done(),
        )
        self.build, self.asked, self.kept = build, asked, self.range.kept
        self.own, self.bare = self.range.own, self.range.bare
        self.stems = [part for part in stock.shelf("stem") if isinstance(part, Stem)]
        self.bars = [part for part in stock.shelf("bar") if isinstance(part, Bar)]
        self.hands = [hands_of(one, own) for one, own in zip(self.bare, self.own, strict=True)]
        self.shoulders = [_shoulders_mm(one, own) for one, own in zip(self.bare, self.own, strict=True)]
        self.within = WITHIN_MM if asked.within is None else asked.within

    def as_built(self) -> BarCost:
        """The parts as they are."""
        return _cost("as drawn", self.hands, self.shoulders, ())

    def cost_of(self, stepped: BarStepped) -> BarCost:
        """What stepped bar parts do elsewhere."""
        missed = tuple(one.size for one in stepped.sizes if not one.met)
        return _cost(stepped.rule, [one.after for one in stepped.sizes], self.shoulders, missed)

    def costs(self) -> tuple[BarCost, ...]:
        """The parts as they are and by each rule; a rule that waits for something is left out."""
        found = [self.as_built()]
        for rule in BAR_RULES:
            try:
                found.append(self.cost_of(self.by(rule)))
            except NotKnown:
                continue
        return tuple(found)

    def by(self, rule: BarRule) -> BarStepped:
        """The bar parts by one rule, found once."""
        if rule not in self._found:
            self._found[rule] = self._by(rule)
        return self._found[rule]

    def _by(self, rule: BarRule) -> BarStepped:
        kept = self.hands[self.kept].facts
        if rule == "posture" and (kept.trunk_deg is None or kept.shoulder_deg is None):
            raise NotKnown(f"the posture of size {self.asked.keep}: {kept.waits}")
        sizes = tuple(self._told_size(index, rule) for index in range(len(self.bare)))
        after = self.build.in_size(self.asked.keep)
        for built, one in zip(self.bare, sizes, strict=True):
            for address, value in one.changes:
                key = address.rpartition(".")[2]
                thing = float(value) if key == "stem_spacers_mm" else self._part(key, value)
                after = after.in_one_size(built.size, key, thing)
        return BarStepped(
            rule, self.asked.keep, self.build.in_size(self.asked.keep), after, sizes, self.within, self._factor()
        )

    def _told_size(self, index: int, rule: BarRule) -> BarStep:
        found = self._size(index, rule)
        self._size_done()
        return found

    def _size_done(self) -> None:
        """Of the range as it is built, and of each rule."""
        self._done += 1
        if self._tell is not None:
            self._tell(self._done, self._parts)

    def _part(self, key: str, name: str) -> Stem | Bar:
        shelf: Sequence[Stem | Bar] = self.stems if key == "stem" else self.bars
        return {part.name: part for part in shelf}[name]

    def _factor(self) -> float | None:
        shoulders = self.shoulders[self.kept]
        if "bar_width" in self.asked.steps_mm or shoulders is None:
            return None
        return self.hands[self.kept].width_mm / shoulders

    def _wanted_width(self, index: int) -> float | None:
        step, factor, shoulders = self.asked.steps_mm.get("bar_width"), self._factor(), self.shoulders[index]
        if step is not None:
            return self.hands[self.kept].width_mm + step * (index - self.kept)
        return None if factor is None or shoulders is None else factor * shoulders

    def _even(self, index: int, name: str, values: Sequence[float]) -> float:
        """On a straight line through the ends, or on a stated step from the kept size."""
        step = self.asked.steps_mm.get(name)
        if step is not None:
            return values[self.kept] + step * (index - self.kept)
        return values[0] + (values[-1] - values[0]) * index / (len(values) - 1)

    def _size(self, index: int, rule: BarRule) -> BarStep:
        build, before, own = self.bare[index], self.hands[index], self.own[index]
        if index == self.kept and not (rule == "equal" and not self.asked.steps_mm):
            return self._step(index, before, (before.width_mm, before.reach_mm, before.height_mm), None, (), "")
        width = self._wanted_width(index)
        bars = _nearest_width(self.bars, before.width_mm if width is None else width)
        if rule == "equal":
            reach = self._even(index, "grip_reach", [one.reach_mm for one in self.hands])
            height = self._even(index, "grip_height", [one.height_mm for one in self.hands])
            solved = None
        else:
            if own is None:
                raise NotKnown(f"the posture of size {build.size}: {before.facts.waits}")
            kept = self.hands[self.kept].facts
            try:
                solved, (reach, height) = _posture_hands(
                    build, own, (kept.trunk_deg or 0.0, kept.shoulder_deg or 0.0), bars[0]
                )
            except BikewrightError as error:
                return self._step(index, before, (width, None, None), None, (), str(error))
        after = self._chosen(build, own, bars, (reach, height))
        changes = tuple(
            (f"by_size.{build.size}.{key}", f"{now:g}" if isinstance(now, float) else now)
            for key, was, now in (
                ("stem", before.stem, after.stem),
                ("bar", before.bar, after.bar),
                ("stem_spacers_mm", before.spacers_mm, after.spacers_mm),
            )
            if was != now
        )
        if solved is None:
            solved = _solved_hands(build, bars[0], (reach, height))
        told = self._told(after, (width, reach, height), solved)
        return self._step(index, after, (width, reach, height), solved, changes, told)

    def _step(
        self,
        index: int,
        after: Hands,
        wanted: tuple[float | None, float | None, float | None],
        solved: tuple[float, float] | None,
        changes: tuple[tuple[str, str], ...],
        told: str,
    ) -> BarStep:
        return BarStep(
            size=self.bare[index].size,
            own=self.own[index],
            shoulders_mm=self.shoulders[index],
            before=self.hands[index],
            after=after,
            wanted_width_mm=wanted[0],
            wanted_reach_mm=wanted[1],
            wanted_height_mm=wanted[2],
            solved=solved,
            changes=changes,
            told=told,
        )

    def _chosen(self, build: Build, own: OwnRider | None, bars: Sequence[Bar], wanted: tuple[float, float]) -> Hands:
        """Stem, bar and spacers whose hands are nearest; of those that are as good, what changes least."""
        stem, bar, now = build.parts.stem, build.parts.bar, build.settings.stem_spacers_mm
        if not self.stems:
            raise NotKnown("there is no stem in the stock to choose from")
        hands = _Cockpit(build)
        found: list[tuple[float, int, tuple[Stem, Bar, float]]] = []
        for one, other, spacers in product(self.stems, bars, dict.fromkeys((now, *SPACERS_MM))):
            reach, height = hands.at(one, other, spacers)
            changed = (one != stem) + (other != bar) + (spacers != now)
            found.append((hypot(reach - wanted[0], height - wanted[1]), changed, (one, other, spacers)))
        nearest = min(distance for distance, _, _ in found)
        _, _, taken = min((one for one in found if one[0] <= nearest + AS_GOOD_MM), key=lambda one: (one[1], one[0]))
        chosen = build
        for key, thing, held in zip(("stem", "bar", "stem_spacers_mm"), taken, (stem, bar, now), strict=True):
            chosen = chosen if thing == held else chosen.in_every_size(key, thing)
        return hands_of(chosen, own)

    def _told(self, after: Hands, wanted: tuple[float | None, float, float], solved: tuple[float, float] | None) -> str:
        width, reach, height = wanted
        found = []
        off = hypot(after.reach_mm - reach, after.height_mm - height)
        if off > self.within:
            any_length = (
                ""
                if solved is None
                else f"; solved: a stem of {solved[0]:.0f} mm, a rise of {solved[1]:.0f} mm".replace("-", "\u2212")
            )
            found.append(
                f"no stem, bar and spacers of the stock put the hands within {self.within:g} mm; the nearest leave "
                f"{off:.1f} mm{any_length}"
            )
        if width is not None and abs(after.width_mm - width) > WIDTH_WITHIN_MM:
            found.append(
                f"no bar of the stock is within {WIDTH_WITHIN_MM:g} mm of the width of {width:.0f} mm; the nearest is "
                f"{abs(after.width_mm - width):.0f} mm {'wider' if after.width_mm > width else 'narrower'}"
            )
        return "; ".join(found)


def hands_of(build: Build, own: OwnRider | None) -> Hands:
    """Where a build's parts put the hands.

    Raises
    ------
    NotKnown
        If stem, bar or grips are missing.
    """
    stem, bar = build.parts.stem, build.parts.bar
    if stem is None or bar is None:
        raise NotKnown(f"size {build.size}: the hands wait for {'a stem' if stem is None else 'a bar'}")
    reach, height = _hands_at(build)
    return Hands(
        stem=stem.name,
        stem_mm=stem.length_mm,
        bar=bar.name,
        width_mm=bar.width_mm,
        rise_mm=bar.rise_mm,
        spacers_mm=build.settings.stem_spacers_mm,
        reach_mm=reach,
        height_mm=height,
        facts=facts_of(build, own),
    )


class _Cockpit:
    """A size's front end at the stated sag, on which parts are tried: neither depends on stem, bar and spacers.

    A test holds that the hands are those of the whole answer.
    """

    def __init__(self, build: Build):
        answer, grip = evaluate(build), build.parts.grip
        if grip is None:
            raise NotKnown(f"size {build.size}: the hands wait for grips")
        self.front = answer.group("front end")
        self.pose = answer.group("geometry", STATE).ground.attitude
        self.roll, self.from_end = build.settings.bar_roll_deg, grip.hand_from_end_mm * MM

    def at(
        self, stem: Stem, bar: Bar, spacers_mm: float, longer_mm: float = 0.0, higher_mm: float = 0.0
    ) -> tuple[float, float]:
        """Grip reach and grip height, with a stem that much longer and a bar that much higher [mm]."""
        one, other = crossing.stem_of(stem, spacers_mm), crossing.bar_of(bar, self.roll)
        held = replace(one, length=one.length + longer_mm * MM), replace(other, rise=other.rise + higher_mm * MM)
        hand = hand_point(self.front.axis, self.front.headset.upper_stack, *held, self.from_end)
        place = cockpit_on_ground(self.pose, hand)
        return place.hand_reach / MM, place.hand_stack / MM


def _hands_at(build: Build) -> tuple[float, float]:
    """Grip reach and grip height [mm]."""
    found = []
    for key in ("hand_reach_mm", "hand_height_mm"):
        value = evaluate(build).value(f"{key}@{STATE}")
        if value.number is None:
            raise NotKnown(f"size {build.size}: {value.quantity.label} {value.waits}")
        found.append(value.number)
    return found[0], found[1]


def _shoulders_mm(build: Build, own: OwnRider | None) -> float | None:
    """Breadth of a rider's shoulders, a share of the stature. [mm]"""
    if own is None:
        return None
    body = evaluate(build.changed(rider=own.rider)).group("rider")
    return None if body is None else float(2.0 * body.shoulder_half_width / MM)


def _nearest_width(bars: Sequence[Bar], width_mm: float) -> list[Bar]:
    """Bars of the one width that is nearest; of two as near, the wider, which can be cut."""
    if not bars:
        raise NotKnown("there is no bar in the stock to choose from")
    nearest = min((bar.width_mm for bar in bars), key=lambda width: (abs(width - width_mm), -width))
    return [bar for bar in bars if bar.width_mm == nearest]


def _solved_hands(build: Build, bar: Bar, wanted: tuple[float, float]) -> tuple[float, float] | None:
    """Stem and rise of any length whose hands are at a place, at the spacers in use; None where none are. [mm]

    Hands move in a straight line with the stem's length, and with the rise: two linear equations.
    """
    stem, spacers, hands = build.parts.stem, build.settings.stem_spacers_mm, _Cockpit(build)
    assert stem is not None
    here = hands.at(stem, bar, spacers)
    by_stem, by_rise = hands.at(stem, bar, spacers, longer_mm=1.0), hands.at(stem, bar, spacers, higher_mm=1.0)
    a, c = by_stem[0] - here[0], by_stem[1] - here[1]
    b, d = by_rise[0] - here[0], by_rise[1] - here[1]
    x, z, determinant = wanted[0] - here[0], wanted[1] - here[1], a * d - b * c
    if abs(determinant) < 1e-6:
        return None
    return stem.length_mm + (x * d - b * z) / determinant, bar.rise_mm + (a * z - c * x) / determinant


def _posture_hands(
    build: Build, own: OwnRider, wanted: tuple[float, float], bar: Bar
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Stem and rise at which a rider stands with these angles of trunk and shoulder, and the hands there. [mm]"""
    from scipy.optimize import root as solve

    start = build.in_every_size("bar", bar)
    assert start.parts.stem is not None

    def moved(at: Sequence[float]) -> Build:
        try:
            return with_value(with_value(start, "stem.length_mm", float(at[0])), "bar.rise_mm", float(at[1]))
        except AddressError as error:
            raise SolverDidNotSettle(f"the posture asks for a stem or a rise that none has: {error}") from None

    def missed(at: Sequence[float]) -> list[float]:
        standing = standing_fit(moved(at).changed(rider=own.rider))
        if standing.refusal:
            raise SolverDidNotSettle(standing.refusal)
        angles = {angle.name: angle.value_deg for angle in standing.angles}
        return [angles["trunk"] - wanted[0], angles["shoulder"] - wanted[1]]

    first = (start.parts.stem.length_mm, bar.rise_mm)
    found = solve(missed, first, method="hybr", options={"xtol": 1e-5, "eps": 1e-6, "factor": 1.0})
    off = max(abs(value) for value in missed(found.x))
    if off > WITHIN_DEG:
        raise SolverDidNotSettle(
            f"no stem and rise near those in use give its rider the posture; the search stops {off:.1f}° from it"
        )
    return (float(found.x[0]), float(found.x[1])), _hands_at(moved(found.x))


def _cost(name: str, hands: Sequence[Hands], shoulders: Sequence[float | None], missed: tuple[str, ...]) -> BarCost:
    def spread(values: Sequence[float | None]) -> float | None:
        known = [value for value in values if value is not None]
        return max(known) - min(known) if len(known) == len(values) else None

    def steps(values: Sequence[float]) -> float:
        differences = [after - before for before, after in pairwise(values)]
        return max(differences) - min(differences)

    shares = [one.width_mm / width for one, width in zip(hands, shoulders, strict=True) if width is not None]
    stems = [one.stem_mm for one in hands]
    return BarCost(
        name=name,
        reach_steps_mm=steps([one.reach_mm for one in hands]),
        height_steps_mm=steps([one.height_mm for one in hands]),
        trunk_deg=spread([one.facts.trunk_deg for one in hands]),
        shoulder_deg=spread([one.facts.shoulder_deg for one in hands]),
        front_share_pts=spread([one.facts.front_share_pct for one in hands]),
        width_over_shoulders=(min(shares), max(shares)) if len(shares) == len(hands) else None,
        stem_mm=(min(stems), max(stems)),
        missed=missed,
    )
