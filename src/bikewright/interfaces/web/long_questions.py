"""Questions that take too long for the thread that answers: coverage, steps, the base tune table.

Each is a value with everything that its answer rests on, so that it can be handed to another process
(`bikewright.interfaces.web.apart`), and with a key by which an answer is found again. An answer has the document that
the command prints with ``--json`` as ``twin`` and the same worded for the page as ``shown``.
"""

import base64
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from bikewright.errors import AddressError, EnvironmentFault
from bikewright.interfaces.cli.ranging import asked_ranges, builds_by_size, own_riders, read_cap, read_steps
from bikewright.interfaces.cli.setting_up import asked_base, with_asked
from bikewright.interfaces.web.answers import UNITS
from bikewright.interfaces.web.desk import Desk
from bikewright.interfaces.web.queries import Query, builds_of, every, number, one
from bikewright.interfaces.web.views import BadMessage, Looking
from bikewright.model.brief import Brief
from bikewright.model.build import Build
from bikewright.model.digest import digest
from bikewright.model.rider import Rider
from bikewright.model.stock import Stock
from bikewright.model.tune import BaseTune
from bikewright.reports.bar_stepping import bar_json
from bikewright.reports.coverage import coverage_json
from bikewright.reports.fit_room import bar_data, coverage_data, steps_data
from bikewright.reports.setup_json import tunes_json
from bikewright.reports.setup_room import tunes_data
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.sheets.tune_table import tune_page
from bikewright.reports.stepping import steps_json
from bikewright.studies.bar_steps import BarRule, bar_costs, bar_rule, step_bars
from bikewright.studies.bounds import Ranges
from bikewright.studies.coverage import WOMEN_PCT, coverage, surveyed
from bikewright.studies.step_rules import RULES, Asked, Rule, costs, step_sizes
from bikewright.studies.tune_table import tune_table

Tell = Callable[[int, int], None]
Answered = dict[str, Any]


class LongQuestion(Protocol):
    """A question with everything that its answer rests on."""

    @property
    def key(self) -> str:
        """The same for the same question about the same bike."""

    def answer(self, tell: Tell) -> Answered:
        """The answer; ``tell`` hears how many parts of how many are done."""


@dataclass(frozen=True, slots=True)
class CoverageQuestion:
    """Whom do the sizes fit?"""

    builds: tuple[Build, ...]
    ranges: Ranges
    riders: Mapping[str, Rider]
    women_pct: float

    @property
    def key(self) -> str:
        """The same for the same question about the same bike."""
        ranges = tuple((*place, *ends) for place, ends in sorted(self.ranges.items()))
        return digest(("coverage", self.builds, ranges, tuple(sorted(self.riders.items())), self.women_pct))

    def answer(self, tell: Tell) -> Answered:
        """Bands, overlaps, gaps and shares."""
        found = coverage(self.builds, surveyed(self.women_pct), ranges=self.ranges, riders=self.riders, tell=tell)
        return {"twin": coverage_json(found), "shown": coverage_data(found, UNITS)}


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
        asked = self.asked
        how = (asked.keep, tuple(sorted(asked.own.items())), tuple(sorted(asked.steps_mm.items())), asked.within)
        return digest(("steps", self.build, self.rule, how, asked.cap_mm, self.brief))

    def answer(self, tell: Tell) -> Answered:
        """Dimensions by the rule, and what each rule costs."""
        tell(0, 2)
        found = step_sizes(self.build, self.rule, self.asked, self.brief)
        tell(1, 2)
        rules = costs(self.build, self.asked, self.brief)
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
        asked = self.asked
        how = (asked.keep, tuple(sorted(asked.own.items())), tuple(sorted(asked.steps_mm.items())), asked.within)
        return digest(("bar-steps", self.build, self.stock, self.rule, how))

    def answer(self, tell: Tell) -> Answered:
        """Bar parts by the rule, and what each rule costs."""
        tell(0, 2)
        found = step_bars(self.build, self.stock, self.rule, self.asked)
        tell(1, 2)
        rules = bar_costs(self.build, self.stock, self.asked)
        return {"twin": bar_json(found, rules), "shown": bar_data(found, rules, UNITS)}


@dataclass(frozen=True, slots=True)
class TunesQuestion:
    """Which base tunes for riders of every mass?"""

    builds: tuple[Build, ...]
    stock: Stock
    base: BaseTune | None

    @property
    def key(self) -> str:
        """The same for the same question about the same bike."""
        return digest(("tunes", self.builds, self.stock, self.base))

    def answer(self, tell: Tell) -> Answered:
        """The table, and the same as the sheet that goes to customers."""
        table = tune_table(self.builds, self.stock, self.base, told=tell)
        found = {"twin": tunes_json(table), "shown": tunes_data(table, UNITS)}
        try:
            sheet = to_pdf(tune_page(table, UNITS))
        except EnvironmentFault as error:  # the table is told all the same
            return {**found, "no_pdf": str(error)}
        return {**found, "pdf": base64.b64encode(sheet).decode()}


def coverage_question(desk: Desk, query: Query) -> CoverageQuestion:
    """``for=SIZE:ADDRESS=VALUE``, ``bound=``, ``own=SIZE=RIDER``, ``women_pct=``."""
    build = builds_of(desk, _of_build(query))[1]
    women = number(query, "women_pct", "pct")
    return CoverageQuestion(
        builds=tuple(builds_by_size(desk.bike, build, every(query, "for"))),
        ranges=asked_ranges(every(query, "bound")),
        riders=own_riders(desk.bike, every(query, "own")),
        women_pct=WOMEN_PCT if women is None else women,
    )


def steps_question(desk: Desk, query: Query) -> StepsQuestion | BarStepsQuestion:
    """``of=bar``, ``rule=``, ``keep=SIZE``, ``own=SIZE=RIDER``, ``step=NAME=MM``, ``within=``, ``cap=LOW..HIGH``.

    Raises
    ------
    BadMessage
        If there is no such rule, nothing such is stepped, or the tolerance is no number.
    """
    build = builds_of(desk, _of_build(query))[1]
    rule = next((one_rule for one_rule in RULES if one_rule == one(query, "rule")), None)
    if rule is None:
        raise BadMessage(f"name a rule, as in ?rule=equal; there are: {', '.join(RULES)}")
    asked = Asked(
        keep=one(query, "keep") or build.size,
        own=own_riders(desk.bike, every(query, "own")),
        steps_mm=read_steps(every(query, "step")),
        within=_plain(query, "within"),
        cap_mm=read_cap(one(query, "cap")),
    )
    if one(query, "of") == "bar":
        return BarStepsQuestion(build, desk.bike.stock, bar_rule(rule, asked), asked)
    if one(query, "of") not in ("", "frame"):
        raise BadMessage("steps are of=frame or of=bar")
    return StepsQuestion(build, rule, asked, desk.bike.brief)


def tunes_question(desk: Desk, query: Query) -> TunesQuestion:
    """``build=NAME``, as often as wanted, else all that have a rider; ``sag_front=``, ``sag_rear=``, ``base=``.

    Raises
    ------
    AddressError
        If no build has a rider.
    """
    names = [value for key, value in query if key == "build" and value]
    chosen = [desk.look(Looking(build=name))[1] for name in names]
    chosen = chosen or [build for build in desk.bike.builds if build.rider is not None]
    if not chosen:
        raise AddressError("no build of this bike has a rider; give one a rider")
    sags = [
        f"sag_{end}_pct={sag!r}" for end in ("front", "rear") if (sag := number(query, f"sag_{end}", "pct")) is not None
    ]
    builds: Sequence[Build] = [with_asked(desk.bike, build, sags) for build in chosen]
    return TunesQuestion(tuple(builds), desk.bike.stock, asked_base(desk.bike, one(query, "base")))


def _of_build(query: Query) -> Query:
    """Without the size that is looked at: these are questions about all sizes, asked of a build as it is sold."""
    return [(key, value) for key, value in query if key != "size"]


def _plain(query: Query, name: str) -> float | None:
    text = one(query, name).strip()
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise BadMessage(f"{name} is a number, not '{text[:40]}'") from None
