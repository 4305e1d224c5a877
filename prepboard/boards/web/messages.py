"""What a page may say: each message is checked for its shape and size before a board hears of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

LONGEST = 4096
"""Bytes of one message."""

KEYS = frozenset(
    (
        "enter",
        "escape",
        "backspace",
        "delete",
        "tab",
        "shift+tab",
        "up",
        "down",
        "left",
        "right",
        "pageup",
        "pagedown",
        "home",
        "end",
        "space",
        "question_mark",
        "slash",
        "plus",
        "minus",
        "comma",
        "full_stop",
    )
)
"""Keys by name; all others are one letter."""


class Bad(ValueError):
    """A message that no page of ours sends."""


def read(text: str | bytes) -> dict[str, Any]:
    """One message of a page, with nothing in it but what is meant. Bad for all else."""
    if not isinstance(text, str) or len(text.encode("utf-8", "surrogatepass")) > LONGEST:
        raise Bad("size")
    try:
        found = msgspec.json.decode(text.encode("utf-8"))
    except (msgspec.MsgspecError, UnicodeEncodeError) as fault:
        raise Bad("form") from fault
    if not isinstance(found, dict):
        raise Bad("form")
    shape = _SHAPES.get(str(found.get("do")))
    if shape is None:
        raise Bad("kind")
    wanted = {
        "do": lambda value: True,
        "ping": _number(0, 2**40),
        "age": _number(0, 10**9),
        "at": _number(0, 2**45),
        **shape,
    }
    if not set(shape) <= set(found) or not set(found) <= set(wanted):
        raise Bad("fields")
    if not all(wanted[name](value) for name, value in found.items()):
        raise Bad("values")
    return dict(found)


def _number(least: int, most: int) -> Callable[[object], bool]:
    return lambda value: isinstance(value, int) and not isinstance(value, bool) and least <= value <= most


def _key(value: object) -> bool:
    return isinstance(value, str) and (value in KEYS or (len(value) == 1 and value.isprintable()))


def _page(value: object) -> bool:
    return isinstance(value, str) and 8 <= len(value) <= 64 and all(sign.isalnum() or sign == "-" for sign in value)


_AT = {"x": _number(0, 400), "y": _number(0, 200)}
_SIZE = {"width": _number(20, 240), "height": _number(10, 100)}
_SHAPES: dict[str, dict[str, Callable[[object], bool]]] = {
    "join": {"page": _page, **_SIZE},
    "pong": {"ping": _number(0, 2**40)},
    "key": {"key": _key},
    "tap": _AT,
    "sign": {"pad": _number(0, 9), "sign": lambda value: isinstance(value, str) and 0 < len(value) <= 40},
    "scroll": {**_AT, "by": _number(-100, 100)},
    "size": _SIZE,
}
