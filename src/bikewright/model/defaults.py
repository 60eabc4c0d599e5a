"""Which values of a build are nobody's: defaults that stand where nothing was said.

A value typed in that equals the default is listed too: it is the same number, and whoever reads the list
sees what the answer rests on.
"""

from collections.abc import Iterator
from dataclasses import MISSING, fields, is_dataclass
from typing import Any

from pydantic.fields import FieldInfo

from bikewright.model.addresses import short_address
from bikewright.model.build import Build

SKIPPED = ("frame.sizes", "frame.linkage", "frame.limits", "frame.outlines", "rider", "loads")
"""Where a default says nothing about the bike."""


def defaults_taken(build: Build) -> tuple[tuple[str, float], ...]:
    """Address and number of every default, other than nought, that a build stands on."""
    return tuple(_taken(build, ""))


def _taken(place: Any, path: str) -> Iterator[tuple[str, float]]:
    for field in fields(place):
        address = f"{path}.{field.name}" if path else field.name
        value = getattr(place, field.name)
        if address in SKIPPED or value is None:
            continue
        if is_dataclass(value):
            yield from _taken(value, address)
        elif isinstance(value, int | float) and not isinstance(value, bool) and value and value == _default(field):
            yield short_address(address.split(".")), float(value)


def _default(field: Any) -> Any:
    """Default of a field; `pydantic` keeps it in its own wrapper where limits stand beside it."""
    default = field.default
    if isinstance(default, FieldInfo):
        default = default.default
    return None if default is MISSING else default
