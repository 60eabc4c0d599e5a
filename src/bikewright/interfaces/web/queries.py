"""What the query of a twin's address asks for: one value, many, the builds that it names."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from bikewright.errors import BikewrightError, UnitError
from bikewright.interfaces.cli.setting_up import sag_changes
from bikewright.interfaces.web.desk import Desk
from bikewright.interfaces.web.views import BadMessage, Looking, changes_of
from bikewright.model.addresses import read_scalar
from bikewright.model.build import Build
from bikewright.units import read_quantity

Query = list[tuple[str, str]]
Document = dict[str, Any]


@contextmanager
def at_field(name: str) -> Iterator[None]:
    """Whatever is refused within is refused at this field, which the page marks."""
    try:
        yield
    except BikewrightError as error:
        error.at = error.at or name
        raise


def one(query: Query, name: str) -> str:
    """The first value of a name; empty where there is none."""
    return next((value for key, value in query if key == name), "")


def every(query: Query, name: str) -> list[str]:
    """Every value of a name, each a text that may be meant.

    Raises
    ------
    BadMessage
        If there are more than can be meant, or one is too long.
    """
    return list(changes_of({"changes": [value for key, value in query if key == name]}))


def number(query: Query, name: str, unit: str) -> float | None:
    """A number with or without its unit, as it is typed; None where nothing is.

    Raises
    ------
    BadMessage
        If it is none.
    """
    text = one(query, name).strip()
    if not text:
        return None
    value = read_scalar(text)
    try:
        return read_quantity(text, unit) if isinstance(value, str) else float(value)
    except UnitError as error:
        raise BadMessage(f"{name}: {error}") from None


def sags_of(query: Query) -> list[str]:
    """The sags that ``sag_front=`` and ``sag_rear=`` want, as changes."""
    return sag_changes(number(query, "sag_front", "pct"), number(query, "sag_rear", "pct"))


def looking_of(query: Query) -> Looking:
    """Build and size."""
    return Looking(build=one(query, "build"), size=one(query, "size"))


def builds_of(desk: Desk, query: Query, asked: tuple[str, ...] = ()) -> tuple[Build, Build]:
    """The pinned build and the draft's, with what is ``asked`` and every ``with`` laid on."""
    return desk.look(looking_of(query), (*asked, *every(query, "with")))
