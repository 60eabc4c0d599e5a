"""Writing changes back into the files of a bike: only the keys that change, in the unit as written.

Comments, order and everything else stay as their author left them. What the files are about to say is
read and checked first, so a change that cannot be meant leaves every file as it was. Each file is replaced
whole (`bikewright.model.saving`); several files are replaced one after the other.
"""

import math
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from hashlib import sha256
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

from bikewright.errors import AddressError, Fault, ModelFileError
from bikewright.model.addresses import (
    BUILD_ROOTS,
    BY_SIZE,
    OTHERWISE,
    Change,
    read_change,
    read_value,
    stepped,
)
from bikewright.model.brief import Brief, line_key, read_line_key, said_line_key
from bikewright.model.build import Build, Settings
from bikewright.model.build_file import DATUM
from bikewright.model.faults import near, shown
from bikewright.model.files import Bike, read_bike
from bikewright.model.frame import Frame
from bikewright.model.parts import KINDS, SLOTS
from bikewright.model.revision import BIKE, BRIEF, BUILDS, PARTS, RIDERS, TUNES, Sheets, read_sheets
from bikewright.model.saving import save_whole
from bikewright.model.taking_out import taken_from, taken_out, without_empty
from bikewright.model.text_file import FORMAT, Sheet, dotted
from bikewright.model.values import UNKNOWN
from bikewright.units import suffix_of, written

Keys = tuple[Any, ...]
"""Names of nested tables, and the place in a list of tables."""

REMOVED: Final = object()
"""In place of a value: what stands at the address is to be taken out of its file."""

_FRAME_KEYS = tuple(Frame.__dataclass_fields__)


def write_changes(
    folder: str | Path,
    changes: Iterable[str | tuple[str, Any]],
    *,
    build: str | None = None,
    bike: Bike | None = None,
) -> tuple[Path, ...]:
    """Write changes into the files of a bike.

    Parameters
    ----------
    folder : str or Path
        The bike's folder.
    changes : iterable of str or (str, value)
        Each an address and its value, or a text such as ``sizes.M.reach_mm=460`` or ``linkage.pins.rocker.z_mm+=2``.
        ``builds.NAME...``, ``riders.NAME...``, ``tunes.NAME...``, ``brief.LINE...`` and ``parts.KIND.NAME...`` name
        things outside the frame. With `REMOVED` as the value, the thing or the key of that address is taken out.
    build : str, optional
        The build that addresses such as ``fork``, ``sag_rear_pct`` or ``fork.chassis.offset_mm`` are meant in.
        The last kind names a part, and changes it in the stock. A part or a setting of a build holds in every size
        then: what sizes had for themselves is taken out. ``otherwise.fork`` leaves that in; ``by_size.S.fork`` is for
        one size.
    bike : Bike, optional
        The bike as it was read. A file that says something else by now is not touched.

    Returns
    -------
    tuple of Path
        The files that were written.

    Raises
    ------
    AddressError
        If an address names nothing that can be written.
    ModelFileError
        If the files would not be sound afterwards, cannot be written, or were changed since.
    """
    home = Path(folder)
    before = read_bike(home)
    sheets = read_sheets(home, {}, [])
    edits: dict[Path, dict[Keys, Any]] = {}
    for change, value in _with_new_lines(changes, before.brief):
        path, keys, sheet = _home_of(home, change.address, build, before, sheets, whole=value is REMOVED)
        made = edits.setdefault(path, {})
        if value is REMOVED and sheet is sheets.builds and keys[1:2] == (BY_SIZE,):
            _end_own(home, keys, sheet, made, before)
            continue
        if value is REMOVED:
            _refuse_inherited(home, change.address, keys, sheet)
        else:
            value = _as_written(change, value, _now(sheet.data, keys))
        made[keys] = value
        if value is not REMOVED and sheet is sheets.builds and OTHERWISE not in change.address.split("."):
            for own in _owns_of(sheet.data, keys, made):
                _end_own(home, own, sheet, made, before)
    for path, made in edits.items():
        if path == home / BUILDS:
            _leave_no_empty_size(path, made)
    texts = {path: _edited(path, list(made.items()), bike) for path, made in edits.items()}
    read_bike(home, texts)
    for path, text in texts.items():
        save_text(path, text)
    return tuple(texts)


def _with_new_lines(changes: Iterable[str | tuple[str, Any]], brief: Brief) -> Iterator[tuple[Change, Any]]:
    """Each change with its value; before the first of a new line of the brief, what the line is called."""
    known = {line_key(line) for line in brief.lines}
    for given in changes:
        change = read_change(given) if isinstance(given, str) else Change(given[0], "=", "")
        value = change.text if isinstance(given, str) else given[1]
        root, *inside = change.address.split(".")
        if root == "brief" and len(inside) == 2 and inside[0] not in known and value is not REMOVED:
            known.add(inside[0])
            named = zip(("quantity", "size", "rider"), read_line_key(inside[0]), strict=True)
            yield from ((Change(f"brief.{inside[0]}.{field}", "=", ""), text) for field, text in named if text)
        yield change, value


def save_text(path: Path, text: str) -> None:
    """Replace a file whole, or say why it could not be.

    Raises
    ------
    ModelFileError
        If the file or its folder cannot be written; the old file stays.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        save_whole(path, text.encode())
    except OSError as error:
        told = f"It cannot be written: {error.strerror or error}. The old file is as it was."
        raise ModelFileError(Fault(file=str(path), remedy=told)) from None


def _owns_of(data: Mapping[str, Any], keys: Keys, made: Mapping[Keys, Any]) -> list[Keys]:
    """Where sizes say something of their own of a part or a setting that a build is given."""
    name, inner = keys[0], keys[1:]
    if not (inner[0] in SLOTS or inner[0] == "settings") or (inner[0] == "settings" and len(inner) < 2):
        return []
    sizes = _now(data, (name, BY_SIZE)) or {}
    asked = dict.fromkeys((*sizes, *(keys[2] for keys in made if keys[:2] == (name, BY_SIZE))))
    own = [(name, BY_SIZE, size, *inner) for size in asked]
    return [one for one in own if one in made or _now(data, one) is not None]


def _end_own(folder: Path, keys: Keys, sheet: Sheet, made: dict[Keys, Any], bike: Bike) -> None:
    """A size has nothing of its own any more; where an earlier revision gave it, it is given what the others have."""
    name, inner = keys[0], keys[3:]
    if _now(sheet.data, keys) is None:
        made.pop(keys, None)
    elif all(Path(layer.shown).parent == folder for layer in sheet.layers if _now(layer.data, keys) is not None):
        made[keys] = REMOVED
    else:
        other = made.get((name, *inner), _now(sheet.data, (name, *inner)))
        if other is None:
            held = bike.build(DATUM if inner[0] in SLOTS else name).otherwise_held(inner[-1])
            other = UNKNOWN if held is None else getattr(held, "name", held)
        made[keys] = other


def _leave_no_empty_size(path: Path, made: dict[Keys, Any]) -> None:
    """A size that has nothing left for itself goes with its heading."""
    data = tomllib.loads(path.read_text(encoding="utf-8-sig")) if path.exists() else {}
    out = [keys for keys, value in made.items() if value is REMOVED and keys[1:2] == (BY_SIZE,)]
    homes = dict.fromkeys((*(keys[:-1] for keys in out), *(keys[:3] for keys in out)))
    for home in sorted(homes, key=len, reverse=True):  # a table of settings that goes leaves its size the emptier
        held = {(*home, key) for key in _now(data, home) or {}}
        inside = {keys for keys in made if keys[: len(home)] == home}
        if held | inside == {keys for keys in inside if made[keys] is REMOVED}:
            for keys in inside:
                del made[keys]
            made[home] = REMOVED


def _home_of(
    folder: Path, address: str, build: str | None, bike: Bike, sheets: Sheets, *, whole: bool = False
) -> tuple[Path, Keys, Sheet]:
    """File, keys and sheet that an address stands for; ``whole`` where it may name a thing and not a value of it."""
    steps = tuple(address.split("."))
    root, deep = steps[0], len(steps) + whole
    if root == "frame" and len(steps) > 1:
        return _home_of(folder, address.removeprefix("frame."), build, bike, sheets, whole=whole)
    if root in _FRAME_KEYS:
        return folder / BIKE, steps, sheets.bike
    if root == "builds" and deep > 2:
        return folder / BUILDS, (steps[1], *_in_build_table(steps[2:])), sheets.builds
    if root == "riders" and deep > 2:
        return folder / RIDERS, steps[1:], sheets.riders
    if root == "tunes" and deep > 2:
        return folder / TUNES, steps[1:], sheets.tunes
    if root == "brief" and deep > 2:
        return folder / BRIEF, _line_of(folder, steps, sheets.brief), sheets.brief
    if root == "parts" and deep > 3:
        return _parts_file(folder, steps[1:], sheets), steps[1:], sheets.parts
    if root in SLOTS or root in BUILD_ROOTS or root in ("settings", *Settings.__dataclass_fields__):
        return _home_in_build(folder, steps, bike, sheets, build)
    known = (
        *_FRAME_KEYS,
        "builds",
        "riders",
        "tunes",
        "parts",
        "brief",
        *SLOTS,
        *BUILD_ROOTS,
        *Settings.__dataclass_fields__,
    )
    raise AddressError(f"'{address}' names nothing that can be written. {near(root, known)}")


def _line_of(folder: Path, steps: Keys, brief: Sheet) -> Keys:
    """Keys of a field of a line of the brief; a line that is missing is to be added at the end."""
    key = steps[1]
    if brief.layers and Path(brief.layers[0].shown).parent != folder:
        raise AddressError(
            f"'{'.'.join(steps)}': the brief is that of the earlier revision; copy brief.toml here first"
        )
    lines = brief.data.setdefault("line", [])
    found = [said_line_key(line.get("quantity", ""), line.get("size", ""), line.get("rider", "")) for line in lines]
    if key not in found and len(steps) == 2:
        raise AddressError(f"'{'.'.join(steps)}' is not there, so it cannot be taken out")
    if key not in found:
        name, size, rider = read_line_key(key)
        named = {"quantity": name, "size": size, "rider": rider}
        lines.append({field: text for field, text in named.items() if text})
        found.append(key)
    return "line", found.index(key), *steps[2:]


def _home_in_build(
    folder: Path, steps: Keys, bike: Bike, sheets: Sheets, build: str | None
) -> tuple[Path, Keys, Sheet]:
    address = ".".join(steps)
    if build is None:
        raise AddressError(f"'{address}' belongs to a build; say which, or write builds.NAME.{address}")
    meant = bike.build(build)
    steps = _in_build_table(steps)
    if len(steps) > 1 and (steps[0] in SLOTS or steps[0] == "rider"):
        return _home_in_part(folder, steps, meant, sheets)
    if steps[0] in SLOTS and build == DATUM:
        return folder / BIKE, (DATUM, *steps), sheets.bike
    return folder / BUILDS, (build, *steps), sheets.builds


def _in_build_table(steps: Keys) -> Keys:
    """Keys inside a build's table: a setting in its table of settings, ``otherwise`` left out."""
    size: Keys = ()
    if steps[:1] == (OTHERWISE,):
        steps = steps[1:]
    elif steps[:1] == (BY_SIZE,):
        size, steps = steps[:2], steps[2:]
    if steps and steps[0] in Settings.__dataclass_fields__:
        steps = ("settings", *steps)
    return (*size, *steps)


def _home_in_part(folder: Path, steps: Keys, build: Build, sheets: Sheets) -> tuple[Path, Keys, Sheet]:
    """A value of the part, or of the rider, that a build has."""
    slot, *rest = steps
    held = build.rider if slot == "rider" else getattr(build.parts, slot)
    if held is None:
        raise AddressError(f"the build '{build.name}' has no {slot}, so '{'.'.join(steps)}' names nothing")
    if slot == "rider":
        return folder / RIDERS, (held.name, *rest), sheets.riders
    keys = (SLOTS[slot], str(held.name), *rest)
    return _parts_file(folder, keys, sheets), keys, sheets.parts


def _parts_file(folder: Path, keys: Keys, sheets: Sheets) -> Path:
    """The file of this folder that holds a part, or others of its kind; a new one where there is none."""
    kind, name = keys[0], keys[1]
    if kind not in KINDS:
        raise AddressError(f"'{kind}' is no kind of part. {near(kind, KINDS)}")
    own = [layer for layer in sheets.parts.layers if Path(layer.shown).parent == folder / PARTS]
    for layer in own:
        if name in layer.data.get(kind, {}):
            return Path(layer.shown)
    others = [layer.shown for layer in own if layer.data.get(kind)]
    return Path(others[-1]) if others else folder / PARTS / f"{kind}.toml"


def _now(data: Mapping[str, Any], keys: Keys) -> Any:
    """What stands at a place now, inherited or not; None where nothing does."""
    here: Any = data
    for key in keys:
        listed = isinstance(here, list) and isinstance(key, int) and key < len(here)
        if not listed and not (isinstance(here, dict) and key in here):
            return None
        here = here[key]
    return here


def _refuse_inherited(folder: Path, address: str, keys: Keys, sheet: Sheet) -> None:
    """Taking out works on this folder's own files."""
    if _now(sheet.data, keys) is None:
        raise AddressError(f"'{address}' is not there, so it cannot be taken out")
    for layer in sheet.layers:
        own = Path(layer.shown).parent in (folder, folder / PARTS)
        if not own and _now(layer.data, keys) is not None:
            told = f"it is in {layer.shown}, the revision that this one is based on"
            raise AddressError(f"'{address}' cannot be taken out here: {told}")


def _as_written(change: Change, value: Any, old: Any) -> Any:
    """A value in the kind and the unit in which the file has it."""
    suffix = suffix_of(change.address)
    if change.operator != "=":
        value = stepped(change, old)
    elif isinstance(value, str):
        value = read_value(change.address, value)
    if value is None:
        return UNKNOWN
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    if not math.isfinite(value):
        raise AddressError(f"{change.address}: found {value}; allowed: a number with an end")
    if isinstance(old, str) and suffix is not None and old != UNKNOWN:
        return written(value, suffix, old)
    return int(value) if float(value).is_integer() and not isinstance(old, float) else value


def _edited(path: Path, edits: list[tuple[Keys, Any]], bike: Bike | None) -> str:
    """The text of a file after its edits."""
    content = path.read_bytes() if path.exists() else f"format = {FORMAT}\n".encode()
    _refuse_changed(path, content, bike)
    text = content.decode()
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    wanted = tomllib.loads(text.removeprefix(mark))
    changed = text.removeprefix(mark)
    for keys, value in sorted(edits, key=_last_out):
        if value is REMOVED:
            taken_from(wanted, keys)
            changed = taken_out(path, changed, keys)
        else:
            _set_plain(wanted, keys, value)
            changed = _set_written(path, changed, keys, value)
    if 0 < text.count("\n") == text.count("\r\n"):  # where both stand, each line keeps its own
        changed = changed.replace("\r\n", "\n").replace("\n", "\r\n")
    if not _says(changed, wanted, exactly=all(value is not REMOVED for _, value in edits)):
        # the editing library has lost something: better no change than that
        told = "This change cannot be made here without touching something else; edit the file by hand."
        raise ModelFileError(Fault(file=str(path), key=dotted(edits[0][0]), remedy=told))
    return mark + changed


def _says(text: str, wanted: dict[str, Any], *, exactly: bool) -> bool:
    """Whether a text says what is wanted; where something was taken out, empty tables need not be spoken of."""
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return bool(found == wanted if exactly else without_empty(found) == without_empty(wanted))


def _last_out(edit: tuple[Keys, Any]) -> tuple[bool, int]:
    """What is set goes first, then what is taken out; of a list, its end first, so that places stay what they were."""
    keys, value = edit
    return (True, -next((key for key in keys if isinstance(key, int)), 0)) if value is REMOVED else (False, 0)


def _refuse_changed(path: Path, content: bytes, bike: Bike | None) -> None:
    if bike is None:
        return
    known = {Path(file.file).resolve(): file.sha256 for file in bike.files}
    read = known.get(path.resolve())
    if read is not None and read != sha256(content).hexdigest():
        told = "It was changed since it was read. Read the bike again, then make the change."
        raise ModelFileError(Fault(file=str(path), remedy=told))
    if read is None and path.exists():
        told = "It was made since the bike was read. Read the bike again, then make the change."
        raise ModelFileError(Fault(file=str(path), remedy=told))


def _set_plain(data: dict[str, Any], keys: Keys, value: Any) -> None:
    here: Any = data
    for key, following in pairwise(keys):
        if isinstance(key, int):
            if key == len(here):
                here.append({})
            here = here[key]
            continue
        inner = here.setdefault(key, [] if isinstance(following, int) else {})
        if not isinstance(inner, list if isinstance(following, int) else dict):
            raise AddressError(f"'{dotted(keys)}' cannot be written: '{key}' is {shown(inner)}, not a table")
        here = inner
    here[keys[-1]] = value


def _set_written(path: Path, text: str, keys: Keys, value: Any) -> str:
    """The text with one key set; tables that are missing are added."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError
    from tomlkit.items import InlineTable

    try:
        document = tomlkit.parse(text)
        table: Any = document
        for depth, key in enumerate(keys[:-1]):
            if isinstance(key, int):
                if key == len(table):
                    table.append(tomlkit.table())
            elif isinstance(keys[depth + 1], int):
                table.setdefault(key, tomlkit.aot())
            elif key not in table:
                last = depth == len(keys) - 2
                inline = isinstance(table, InlineTable)
                table[key] = tomlkit.inline_table() if inline else tomlkit.table(is_super_table=not last)
            table = table[key]
        table[keys[-1]] = _rows(value)
        return tomlkit.dumps(document)
    except (TOMLKitError, TypeError, ValueError, AttributeError) as error:
        told = f"The change cannot be written ({error}); edit the file by hand."
        raise ModelFileError(Fault(file=str(path), key=dotted(keys), remedy=told)) from error


def _rows(value: Any) -> Any:
    """A list of lists with a line for each, as people write a table; anything else as it is."""
    import tomlkit

    if not (isinstance(value, list) and value and all(isinstance(row, list) for row in value)):
        return value
    rows = tomlkit.array()
    for row in value:
        rows.append(row)
    return rows.multiline(True)
