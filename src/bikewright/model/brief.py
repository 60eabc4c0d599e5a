"""The brief: what the bike is meant to be, quantity by quantity. What its lines are called."""

import re
from typing import Annotated

from pydantic import Field

from bikewright.model.faults import near, shown
from bikewright.model.values import Named, Number, Text, value
from bikewright.quantities import CATALOGUE, STATES

_GEAR = re.compile(r"\d+x\d+")


@value
class BriefLine:
    """One quantity, the band it shall lie in, and how small a change of it is felt."""

    name: Annotated[str, Field(min_length=1, max_length=80)]
    """Address of the quantity: ``head_angle_deg`` or ``head_angle_deg@stated-sag``."""
    low: Number | None = None
    high: Number | None = None
    felt_step: Annotated[Number | None, Field(gt=0)] = None
    """Overrides the catalogue's step, in the quantity's unit."""
    size: Text = ""
    """Only for this size; empty: for every size."""
    rider: Text = ""
    """Only with this rider on the bike; empty: with whoever the build has."""
    why: Text = ""


@value
class Brief:
    """Every line of the brief, in the order in which it was written."""

    lines: Annotated[tuple[BriefLine, ...], Named] = ()


def line_key(line: BriefLine) -> str:
    """What a line of the brief is called: its quantity, and its size and rider where it has them."""
    return said_line_key(line.name, line.size, line.rider)


def read_line_key(key: str) -> tuple[str, str, str]:
    """Quantity, size and rider of a line's key; a gear, as ``32x51``, belongs to the quantity."""
    name, *rest = key.split("/")
    if rest and _GEAR.fullmatch(rest[0]):
        name = f"{name}/{rest.pop(0)}"
    size, rider, *_ = (*rest, "", "")
    return name, size, rider


def said_line_key(name: str, size: str, rider: str) -> str:
    """The key of a line from what it says."""
    return f"{name}/{size}/{rider}".rstrip("/")


def key_of(address: str) -> str:
    """The quantity alone, of ``key[@state][/gear]``."""
    return address.partition("@")[0].partition("/")[0]


def wrong_quantity(address: str) -> str:
    """What is wrong with ``key[@state][/gear]``; empty where nothing is."""
    key, _, rest = address.partition("@")
    key, _, gear = key.partition("/")
    state = rest.partition("/")[0]
    quantity = CATALOGUE.get(key)
    if quantity is None:
        return near(key, CATALOGUE) if len(key) < 60 else "No quantity has a name so long."
    if quantity.scope in ("travel", "fork"):
        numbers = [name for name, other in CATALOGUE.items() if other.scope not in ("travel", "fork")]
        return f"It is a curve; the brief holds one number. {near(key, numbers)}"
    if "@" in address and state not in STATES:
        return f"No state is called {shown(state)}. {near(state, STATES)}"
    if "@" in address and quantity.scope == "build":
        return f"It is the same in every state; write {key}."
    return "" if not gear or "@" not in address else "The gear stands last, as in key@state/gear."
