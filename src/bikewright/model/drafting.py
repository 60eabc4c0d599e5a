"""A change made on a whole bike: on every build that it concerns, on the stock, the riders and the brief.

The grammar is that of `bikewright.model.addresses`, meant in one build; beside it ``builds.NAME...``,
``parts.KIND.NAME...``, ``riders.NAME...`` and ``brief.QUANTITY.low`` name things outside of it, as in
`bikewright.model.writing`. A change of the frame concerns every build. A change inside a part concerns every
build that carries this part, since that is what writing it into the files does. A part or a setting that is changed as
a whole holds in every size of its build. ``remove ADDRESS`` takes a thing out, ``copy ADDRESS to NAME`` adds one: see
`bikewright.model.inventory`.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from bikewright.errors import AddressError, ModelError, UnitError
from bikewright.model.addresses import (
    BY_SIZE,
    FRAME_ROOTS,
    OTHERWISE,
    Change,
    apply,
    read_change,
    read_value,
    stepped,
    value_at,
)
from bikewright.model.brief import Brief, BriefLine, line_key, read_line_key, wrong_quantity
from bikewright.model.build import Build, ChipSetting, Settings, remade
from bikewright.model.build_file import DATUM
from bikewright.model.faults import near
from bikewright.model.files import Bike
from bikewright.model.inventory import COPY, REMOVE, with_copy, without
from bikewright.model.parts import KINDS, SLOTS, Coil, Part
from bikewright.model.stock import Stock
from bikewright.model.values import UNKNOWN
from bikewright.units import read_quantity, suffix_of

ROUNDED = {"mm": 2, "deg": 2, "pct": 2}
"""Decimals that a change made by hand on a screen is given."""


_REMOVAL = re.compile(r"\s*remove\s+(\S+)\s*")
_COPY = re.compile(r"\s*copy\s+(\S+)\s+to\s+(\S+)\s*")


@dataclass(frozen=True, slots=True)
class Edit:
    """One change as a journal keeps it: with the value that it came to."""

    build: str
    """Build that the address is meant in."""
    address: str
    text: str
    """The value, as in the grammar of addresses."""
    part: str = ""
    """Name of the part, or of the rider, that the address reaches into."""
    was: str = ""
    """The value in the files, or in the version opened, when the change was made; empty where there was none."""
    size: str = ""
    """Size in which the change was made; empty: the build's own. It says which part and which value were meant."""
    verb: str = ""
    """``"remove"``, or ``"copy"`` with the copy's name as the text; empty: the value is set."""

    def __str__(self) -> str:
        if self.verb:
            return f"remove {self.address}" if self.verb == REMOVE else f"copy {self.address} to {self.text}"
        return f"{self.address}={self.text}"


def read_edit(bike: Bike, build: str, text: str, *, rounded: bool = False, size: str = "") -> tuple[Edit, Bike]:
    """Read a change, make it, and say what it came to.

    Parameters
    ----------
    bike : Bike
        The bike as it stands.
    build : str
        Build that short addresses are meant in.
    text : str
        ``ADDRESS=VALUE``, ``remove ADDRESS`` or ``copy ADDRESS to NAME``; a step is taken from the value as it stands.
    rounded : bool
        Whether to round lengths to 0.01 mm, as for a point that was dragged.
    size : str
        Size that is looked at: a step is taken from its value, and a change inside a part is of its part. The build's
        own size when not given.

    Returns
    -------
    Edit, Bike
        The change with its value, and the bike after it.

    Raises
    ------
    AddressError
        If the address names nothing, or cannot take the value.
    """
    if (verb := _verb(build, text)) is not None:
        return verb, made(bike, verb)
    change = read_change(text)
    steps = change.address.split(".")
    if steps[0] == "builds" and len(steps) > 2:
        build, change = steps[1], Change(".".join(steps[2:]), change.operator, change.text)
        steps = change.address.split(".")
    size = size if size != bike.build(build).size else ""
    here = _looked_at(bike.build(build), size)
    if rounded:
        change = _rounded(bike, here, change)
    if change.operator != "=":
        change = Change(change.address, "=", value_text(_stepped(bike, here, change)))
    edit = Edit(build, change.address, change.text, _part_of(here, steps), size=size if _is_by_size(steps) else "")
    return edit, made(bike, edit)


def made(bike: Bike, edit: Edit) -> Bike:
    """The bike with one change made.

    Raises
    ------
    AddressError
        If the address names nothing in this bike, or cannot take the value.
    """
    if edit.verb == REMOVE:
        return without(bike, edit.build, edit.address)
    if edit.verb == COPY:
        return with_copy(bike, edit.build, edit.address, edit.text)
    steps = tuple(edit.address.split("."))
    if is_library(bike, edit.address):
        return _in_library(bike, steps, edit.text)
    change = Change(edit.address, "=", edit.text)
    here = bike.build(edit.build)
    if steps[0] in ("frame", *FRAME_ROOTS):
        return bike.with_frame(apply(here, change, bike.stock, bike.riders).frame)
    if here.name == DATUM and steps[0] in (BY_SIZE, OTHERWISE) and any(step in SLOTS for step in steps):
        raise AddressError(
            f"{edit}: the geometry table holds for the datum's parts in every size; name another build for it"
        )
    looked_at = _looked_at(here, edit.size)
    if len(steps) > 1 and (steps[0] in SLOTS or steps[0] == "rider"):
        return _in_part(bike, looked_at, edit, change)
    changed = apply(looked_at, change, bike.stock, bike.riders)
    return bike.with_build(changed.in_size(here.size) if edit.size else changed)


def tried(bike: Bike, build: Build, texts: Iterable[str]) -> Build:
    """One build with changes made one after the other, for a look at it; the rest of the bike stays behind.

    Raises
    ------
    AddressError
        If an address names nothing, or cannot take the value.
    """
    for text in texts:
        if _reaches_beyond(bike, text):
            beside = replace(bike.with_build(build), frame=build.frame)
            bike = read_edit(beside, build.name, text)[1]
            build = bike.build(build.name)
        else:
            build = apply(build, read_change(text), bike.stock, bike.riders)
    return build


def _reaches_beyond(bike: Bike, text: str) -> bool:
    """Whether a change is one of the bike, and not of a single build."""
    if is_verb(text):
        return True
    address = read_change(text).address
    return address.startswith("builds.") or is_library(bike, address)


def is_verb(text: str) -> bool:
    """Whether a change takes something out or copies it."""
    return _verb("", text) is not None


def with_version(bike: Bike, build: Build) -> Bike:
    """The bike with the frame, the parts and the rider of a kept build, under that build's name."""
    for slot, kind in SLOTS.items():
        for part in build.fitted(slot):
            if isinstance(getattr(part, "spring", None), Coil) and any(
                coil.name == part.spring.name for coil in bike.stock.shelf("coil")
            ):
                bike = _exchanged(bike, "coil", part.spring)
            bike = _exchanged(bike, kind, part)
    riders = bike.riders
    if build.rider is not None:
        riders = (*(rider for rider in riders if rider.name != build.rider.name), build.rider)
    sizes = {size.name for size in build.frame.sizes}
    others = tuple(
        other.with_sizes_of(build.frame).changed(frame=build.frame, chips=_chips_that_fit(other, build))
        for other in bike.builds
        if other.name != build.name and other.size in sizes
    )
    builds = {other.name: other for other in (*others, build)}
    order = [name for name in (known.name for known in bike.builds) if name in builds]
    order += [name for name in builds if name not in order]
    return replace(bike, frame=build.frame, riders=riders, builds=tuple(builds[name] for name in order))


def is_library(bike: Bike, address: str) -> bool:
    """Whether an address names a part of the stock, a rider or a line of the brief."""
    steps = address.split(".")
    if steps[0] in ("riders", "brief"):
        return True
    return (
        steps[0] == "parts"
        and len(steps) > 3
        and steps[1] in KINDS
        and any(part.name == steps[2] for part in bike.stock.shelf(steps[1]))
    )


def value_in(bike: Bike, build: str, address: str, size: str = "") -> Any:
    """The value that an address names, inside a build, in one of its sizes, or outside.

    Raises
    ------
    AddressError
        If it names nothing.
    """
    if not is_library(bike, address):
        return value_at(_looked_at(bike.build(build), size), address)
    steps = address.split(".")
    place: Any = _library_thing(bike, tuple(steps))
    for step in steps[3 if steps[0] == "parts" else 2 :]:
        if step not in getattr(place, "__dataclass_fields__", ()):
            raise AddressError(f"'{address}' names nothing: '{step}' is not known here.")
        place = getattr(place, step)
    return place


def value_text(thing: Any) -> str:
    """A value in the grammar of addresses; a thing with a name by its name."""
    if thing is None:
        return UNKNOWN
    if isinstance(thing, bool):
        return "true" if thing else "false"
    if isinstance(thing, ChipSetting):
        return thing.position
    if isinstance(thing, tuple):
        return ", ".join(value_text(item) for item in thing)
    name = getattr(thing, "name", thing)
    whole = isinstance(name, float) and name.is_integer()
    return str(int(name) if whole else name)


def _verb(build: str, text: str) -> Edit | None:
    """Something taken out or copied; None where the text sets a value."""
    removal, copy = _REMOVAL.fullmatch(text), _COPY.fullmatch(text)
    found = removal or copy
    if found is None:
        return None
    address, name = found[1], "" if copy is None else copy[2]
    steps = address.split(".")
    if steps[0] == "builds" and len(steps) > 2:
        build, address = steps[1], ".".join(steps[2:])
    return Edit(build, address, name, verb=REMOVE if removal else COPY)


def _is_by_size(steps: list[str]) -> bool:
    """Whether an address names a part or a setting of a build, or something inside of a part."""
    return steps[0] in SLOTS or steps[0] in Settings.__dataclass_fields__ or steps[0] in ("parts", "settings")


def _looked_at(build: Build, size: str) -> Build:
    """A build in the size that is looked at, where its frame has that size."""
    return build.in_size(size) if any(one.name == size for one in build.frame.sizes) else build


def _stepped(bike: Bike, build: Build, change: Change) -> Any:
    """What a step comes to."""
    if not is_library(bike, change.address):
        return value_at(apply(build, change, bike.stock, bike.riders), change.address)
    return stepped(change, value_in(bike, build.name, change.address))


def _rounded(bike: Bike, build: Build, change: Change) -> Change:
    """A length, an angle or a share to the decimals of a screen."""
    suffix = suffix_of(change.address)
    if suffix not in ROUNDED:
        return change
    number = _stepped(bike, build, change) if change.operator != "=" else _scalar(change.text, change.address)
    if isinstance(number, bool) or not isinstance(number, int | float):
        return change
    return Change(change.address, "=", repr(round(float(number), ROUNDED[suffix])))


def _scalar(text: str, address: str) -> Any:
    """A number, a truth or a text; a quantity with its unit in the unit of the address."""
    value, suffix = read_value(address, text), suffix_of(address)
    try:
        return read_quantity(value, suffix) if suffix and isinstance(value, str) and value != UNKNOWN else value
    except UnitError as error:
        raise AddressError(f"{address}: {error}") from None


def _part_of(build: Build, steps: list[str]) -> str:
    if len(steps) < 2 or not (steps[0] in SLOTS or steps[0] == "rider"):
        return ""
    held = _held(build, steps[0])
    return "" if held is None else str(held.name)


def _held(build: Build, slot: str) -> Any:
    return build.rider if slot == "rider" else getattr(build.parts, slot)


def _in_part(bike: Bike, here: Build, edit: Edit, change: Change) -> Bike:
    """A change inside a part, on every build that carries it, and on the shelf."""
    slot = change.address.split(".")[0]
    held = _held(here, slot)
    if held is not None and edit.part and held.name != edit.part:
        raise AddressError(f"{edit}: it was meant for the {slot} '{edit.part}'; the build has '{held.name}' now")
    thing = _held(apply(here, change, bike.stock, bike.riders), slot)
    return _exchanged(bike, "rider" if slot == "rider" else SLOTS[slot], thing)


def _exchanged(bike: Bike, kind: str, thing: Any) -> Bike:
    """The bike with a part or a rider in place of the one of the same name, wherever it is."""
    builds = []
    for build in bike.builds:
        if kind == "rider":
            held = build.rider
            build = build.changed(rider=thing) if held is not None and held.name == thing.name else build
        else:
            build = build.with_altered(thing, [slot for slot, of in SLOTS.items() if of == kind])
        if kind == "coil":
            build = _with_coil(build, thing)
        builds.append(build)
    if kind == "rider":
        riders = tuple(thing if rider.name == thing.name else rider for rider in bike.riders)
        return replace(bike, builds=tuple(builds), riders=riders)
    return replace(bike, builds=tuple(builds), stock=_stocked(bike.stock, kind, thing))


def _with_coil(build: Build, coil: Coil) -> Build:
    """A build with a coil in place of the one of its name, on whichever fork or shock it is."""
    for slot in ("fork", "shock"):
        for part in build.fitted(slot):
            if isinstance(part.spring, Coil) and part.spring.name == coil.name:
                build = build.with_altered(remade(part, {"spring": coil}), (slot,))
    return build


def _stocked(stock: Stock, kind: str, part: Part) -> Stock:
    """The stock with a part in place of the one of its name, or added."""
    shelf = stock.shelf(kind)
    if part in shelf:
        return stock
    known = any(held.name == part.name for held in shelf)
    parts = tuple(part if held.name == part.name else held for held in shelf) if known else (*shelf, part)
    return stock.with_shelf(kind, parts)


def _in_library(bike: Bike, steps: tuple[str, ...], text: str) -> Bike:
    address = ".".join(steps)
    value = _scalar(text, address)
    if steps[0] == "brief":
        return replace(bike, brief=_briefed(bike, steps, value))
    skipped = 3 if steps[0] == "parts" else 2
    if len(steps) <= skipped:
        raise AddressError(f"'{address}' names nothing that has a value; name one of its fields")
    try:
        thing = _with_field(_library_thing(bike, steps), steps[skipped:], value, address)
    except AddressError:
        raise
    except ModelError as error:
        raise AddressError(f"{address}: {error}") from None
    return _exchanged(bike, "rider" if steps[0] == "riders" else steps[1], thing)


def _library_thing(bike: Bike, steps: tuple[str, ...]) -> Any:
    if steps[0] == "parts":
        return bike.stock.part(steps[1], steps[2])
    if steps[0] == "riders":
        return bike.rider(steps[1])
    lines = {line_key(line): line for line in bike.brief.lines}
    if steps[1] not in lines:
        raise AddressError(f"the brief has no line '{steps[1]}'. {near(steps[1], lines)}")
    return lines[steps[1]]


def _briefed(bike: Bike, steps: tuple[str, ...], value: Any) -> Brief:
    """The brief with a field of a line set; a line that is missing is added at the end.

    A line is called by its quantity, as ``head_angle_deg@table``, and ``/SIZE`` or ``/SIZE/RIDER`` where it has them.
    """
    address = ".".join(steps)
    if len(steps) != 3 or steps[2] not in ("low", "high", "felt_step", "why"):
        raise AddressError(f"'{address}' names nothing; of a line of the brief, low, high, felt_step or why is changed")
    old = next((line for line in bike.brief.lines if line_key(line) == steps[1]), None) or _new_line(bike, steps[1])
    try:
        line = _with_field(old, steps[2:], None if value == UNKNOWN else value, address)
    except AddressError:
        raise
    except ModelError as error:
        raise AddressError(f"{address}: {error}") from None
    if line.low is not None and line.high is not None and line.low > line.high:
        raise AddressError(f"{address}: low is {line.low:g}, above high, which is {line.high:g}")
    if any(held == old for held in bike.brief.lines):
        return Brief(lines=tuple(line if held == old else held for held in bike.brief.lines))
    return Brief(lines=(*bike.brief.lines, line))


def _new_line(bike: Bike, key: str) -> BriefLine:
    name, size, rider = read_line_key(key)
    if wrong := wrong_quantity(name):
        raise AddressError(f"'{name}' cannot be a quantity of the brief. {wrong}")
    if size and size not in [one.name for one in bike.frame.sizes]:
        raise AddressError(f"no size is called '{size}'. {near(size, [one.name for one in bike.frame.sizes])}")
    if rider:
        bike.rider(rider)
    return BriefLine(name=name, size=size, rider=rider)


def _with_field(thing: Any, path: tuple[str, ...], value: Any, address: str) -> Any:
    if not path:
        return value
    fields = getattr(thing, "__dataclass_fields__", {})
    if path[0] not in fields or path[0] == "name":
        what = near(path[0], fields) if fields else "What stands before it is not given yet."
        raise AddressError(f"'{address}' names nothing: '{path[0]}' is not known here. {what}")
    return remade(thing, {path[0]: _with_field(getattr(thing, path[0]), path[1:], value, address)})


def _chips_that_fit(other: Build, kept: Build) -> tuple[ChipSetting, ...]:
    linkage = kept.frame.linkage
    known = {} if linkage is None else {chip.name: {place.name for place in chip.positions} for chip in linkage.chips}
    return tuple(chip for chip in other.chips if chip.position in known.get(chip.name, ()))
