"""What a person types to have a build as a study found it: differences as changes by address.

A pressure is taken to the hundredth of a bar, which is what is shown and as fine as a pump can be read.
"""

from typing import Any

from bikewright.model.addresses import differences
from bikewright.model.build import Build, remade
from bikewright.model.drafting import value_text
from bikewright.units import suffix_of

PRESSURE_DECIMALS = 2
"""Of a pressure that is taken [bar]."""


def changes_to(before: Build, after: Build) -> tuple[str, ...]:
    """Changes by address that make one build of another.

    Parameters
    ----------
    before, after : Build
        As it is, and as it is wanted.

    Returns
    -------
    tuple of str
        Each ``address=value``, in the order of the model; pressures to `PRESSURE_DECIMALS`.
    """
    found = []
    for difference in differences(before, after):
        was, wanted = (_taken(thing, difference.address) for thing in (difference.before, difference.after))
        if was != wanted:
            found.append(f"{difference.address}={wanted}")
    return tuple(found)


def as_taken(build: Build) -> Build:
    """A found build as it is once it was taken: its pressures to `PRESSURE_DECIMALS`."""
    settings = build.settings
    bars = {name: getattr(settings, name) for name in settings.__dataclass_fields__ if suffix_of(name) == "bar"}
    rounded = {name: round(bar, PRESSURE_DECIMALS) for name, bar in bars.items() if bar is not None}
    return build.changed(settings=remade(settings, rounded))


def _taken(thing: Any, address: str) -> str:
    is_pressure = isinstance(thing, float) and suffix_of(address) == "bar"
    return value_text(round(thing, PRESSURE_DECIMALS) if is_pressure else thing)
