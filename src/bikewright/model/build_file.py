"""The builds of ``builds.toml``: a size, the parts that differ from the datum's, settings, chips and a rider."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from bikewright.errors import Fault, ModelError
from bikewright.model.build import Build, Parts, Settings
from bikewright.model.drawing import linkage_of
from bikewright.model.faults import UNKNOWN_KEY, made, near, sentence, shown
from bikewright.model.frame import Frame
from bikewright.model.frame_file import part_named
from bikewright.model.limits import Refusal, refusals
from bikewright.model.parts import SLOTS, Part
from bikewright.model.places import Path
from bikewright.model.readers import named_tables, refuse_inner_names
from bikewright.model.revision import Sheets
from bikewright.model.rider import Rider
from bikewright.model.stock import Stock
from bikewright.model.values import UNKNOWN

DATUM = "datum"
"""The build that every bike has: the one in which the geometry table holds."""

_KEYS = ("size", *SLOTS, "settings", "chips", "rider", "posture", "grade_pct", "loads", "by_size")
_OWN_KEYS = (*SLOTS, "settings")
"""What may differ in a size."""


@dataclass(frozen=True)
class Around:
    """What builds are made of."""

    sheets: Sheets
    frame: Frame
    datum: dict[str, Part]
    """Parts of the datum build by slot."""
    stock: Stock
    riders: tuple[Rider, ...]


def read_builds(around: Around, faults: list[Fault]) -> tuple[Build, ...]:
    """Every build, the datum first; each one that is not allowed is a fault."""
    sheet = around.sheets.builds
    tables = dict(named_tables(sheet, sheet.data, (), faults))
    datum = tables.pop(DATUM, {})
    builds: list[Build] = []
    told: set[tuple[str, str]] = set()
    for name, table in {DATUM: datum, **tables}.items():
        refuse_inner_names(sheet, table, (name,), faults)
        build = _build(name, table, around, faults)
        if build is not None:
            builds.append(build)
            faults.extend(_refused(build, around, told))
            faults.extend(_refused_by_size(build, around))
    return tuple(builds)


def middle_size(frame: Frame) -> str:
    """The middle one of the sizes; of two, the smaller."""
    return frame.sizes[(len(frame.sizes) - 1) // 2].name


def _build(name: str, table: dict[str, Any], around: Around, faults: list[Fault]) -> Build | None:
    sheet, path, before = around.sheets.builds, (name,), len(faults)
    raw = {key: value for key, value in table.items() if key in _KEYS}
    for key in table:
        if key not in _KEYS:
            faults.append(sheet.fault((name, key), found=UNKNOWN_KEY, remedy=near(key, _KEYS)))
        elif name == DATUM and key in SLOTS:
            told = "The geometry table holds for the datum's parts, so they are named in [datum] of bike.toml."
            faults.append(sheet.fault((name, key), found="a part", remedy=told))
    if name == DATUM:
        raw.setdefault("size", middle_size(around.frame))
    _check_size(raw.get("size"), path, around, faults)
    raw["parts"] = _parts(raw, path, around, faults)
    for slot in SLOTS:
        raw.pop(slot, None)
    if "rider" in raw:
        raw["rider"] = _rider(raw["rider"], (name, "rider"), around, faults)
    raw["chips"] = _chips(raw.get("chips", {}), (name, "chips"), around, faults)
    if "settings" in raw:
        raw["settings"] = _settings(raw["settings"], (name, "settings"), around, faults)
    own = _by_size(raw.pop("by_size", {}), (name, "by_size"), around, faults)
    build = made(Build, {**raw, "name": name, "frame": around.frame}, sheet, path, faults)
    if build is None or len(faults) > before:
        return None
    for size, key, thing in own:
        build = build.in_one_size(size, key, thing)
    return build


def _by_size(raw: Any, path: Path, around: Around, faults: list[Fault]) -> list[tuple[str, str, Any]]:
    """Size, place or setting, and what it is in that size."""
    sheet, known = around.sheets.builds, [size.name for size in around.frame.sizes]
    if not isinstance(raw, dict):
        told = f"Write it as a table, [{'.'.join(map(str, path))}.{known[0]}]."
        faults.append(sheet.fault(path, found=shown(raw), allowed="a table", remedy=told))
        return []
    found: list[tuple[str, str, Any]] = []
    for size, table in named_tables(sheet, raw, path, faults):
        here = (*path, size)
        if size not in known:
            faults.append(sheet.fault(here, found=shown(size), allowed="a size", remedy=near(size, known)))
            continue
        for key in table:
            if key not in _OWN_KEYS:
                guess = "It stands in the build's own table." if key in _KEYS else near(key, _OWN_KEYS)
                told = f"{guess} By size go parts and settings."
                faults.append(sheet.fault((*here, key), found=UNKNOWN_KEY, remedy=told))
            elif path[0] == DATUM and key in SLOTS:
                told = "The geometry table holds for the datum's parts in every size; name them in another build."
                faults.append(sheet.fault((*here, key), found="a part", remedy=told))
            elif key in SLOTS:
                part, is_there = part_named(
                    key, table[key], (*here, key), sheet, around.stock, around.sheets.parts, faults
                )
                if is_there:
                    found.append((size, key, part))
        settings = table.get("settings", {})
        checked = _settings(settings, (*here, "settings"), around, faults)
        if isinstance(settings, dict):
            found += [(size, key, getattr(checked, key)) for key in settings if hasattr(checked, key)]
    return found


def _check_size(size: Any, path: Path, around: Around, faults: list[Fault]) -> None:
    sizes = [size.name for size in around.frame.sizes]
    if isinstance(size, str) and size not in sizes:
        fault = around.sheets.builds.fault(
            (*path, "size"), found=shown(size), allowed="a size", remedy=near(size, sizes)
        )
        faults.append(fault)


def _parts(raw: dict[str, Any], path: Path, around: Around, faults: list[Fault]) -> Parts:
    """The datum's parts with those exchanged that the build names."""
    fitted: dict[str, Part | None] = dict(around.datum)
    for slot in SLOTS:
        if slot in raw:
            fitted[slot], _ = part_named(
                slot, raw[slot], (*path, slot), around.sheets.builds, around.stock, around.sheets.parts, faults
            )
    return Parts(**fitted)  # type: ignore[arg-type]  # each slot was taken from its own shelf


def _settings(raw: Any, path: Path, around: Around, faults: list[Fault]) -> Settings:
    if not isinstance(raw, dict):
        faults.append(around.sheets.builds.fault(path, found=shown(raw), allowed="a table"))
        return Settings()
    return made(Settings, raw, around.sheets.builds, path, faults) or Settings()


def _rider(name: Any, path: Path, around: Around, faults: list[Fault]) -> Rider | None:
    known = {rider.name: rider for rider in around.riders}
    if name == UNKNOWN or (isinstance(name, str) and name in known):
        return known.get(name)
    if not (isinstance(name, str) and name in around.sheets.riders.data):  # else the rider has faults of its own
        told = near(name, known) if isinstance(name, str) else ""
        where = f"{told} Describe the rider as a table in {around.sheets.riders.shown}.".strip()
        faults.append(around.sheets.builds.fault(path, found=shown(name), allowed="the name of a rider", remedy=where))
    return None


def _chips(raw: Any, path: Path, around: Around, faults: list[Fault]) -> tuple[dict[str, str], ...]:
    """Chips and their positions, both known to the frame."""
    sheet, linkage = around.sheets.builds, around.frame.linkage
    chips = {} if linkage is None else {chip.name: chip for chip in linkage.chips}
    if not isinstance(raw, dict):
        told = 'Name each chip and its position, as in dropout = "high".'
        faults.append(sheet.fault(path, found=shown(raw), allowed="a table", remedy=told))
        return ()
    settings = []
    for name, position in raw.items():
        positions = [place.name for place in chips[name].positions] if name in chips else []
        if name not in chips:
            faults.append(sheet.fault((*path, name), found="a chip that the frame has not", remedy=near(name, chips)))
        elif position not in positions:
            told = near(position, positions) if isinstance(position, str) else ""
            allowed = " or ".join(positions)
            faults.append(sheet.fault((*path, name), found=shown(position), allowed=allowed, remedy=told))
        else:
            settings.append({"name": name, "position": position})
    return tuple(settings)


def _refused(build: Build, around: Around, told: set[tuple[str, str]]) -> Iterator[Fault]:
    """What the frame or a part does not allow; what the datum build has told already is not told again."""
    if build.frame.linkage is not None:
        try:
            linkage_of(build)
        except ModelError as error:
            yield around.sheets.builds.fault((build.name,), remedy=sentence(str(error)))
    for refusal in refusals(build):
        fresh = (refusal.address, refusal.text) not in told
        told.add((refusal.address, refusal.text))
        if fresh:
            yield _refusal_fault(refusal, build, around)


def _refused_by_size(build: Build, around: Around) -> Iterator[Fault]:
    """What a size's own part or setting is not allowed in that size."""
    for own in build.by_size:
        if own.name == build.size:
            continue  # told already
        for refusal in refusals(build.in_size(own.name)):
            key, *inner = refusal.address.split(".")
            if key in own.said:
                where = (build.name, "by_size", own.name, *(() if key in SLOTS else ("settings",)), key, *inner)
                text = f"In size {own.name} {refusal.text}"
                yield around.sheets.builds.fault(where, remedy=text)


def _refusal_fault(refusal: Refusal, build: Build, around: Around) -> Fault:
    builds, steps, name = around.sheets.builds, tuple(refusal.address.split(".")), build.name
    remedy = sentence(refusal.text)
    table = builds.data.get(name, {})
    settings = table.get("settings", {})
    if build.size in build.sizes_of(steps[0]):
        inner = () if steps[0] in SLOTS else ("settings",)
        return builds.fault((name, "by_size", build.size, *inner, *steps), remedy=remedy)
    if steps[0] in settings:
        return builds.fault((name, "settings", *steps), remedy=remedy)
    if name == DATUM and steps[0] in SLOTS:
        return around.sheets.bike.fault((DATUM, *steps), remedy=remedy)
    return builds.fault((name, *steps), remedy=remedy)
