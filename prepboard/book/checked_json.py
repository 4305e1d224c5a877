"""The checked book as JSON: what a station reads at its start, without the reader that checks what people write.

The texts of a book stay the truth; this is only what they came to. It is thrown away whenever this program would read
it otherwise: other classes, other rule books, another `READING`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from datetime import date, time
from fractions import Fraction
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from msgspec import Struct
from msgspec.structs import astuple

from prepboard.book import amounts, book, days, evidence, rules
from prepboard.resources import config_folder

READING = 2
"""Raise it when the same texts come to another Book than before."""

_CLASSES: Mapping[str, type[Struct]] = {
    name: kind
    for module in (amounts, book, days, evidence, rules)
    for name, kind in vars(module).items()
    if isinstance(kind, type) and issubclass(kind, Struct) and kind is not Struct and kind.__module__ == module.__name__
}
_AS_IT_IS = frozenset({str, int, float, bool, type(None)})
_FIELDS = {name: kind.__struct_fields__ for name, kind in _CLASSES.items()}
_TAKE: Mapping[type, Callable[[Any], list[Any]]] = {
    Fraction: lambda value: ["Fraction", value.numerator, value.denominator],
    date: lambda value: ["date", value.isoformat()],
    time: lambda value: ["time", value.isoformat()],
    ZoneInfo: lambda value: ["zone", value.key],
    tuple: lambda value: ["tuple", *map(_plain, value)],
    frozenset: lambda value: ["set", *sorted(map(_plain, value))],
}


@cache
def form() -> str:
    """Names the way in which this program reads a book; what was kept in another form is not to be used."""
    digest = hashlib.sha256(repr((READING, sorted(_FIELDS.items()))).encode())
    for path in sorted((config_folder() / "rules").glob("*.toml")):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def kept_text(checked: book.Book) -> str:
    """The book as JSON text."""
    return json.dumps(_plain(checked), ensure_ascii=False, separators=(",", ":"))


def from_kept(text: str) -> book.Book:
    """The Book that `kept` wrote in this `form`."""
    found = _built(json.loads(text))
    assert isinstance(found, book.Book)
    return found


def _plain(value: Any) -> Any:
    kind = type(value)
    if kind in _AS_IT_IS:
        return value
    if take := _TAKE.get(kind):
        return take(value)
    if kind.__name__ in _CLASSES:
        parts = astuple(value)
        return [kind.__name__, *[part if type(part) in _AS_IT_IS else _plain(part) for part in parts]]
    return {key: part if type(part) in _AS_IT_IS else _plain(part) for key, part in value.items()}


def _built(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _built(part) if isinstance(part, dict | list) else part for key, part in value.items()}
    name, *parts = [_built(part) if isinstance(part, dict | list) else part for part in value]
    return _BUILD[name](*parts)


def _tuple(*parts: Any) -> tuple[Any, ...]:
    return parts


def _set(*parts: Any) -> frozenset[Any]:
    return frozenset(parts)


_BUILD: Mapping[str, Callable[..., Any]] = {
    **_CLASSES,
    "Fraction": Fraction,
    "date": date.fromisoformat,
    "time": time.fromisoformat,
    "zone": ZoneInfo,
    "tuple": _tuple,
    "set": _set,
}
