"""A name for a value that depends on nothing but its content: SHA-256 of its canonical JSON.

Frozen values inside a value stand in its JSON by their own digest, and each digest is remembered on the
value itself, as is the JSON of a field that was asked for. A moved pin therefore costs the pin, its linkage
and its frame, not the whole bike.
"""

import hashlib
import json
from collections.abc import Iterable
from functools import cache
from typing import Any

_ENCODER = json.JSONEncoder(ensure_ascii=True, allow_nan=False, separators=(",", ":"))
_KEPT, _KEPT_FIELDS = "_digest", "_field_texts"
_NOTHING = "null"


def digest(value: Any) -> str:
    """SHA-256, as hexadecimal text, of a model value, a tuple, a number, a text or None."""
    if hasattr(value, "__dataclass_fields__"):
        kept = value.__dict__.get(_KEPT)
        if kept is None:
            kept = _sha(_canonical(value))
            value.__dict__[_KEPT] = kept  # the value is frozen, so what follows from it may be kept
        return str(kept)
    return _sha(_canonical(value))


def fields_text(value: Any, paths: tuple[str, ...]) -> str:
    """Canonical JSON of fields at dotted paths of a model value, a line for each; of None where a way is unknown.

    A frozen value in a field is told by its digest alone. The text of the fields of one value is remembered on it.
    """
    lines = []
    for way, names in _grouped(paths):
        owner = value
        for step in way:
            owner = getattr(owner, step)
            if owner is None:
                break
        # JSON has no line's end, so that lines cannot be mixed up.
        lines += [_NOTHING] * len(names) if owner is None else [_kept_text(owner, names)]
    return "\n".join(lines)


def carry_texts(old: Any, new: Any, changed: Iterable[str]) -> None:
    """Let a value that was made from another remember the texts of the fields that both share."""
    kept: dict[tuple[str, ...], str] | None = old.__dict__.get(_KEPT_FIELDS)
    if kept:
        # What is no field follows from several of them, and may have changed with one.
        same = old.__dataclass_fields__.keys() - changed
        new.__dict__[_KEPT_FIELDS] = {names: text for names, text in kept.items() if same.issuperset(names)}


def _kept_text(owner: Any, names: tuple[str, ...]) -> str:
    fields: dict[str, Any] = owner.__dict__
    kept: dict[tuple[str, ...], str] | None = fields.get(_KEPT_FIELDS)
    if kept is None:
        kept = fields[_KEPT_FIELDS] = {}
    text = kept.get(names)
    if text is None:
        if len(names) == 1:
            field = getattr(owner, names[0])
            text = digest(field) if hasattr(field, "__dataclass_fields__") else _canonical(field)
        else:
            text = "\n".join([_kept_text(owner, (name,)) for name in names])
        kept[names] = text
    return text


@cache
def _grouped(paths: tuple[str, ...]) -> tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]:
    """The way to each value that holds fields, and their names; fields may change with every question or with none."""
    held: dict[tuple[str, ...], list[str]] = {}
    for path in paths:
        *way, name = path.split(".")
        held.setdefault(tuple(way), []).append(name)
    return tuple((way, tuple(names)) for way, names in held.items())


def _sha(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _canonical(value: Any) -> str:
    if hasattr(value, "__dataclass_fields__"):
        content = [type(value).__name__, [[name, _plain(getattr(value, name))] for name in value.__dataclass_fields__]]
    else:
        content = _plain(value)
    return _ENCODER.encode(content)


def _plain(value: Any) -> Any:
    if hasattr(value, "__dataclass_fields__"):
        return {"sha256": digest(value)}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return value + 0.0  # -0.0 and 0.0 are the same dimension
    return value
