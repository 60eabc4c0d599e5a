"""Long questions about a range of sizes and about the cockpit: coverage, steps, an old range to a new one, hands.

What they share with `bikewright.interfaces.web.long_questions`: each is a value with everything that its answer rests
on, and answers in another process. Coverages are remembered there, since a list, or another range beside, is laid on
the same one.
"""

import math
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bikewright.errors import AddressError, BikewrightError, ModelFileError
from bikewright.interfaces.cli.main import error_as_json
from bikewright.interfaces.cli.ranging import (
    OF_BAR,
    OF_FRAME,
    SURVEY,
    builds_by_size,
    old_build,
    own_riders,
    read_cap,
    read_steps,
)
from bikewright.interfaces.web.answers import UNITS
from bikewright.interfaces.web.desk import Desk
from bikewright.interfaces.web.lists import ListText
from bikewright.interfaces.web.queries import Query, at_field, builds_of, every, number, one
from bikewright.interfaces.web.views import BadMessage
from bikewright.model.brief import Brief
from bikewright.model.build import Build
from bikewright.model.digest import digest
from bikewright.model.files import Bike, read_bike
from bikewright.model.people_file import People, people_in
from bikewright.model.rider import Rider
from bikewright.model.stock import Stock
from bikewright.model.versions import read_version
from bikewright.reports.bar_stepping import bar_json
from bikewright.reports.coverage import coverage_json
from bikewright.reports.fit import solution_json
from bikewright.reports.fit_room import bar_data, coverage_data, steps_data
from bikewright.reports.range_room import Tried, cockpit_data, regroup_data
from bikewright.reports.regrouping import regroup_json
from bikewright.reports.stepping import steps_json
from bikewright.studies.bar_steps import BAR_STEPPED, BarRule, bar_rule, bars_and_costs
from bikewright.studies.bounds import Ranges, read_bounds
from bikewright.studies.buying import lay_beside
from bikewright.studies.cockpit_solve import SHORT_NAMES, read_want, solve_cockpit
from bikewright.studies.compare import compare
from bikewright.studies.coverage import WOMEN_PCT, Coverage, Crowd, by_size, coverage, listed, surveyed
from bikewright.studies.regrouping import regroup
from bikewright.studies.step_rules import RULES, STEPPED, Asked, Rule, refuse_asked, sizes_and_costs

Tell = Callable[[int, int], None]
Answered = dict[str, Any]

OLD_FORMS = "files, version:LABEL, or folder:NAME for a bike's folder beside this one"
BIKE_FILE = "bike.toml"
MOST_BESIDE = 200
"""Folders beside this one that are offered."""
COVERAGES_KEPT = 4
_coverages: OrderedDict[str, Coverage] = OrderedDict()


def _coverage(
    builds: Sequence[Build], people: Crowd, whose: str, ranges: Ranges, riders: Mapping[str, Rider], tell: Tell
) -> Coverage:
    """A coverage, or the same one found before in this process; ``whose`` names the people."""
    key = digest((tuple(builds), whose, _ranges_key(ranges), tuple(sorted(riders.items()))))
    found = _coverages.get(key)
    if found is None:
        found = _coverages[key] = coverage(builds, people, ranges=ranges, riders=riders, tell=tell)
    _coverages.move_to_end(key)
    while len(_coverages) > COVERAGES_KEPT:
        _coverages.popitem(last=False)
    return found


def _ranges_key(ranges: Ranges) -> tuple[tuple[Any, ...], ...]:
    return tuple((*place, *ends) for place, ends in sorted(ranges.items()))


@dataclass(frozen=True, slots=True)
class CoverageQuestion:
    """Whom do the sizes fit, and what became of those who bought one?"""

    builds: tuple[Build, ...]
    ranges: Ranges
    riders: Mapping[str, Rider]
    women_pct: float
    population: ListText | None
    """None for the survey."""
    people: ListText | None
    """The firm's own list, laid beside the sizes."""

    @property
    def key(self) -> str:
        """The same for the same question about the same bike."""
        riders, lists = tuple(sorted(self.riders.items())), _marks(self.population, self.people)
        return digest(("coverage", self.builds, _ranges_key(self.ranges), riders, self.women_pct, lists))

    def answer(self, tell: Tell) -> Answered:
        """Bands, overlaps, gaps and shares. A list that cannot be read leaves the rest for the page to show."""
        crowd, whose = surveyed(self.women_pct), f"{self.women_pct!r}"
        if self.population is not None:
            with at_field("population"):
                crowd = listed(_people(self.population))
            whose = repr(self.population.mark)
        found = _coverage(self.builds, crowd, whose, self.ranges, self.riders, tell)
        if self.people is None:
            return {"twin": coverage_json(found), "shown": coverage_data(found, None, UNITS)}
        try:
            buyers = lay_beside(found, _people(self.people, tuple(build.size for build in self.builds)))
        except ModelFileError as error:
            shown = {**coverage_data(found, None, UNITS), "list_trouble": str(error)}
            return {"refused": error_as_json(error), "shown": shown}
        return {"twin": coverage_json(found, buyers), "shown": coverage_data(found, buyers, UNITS)}


@dataclass(frozen=True, slots=True)
class StepsQuestion:
    """How do the sizes step by a rule?"""

    build: Build
    rule: Rule
    asked: Asked
    brief: Brief

    @property
    def key(self) -> str:
        """The same for the same question about the same bike."""
        return digest(("steps", self.build, self.rule, *_how(self.asked), self.brief))

    def answer(self, tell: Tell) -> Answered:
        """Dimensions by the rule, and what each rule costs."""
        found, rules = sizes_and_costs(self.build, self.rule, self.asked, self.brief, tell)
        return {"twin": steps_json(found, rules), "shown": steps_data(found, rules, UNITS)}


@dataclass(frozen=True, slots=True)
class BarStepsQuestion:
    """How do stem, bar and spacers step by a rule?"""

    build: Build
    stock: Stock
    rule: BarRule
    asked: Asked

    @property
    def key(self) -> str:
        """The same for the same question about the same bike."""
        return digest(("bar-steps", self.build, self.stock, self.rule, *_how(self.asked)))

    def answer(self, tell: Tell) -> Answered:
        """Bar parts by the rule, and what each rule costs."""
        found, rules = bars_and_costs(self.build, self.stock, self.rule, self.asked, tell)
        return {"twin": bar_json(found, rules), "shown": bar_data(found, rules, UNITS)}


@dataclass(frozen=True, slots=True)
class RegroupQuestion:
    """Which size do the riders of an old range go to?"""

    old: tuple[Build, ...]
    new: tuple[Build, ...]
    ranges: Ranges
    women_pct: float
    people: ListText | None
    brief: Brief

    @property
    def key(self) -> str:
        """The same for the same question about the same bikes."""
        ranges, lists = _ranges_key(self.ranges), _marks(self.people)
        return digest(("regroup", self.old, self.new, ranges, self.women_pct, lists, self.brief))

    def answer(self, tell: Tell) -> Answered:
        """Groups of riders with what each gains and loses."""
        people = None
        if self.people is not None:
            with at_field("list"):
                people = _people(self.people, tuple(size.name for size in self.old[0].frame.sizes))
        crowd, whose, ranges = surveyed(self.women_pct), f"{self.women_pct!r}", self.ranges
        share = 2 * len(self.old), 2 * (len(self.old) + len(self.new))
        earlier = _coverage(self.old, crowd, whose, ranges, {}, lambda done, of: tell(done, share[1]))
        tell(*share)
        later = _coverage(self.new, crowd, whose, ranges, {}, lambda done, of: tell(share[0] + done, share[1]))
        found = regroup(earlier, later, people, self.brief)
        return {"twin": regroup_json(found), "shown": regroup_data(found, UNITS)}


@dataclass(frozen=True, slots=True)
class CockpitQuestion:
    """Which dimension puts the hands where they are wanted? One of them as the command answers it, or each."""

    build: Build
    want: str
    wanted_mm: float
    by: tuple[str, ...]
    brief: Brief

    @property
    def key(self) -> str:
        """The same for the same question about the same bike."""
        return digest(("cockpit", self.build, self.want, self.wanted_mm, self.by, self.brief))

    def answer(self, tell: Tell) -> Answered:
        """What each dimension must become, with what follows, or why it cannot do it."""
        tried = []
        for done, by in enumerate(self.by):
            tell(done, len(self.by))
            try:
                found = solve_cockpit(self.build, self.want, self.wanted_mm, by)
                tried.append(Tried(by, found, compare(found.build, found.changed, self.brief), None))
            except BikewrightError as error:
                tried.append(Tried(by, None, None, error))
        answered: Answered = {"shown": cockpit_data(self.want, self.wanted_mm, tried, UNITS)}
        first = tried[0]
        if first.solution is not None and first.comparison is not None:
            return {**answered, "twin": solution_json(first.solution, first.comparison)}
        assert first.refused is not None  # there is a solution, or a reason why there is none
        return {**answered, "refused": error_as_json(first.refused)}


def coverage_question(desk: Desk, query: Query) -> CoverageQuestion:
    """``for=SIZE:ADDRESS=VALUE``, ``bound=``, ``own=SIZE=RIDER``, ``women_pct=``, ``population=``, ``list=``."""
    build = builds_of(desk, of_build(query))[1]
    population = one(query, "population")
    with at_field("for"):
        builds = builds_by_size(desk.bike, build, every(query, "for"))
    with at_field("population"):
        crowd = None if population in ("", SURVEY) else desk.lists.find(population)
    return CoverageQuestion(
        builds=tuple(builds),
        ranges=_asked_bounds(query),
        riders=_own(desk.bike, query, [size.name for size in build.frame.sizes]),
        women_pct=_women_pct(query),
        population=crowd,
        people=_list(desk, query),
    )


def steps_question(desk: Desk, query: Query) -> StepsQuestion | BarStepsQuestion:
    """``of=frame`` or ``of=bar``, ``rule=``, ``keep=SIZE``, ``own=``, ``step=NAME=MM``, ``within=``, ``cap=``.

    Raises
    ------
    BadMessage
        If there is no such rule, or a field cannot be meant.
    """
    build = builds_of(desk, of_build(query))[1]
    rule = next((one_rule for one_rule in RULES if one_rule == one(query, "rule")), None)
    if rule is None:
        raise BadMessage(f"name a rule, as in ?rule=equal; there are: {', '.join(RULES)}")
    if (of := one(query, "of") or OF_FRAME) not in (OF_FRAME, OF_BAR):
        raise BadMessage(f"steps are of={OF_FRAME} or of={OF_BAR}")
    stepped = BAR_STEPPED if of == OF_BAR else STEPPED
    keep, sizes = one(query, "keep") or build.size, [size.name for size in build.frame.sizes]
    with at_field("step"):
        steps_mm = read_steps(every(query, "step"))
    with at_field("cap"):
        cap_mm = read_cap(one(query, "cap"))
    within = _plain(query, "within")
    for name, asked in (
        ("keep", Asked(keep=keep, own={}, steps_mm={})),
        ("step", Asked(keep=keep, own={}, steps_mm=steps_mm)),
        ("within", Asked(keep=keep, own={}, steps_mm={}, within=within)),
        ("cap", Asked(keep=keep, own={}, steps_mm={}, cap_mm=cap_mm)),
    ):
        with at_field(name):
            refuse_asked(sizes, asked, stepped)
    own = _own(desk.bike, query, sizes)
    asked = Asked(keep=keep, own=own, steps_mm=steps_mm, within=within, cap_mm=cap_mm)
    if of == OF_BAR:
        return BarStepsQuestion(build, desk.bike.stock, bar_rule(rule, asked), asked)
    return StepsQuestion(build, rule, asked, desk.bike.brief)


def regroup_question(desk: Desk, query: Query) -> RegroupQuestion:
    """``old=`` (`OLD_FORMS`), ``old_build=``, ``for_old=``, ``for=``, ``list=``, ``women_pct=``, ``bound=``."""
    build = builds_of(desk, of_build(query))[1]
    with at_field("for"):
        new = builds_by_size(desk.bike, build, every(query, "for"))
    with at_field("old"):
        old = _old_builds(desk, query, build)
    return RegroupQuestion(
        tuple(old), tuple(new), _asked_bounds(query), _women_pct(query), _list(desk, query), desk.bike.brief
    )


def cockpit_question(desk: Desk, query: Query) -> CockpitQuestion:
    """``want=NAME=VALUE``, ``by=DIMENSION``; without ``by`` each of the named ones, for the page alone."""
    rider = one(query, "rider")
    build = builds_of(desk, query, (f"rider={rider}",) if rider else ())[1]
    with at_field("want"):
        want, wanted_mm = read_want(one(query, "want"))
    by = one(query, "by")
    return CockpitQuestion(build, want, wanted_mm, (by,) if by else tuple(SHORT_NAMES), desk.bike.brief)


def cockpit_by_one(desk: Desk, query: Query) -> CockpitQuestion:
    """The same, one dimension named.

    Raises
    ------
    BadMessage
        If none is.
    """
    if not one(query, "by"):
        raise BadMessage(f"name a dimension, as in ?want=seated-length=615&by=reach; there are: {_names()}")
    return cockpit_question(desk, query)


def _how(asked: Asked) -> tuple[Any, ...]:
    own, steps_mm = tuple(sorted(asked.own.items())), tuple(sorted(asked.steps_mm.items()))
    return asked.keep, own, steps_mm, asked.within, asked.cap_mm


def of_build(query: Query) -> Query:
    """Without the size that is looked at: these are questions about all sizes, asked of a build as it is sold."""
    return [(key, value) for key, value in query if key != "size"]


def olds(desk: Desk, *, others: bool) -> dict[str, Any]:
    """What an old range may be: the files, kept versions, and bike folders beside this one where they may be read."""
    beside = []
    if others:
        parent = desk.folder.resolve().parent
        for path in sorted(parent.glob(f"*/{BIKE_FILE}"))[:MOST_BESIDE]:
            folder = path.parent
            if folder.resolve() != desk.folder.resolve() and folder.resolve().parent == parent:
                beside.append(folder.name)
    return {"versions": list(desk.told()["versions"]), "folders": beside}


def refuse_other_folders(query: Query) -> None:
    """Another machine reads the folder that was opened to it, and no other.

    Raises
    ------
    BadMessage
        If the query names another folder.
    """
    if one(query, "old").startswith("folder:"):
        with at_field("old"):
            raise BadMessage("another machine may lay the files and kept versions of this bike beside it, no folders")


def _old_builds(desk: Desk, query: Query, build: Build) -> list[Build]:
    """The old range in every size."""
    kind, _, name = one(query, "old").partition(":")
    changes = every(query, "for_old")
    if kind == "version":
        if changes:
            raise AddressError("for_old changes a folder's files; a kept version stays as it was kept")
        return by_size(read_version(desk.folder, name).build)
    if kind not in ("files", "folder"):
        raise AddressError(f"name the old range: {OLD_FORMS}")
    bike = desk.files if kind == "files" else read_bike(_folder_beside(desk, name))
    return builds_by_size(bike, old_build(bike, one(query, "old_build"), build), changes)


def _folder_beside(desk: Desk, name: str) -> Path:
    """A folder inside the parent of the one that is served; whatever leads out of it, by steps or links, is refused."""
    parent = desk.folder.resolve().parent
    refused = AddressError(
        f"'{name[:80]}' does not lie beside this bike's folder; name a bike's folder that does, as in folder:quillback"
    )
    if not name or "\0" in name:
        raise refused
    try:
        path = (parent / name).resolve()
    except (OSError, RuntimeError):
        raise refused from None
    if path == parent or not path.is_relative_to(parent):
        raise refused
    if not (path / BIKE_FILE).is_file():
        raise AddressError(f"'{name[:80]}' is no bike's folder: it has no {BIKE_FILE}")
    return path


def _people(found: ListText, sizes: tuple[str, ...] = ()) -> People:
    return people_in(found.content, found.file, sizes)


def _list(desk: Desk, query: Query) -> ListText | None:
    with at_field("list"):
        return desk.lists.find(one(query, "list")) if one(query, "list") else None


def _marks(*lists: ListText | None) -> tuple[tuple[str, str] | None, ...]:
    return tuple(None if found is None else found.mark for found in lists)


def _asked_bounds(query: Query) -> Ranges:
    """Every bound, each refused by its own name."""
    found: dict[tuple[str, str], tuple[float | None, float | None]] = {}
    for text in every(query, "bound"):
        with at_field(f"bound {text.partition('=')[0].strip()}"):
            found.update(read_bounds([text]))
    return found


def _own(bike: Bike, query: Query, sizes: Sequence[str]) -> dict[str, Rider]:
    with at_field("own"):
        found = own_riders(bike, every(query, "own"))
        for name in found:
            if name not in sizes:
                raise AddressError(f"no size is called '{name}'. There are: {', '.join(sizes)}.")
        return found


def _women_pct(query: Query) -> float:
    with at_field("women_pct"):
        women = number(query, "women_pct", "pct")
        return WOMEN_PCT if women is None else surveyed(women).women_pct


def _plain(query: Query, name: str) -> float | None:
    text = one(query, name).strip()
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        with at_field(name):
            raise BadMessage(f"{name} is a number, not '{text[:40]}'")
    return value


def _names() -> str:
    return ", ".join(SHORT_NAMES)
