"""What was wrong with a value, in plain words: what was found, what may stand there, what to do.

The checks of the model name a path, a kind of fault and a limit; everything a person reads about them is
written here.
"""

import ast
import inspect
import math
import textwrap
import types
from collections.abc import Hashable, Iterable
from dataclasses import fields, is_dataclass
from difflib import get_close_matches
from functools import cache
from itertools import pairwise
from typing import Annotated, Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from pydantic import TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from bikewright.errors import Fault
from bikewright.model.places import Path
from bikewright.model.text_file import Sheet, printable
from bikewright.units import UNITS, suffix_of

V = TypeVar("V")

NAME_RULE = "letters, digits, - and _, beginning with no -; up to 60, no spaces"
LONGEST_SHOWN = 60
UNKNOWN_KEY = "a key that is not known here"
NOTHING = "nothing"


def near(word: str, words: Iterable[str]) -> str:
    """A sentence with the nearest spelling, or with everything there is."""
    known = tuple(words)
    folded = {name.casefold(): name for name in known}
    wanted = word.casefold()[:200]
    close = get_close_matches(wanted, folded, n=1, cutoff=0.6)
    close = close or [name for name in folded if len(wanted) > 2 and name.startswith(wanted)][:1]
    if close:
        return f"Did you mean {folded[close[0]]}?"
    return f"There are: {', '.join(known)}." if known else "There are none."


def sentence(text: str) -> str:
    """An error's text as a sentence: with a capital letter and a full stop."""
    end = "" if not text or text.endswith((".", "?")) else "."
    return f"{text[:1].upper()}{text[1:]}{end}"


def shown(found: Any) -> str:
    """A value from a file as a few words."""
    if isinstance(found, bool):
        return "true" if found else "false"
    if isinstance(found, str):
        return f'"{printable(found, LONGEST_SHOWN)}"'
    if isinstance(found, dict):
        return "a table"
    if isinstance(found, list | tuple):
        return f"a list of {len(found)}"
    if isinstance(found, float):
        return f"{found:.12g}"
    if isinstance(found, int):
        return str(found) if abs(found) < 10**15 else "a very large whole number"
    return '"unknown"' if found is None else str(found)[:LONGEST_SHOWN]


def made(cls: type[V], raw: dict[str, Any], sheet: Sheet, path: Path, faults: list[Fault]) -> V | None:
    """The value that a table describes, or None with every fault of the table added to ``faults``.

    ``raw`` is what the table says after names were put in and parts were found; ``path`` is where the
    table stands in the sheet.
    """
    try:
        checked: V = _adapter(cast(Hashable, cls)).validate_python(raw)
    except ValidationError as error:
        told = error.errors(include_url=False)
    except RecursionError:
        faults.append(sheet.fault(path, found="tables nested too deeply", remedy="Take the inner ones out."))
        return None
    else:
        return checked
    unsifted = [_fault(detail, cls, raw, sheet, path) for detail in told]
    faults.extend(fault for fault in unsifted if not _explained(fault, unsifted))
    return None


def _explained(missing: Fault, faults: list[Fault]) -> bool:
    """Whether a missing key is only a misspelt one, which is told already."""
    table, _, key = missing.key.rpartition(".")
    return missing.found == NOTHING and any(
        fault.found == UNKNOWN_KEY and fault.key.rpartition(".")[0] == table and fault.remedy == f"Did you mean {key}?"
        for fault in faults
    )


@cache
def _adapter(cls: Any) -> TypeAdapter[Any]:
    return TypeAdapter(cls)


def _fault(detail: ErrorDetails, cls: type, raw: Any, sheet: Sheet, path: Path) -> Fault:
    steps, owner = _walked(detail["loc"], cls, raw)
    field = steps[-1] if steps and isinstance(steps[-1], str) else ""
    found, allowed, remedy = words_of(detail, owner, field)
    return sheet.fault((*path, *steps), found=found, allowed=allowed, remedy=remedy)


def _walked(loc: tuple[int | str, ...], cls: type, raw: Any) -> tuple[Path, type]:
    """The path in the file, and the type of the table that holds its last key."""
    steps: list[int | str] = []
    owner, kind, data = cls, cls, raw
    for position, step in enumerate(loc):
        last = position == len(loc) - 1
        if isinstance(data, dict) and isinstance(step, int):  # a table of named tables became a tuple
            names = list(data)
            if step < len(names):
                step = names[step]
                kind = _item_of(kind)
        elif isinstance(step, int):
            kind = _item_of(kind)
        elif isinstance(data, dict) and step not in data and not last:
            kind = _member_of(kind, step)  # which member of a union was tried; no key of the file
            continue
        elif is_dataclass(kind):
            owner, kind = kind, _field_type(kind, step)
        steps.append(step)
        data = _inside(data, step)
    return tuple(steps), owner


def _inside(data: Any, step: int | str) -> Any:
    if isinstance(data, dict):
        return data.get(str(step))
    if isinstance(data, list | tuple) and isinstance(step, int) and step < len(data):
        return data[step]
    return None


@cache
def _hints(cls: type) -> dict[str, Any]:
    return get_type_hints(cls)


def _field_type(cls: type, field: str) -> Any:
    return _plain(_hints(cls).get(field))


def type_at(cls: type, steps: Iterable[str]) -> Any:
    """Type of what stands some steps below a type, one into named things being a name; None where nothing can."""
    kind: Any = cls
    for step in steps:
        if get_origin(kind) is tuple:
            kind = _item_of(kind)
            continue
        owners = [one for one in (kind, *get_args(kind)) if is_dataclass(one) and step in _hints(cast(type, one))]
        if not owners:
            return None
        kind = _field_type(cast(type, owners[0]), step)
    return kind


def _plain(kind: Any) -> Any:
    """A type without its annotations and without None."""
    while get_origin(kind) is Annotated:
        kind = get_args(kind)[0]
    if get_origin(kind) in (Union, types.UnionType):
        members = [member for member in get_args(kind) if member is not type(None)]
        return _plain(members[0]) if len(members) == 1 else kind
    return kind


def _item_of(kind: Any) -> Any:
    arguments = get_args(kind)
    return _plain(arguments[0]) if get_origin(kind) is tuple and arguments else None


def _member_of(kind: Any, tag: str) -> Any:
    for member in get_args(kind):
        if is_dataclass(member) and any(field.name == "kind" and field.default == tag for field in fields(member)):
            return member
    return kind


def words_of(detail: ErrorDetails, owner: type, field: str) -> tuple[str, str, str]:
    """Found, allowed and remedy for one fault."""
    error, found, ctx = detail["type"], detail["input"], detail.get("ctx", {})
    if error == "unexpected_keyword_argument":
        known = [name for name in _hints(owner) if name not in ("name", "based_on") or owner.__name__ == "Frame"]
        return UNKNOWN_KEY, "", near(field, known)
    if error == "missing":
        if not is_dataclass(owner) or field not in _hints(owner):
            return "fewer values than there must be", "", "Add what is missing."
        return NOTHING, _allowed(owner, field), why_needed(owner, field)
    if error == "value_error":
        return shown(found), _allowed(owner, field), sentence(str(ctx.get("error", "")))
    if error in ("literal_error", "union_tag_invalid", "union_tag_not_found"):
        return _choice(detail, owner, field)
    if error.startswith(("greater_than", "less_than")):
        return shown(found), _allowed(owner, field), _shifted(owner, field, found)
    if error in ("too_short", "too_long"):
        return f"a list of {ctx.get('actual_length', 'others')}", _length(ctx), ""
    if error in ("string_too_short", "string_pattern_mismatch", "string_too_long"):
        return _text_words(found, ctx)
    return shown(found), _wanted(error, owner, field), _type_remedy(found, error)


def _length(ctx: dict[str, Any]) -> str:
    if "min_length" in ctx:
        return f"at least {ctx['min_length']}"
    return f"at most {ctx['max_length']}"


def _text_words(found: Any, ctx: dict[str, Any]) -> tuple[str, str, str]:
    pattern = str(ctx.get("pattern", ""))
    if pattern.startswith("^("):
        choices = pattern.strip("^$()").split("|")
        return shown(found), " or ".join(choices), near(str(found), choices)
    if ctx.get("max_length", 0) > 100:
        return f"a text of {len(found)} characters", f"up to {ctx['max_length']}", "Say it shorter."
    return shown(found), NAME_RULE, ""


def _choice(detail: ErrorDetails, owner: type, field: str) -> tuple[str, str, str]:
    ctx, found = detail.get("ctx", {}), detail["input"]
    told = str(ctx.get("expected_tags") or ctx.get("expected") or "'air', 'coil'")
    choices = [word for word in told.replace(" or ", ",").replace("'", "").replace(" ", "").split(",") if word]
    if detail["type"] == "literal_error":
        remedy = near(found, choices) if isinstance(found, str) else ""
        return shown(found), " or ".join(choices), "" if remedy.startswith("There") else remedy
    wanted = " or ".join(f'kind = "{choice}"' for choice in choices)
    if detail["type"] == "union_tag_invalid":
        return f'kind = "{str(ctx.get("tag"))[:LONGEST_SHOWN]}"', wanted, near(str(ctx.get("tag")), choices)
    return "a spring without a kind", wanted, "Say whether it is an air or a coil spring."


_WANTED = {
    "float_type": "a number",
    "float_parsing": "a number",
    "finite_number": "a number with an end",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "int_parsing_size": "a whole number of a size that can be meant",
    "bool_type": "true or false",
    "string_type": "a text in quotes",
    "string_unicode": "a text of whole characters",
    "tuple_type": "a list",
    "dataclass_type": "a table",
    "dataclass_exact_type": "a table",
    "model_attributes_type": 'a table with kind = "air" or kind = "coil", or the name of a coil',
    "dict_type": "a table",
}


def _wanted(error: str, owner: type, field: str) -> str:
    limits = _allowed(owner, field)
    plain = _WANTED.get(error, "another kind of value")
    if error in ("float_type", "float_parsing", "finite_number") and limits:
        return f"{limits}, as a bare number or as a text with its unit" if suffix_of(field) else limits
    return limits if error.startswith("int") and limits else plain


def _type_remedy(found: Any, error: str) -> str:
    if found is None:
        return "Nothing can be worked out while this is unknown."
    if error == "float_type" and isinstance(found, str):
        return "Take the quotes away."
    if error == "string_type" and isinstance(found, int | float):
        return "Put it in quotes."
    return ""


def _bounds(owner: type, field: str) -> tuple[float, float, str, str]:
    """Lower and upper limit of a field and the words for them."""
    low, high, low_word, high_word = -math.inf, math.inf, "", ""
    info = getattr(owner, "__pydantic_fields__", {}).get(field)
    for item in _flat(info.metadata if info else ()):
        for name, word in (("ge", ""), ("gt", "more than ")):
            if getattr(item, name, None) is not None:
                low, low_word = float(getattr(item, name)), word
        for name, word in (("le", ""), ("lt", "less than ")):
            if getattr(item, name, None) is not None:
                high, high_word = float(getattr(item, name)), word
    return low, high, low_word, high_word


def _flat(metadata: Iterable[Any]) -> Iterable[Any]:
    for item in metadata:
        yield item
        yield from getattr(item, "metadata", ())


def _allowed(owner: type, field: str) -> str:
    """The limits of a field with its unit, empty where it has none."""
    low, high, low_word, high_word = _bounds(owner, field)
    suffix = suffix_of(field)
    unit = f" {UNITS[suffix].symbol}".replace(" °", "°") if suffix else ""
    if math.isinf(low) and math.isinf(high):
        return f"a number{' in' + unit if unit and unit != '°' else ' of degrees' if unit else ''}" if suffix else ""
    if math.isinf(high):
        return f"{low_word or 'at least '}{low:g}{unit}"
    if math.isinf(low):
        return f"{high_word or 'at most '}{high:g}{unit}"
    return f"{low_word}{low:g} to {high_word}{high:g}{unit}"


def _shifted(owner: type, field: str, found: Any) -> str:
    """Ask for the number with its decimal point moved, where that would fit."""
    low, high, _, _ = _bounds(owner, field)
    if isinstance(found, bool) or not isinstance(found, int | float) or found == 0 or math.isinf(high):
        return ""
    for factor in (0.1, 10.0, 0.01, 100.0, 0.001, 1000.0, -1.0):
        try:
            moved = found * factor
        except OverflowError:
            return ""
        if low < moved < high:
            return f"Did you mean {moved:.10g}?"
    return ""


@cache
def _texts(cls: type) -> dict[str, str]:
    """The text under each field of a type."""
    (node,) = ast.parse(textwrap.dedent(inspect.getsource(cls))).body
    found = {}
    body = getattr(node, "body", [])
    for line, below in pairwise(body):
        is_text = isinstance(below, ast.Expr) and isinstance(below.value, ast.Constant)
        if isinstance(line, ast.AnnAssign) and isinstance(line.target, ast.Name) and is_text:
            found[line.target.id] = str(below.value.value)
    return found


_WHY = {
    "reach_mm": "Reach and stack place the head tube.",
    "stack_mm": "Reach and stack place the head tube.",
    "head_angle_deg": "The front wheel is placed along the steering axis.",
    "bottomed_length_mm": "The fork's length, and with it the front of the bike, follows from it.",
    "offset_mm": "It places the front axle, and trail follows from it.",
    "eye_to_eye_mm": "The linkage is drawn at this length.",
    "stroke_mm": "The rear travel ends where the stroke ends.",
    "bead_seat_mm": "It is 622 for a 29 inch wheel, 584 for 27.5 and 559 for 26.",
    "width_mm": "It is printed on the part, or measured on the bike.",
    "length_mm": "It is printed on the part, or measured on the bike.",
    "teeth": "Count them.",
    "rate_n_per_mm": 'It is printed on the coil; write it with its unit, as in "450 lbf/in".',
    "x_mm": "Every pin is drawn ahead of (+) or behind (-) the bottom bracket.",
    "z_mm": "Every pin is drawn above (+) or below (-) the bottom bracket.",
    "joins": 'The bodies that the pin holds together, as in joins = ["frame", "swingarm"].',
    "pins": "The linkage is made of pins.",
    "pin": "Name the pin that it moves or sits on.",
    "body": "Name the body in which the chip sits.",
    "positions": "A chip has two positions at the least, the drawn one first.",
    "near": "Say which tyre the edge is near.",
    "points_mm": "An edge is a row of points, as in [[10, 20], [30, 40]].",
    "datum": "A geometry table holds for one fork and one pair of tyres; say which.",
    "sizes": "A frame has one size at the least.",
    "chassis": "A fork or shock is a chassis with a spring in it.",
    "name": "The bike needs a name.",
    "size": "Say which size is built.",
    "front_radius_mm": "The bike is stood on both tyres.",
    "rear_radius_mm": "The bike is stood on both tyres.",
    "stature_mm": "Where the rider sits and stands follows from stature.",
    "mass_kg": "Springs and sag follow from it; weigh the rider in riding kit.",
}


def why_needed(owner: type, field: str) -> str:
    """A sentence on what a required key is for."""
    return _WHY.get(field) or _texts(owner).get(field, "")
