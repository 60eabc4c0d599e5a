"""Things taken out of a bike, and things added to it as a copy of another.

Taken out are lines of the brief, pins of the linkage, loads, what a size has for itself, parts, riders and builds;
copied are parts, riders, builds and loads, under a name that is not in use yet, to be changed afterwards. What
something else still needs is not taken out: the error says what needs it. Whether a linkage without a pin still
moves is for `bikewright.studies.workbench` to say.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from bikewright.errors import AddressError, ModelError
from bikewright.model.addresses import BY_SIZE, with_value
from bikewright.model.brief import Brief
from bikewright.model.build import Build, remade
from bikewright.model.build_file import DATUM
from bikewright.model.faults import near
from bikewright.model.files import Bike
from bikewright.model.frame import SHOCK, WHEEL, Linkage, Pin
from bikewright.model.parts import KINDS, SLOTS
from bikewright.model.stock import Shelf, Stock
from bikewright.model.writing import line_key

REMOVE, COPY = "remove", "copy"
REMOVABLE = "brief.LINE, linkage.pins.NAME, loads.NAME, by_size.SIZE.KEY, parts.KIND.NAME, riders.NAME or builds.NAME"
COPIED = "parts.KIND.NAME, riders.NAME, builds.NAME or loads.NAME"


def without(bike: Bike, build: str, address: str) -> Bike:
    """The bike with one thing taken out.

    Parameters
    ----------
    bike : Bike
        The bike as it stands.
    build : str
        Build that the address of a load is meant in.
    address : str
        ``brief.head_angle_deg@table``, ``linkage.pins.NAME``, ``loads.NAME``, ``by_size.S.seatpost``,
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
    if steps[:2] == ("linkage", "pins") and len(steps) == 3:
        return _without_pin(bike, steps[2])
    if steps[0] == "loads" and len(steps) == 2:
        here = bike.build(build)
        _named(here.loads, steps[1], "load")
        return _with_build(bike, with_value(here, address, None))
    if steps[0] == BY_SIZE and len(steps) in (3, 4):
        here, key = bike.build(build), steps[-1]
        if steps[1] not in here.sizes_of(key):
            raise AddressError(f"'{address}' is not there: size {steps[1]} has no {key} of its own")
        return _with_build(bike, here.in_no_size(steps[1], key))
    if steps[0] == "parts" and len(steps) == 3 and steps[1] in KINDS:
        return _without_part(bike, steps[1], steps[2])
    if steps[0] == "riders" and len(steps) == 2:
        return _without_rider(bike, steps[1])
    if steps[0] == "builds" and len(steps) == 2:
        bike.build(steps[1])
        if steps[1] == DATUM:
            raise AddressError("the datum build stays: the geometry table holds in it")
        return replace(bike, builds=tuple(held for held in bike.builds if held.name != steps[1]))
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
        What is copied: ``parts.fork.NAME``, ``riders.NAME``, ``builds.NAME`` or ``loads.NAME``.
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
    steps = tuple(address.split("."))
    if steps[0] == "parts" and len(steps) == 3 and steps[1] in KINDS:
        shelf = bike.stock.shelf(steps[1])
        copy = _renamed(bike.stock.part(steps[1], steps[2]), shelf, name, steps[1])
        return replace(bike, stock=_shelved(bike.stock, steps[1], (*shelf, copy)))
    if steps[0] == "riders" and len(steps) == 2:
        return replace(bike, riders=(*bike.riders, _renamed(bike.rider(steps[1]), bike.riders, name, "rider")))
    if steps[0] == "builds" and len(steps) == 2:
        return replace(bike, builds=(*bike.builds, _renamed(bike.build(steps[1]), bike.builds, name, "build")))
    if steps[0] == "loads" and len(steps) == 2:
        here = bike.build(build)
        copy = _renamed(_named(here.loads, steps[1], "load"), here.loads, name, "load")
        return _with_build(bike, here.changed(loads=(*here.loads, copy)))
    raise AddressError(f"'{address}' cannot be copied; what can be is {COPIED}")


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


def _with_build(bike: Bike, build: Build) -> Bike:
    return replace(bike, builds=tuple(build if held.name == build.name else held for held in bike.builds))


def _without_line(bike: Bike, key: str) -> Brief:
    lines = {line_key(line): line for line in bike.brief.lines}
    if key not in lines:
        raise AddressError(f"the brief has no line '{key}'. {near(key, lines)}")
    return Brief(lines=tuple(line for line in bike.brief.lines if line != lines[key]))


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
    frame = remade(bike.frame, {"linkage": kept, "sizes": sizes})
    return replace(bike, frame=frame, builds=tuple(build.changed(frame=frame) for build in bike.builds))


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
    return replace(bike, stock=_shelved(bike.stock, kind, shelf))


def _carries(build: Build, kind: str, name: str) -> bool:
    fitted = [part for slot, of in SLOTS.items() if of == kind for part in build.fitted(slot)]
    if kind == "coil":
        fitted = [part.spring for slot in ("fork", "shock") for part in build.fitted(slot)]
    return any(getattr(part, "name", None) == name for part in fitted)


def _builds_text(names: list[str]) -> str:
    return f"the build {names[0]} carries" if len(names) == 1 else f"the builds {', '.join(names)} carry"


def _shelved(stock: Stock, kind: str, parts: tuple[Any, ...]) -> Stock:
    """The stock with other parts of one kind."""
    if all(shelf.kind != kind for shelf in stock.shelves):
        return Stock(shelves=(*stock.shelves, Shelf(kind=kind, parts=parts)))
    shelves = (Shelf(kind=kind, parts=parts) if shelf.kind == kind else shelf for shelf in stock.shelves)
    return Stock(shelves=tuple(shelf for shelf in shelves if shelf.parts))


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
    return replace(bike, riders=tuple(held for held in bike.riders if held != rider))
