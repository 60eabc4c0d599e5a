"""The frame of ``bike.toml``: its datum from numbers and named parts, and what its names must agree on."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from bikewright.errors import Fault, ModelError
from bikewright.model.drawing import linkage_drawing
from bikewright.model.faults import UNKNOWN_KEY, made, near, sentence, shown, why_needed
from bikewright.model.frame import FRAME, SHOCK, WHEEL, Datum, Frame, Linkage
from bikewright.model.parts import SLOTS, Fork, Headset, Part, Shock, Tyre
from bikewright.model.places import Path
from bikewright.model.readers import refuse_inner_names
from bikewright.model.stock import Stock
from bikewright.model.text_file import Sheet
from bikewright.model.values import UNKNOWN

SAME_LENGTH_MM = 0.2
"""How near the drawn eye-to-eye must be to the shock's."""
CORNERS = 3
"""Fewest of an outline that goes all round."""

_DATUM_KEYS = tuple(Datum.__dataclass_fields__)


def read_frame(sheet: Sheet, stock: Stock, parts: Sheet, faults: list[Fault]) -> tuple[Frame | None, dict[str, Part]]:
    """The frame, and the parts of the datum build by slot."""
    before = len(faults)
    raw = dict(sheet.data)
    refuse_inner_names(sheet, raw, (), faults)
    slots: dict[str, Part] = {}
    if isinstance(raw.get("datum"), dict):
        raw["datum"], slots = _datum(raw["datum"], sheet, stock, parts, faults)
    missing = sum(fault.key.startswith("datum.") for fault in faults[before:])
    told: list[Fault] = []
    frame = made(Frame, raw, sheet, (), told)
    # A datum number that no part gives was told above, with both ways to give it.
    known = {fault.key for fault in faults[before:]} if missing else set()
    faults.extend(fault for fault in told if fault.key not in known)
    if frame is None and isinstance(raw.get("linkage"), dict):
        # The names in a sound linkage can be judged whatever is wrong elsewhere.
        linkage = made(Linkage, raw["linkage"], sheet, ("linkage",), [])
        faults.extend(() if linkage is None else _linkage_faults(linkage, sheet))
    return frame, slots


def _datum(
    table: dict[str, Any], sheet: Sheet, stock: Stock, parts: Sheet, faults: list[Fault]
) -> tuple[dict[str, Any], dict[str, Part]]:
    """The numbers of the datum, stated or from its parts, and those parts."""
    slots: dict[str, Part] = {}
    broken = set()
    for slot in SLOTS:
        if slot in table:
            part, sound = part_named(slot, table[slot], ("datum", slot), sheet, stock, parts, faults)
            if part is not None:
                slots[slot] = part
            if not sound:
                broken.add(slot)
    numbers = {key: value for key, value in table.items() if key not in SLOTS}
    unknown = [key for key in numbers if key not in _DATUM_KEYS]
    for key in unknown:
        known = (*SLOTS, *_DATUM_KEYS)
        faults.append(sheet.fault(("datum", key), found=UNKNOWN_KEY, remedy=near(key, known)))
        del numbers[key]
    for key, value in numbers_of_parts(slots).items():
        numbers.setdefault(key, value)
    for key, slot in (("fork_length_mm", "fork"), ("front_radius_mm", "front_tyre"), ("rear_radius_mm", "rear_tyre")):
        if key in numbers:
            continue
        if slot not in broken:
            both = f"Give {key}, or name a part: {slot} = ... {why_needed(Datum, key)}".strip()
            faults.append(sheet.fault(("datum", key), found="nothing", remedy=both))
        numbers[key] = _STAND_IN[key]
    return numbers, slots


_STAND_IN = {"fork_length_mm": 550.0, "front_radius_mm": 370.0, "rear_radius_mm": 370.0}
"""After a fault: lets the rest of the file be checked. No bike is made of them."""


def numbers_of_parts(slots: Mapping[str, Part | None]) -> dict[str, float]:
    """The datum's numbers that parts give where the file does not state them."""
    numbers = {}
    fork, headset = slots.get("fork"), slots.get("headset")
    if isinstance(fork, Fork):
        numbers["fork_length_mm"], numbers["fork_offset_mm"] = fork.axle_to_crown_mm, fork.chassis.offset_mm
    if isinstance(headset, Headset):
        upper, lower = headset.axis_offsets_mm
        numbers["upper_offset_mm"], numbers["lower_offset_mm"] = upper, lower
        numbers["lower_stack_mm"] = headset.lower_stack_mm
    for end in ("front", "rear"):
        tyre = slots.get(f"{end}_tyre")
        if isinstance(tyre, Tyre):
            numbers[f"{end}_radius_mm"] = tyre.radius_used_mm
    return numbers


def part_named(
    slot: str, name: Any, path: Path, sheet: Sheet, stock: Stock, parts: Sheet, faults: list[Fault]
) -> tuple[Part | None, bool]:
    """The part that a slot names, None where it is unknown; and whether the name could be found."""
    kind = SLOTS[slot]
    if name == UNKNOWN:
        return None, True
    shelf = {part.name: part for part in stock.shelf(kind)}
    if isinstance(name, str) and name in shelf:
        return shelf[name], True
    written = parts.data.get(kind, {})
    if isinstance(name, str) and name in written:
        return None, False  # it is there and has faults of its own
    if not isinstance(name, str):
        told = f"A {kind} is described in {parts.shown} and named here."
        faults.append(sheet.fault(path, found=shown(name), allowed=f"the name of a {kind}", remedy=told))
    else:
        told = f"{near(name, written)} Describe it as [{kind}.{name}] in {parts.shown}."
        faults.append(sheet.fault(path, found=shown(name), allowed=f"the name of a {kind}", remedy=told))
    return None, False


def frame_faults(frame: Frame, datum: dict[str, Part], sheet: Sheet) -> Iterator[Fault]:
    """What does not agree inside a frame whose values are sound, each by itself."""
    for key, items in (("sizes", frame.sizes), ("outlines", frame.outlines)):
        yield from _twice(sheet, (key,), [item.name for item in items])
    sizes = [size.name for size in frame.sizes]
    for outline in frame.outlines:
        for index, name in enumerate(outline.sizes):
            if name not in sizes:
                yield _no_such(sheet, ("outlines", outline.name, "sizes", index), name, "a size", sizes)
    linkage = frame.linkage
    if linkage is None:
        for size in frame.sizes:
            if size.linkage.pins:
                told = "This frame has no linkage, so a size cannot change it."
                yield sheet.fault(("sizes", size.name, "linkage"), found="pins", remedy=told)
        return
    disagreements = [*_linkage_faults(linkage, sheet), *_override_faults(frame, linkage, sheet)]
    yield from disagreements
    if not disagreements:
        yield from _drawn_faults(frame, datum.get("shock"), sheet)


def _twice(sheet: Sheet, path: Path, names: list[str]) -> Iterator[Fault]:
    """Names that a list gives twice; tables cannot, TOML sees to it."""
    for index, name in enumerate(names):
        if name in names[:index]:
            yield sheet.fault((*path, index), found=f"a second '{name}'", remedy="Give it another name.")


def _linkage_faults(linkage: Linkage, sheet: Sheet) -> Iterator[Fault]:
    pins = {pin.name: pin for pin in linkage.pins}
    bodies = list(dict.fromkeys(body for pin in linkage.pins for body in pin.joins))
    for key, items in (
        ("pins", linkage.pins),
        ("chips", linkage.chips),
        ("idlers", linkage.idlers),
        ("bodies", linkage.bodies),
    ):
        yield from _twice(sheet, ("linkage", key), [item.name for item in items])
    for pin in linkage.pins:
        if len(set(pin.joins)) < len(pin.joins):
            told = "A pin joins each body once."
            yield sheet.fault(("linkage", "pins", pin.name, "joins"), found=", ".join(pin.joins), remedy=told)
    yield from _special_bodies(linkage, sheet)
    if linkage.brake_on not in bodies or linkage.brake_on in (SHOCK, WHEEL):
        links = [body for body in bodies if body not in (SHOCK, WHEEL)]
        yield _no_such(sheet, ("linkage", "brake_on"), linkage.brake_on, "a body of the linkage", links)
    for chip in linkage.chips:
        path: Path = ("linkage", "chips", chip.name)
        yield from _twice(sheet, (*path, "positions"), [place.name for place in chip.positions])
        if chip.pin not in pins:
            yield _no_such(sheet, (*path, "pin"), chip.pin, "a pin", pins)
        elif chip.body not in pins[chip.pin].joins:
            yield _no_such(sheet, (*path, "body"), chip.body, f"a body that {chip.pin} joins", pins[chip.pin].joins)
    yield from _body_faults(linkage, sheet)
    for idler in linkage.idlers:
        if idler.pin not in pins:
            yield _no_such(sheet, ("linkage", "idlers", idler.name, "pin"), idler.pin, "a pin", pins)


def _body_faults(linkage: Linkage, sheet: Sheet) -> Iterator[Fault]:
    """What is said of links that are none, or cannot be placed."""
    held = [body for pin in linkage.pins for body in pin.joins]
    links = [body for body in dict.fromkeys(held) if body not in (FRAME, SHOCK, WHEEL) and held.count(body) > 1]
    for body in linkage.bodies:
        path: Path = ("linkage", "bodies", body.name)
        if body.name not in links:
            yield _no_such(sheet, path, body.name, "a link with two pins or more", links)
        elif 0 < len(body.points_mm) < CORNERS:
            told = "Draw it all round, or leave it out: then the link is its bosses and what joins them."
            found, allowed = f"{len(body.points_mm)} points", f"{CORNERS} or more, all round"
            yield sheet.fault((*path, "points_mm"), found=found, allowed=allowed, remedy=told)


def _special_bodies(linkage: Linkage, sheet: Sheet) -> Iterator[Fault]:
    for body, wanted, why in (
        (WHEEL, 1, "the rear axle"),
        (SHOCK, 2, "the two ends of the shock"),
    ):
        found = [pin.name for pin in linkage.pins if body in pin.joins]
        if len(found) != wanted:
            told = f'joins = [..., "{body}"] marks {why}.'
            pins = "one pin" if wanted == 1 else f"{wanted} pins"
            names = f"{len(found)} pins that join {body}" + (f": {', '.join(found)}" if found else "")
            yield sheet.fault(("linkage", "pins"), found=names, allowed=pins, remedy=told)
    if not any(FRAME in pin.joins for pin in linkage.pins):
        told = f'joins = ["{FRAME}", ...] marks a pivot on the frame.'
        yield sheet.fault(("linkage", "pins"), found="no pin that joins frame", remedy=told)


def _override_faults(frame: Frame, linkage: Linkage, sheet: Sheet) -> Iterator[Fault]:
    pins = [pin.name for pin in linkage.pins]
    links = list(dict.fromkeys(body for pin in linkage.pins for body in pin.joins if body not in (FRAME, SHOCK, WHEEL)))
    for size in frame.sizes:
        path: Path = ("sizes", size.name, "linkage")
        yield from _twice(sheet, (*path, "pins"), [pin.name for pin in size.linkage.pins])
        for pin in size.linkage.pins:
            if pin.name not in pins:
                yield _no_such(sheet, (*path, "pins", pin.name), pin.name, "a pin of the linkage", pins)
        for index, link in enumerate(size.linkage.own_links):
            if link not in links:
                yield _no_such(sheet, (*path, "own_links", index), link, "a link", links)


def _no_such(sheet: Sheet, path: Path, name: str, allowed: str, known: Iterable[str]) -> Fault:
    return sheet.fault(path, found=shown(name), allowed=allowed, remedy=near(name, known))


def _drawn_faults(frame: Frame, shock: Part | None, sheet: Sheet) -> Iterator[Fault]:
    """Sizes that cannot be drawn, and shocks that do not fit between their pins as drawn."""
    for size in frame.sizes:
        try:
            drawn = linkage_drawing(frame, size.name).drawn_eye_to_eye_mm
        except ModelError as error:
            yield sheet.fault(("sizes", size.name, "linkage"), remedy=sentence(str(error)))
            continue
        if not isinstance(shock, Shock):
            continue
        length = shock.chassis.eye_to_eye_mm
        if abs(drawn - length) > SAME_LENGTH_MM:
            ends = {pin.name for pin in frame.linkage.pins if SHOCK in pin.joins} if frame.linkage else set()
            own = any(pin.name in ends for pin in size.linkage.pins)
            yield sheet.fault(
                ("sizes", size.name, "linkage", "pins") if own else ("linkage", "pins"),
                found=f"{drawn:.2f} mm from shock pin to shock pin as drawn in size {size.name}",
                allowed=f"{length:g} mm within {SAME_LENGTH_MM:g} mm, the eye-to-eye of {shock.name}",
                remedy="Move one of the two pins, or name the shock that the linkage was drawn for in datum.shock.",
            )
            if not own:
                return  # the other sizes say the same
