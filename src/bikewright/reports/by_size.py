"""What goes with the size: parts and settings that differ from size to size of one build.

Question answered   Which stem, bar, post, cranks or spacers does each size have?
Method              Every place and setting that is not the same in all sizes, size by size, a part by its name.
Left out            Whether a part fits: coverage, fit and the refusals say that.
"""

from collections.abc import Sequence
from typing import Any

from bikewright.model.build import Build, Settings
from bikewright.model.parts import SLOTS
from bikewright.reports.wording import ShownUnits, place_text, thing_text


def by_size_rows(builds: Sequence[Build], units: ShownUnits) -> list[tuple[str, ...]]:
    """What differs from size to size as cells: what, then size by size; no row where every size has the same."""
    return [(place_text(key), *(_cell(thing, key, units) for thing in things)) for key, things in _differing(builds)]


def by_size_json(builds: Sequence[Build]) -> list[dict[str, Any]]:
    """The same for programs: parts by name, settings as numbers or texts, null where unknown."""
    return [
        {"key": key, "values": [getattr(thing, "name", thing) for thing in things]}
        for key, things in _differing(builds)
    ]


def own_keys(build: Build) -> list[str]:
    """Places and settings that a build has because of its size."""
    return [key for key in build.otherwise.said if build.size in build.sizes_of(key)]


def _differing(builds: Sequence[Build]) -> list[tuple[str, list[Any]]]:
    found = []
    for key in (*SLOTS, *Settings.__dataclass_fields__):
        things = [build.held(key) for build in builds]
        names = [getattr(thing, "name", thing) for thing in things]
        if any(name != names[0] for name in names):
            found.append((key, things))
    return found


def _cell(thing: Any, key: str, units: ShownUnits) -> str:
    return str(thing.name) if hasattr(thing, "name") else thing_text(thing, key, units)
