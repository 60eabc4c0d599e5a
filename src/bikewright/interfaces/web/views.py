"""What a window asks to see, read from what it sent; whatever is not of the right kind is told in a sentence."""

from dataclasses import dataclass
from typing import Any

from bikewright.errors import AddressError
from bikewright.quantities import STATES

MOST_CURVES = 40
MOST_CHANGES = 200
LONGEST_TEXT = 4000


class BadMessage(AddressError):
    """A message that the server cannot take."""


@dataclass(frozen=True, slots=True)
class Looking:
    """What a window looks at."""

    build: str = ""
    """Empty: the first build of the folder."""
    size: str = ""
    """Empty: the build's own."""
    state: str = "table"
    curves: tuple[str, ...] = ("leverage_ratio",)
    values: bool = False
    travel: bool = False
    sizes: bool = False


def looking(message: dict[str, Any], before: Looking) -> Looking:
    """The view of a message; what it leaves out stays as it was.

    Raises
    ------
    BadMessage
        If something is of the wrong kind.
    """
    view = message.get("view", {})
    if not isinstance(view, dict):
        raise BadMessage("the view of a message is a table of what to show")
    curves = view.get("curves", before.curves)
    if not isinstance(curves, list | tuple) or len(curves) > MOST_CURVES:
        raise BadMessage(f"the curves of a view are a list of up to {MOST_CURVES} addresses")
    return Looking(
        build=text_of(view, "build", before.build),
        size=text_of(view, "size", before.size),
        state=state_of(text_of(view, "state", before.state)),
        curves=tuple(_text(curve, "a curve") for curve in curves),
        values=_flag(view, "values", before.values),
        travel=_flag(view, "travel", before.travel),
        sizes=_flag(view, "sizes", before.sizes),
    )


def changes_of(message: dict[str, Any]) -> tuple[str, ...]:
    """The changes of a message.

    Raises
    ------
    BadMessage
        If they are no list of texts, or more than can be meant.
    """
    changes = message.get("changes", [])
    if not isinstance(changes, list) or len(changes) > MOST_CHANGES:
        raise BadMessage(f"changes are a list of up to {MOST_CHANGES} texts such as fork=single-crown-160")
    return tuple(_text(change, "a change") for change in changes)


def state_of(text: str) -> str:
    """A state of the catalogue.

    Raises
    ------
    BadMessage
        If there is none of that name.
    """
    if text not in STATES:
        raise BadMessage(f"'{text}' is no state; there are: {', '.join(STATES)}")
    return text


def text_of(message: dict[str, Any], key: str, default: str = "") -> str:
    """A text of a message.

    Raises
    ------
    BadMessage
        If it is no text, or too long.
    """
    return _text(message.get(key, default), key)


def number_of(message: dict[str, Any]) -> int:
    """The number that an answer carries back; 0 where none was given.

    Raises
    ------
    BadMessage
        If it is no whole number.
    """
    number = message.get("n", 0)
    if isinstance(number, bool) or not isinstance(number, int):
        raise BadMessage("n is the number of a message, a whole number")
    return number


def _text(thing: Any, what: str) -> str:
    if not isinstance(thing, str) or len(thing) > LONGEST_TEXT:
        raise BadMessage(f"{what} is a text of up to {LONGEST_TEXT} characters")
    return thing


def _flag(view: dict[str, Any], key: str, default: bool) -> bool:
    flag = view.get(key, default)
    if not isinstance(flag, bool):
        raise BadMessage(f"{key} is true or false")
    return flag
