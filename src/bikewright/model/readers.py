"""From the sheets of a folder to the values of the model: parts, riders, brief, frame and builds.

Each reader adds every fault it finds to one list and leaves out what is faulty, so that the next reader
can still look at the rest.
"""

import math
from collections.abc import Collection, Iterator
from typing import Any

from bikewright.errors import AddressError, Fault, UnitError
from bikewright.model.brief import Brief, BriefLine, key_of, wrong_quantity
from bikewright.model.damper_table import CIRCUITS, unsound
from bikewright.model.faults import UNKNOWN_KEY, made, near, sentence, shown
from bikewright.model.parts import KINDS, Fork, Part, Shock
from bikewright.model.places import Path
from bikewright.model.rider import Rider
from bikewright.model.stock import Shelf, Stock
from bikewright.model.text_file import Sheet
from bikewright.model.values import UNKNOWN
from bikewright.quantities import CATALOGUE
from bikewright.units import read_quantity

ENOUGH_FAULTS = 1000
"""More than anybody reads; a file with so many is left there."""

_LINE_KEYS = ("quantity", "low", "high", "felt_step", "size", "rider", "why")
_NAMED = ("sizes", "outlines", "pins", "chips", "idlers", "bodies", "positions", "loads")
"""Tables whose headings are names, wherever they stand in a bike or a build."""


def named_tables(sheet: Sheet, data: dict[str, Any], path: Path, faults: list[Fault]) -> Iterator[tuple[str, Any]]:
    """Name and content of each table in a table of tables; what is no table is a fault."""
    for name, table in data.items():
        if len(faults) > ENOUGH_FAULTS:
            return
        if not isinstance(table, dict):
            told = f"Write it as a table, [{'.'.join([*map(str, path), 'its-name'])}]."
            faults.append(sheet.fault((*path, name), found=shown(table), allowed="a table", remedy=told))
            continue
        if "name" in table:
            faults.append(_named_twice(sheet, (*path, name, "name")))
        yield name, {key: value for key, value in table.items() if key != "name"}


def _named_twice(sheet: Sheet, path: Path) -> Fault:
    return sheet.fault(path, found="a second name", remedy="The heading names it already; take this line out.")


def refuse_inner_names(sheet: Sheet, data: Any, path: Path, faults: list[Fault]) -> None:
    """A name inside a table that its heading names would silently win."""
    if not isinstance(data, dict):
        return
    for key, value in data.items():
        if key in _NAMED and isinstance(value, dict):
            for name, table in value.items():
                if isinstance(table, dict) and "name" in table:
                    faults.append(_named_twice(sheet, (*path, key, name, "name")))
                refuse_inner_names(sheet, table, (*path, key, name), faults)
        elif key == "linkage":
            refuse_inner_names(sheet, value, (*path, key), faults)


def read_stock(sheet: Sheet, faults: list[Fault]) -> Stock:
    """Every part, coils first, since a fork or a shock may name one."""
    shelves: dict[str, list[Part]] = {}
    for kind in sorted(KINDS, key=lambda kind: kind != "coil"):
        coils = Stock(shelves=(Shelf(kind="coil", parts=tuple(shelves.get("coil", ()))),))
        for name, table in named_tables(sheet, sheet.data.get(kind, {}), (kind,), faults):
            part = _part(kind, name, table, coils, sheet, faults)
            if part is not None:
                shelves.setdefault(kind, []).append(part)
    return Stock(shelves=tuple(Shelf(kind=kind, parts=tuple(parts)) for kind, parts in shelves.items()))


def _part(kind: str, name: str, table: dict[str, Any], coils: Stock, sheet: Sheet, faults: list[Fault]) -> Part | None:
    path: Path = (kind, name)
    if kind in ("fork", "shock") and isinstance(table.get("spring"), str):
        try:
            table = {**table, "spring": _coil(table["spring"], coils)}
        except AddressError as error:
            if len(coils.shelf("coil")) == len(sheet.data.get("coil", {})):  # else the coil has faults of its own
                told = sentence(str(error))
                faults.append(sheet.fault((*path, "spring"), found=shown(table["spring"]), remedy=told))
            return None
    part = made(KINDS[kind], {"name": name, **table}, sheet, path, faults)
    if isinstance(part, Fork) and part.chassis.crowns != "rigid" and not _length_known(part):
        told = "The fork's length is its bottomed length and its travel. A rigid fork says so: chassis.crowns."
        faults.append(sheet.fault((*path, "spring", "travel_mm"), found="no travel", remedy=told))
        return None
    if isinstance(part, Fork | Shock):
        told_of_tables = list(_table_faults(part, sheet, path))
        faults.extend(told_of_tables)
        return None if told_of_tables else part
    return part


def _table_faults(part: Fork | Shock, sheet: Sheet, path: Path) -> Iterator[Fault]:
    """What is wrong with the measured tables of a damper, each where it stands."""
    if part.damper is None:
        return
    for circuit in CIRCUITS:
        for one in unsound(part.damper, circuit):
            steps = [step for step in (one.row, one.point) if step is not None]
            at: Path = (*path, "damper", circuit, one.column, *steps)
            yield sheet.fault(at, found=one.found, allowed=one.allowed, remedy=one.remedy)


def _coil(text: str, coils: Stock) -> Part | None:
    if text == UNKNOWN:
        return None
    try:
        return coils.coil_of_rate(read_quantity(text, "n_per_mm"))
    except UnitError:
        return coils.part("coil", text)


def _length_known(fork: Fork) -> bool:
    return fork.spring is not None and fork.spring.travel_mm is not None


def read_riders(sheet: Sheet, faults: list[Fault]) -> tuple[Rider, ...]:
    """Every rider of ``riders.toml``."""
    riders = []
    for name, table in named_tables(sheet, sheet.data, (), faults):
        rider = made(Rider, {"name": name, **table}, sheet, (name,), faults)
        riders.append(rider)
    return tuple(rider for rider in riders if rider is not None)


def read_brief(sheet: Sheet, sizes: Collection[str], riders: Collection[str], faults: list[Fault]) -> Brief:
    """Every ``[[line]]`` of ``brief.toml``; a line may name one of these sizes and one of these riders."""
    for key in sheet.data:
        if key != "line":
            told = "Write each quantity under a heading [[line]]."
            faults.append(sheet.fault((key,), found=UNKNOWN_KEY, allowed="line", remedy=told))
    given = sheet.data.get("line", [])
    if not isinstance(given, list):
        told = "Two pairs of brackets: [[line]]."
        faults.append(sheet.fault(("line",), found=shown(given), allowed="a list of tables", remedy=told))
        return Brief()
    lines: list[BriefLine] = []
    seen: dict[tuple[str, str, str], int] = {}
    for index, table in enumerate(given):
        if len(faults) > ENOUGH_FAULTS:
            break
        path: Path = ("line", index)
        line = _brief_line(table, sheet, path, (sizes, riders), faults)
        if line is None:
            continue
        first = seen.setdefault((line.name, line.size, line.rider), index)
        if first == index:
            lines.append(line)
        else:
            _, place = sheet.spot(("line", first))
            where = f"in line {place.line}" if place else "above"
            told = f"It is {where} already. Join the two, or say for which size or rider each is."
            faults.append(sheet.fault((*path, "quantity"), found=shown(line.name), remedy=told))
    return Brief(lines=tuple(lines))


def _brief_line(
    table: Any,
    sheet: Sheet,
    path: Path,
    named: tuple[Collection[str], Collection[str]],
    faults: list[Fault],
) -> BriefLine | None:
    """One line; ``named`` are the sizes and the riders that there are."""
    before = len(faults)
    if not isinstance(table, dict):
        faults.append(sheet.fault(path, found=shown(table), allowed="a table"))
        return None
    raw = {key: value for key, value in table.items() if key in _LINE_KEYS and key != "quantity"}
    unknown = [key for key in table if key not in _LINE_KEYS]
    strangers = {key: "Did you mean quantity?" if key == "name" else near(key, _LINE_KEYS) for key in unknown}
    faults.extend(sheet.fault((*path, key), found=UNKNOWN_KEY, remedy=told) for key, told in strangers.items())
    quantity = table.get("quantity")
    if "Did you mean quantity?" in strangers.values():
        quantity = None
    elif not isinstance(quantity, str):
        found = "nothing" if quantity is None else shown(quantity)
        told = 'Name it as in quantity = "head_angle_deg@stated-sag".'
        faults.append(sheet.fault((*path, "quantity"), found=found, allowed="a quantity", remedy=told))
    else:
        told = wrong_quantity(quantity)
        if told:
            faults.append(sheet.fault((*path, "quantity"), found=shown(quantity), remedy=told))
    faults.extend(_strangers(raw, sheet, path, named))
    line = made(BriefLine, {"name": "quantity", **raw}, sheet, path, faults)
    if line is not None and line.low is not None and line.high is not None and line.low > line.high:
        told = f"low = {line.low:g} lies above it; exchange the two."
        faults.append(sheet.fault((*path, "high"), found=f"{line.high:g}", remedy=told))
    elif line is not None and isinstance(quantity, str) and _is_empty(line, quantity):
        decimals = CATALOGUE[key_of(quantity)].decimals
        told = f"It is told to {10.0**-decimals:g}, so no value can lie between; widen the band to a step of that."
        faults.append(sheet.fault((*path, "high"), found=f"{line.low:g} to {line.high:g}", remedy=told))
    if line is not None and line.low is line.high is line.felt_step is None:
        told = "Say what is wanted, or take it out."
        faults.append(sheet.fault(path, found="no low, high or felt_step", remedy=told))
    if line is None or len(faults) > before:
        return None
    return made(BriefLine, {**raw, "name": quantity}, sheet, path, faults)


def _strangers(
    raw: dict[str, Any], sheet: Sheet, path: Path, named: tuple[Collection[str], Collection[str]]
) -> Iterator[Fault]:
    """A size or a rider that the bike does not have."""
    sizes, riders = named
    size, rider = raw.get("size", ""), raw.get("rider", "")
    if sizes and isinstance(size, str) and size and size not in sizes:
        yield sheet.fault((*path, "size"), found=shown(size), allowed="a size", remedy=near(size, sizes))
    if isinstance(rider, str) and rider and rider not in riders:
        told = near(rider, riders) if riders else "There are none in riders.toml."
        yield sheet.fault((*path, "rider"), found=shown(rider), allowed="a rider", remedy=told)


def _is_empty(line: BriefLine, address: str) -> bool:
    """Whether no value lies in the band, in the digits in which the quantity is told."""
    quantity = CATALOGUE.get(key_of(address))
    if quantity is None or line.low is None or line.high is None:
        return False
    places = 10.0**quantity.decimals
    if line.high - line.low >= 1.0 / places:
        return False
    low, high = line.low * places, line.high * places
    return math.isfinite(low) and math.isfinite(high) and math.ceil(low - 1e-6) > math.floor(high + 1e-6)
