"""One grammar for naming a value of a build, reading it, changing it, and listing what differs.

``fork=single-crown-160``, ``shock.spring="500 lbf/in"``, ``linkage.pins.rocker.z_mm+=2``,
``sizes.M.linkage.pins.rocker.z_mm=263``, ``chips.dropout=high``, ``saddle_height_mm=720``. Commands, deep
links, sweeps, tolerances and records all use it. A part is named by its name in the stock; a number may
carry its unit; ``+=`` and ``-=`` step a number.

A part or a setting that is changed holds in every size. ``by_size.S.seatpost=dropper-125`` is for one size alone, and
``otherwise.seatpost=dropper-150`` for the sizes that have none of their own.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, is_dataclass
from difflib import get_close_matches
from typing import Any, Final, Literal, get_origin

from bikewright.errors import AddressError, ModelError, UnitError
from bikewright.model.brief import BriefLine
from bikewright.model.build import Build, ChipSetting, Settings, remade
from bikewright.model.faults import shown, type_at
from bikewright.model.frame import Frame, MovedPin
from bikewright.model.parts import KINDS, SLOTS, Coil, Part
from bikewright.model.rider import Rider
from bikewright.model.stock import Stock
from bikewright.model.values import UNKNOWN
from bikewright.units import read_quantity, suffix_of

FRAME_TEXTS = ("name", "maker", "revision", "reason", "based_on")
"""What a frame says about itself: of a build, only with ``frame.`` before it."""
FRAME_ROOTS = tuple(name for name in Frame.__dataclass_fields__ if name not in FRAME_TEXTS)
LARGEST_WHOLE = 2**63
"""Whole numbers from here on are no whole numbers of TOML."""
BUILD_ROOTS = ("size", "chips", "rider", "loads", "posture", "grade_pct", "by_size", "otherwise")
BY_SIZE, OTHERWISE = "by_size", "otherwise"
SILENT: Final = object()
"""In place of a value: a size has none of its own."""
_CHANGE = re.compile(r"([^\s=]+?)\s*(\+=|-=|=)\s*(.+)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Change:
    """One change as it was asked for."""

    address: str
    operator: str
    """``=``, ``+=`` or ``-=``."""
    text: str

    def __str__(self) -> str:
        return f"{self.address}{self.operator}{self.text}"


@dataclass(frozen=True, slots=True)
class Difference:
    """One value that is not the same in two builds."""

    address: str
    before: Any
    after: Any


def read_change(text: str) -> Change:
    """Read ``address=value``, ``address+=step`` or ``address-=step``.

    Raises
    ------
    AddressError
        If the text has not that form.
    """
    found = _CHANGE.fullmatch(text.strip())
    if found is None:
        raise AddressError(f"'{text}' is not a change; write ADDRESS=VALUE, as in fork=single-crown-160")
    value = found[3]
    if len(value) >= 2 and value[0] == value[-1] and value[0] in "\"'":
        value = value[1:-1]
    return Change(found[1], found[2], value)


def value_at(build: Build, address: str) -> Any:
    """The value that an address names.

    Raises
    ------
    AddressError
        If it names nothing; the nearest names are told.
    """
    path = _path(address)
    if (said := said_at(build, path, address)) is not None:
        size, key = said
        return build.otherwise_held(key) if size is None else build.in_size(size).held(key)
    place: Any = build
    for step in path:
        place = _step_into(place, step, address)
    return place


def apply(build: Build, change: Change, stock: Stock, riders: tuple[Rider, ...] = ()) -> Build:
    """The build with one change made and checked.

    Parameters
    ----------
    build : Build
        The build before.
    change : Change
        What to change.
    stock : Stock
        Where a part named by the change is taken from.
    riders : tuple of Rider
        Where a rider named by the change is taken from.

    Returns
    -------
    Build
        A new build.

    Raises
    ------
    AddressError
        If the address names nothing, or cannot take the value.
    """
    value = _meant(build, change, stock, riders)
    return with_value(build, change.address, value)


def with_value(build: Build, address: str, value: Any) -> Build:
    """The build with another value at an address; the value is checked by the type that holds it."""
    path = _path(address)
    try:
        changed: Build
        if (said := said_at(build, path, address)) is not None:
            size, key = said
            changed = build.in_other_sizes(key, value) if size is None else build.in_one_size(size, key, value)
        elif path[0] in ("parts", "settings") and len(path) == 2:
            _step_into(_step_into(build, path[0], address), path[1], address)
            changed = build.in_every_size(path[1], value)
        else:
            changed = _replaced(build, path, value, address)
    except AddressError:
        raise
    except ModelError as error:
        told = str(error).removeprefix(f"{address.rpartition('.')[2]}: ")
        raise AddressError(f"{address}: {told}") from None
    return changed


def bounds_of(build: Build, address: str) -> tuple[float, float]:
    """Least and largest number that an address takes; infinite where nothing is said.

    Raises
    ------
    AddressError
        If it names nothing, or no number of the build.
    """
    path = _path(address)
    if (said := said_at(build, path, address)) is not None:
        path = _path(said[1])
    place: Any = build
    for step in path[:-1]:
        place = _step_into(place, step, address)
    found = value_at(build, address)
    if isinstance(found, bool) or not isinstance(found, float | int):
        was = "nothing" if found is None else shown(found)
        raise AddressError(f"{address} holds {was}, which is no number that can be solved for")
    metadata = getattr(type(place), "__pydantic_fields__", {})[path[-1]].metadata
    least = [getattr(one, name) for one in metadata for name in ("ge", "gt") if hasattr(one, name)]
    most = [getattr(one, name) for one in metadata for name in ("le", "lt") if hasattr(one, name)]
    return max(least, default=-float("inf")), min(most, default=float("inf"))


def differences(before: Build, after: Build) -> tuple[Difference, ...]:
    """Every address at which two builds differ, a part that was exchanged as one difference.

    The builds' own names do not count: a name changes nothing that can be ridden. Nor does what they have in other
    sizes than their own: `differences_by_size`.
    """
    return tuple(_differences(before, after, ()))


def differences_by_size(before: Build, after: Build) -> tuple[Difference, ...]:
    """What two builds have otherwise in some sizes: ``by_size.S.seatpost`` and ``otherwise.seatpost``.

    A size that says nothing of its own is `SILENT` on that side.
    """
    found = []
    for key in dict.fromkeys((*before.otherwise.said, *after.otherwise.said)):
        found.append(Difference(f"{OTHERWISE}.{key}", before.otherwise_held(key), after.otherwise_held(key)))
        for size in dict.fromkeys((*before.sizes_of(key), *after.sizes_of(key))):
            was, now = (
                build.in_size(size).held(key) if size in build.sizes_of(key) else SILENT for build in (before, after)
            )
            found.append(Difference(f"{BY_SIZE}.{size}.{key}", was, now))
    return tuple(one for one in found if _named_or_plain(one.before) != _named_or_plain(one.after))


def _named_or_plain(thing: Any) -> Any:
    """A part is told by its name: what differs inside of it is told by the shelf."""
    return getattr(thing, "name", thing)


def read_scalar(text: str) -> Any:
    """A text from a command as TOML would have it: a truth, a number, or else itself."""
    if text in ("true", "false"):
        return text == "true"
    for read in (int, float):
        try:
            number = read(text)
        except ValueError:
            continue
        return number if abs(number) < LARGEST_WHOLE else float(text)
    return text


def read_value(address: str, text: str) -> Any:
    """What a text means at an address: itself where a text or a thing's name belongs there, else as `read_scalar`.

    A size may be called 52 and a revision 2; neither is a number.
    """
    kind = _type_of(address.removeprefix("frame.").split("."))
    holds_text = kind is str or get_origin(kind) is Literal or is_dataclass(kind)
    return text if holds_text else read_scalar(text)


def _type_of(steps: list[str]) -> Any:
    """Type of what stands at an address of a build, of the library or of the files; None where that is not known."""
    root, *inside = steps
    if root == "builds":
        return _type_of(inside[1:]) if len(inside) > 1 else None
    if root == "riders":
        return type_at(Rider, inside[1:])
    if root == "brief":
        return type_at(BriefLine, inside[1:])
    if root == "parts" and len(inside) > 2 and inside[0] in KINDS and (found := type_at(KINDS[inside[0]], inside[2:])):
        return found
    if root in Frame.__dataclass_fields__:
        return type_at(Frame, steps)
    try:
        return type_at(Build, _path(".".join(steps)))
    except AddressError:
        return None


def stepped(change: Change, old: Any) -> float:
    """What a step from a value comes to; both may be written with their unit.

    Raises
    ------
    AddressError
        If the value or the step is no number.
    """
    suffix, step = suffix_of(change.address), read_scalar(change.text)
    try:
        before, by = (read_quantity(one, suffix) if suffix and isinstance(one, str) else one for one in (old, step))
    except UnitError as error:
        raise AddressError(f"{change}: {error}") from None
    for number, what in ((before, "what stands there"), (by, "the step")):
        if isinstance(number, bool) or not isinstance(number, int | float):
            found = "nothing" if number is None else shown(number)
            raise AddressError(f"{change}: {what} is {found}, which cannot be stepped; write {change.address}=VALUE")
    return round(before + by if change.operator == "+=" else before - by, 6)


def _path(address: str) -> tuple[str, ...]:
    """Steps from the build to the value: the short roots of the grammar in full."""
    steps = tuple(address.split("."))
    root = steps[0]
    if root in SLOTS:
        return ("parts", *steps)
    if root in FRAME_ROOTS:
        return ("frame", *steps)
    if root in Settings.__dataclass_fields__:
        return ("settings", *steps)
    if root in BUILD_ROOTS or root in ("frame", "parts", "settings"):
        return steps
    roots = (*SLOTS, *FRAME_ROOTS, *BUILD_ROOTS, *Settings.__dataclass_fields__)
    raise AddressError(f"'{address}' names nothing: '{root}' is not known.{_guess(root, roots)}")


def said_at(build: Build, path: tuple[str, ...], address: str) -> tuple[str | None, str] | None:
    """Size, None for those that say nothing of their own, and key of an address by size; None for any other address.

    The path is the address in its steps.

    Raises
    ------
    AddressError
        If it names no size, or no part or setting as a whole.
    """
    if path[0] == OTHERWISE:
        size, rest = None, path[1:]
    elif path[0] == BY_SIZE:
        known = [one.name for one in build.frame.sizes]
        if len(path) < 2 or path[1] not in known:
            found = path[1] if len(path) > 1 else ""
            raise AddressError(f"'{address}' names nothing: no size is called '{found}'.{_guess(found, known)}")
        size, rest = path[1], path[2:]
    else:
        return None
    if rest[:1] in (("settings",), ("parts",)) and len(rest) > 1:
        rest = rest[1:]
    keys = (*SLOTS, *Settings.__dataclass_fields__)
    if not rest or rest[0] not in keys:
        found = rest[0] if rest else ""
        raise AddressError(f"'{address}' names nothing: '{found}' is no part or setting.{_guess(found, keys)}")
    if len(rest) > 1:
        whole = ".".join(path[: path.index(rest[0]) + 1])
        raise AddressError(
            f"'{address}' reaches into a part; by size go whole parts and settings, as {whole}. Change the part itself "
            f"as parts.{SLOTS.get(rest[0], 'KIND')}.NAME.{'.'.join(rest[1:])}"
        )
    return size, rest[0]


def short_address(path: Sequence[str]) -> str:
    """The address of the steps from a build to a value, as people write it."""
    follows = path[0] in ("parts", "settings") or (path[0] == "frame" and path[1] in FRAME_ROOTS)
    return ".".join(path[1:] if follows else path)


def _guess(word: str, words: Any) -> str:
    near = get_close_matches(word, tuple(words), n=2, cutoff=0.5)
    return f" Did you mean {' or '.join(near)}?" if near else f" There are: {', '.join(words) or 'none'}."


def _step_into(place: Any, step: str, address: str) -> Any:
    if isinstance(place, tuple):
        named = {item.name: item for item in place if hasattr(item, "name")}
        if step not in named:
            raise AddressError(f"'{address}' names nothing: there is no '{step}'.{_guess(step, named)}")
        return named[step]
    fields = getattr(place, "__dataclass_fields__", None)
    if fields is None:
        waits = "is not given yet" if place is None else "has no parts"
        raise AddressError(f"'{address}' names nothing: what stands before '{step}' {waits}.")
    if step not in fields:
        raise AddressError(f"'{address}' names nothing: '{step}' is not known here.{_guess(step, fields)}")
    return getattr(place, step)


def _replaced(place: Any, path: tuple[str, ...], value: Any, address: str) -> Any:
    if not path:
        return value
    step, rest = path[0], path[1:]
    if isinstance(place, tuple):
        return _replaced_item(place, step, rest, value, address)
    if isinstance(place, Build):
        return place.changed(**{step: _replaced(_step_into(place, step, address), rest, value, address)})
    return remade(place, {step: _replaced(_step_into(place, step, address), rest, value, address)})


def _replaced_item(items: tuple[Any, ...], step: str, rest: tuple[str, ...], value: Any, address: str) -> Any:
    """A tuple of named things with one replaced, added or (None) taken out."""
    if not rest and value is None:
        return tuple(item for item in items if item.name != step)
    if not rest and getattr(value, "name", None) == step and all(item.name != step for item in items):
        return (*items, value)
    if any(item.name == step for item in items):
        return tuple(_replaced(item, rest, value, address) if item.name == step else item for item in items)
    if address.startswith("sizes.") and ".linkage.pins." in address and len(rest) == 1:
        return (*items, remade(MovedPin(name=step), {rest[0]: value}))
    return _replaced(_step_into(items, step, address), rest, value, address)


def _meant(build: Build, change: Change, stock: Stock, riders: tuple[Rider, ...]) -> Any:
    """The value that a change's text stands for at its address."""
    address, text = change.address, change.text
    path = _path(address)
    if change.operator != "=":
        return stepped(change, value_at(build, change.address))
    if (said := said_at(build, path, address)) is not None:
        path = _path(said[1])
    if path[0] == "parts" and len(path) == 2:
        return None if text == UNKNOWN else stock.part(SLOTS[path[1]], text)
    if path[0] == "parts" and path[2:] == ("spring",):
        return _spring(text, stock)
    if path == ("rider",):
        return _rider(text, riders)
    if path[0] == "chips" and len(path) == 2:
        return _chip(build, path[1], text)
    if path == ("size",):
        known = [size.name for size in build.frame.sizes]
        if text not in known:
            raise AddressError(f"no size is called '{text}'.{_guess(text, known)}")
        return text
    if path[0] == "frame" and ".linkage.pins." in address and path[1] == "sizes":
        _step_into(build.frame.linkage.pins if build.frame.linkage else (), path[-2], address)
    else:
        value_at(build, address)
    return read_value(address, text)


def _chip(build: Build, name: str, position: str) -> ChipSetting:
    chips = {chip.name: chip for chip in build.frame.linkage.chips} if build.frame.linkage else {}
    if name not in chips:
        raise AddressError(f"the frame has no chip called '{name}'.{_guess(name, chips)}")
    positions = [place.name for place in chips[name].positions]
    if position not in positions:
        raise AddressError(f"the chip '{name}' has no position '{position}'.{_guess(position, positions)}")
    return ChipSetting(name=name, position=position)


def _spring(text: str, stock: Stock) -> Any:
    try:
        rate = read_quantity(text, "n_per_mm")
    except UnitError:
        return stock.part("coil", text)
    return stock.coil_of_rate(rate)


def _rider(text: str, riders: tuple[Rider, ...]) -> Rider | None:
    if text == UNKNOWN:
        return None
    known = {rider.name: rider for rider in riders}
    if text not in known:
        raise AddressError(f"no rider is called '{text}'.{_guess(text, known)}")
    return known[text]


def _differences(before: Any, after: Any, path: tuple[str, ...]) -> Any:
    if before == after:
        return
    same_kind = type(before) is type(after)
    exchanged = isinstance(before, Part | Rider | Coil) and same_kind and before.name != after.name
    if same_kind and hasattr(before, "__dataclass_fields__") and not exchanged:
        for name in before.__dataclass_fields__:
            if not (name in ("name", BY_SIZE, OTHERWISE) and isinstance(before, Build)):
                yield from _differences(getattr(before, name), getattr(after, name), (*path, name))
    elif same_kind and isinstance(before, tuple) and _all_named(before) and _all_named(after):
        old, new = ({item.name: item for item in side} for side in (before, after))
        for name in dict.fromkeys((*old, *new)):
            yield from _differences(old.get(name), new.get(name), (*path, name))
    else:
        yield Difference(short_address(path), before, after)


def _all_named(items: tuple[Any, ...]) -> bool:
    return all(hasattr(item, "name") for item in items)
