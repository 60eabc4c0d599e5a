"""Things taken out of a bike, and things added to it as a copy of another.

Taken out are lines of the brief, sizes, pins of the linkage, loads, what a size has for itself, parts, riders and
builds; copied are sizes, parts, riders, builds and loads, under a name that is not in use yet, to be changed
afterwards. What something else still needs is not taken out: the error says what needs it. Whether a linkage without a
pin still moves is for `bikewright.studies.workbench` to say.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from bikewright.errors import AddressError, ModelError
from bikewright.model.addresses import BY_SIZE, said_at, with_value
from bikewright.model.brief import Brief, line_key
from bikewright.model.build import Build, remade
from bikewright.model.build_file import DATUM
from bikewright.model.faults import near
from bikewright.model.files import Bike
from bikewright.model.frame import SHOCK, WHEEL, Linkage, Pin
from bikewright.model.parts import KINDS, SLOTS

REMOVE, COPY = "remove", "copy"
REMOVABLE = (
    "brief.LINE, sizes.NAME, linkage.pins.NAME, loads.NAME, by_size.SIZE.KEY, parts.KIND.NAME, riders.NAME or "
    "builds.NAME"
)
COPIED = "sizes.NAME, parts.KIND.NAME, riders.NAME, builds.NAME or loads.NAME"


def without(bike: Bike, build: str, address: str) -> Bike:
    """The bike with one thing taken out.

    Parameters
    ----------
    bike : Bike
        The bike as it stands.
    build : str
        Build in which a load, or what a size has for itself, is meant.
    address : str
        ``brief.head_angle_deg@table``, ``sizes.NAME``, ``linkage.pins.NAME``, ``loads.NAME``, ``by_size.S.seatpost``,
        ``parts.fork.NAME``, ``riders.NAME`` or ``builds.NAME``.

    Returns
    -------
    Bike
        The bike without it.

    Raises
    ------
    AddressError
        If there is no such thing, or something needs it.
    """
    steps = tuple(address.removeprefix("frame.").split("."))
    if steps[0] == "brief" and len(steps) == 2:
        return replace(bike, brief=_without_line(bike, steps[1]))
    if steps[0] == "sizes" and len(steps) == 2:
        return _without_size(bike, steps[1])
    if steps[:2] == ("linkage", "pins") and len(steps) == 3:
        return _without_pin(bike, steps[2])
    if steps[0] == "loads" and len(steps) == 2:
        here = _build_meant(bike, build, address)
        _named(here.loads, steps[1], "load")
        return bike.with_build(with_value(here, address, None))
    if steps[0] == BY_SIZE and len(steps) > 2:
        here = _build_meant(bike, build, address)
        size, key = said_at(here, steps, address) or (None, "")
        if size is None or size not in here.sizes_of(key):
            raise AddressError(f"'{address}' is not there: size {size} has no {key} of its own")
        return bike.with_build(here.in_no_size(size, key))
    if steps[0] == "parts" and len(steps) == 3 and steps[1] in KINDS:
        return _without_part(bike, steps[1], steps[2])
    if steps[0] == "riders" and len(steps) == 2:
        return _without_rider(bike, steps[1])
    if steps[0] == "builds" and len(steps) == 2:
        return _without_build(bike, steps[1])
    raise AddressError(f"'{address}' cannot be taken out; what can be is {REMOVABLE}")


def with_copy(bike: Bike, build: str, address: str, name: str) -> Bike:
    """The bike with a copy of one thing under another name.

    Parameters
    ----------
    bike : Bike
        The bike as it stands.
    build : str
        Build that the address of a load is meant in.
    address : str
        What is copied: ``sizes.NAME``, ``parts.fork.NAME``, ``riders.NAME``, ``builds.NAME`` or ``loads.NAME``.
    name : str
        Name of the copy.

    Returns
    -------
    Bike
        The bike with both.

    Raises
    ------
    AddressError
        If there is no such thing, or the name is taken or cannot be one.
    """
    steps = tuple(address.removeprefix("frame.").split("."))
    if steps[0] == "sizes" and len(steps) == 2:
        size = _named(bike.frame.sizes, steps[1], "size")
        sizes = (*bike.frame.sizes, _renamed(size, bike.frame.sizes, name, "size"))
        copied = bike.with_frame(remade(bike.frame, {"sizes": sizes}))
        return replace(copied, builds=tuple(build.with_size_like(size.name, name) for build in copied.builds))
    if steps[0] == "parts" and len(steps) == 3 and steps[1] in KINDS:
        shelf = bike.stock.shelf(steps[1])
        copy = _renamed(bike.stock.part(steps[1], steps[2]), shelf, name, steps[1])
        return replace(bike, stock=bike.stock.with_shelf(steps[1], (*shelf, copy)))
    if steps[0] == "riders" and len(steps) == 2:
        return replace(bike, riders=(*bike.riders, _renamed(bike.rider(steps[1]), bike.riders, name, "rider")))
    if steps[0] == "builds" and len(steps) == 2:
        return replace(bike, builds=(*bike.builds, _renamed(bike.build(steps[1]), bike.builds, name, "build")))
    if steps[0] == "loads" and len(steps) == 2:
        here = _build_meant(bike, build, address)
        copy = _renamed(_named(here.loads, steps[1], "load"), here.loads, name, "load")
        return bike.with_build(here.changed(loads=(*here.loads, copy)))
    raise AddressError(f"'{address}' cannot be copied; what can be is {COPIED}")


def _build_meant(bike: Bike, build: str, address: str) -> Build:
    if not build:
        raise AddressError(f"'{address}' belongs to a build; say which, or write builds.NAME.{address}")
    return bike.build(build)


def _named(things: tuple[Any, ...], name: str, kind: str) -> Any:
    known = {thing.name: thing for thing in things}
    if name not in known:
        raise AddressError(f"no {kind} is called '{name}'. {near(name, known)}")
    return known[name]


def _renamed(thing: Any, others: tuple[Any, ...], name: str, kind: str) -> Any:
    if any(held.name == name for held in others):
        raise AddressError(f"a {kind} is called '{name}' already; give the copy another name")
    try:
        return remade(thing, {"name": name})
    except ModelError as error:
        raise AddressError(f"'{name}' cannot be the name of a {kind}: {error}") from None


def _without_line(bike: Bike, key: str) -> Brief:
    lines = {line_key(line): line for line in bike.brief.lines}
    if key not in lines:
        raise AddressError(f"the brief has no line '{key}'. {near(key, lines)}")
    return Brief(lines=tuple(line for line in bike.brief.lines if line != lines[key]))


def _without_size(bike: Bike, name: str) -> Bike:
    size = _named(bike.frame.sizes, name, "size")
    kept = tuple(held for held in bike.frame.sizes if held != size)
    if not kept:
        raise AddressError(f"the size '{name}' cannot be taken out: it is the only one")
    for users, why in (
        ([build.name for build in bike.builds if build.size == name], "builds come in it; give them another"),
        ([line_key(line) for line in bike.brief.lines if line.size == name], "lines of the brief name it; remove them"),
        ([one.name for one in bike.frame.outlines if name in one.sizes], "outlines name it; take it out there"),
    ):
        if users:
            raise AddressError(f"the size '{name}' cannot be taken out: these {why} first: {', '.join(users)}")
    return bike.with_frame(remade(bike.frame, {"sizes": kept}))


def _without_build(bike: Bike, name: str) -> Bike:
    build = bike.build(name)
    if name == DATUM:
        raise AddressError("the datum build stays: the geometry table holds in it")
    tunes = [tune.name for tune in bike.tunes if tune.build.name == name]
    if tunes:
        raise AddressError(f"the build '{name}' cannot be taken out: it was ridden with the tune {', '.join(tunes)}")
    return replace(bike, builds=tuple(held for held in bike.builds if held != build))


def _without_pin(bike: Bike, name: str) -> Bike:
    """A pin taken out of the frame, with the places that single sizes give it."""
    linkage = bike.frame.linkage
    if linkage is None:
        raise AddressError("the frame has no linkage, so no pin can be taken out")
    pin = _named(linkage.pins, name, "pin")
    for why in _needs_of_pin(linkage, pin):
        raise AddressError(f"the pin '{name}' cannot be taken out: {why}")
    try:
        kept = remade(linkage, {"pins": tuple(held for held in linkage.pins if held.name != name)})
    except ModelError:
        raise AddressError(f"the pin '{name}' cannot be taken out: a linkage has three pins or more") from None
    sizes = tuple(
        remade(size, {"linkage": remade(size.linkage, {"pins": tuple(p for p in size.linkage.pins if p.name != name)})})
        for size in bike.frame.sizes
    )
    return bike.with_frame(remade(bike.frame, {"linkage": kept, "sizes": sizes}))


def _needs_of_pin(linkage: Linkage, pin: Pin) -> Iterator[str]:
    """What else of the linkage names the pin, or a body that hangs on it alone."""
    for chip in linkage.chips:
        if chip.pin == pin.name:
            yield f"the chip '{chip.name}' moves it"
    for idler in linkage.idlers:
        if idler.pin == pin.name:
            yield f"the idler '{idler.name}' turns on it"
    if WHEEL in pin.joins:
        yield "it is the axle"
    if SHOCK in pin.joins:
        yield "the shock ends on it"
    for sized in linkage.bodies:
        held_by = [held.name for held in linkage.pins if sized.name in held.joins]
        if pin.name in held_by and len(held_by) < 3:
            yield f"'{sized.name}', whose width is given, would hang on one pin"
    others = {body for held in linkage.pins if held.name != pin.name for body in held.joins}
    for body in pin.joins:
        if body not in others and body == linkage.brake_on:
            yield f"'{body}', which carries the brake, hangs on it alone"
        for chip in linkage.chips:
            if body not in others and chip.body == body:
                yield f"'{body}', on which the chip '{chip.name}' sits, hangs on it alone"


def _without_part(bike: Bike, kind: str, name: str) -> Bike:
    part = bike.stock.part(kind, name)
    users = [build.name for build in bike.builds if _carries(build, kind, name)]
    if users:
        raise AddressError(f"the {kind} '{name}' cannot be taken out: {_builds_text(users)} it; fit another first")
    shelf = tuple(held for held in bike.stock.shelf(kind) if held != part)
    return replace(bike, stock=bike.stock.with_shelf(kind, shelf))


def _carries(build: Build, kind: str, name: str) -> bool:
    fitted = [part for slot, of in SLOTS.items() if of == kind for part in build.fitted(slot)]
    if kind == "coil":
        fitted = [part.spring for slot in ("fork", "shock") for part in build.fitted(slot)]
    return any(getattr(part, "name", None) == name for part in fitted)


def _builds_text(names: list[str]) -> str:
    return f"the build {names[0]} carries" if len(names) == 1 else f"the builds {', '.join(names)} carry"


def _without_rider(bike: Bike, name: str) -> Bike:
    rider = bike.rider(name)
    users = [build.name for build in bike.builds if build.rider is not None and build.rider.name == name]
    if users:
        raise AddressError(
            f"the rider '{name}' cannot be taken out: {_builds_text(users)} {name}; put another on first"
        )
    lines = [line_key(line) for line in bike.brief.lines if line.rider == name]
    if lines:
        raise AddressError(f"the rider '{name}' cannot be taken out: the brief names {name} in {', '.join(lines)}")
    tunes = [tune.name for tune in bike.tunes if tune.build.rider is not None and tune.build.rider.name == name]
    if tunes:
        raise AddressError(f"the rider '{name}' cannot be taken out: {name} rode the tune {', '.join(tunes)}")
    return replace(bike, riders=tuple(held for held in bike.riders if held != rider))
