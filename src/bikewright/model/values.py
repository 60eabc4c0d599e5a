"""The kinds of value that a model is made of, and the one decorator for a frozen, checked type.

A number may be written bare, in the unit that its name ends in, or as a text with its unit
(``"2.4 in"``); both become the same float here. ``"unknown"`` is a value wherever a field may be
unknown: what depends on it stays blank and says what it waits for.
"""

from collections.abc import Callable
from typing import Annotated, Any, TypeVar, dataclass_transform

from pydantic import BeforeValidator, ConfigDict, Field, Strict
from pydantic.dataclasses import dataclass as _checked_dataclass

from bikewright.errors import UnitError
from bikewright.units import read_quantity

UNKNOWN = "unknown"
"""The word for a value that nobody has given yet."""

T = TypeVar("T")

# Strictness sits on the numbers below: a strict dataclass would refuse the nested tables of a file.
_CONFIG = ConfigDict(extra="forbid", allow_inf_nan=False)


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(Field,))
def value(cls: type[T]) -> type[T]:
    """Make a class a frozen value whose fields are checked when it is made, also when it is changed."""
    checked: type[T] = _checked_dataclass(frozen=True, kw_only=True, config=_CONFIG)(cls)  # type: ignore[assignment]
    return checked


def _in_unit(suffix: str) -> Callable[[Any], Any]:
    def read(given: Any) -> Any:
        if not isinstance(given, str) or given == UNKNOWN:
            return None if given == UNKNOWN else given
        try:
            return read_quantity(given, suffix)
        except UnitError as error:
            raise ValueError(str(error)) from None

    return read


def _known(given: Any) -> Any:
    return None if given == UNKNOWN else given


def _named(given: Any) -> Any:
    """Tables of tables, as in ``[pins.main]``, into the tuple of named things that the model holds."""
    if isinstance(given, dict):
        return tuple({"name": name, **table} if isinstance(table, dict) else table for name, table in given.items())
    return given


def _listed(given: Any) -> Any:
    """A file's list into the tuple that the model holds."""
    return tuple(given) if isinstance(given, list) else given


Number = Annotated[float, Strict()]
Count = Annotated[int, Strict()]
Flag = Annotated[bool, Strict()]

Mm = Annotated[float, Strict(), BeforeValidator(_in_unit("mm"))]
Deg = Annotated[float, Strict(), BeforeValidator(_in_unit("deg"))]
Kg = Annotated[float, Strict(), BeforeValidator(_in_unit("kg"))]
Bar = Annotated[float, Strict(), BeforeValidator(_in_unit("bar"))]
NPerMm = Annotated[float, Strict(), BeforeValidator(_in_unit("n_per_mm"))]
Newton = Annotated[float, Strict(), BeforeValidator(_in_unit("n"))]
Pct = Annotated[float, Strict(), BeforeValidator(_in_unit("pct"))]
MmPerS = Annotated[float, Strict(), BeforeValidator(_in_unit("mm_s"))]
NSPerMm = Annotated[float, Strict(), BeforeValidator(_in_unit("n_s_per_mm"))]
Turns = Annotated[float, Strict(), BeforeValidator(_in_unit("turns"))]

MaybeMm = Annotated[Number | None, BeforeValidator(_in_unit("mm"))]
MaybeDeg = Annotated[Number | None, BeforeValidator(_in_unit("deg"))]
MaybeGram = Annotated[Number | None, BeforeValidator(_in_unit("g"))]
MaybeBar = Annotated[Number | None, BeforeValidator(_in_unit("bar"))]
MaybeNPerMm = Annotated[Number | None, BeforeValidator(_in_unit("n_per_mm"))]
MaybeN = Annotated[Number | None, BeforeValidator(_in_unit("n"))]
MaybePct = Annotated[Number | None, BeforeValidator(_in_unit("pct"))]
MaybeCm2 = Annotated[Number | None, BeforeValidator(_in_unit("cm2"))]
MaybeCm3 = Annotated[Number | None, BeforeValidator(_in_unit("cm3"))]
MaybeCount = Annotated[Count | None, BeforeValidator(_known)]

Named = BeforeValidator(_named)
Listed = BeforeValidator(_listed)

Name = Annotated[str, Field(min_length=1, max_length=60, pattern=r"^\w[\w\-]*$")]
"""A name that can stand in an address, a file name and a table heading."""
Text = Annotated[str, Field(max_length=2000)]
"""Free text: shown as text wherever it appears, never interpreted."""
Point = Annotated[tuple[Number, Number], Listed]
"""A point (x, z) in frame axes [mm]."""
