"""A name for a value that depends on nothing but its content: SHA-256 of its canonical JSON.

Frozen values inside a value stand in its JSON by their own digest, and each digest is remembered on the
value itself, as is the JSON of a field that was asked for. A moved pin therefore costs the pin, its linkage
and its frame, not the whole bike.
"""

import hashlib
import json
from functools import cache
from typing import Any

_ENCODER = json.JSONEncoder(ensure_ascii=True, allow_nan=False, separators=(",", ":"))
_KEPT, _KEPT_FIELDS = "_digest", "_field_texts"


def digest(value: Any) -> str:
    """SHA-256, as hexadecimal text, of a model value, a tuple, a number, a text or None."""
    if hasattr(value, "__dataclass_fields__"):
        kept = value.__dict__.get(_KEPT)
        if kept is None:
            kept = _sha(_canonical(value))
            value.__dict__[_KEPT] = kept  # the value is frozen, so what follows from it may be kept
        return str(kept)
    return _sha(_canonical(value))


def field_text(value: Any, path: str) -> str:
    """Canonical JSON of the field at a dotted path of a model value; of None where something on the way is unknown.

    A frozen value in the field is told by its digest alone. The text is remembered on the value that holds the field.
    """
    owner = value
    way, name = _steps(path)
    for step in way:
        owner = getattr(owner, step)
        if owner is None:
            return _canonical(None)
    fields: dict[str, Any] = owner.__dict__
    kept: dict[str, str] | None = fields.get(_KEPT_FIELDS)
    if kept is None:
        kept = fields[_KEPT_FIELDS] = {}
    text = kept.get(name)
    if text is None:
        field = getattr(owner, name)
        text = kept[name] = digest(field) if hasattr(field, "__dataclass_fields__") else _canonical(field)
    return text


@cache
def _steps(path: str) -> tuple[tuple[str, ...], str]:
    *way, name = path.split(".")
    return tuple(way), name


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
