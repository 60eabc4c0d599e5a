"""Questions that take too long for the thread that answers: what they are, and the one about base tunes.

Those about sizes and riders stand in `bikewright.interfaces.web.range_questions`.

Each is a value with everything that its answer rests on, so that it can be handed to another process
(`bikewright.interfaces.web.apart`), and with a key by which an answer is found again. An answer has the document that
the command prints with ``--json`` as ``twin`` and the same worded for the page as ``shown``. Where the command refuses
but the page has something to show, the refusal stands as ``refused`` in place of the twin.
"""

import base64
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from bikewright.errors import AddressError, EnvironmentFault
from bikewright.interfaces.cli.setting_up import asked_base, with_asked
from bikewright.interfaces.web.answers import UNITS
from bikewright.interfaces.web.desk import Desk
from bikewright.interfaces.web.queries import Query, one, sags_of
from bikewright.interfaces.web.views import Looking
from bikewright.model.build import Build
from bikewright.model.digest import digest
from bikewright.model.stock import Stock
from bikewright.model.tune import BaseTune
from bikewright.reports.setup_json import tunes_json
from bikewright.reports.setup_room import tunes_data
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.sheets.tune_table import tune_page
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
    builds = tuple(with_asked(desk.bike, build, sags_of(query)) for build in chosen)
    return TunesQuestion(builds, desk.bike.stock, asked_base(desk.bike, one(query, "base")))
