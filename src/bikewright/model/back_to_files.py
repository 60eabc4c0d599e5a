"""What has to be written into the files of a bike so that they say what a draft says.

Both bikes are compared value by value, and each difference becomes one change of `bikewright.model.writing`,
at the place where the files keep it. What differs and cannot be written that way is told, not passed over.
"""

from collections.abc import Iterable, Iterator
from typing import Any, cast

from bikewright.errors import AddressError
from bikewright.model.addresses import (
    BUILD_ROOTS,
    BY_SIZE,
    OTHERWISE,
    SILENT,
    Difference,
    differences,
    differences_by_size,
)
from bikewright.model.brief import BriefLine, line_key
from bikewright.model.build import Build, ChipSetting, Own, Settings, remade
from bikewright.model.build_file import DATUM, middle_size
from bikewright.model.drafting import is_verb, read_edit
from bikewright.model.files import Bike
from bikewright.model.frame_file import numbers_of_parts
from bikewright.model.parts import KINDS, SLOTS, Coil, Part
from bikewright.model.rider import Rider
from bikewright.model.versions import plain
from bikewright.model.writing import REMOVED

Written = tuple[str, Any]
"""An address of the files and its value."""


def changes_for_files(files: Bike, draft: Bike) -> tuple[Written, ...]:
    """Changes that bring the files to what a draft says.

    Parameters
    ----------
    files : Bike
        The bike as the files say it.
    draft : Bike
        The bike as it should be.

    Returns
    -------
    tuple of (str, value)
        For `bikewright.model.writing.write_changes`; empty where nothing differs.

    Raises
    ------
    AddressError
        If something differs that cannot be written.
    """
    found: dict[str, Any] = {}
    for address, value in _all(files, draft):
        found[address] = value
    return tuple(found.items())


def typed_changes(bike: Bike, build: str, texts: Iterable[str]) -> tuple[str | Written, ...]:
    """Changes as people type them, for `bikewright.model.writing.write_changes`.

    Parameters
    ----------
    bike : Bike
        The bike as the files say it.
    build : str
        Build in which a load, or what a size has for itself, is meant.
    texts : iterable of str
        ``ADDRESS=VALUE``, ``remove ADDRESS`` or ``copy ADDRESS to NAME``.

    Returns
    -------
    tuple of str or (str, value)
        What is taken out and copied first, on the bike as it is; then the values as they were typed.

    Raises
    ------
    AddressError
        If something cannot be taken out, or not be copied.
    """
    draft, values = bike, []
    for text in texts:
        if is_verb(text):
            _, draft = read_edit(draft, build, text)
        else:
            values.append(text)
    return (*changes_for_files(bike, draft), *values)


def _all(files: Bike, draft: Bike) -> Iterator[Written]:
    old = {build.name: build for build in files.builds}
    for build in draft.builds:
        if build.name in old:
            before, after = (_as_other_sizes(one) for one in (old[build.name], build))
            for difference in differences(before, after):
                yield from _in_build(build, difference)
            yield from _by_size(old[build.name], build)
        else:
            yield from _new_build(build, draft.build(DATUM))
    kept = {build.name for build in draft.builds}
    yield from ((f"builds.{name}", REMOVED) for name in old if name not in kept)
    yield from _datum(files, draft)
    if middle_size(files.frame) != middle_size(draft.frame):  # in which a datum build comes that says no size
        yield f"builds.{DATUM}.size", draft.build(DATUM).size
    for kind in KINDS:
        yield from _in_named(f"parts.{kind}", files.stock.shelf(kind), draft.stock.shelf(kind))
    yield from _in_named("riders", files.riders, draft.riders)
    yield from _in_brief(files, draft)


def _datum(files: Bike, draft: Bike) -> Iterator[Written]:
    """Numbers of the datum that its parts would give otherwise: a part that is changed does not change the table."""
    held, now = (numbers_of_parts(_slots(bike)) for bike in (files, draft))
    for key, number in now.items():
        meant = getattr(draft.frame.datum, key)
        if number != meant and held.get(key) != number:
            yield f"datum.{key}", meant


def _slots(bike: Bike) -> dict[str, Part | None]:
    parts = bike.build(DATUM).parts
    return {slot: getattr(parts, slot) for slot in SLOTS}


def _in_brief(files: Bike, draft: Bike) -> Iterator[Written]:
    known = {line_key(line): line for line in files.brief.lines}
    for line in draft.brief.lines:
        key = line_key(line)
        old = known.get(key, BriefLine(name=line.name, size=line.size, rider=line.rider))
        for difference in differences(cast(Any, old), cast(Any, line)):
            yield f"brief.{key}.{difference.address}", REMOVED if difference.after is None else difference.after
    kept = {line_key(line) for line in draft.brief.lines}
    yield from ((f"brief.{key}", REMOVED) for key in known if key not in kept)


def _in_build(build: Build, difference: Difference) -> Iterator[Written]:
    address, after = difference.address, difference.after
    steps = address.split(".")
    if not _is_of_build(steps[0]):
        yield from _in_tables(address, difference, build)
    elif steps[0] in SLOTS or steps[0] == "rider":
        if len(steps) == 1:
            yield f"{_home(build, steps[0])}{_mark(build, steps[0])}.{steps[0]}", None if after is None else after.name
        # what differs inside a part or a rider is told by the shelf
    elif steps[0] == "chips":
        yield f"builds.{build.name}.chips.{steps[1]}", _position(build, steps[1], after)
    elif steps[0] in Settings.__dataclass_fields__:
        yield f"builds.{build.name}{_mark(build, address)}.settings.{address}", after
    else:
        yield from ((f"builds.{build.name}.{key}", value) for key, value in _in_tables(address, difference, build))


def _as_other_sizes(build: Build) -> Build:
    """A build with the parts and settings that stand in its own table of the file."""
    said = build.otherwise.said
    bare = remade(build, {"by_size": (), "otherwise": Own()})
    for key in said:
        bare = bare.in_every_size(key, build.otherwise.held(key))
    return bare


def _by_size(before: Build | None, after: Build) -> Iterator[Written]:
    """What sizes have for themselves, where that differs."""
    bare = _as_other_sizes(after)
    home = f"builds.{after.name}"
    for difference in differences_by_size(before or bare, after):
        root, size, *rest = difference.address.split(".")
        if root != BY_SIZE:
            continue  # it stands in the build's own table
        key = rest[0]
        inner = key if key in SLOTS else f"settings.{key}"
        now = difference.after
        yield f"{home}.{BY_SIZE}.{size}.{inner}", REMOVED if now is SILENT else getattr(now, "name", now)


def _is_of_build(root: str) -> bool:
    return root in SLOTS or root in BUILD_ROOTS or root in Settings.__dataclass_fields__


def _home(build: Build, slot: str) -> str:
    """The datum's parts stand with the frame."""
    return DATUM if build.name == DATUM and slot in SLOTS else f"builds.{build.name}"


def _mark(build: Build, key: str) -> str:
    """What keeps a change of the build's own table from ending what sizes have for themselves."""
    return f".{OTHERWISE}" if key in build.otherwise.said else ""


def _position(build: Build, chip: str, after: Any) -> str:
    """A chip's position as the file names it; without a setting it stands as drawn."""
    if isinstance(after, ChipSetting):
        return after.position
    if isinstance(after, str):
        return after
    linkage = build.frame.linkage
    drawn = {} if linkage is None else {one.name: one.positions[0].name for one in linkage.chips}
    if chip not in drawn:
        raise AddressError(f"chips.{chip} cannot be written: the frame has no such chip")
    return drawn[chip]


def _in_tables(address: str, difference: Difference, build: Build) -> Iterator[Written]:
    before, after = difference.before, difference.after
    own_place = hasattr(before, "name") and ".pins." in address and address.startswith("sizes.")
    if after is None and own_place and _has_pin(build, before.name):
        for axis in ("x_mm", "z_mm"):
            if getattr(before, axis) is not None:
                yield f"{address}.{axis}", None
    elif after is None and hasattr(before, "__dataclass_fields__"):
        yield address, REMOVED
    elif hasattr(after, "__dataclass_fields__"):
        for field, value in plain(after).items():
            if field != "name":
                yield f"{address}.{field}", value
    else:
        yield address, _value(address, after)


def _has_pin(build: Build, name: str) -> bool:
    linkage = build.frame.linkage
    return linkage is not None and any(pin.name == name for pin in linkage.pins)


def _new_build(build: Build, datum: Build) -> Iterator[Written]:
    """A build that the files do not have, as that of a kept version; a part that it does not name is the datum's."""
    home, bare = f"builds.{build.name}", _as_other_sizes(build)
    yield from _by_size(None, build)
    yield f"{home}.size", build.size
    for slot in SLOTS:
        part = getattr(bare.parts, slot)
        if part is not None or getattr(datum.parts, slot) is not None:
            yield f"{home}{_mark(build, slot)}.{slot}", None if part is None else part.name
    if build.rider is not None:
        yield f"{home}.rider", build.rider.name
    for name, value in plain(bare.settings).items():
        yield f"{home}{_mark(build, name)}.settings.{name}", value
    for load in build.loads:
        for name, value in plain(load).items():
            if name != "name":
                yield f"{home}.loads.{load.name}.{name}", value
    for chip in build.chips:
        yield f"{home}.chips.{chip.name}", chip.position
    yield f"{home}.posture", build.posture
    yield f"{home}.grade_pct", build.grade_pct


def _in_named(root: str, old: tuple[Any, ...], new: tuple[Any, ...]) -> Iterator[Written]:
    """Parts, riders or lines of the brief: those changed field by field, those added whole."""
    known = {thing.name: thing for thing in old}
    for thing in new:
        if thing.name not in known:
            for field, value in plain(thing).items():
                if field != "name":
                    yield f"{root}.{thing.name}.{field}", value
        elif thing != known[thing.name]:
            for difference in differences(cast(Any, known[thing.name]), cast(Any, thing)):
                address = f"{root}.{thing.name}.{difference.address}"
                yield address, _value(address, difference.after)
    kept = {thing.name for thing in new}
    yield from ((f"{root}.{name}", REMOVED) for name in known if name not in kept)


def _value(address: str, after: Any) -> Any:
    """A value as a file has it."""
    if isinstance(after, Part | Rider | Coil):
        return after.name
    if isinstance(after, tuple) and not any(hasattr(item, "name") for item in after):
        return [list(item) if isinstance(item, tuple) else item for item in after]
    if hasattr(after, "__dataclass_fields__") or isinstance(after, tuple):
        return plain(after)
    return after
