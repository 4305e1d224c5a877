"""Changes a book's goods in its own text, a line at a time, so that everything else stays as somebody wrote it."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal

import tomli

from prepboard.book.reading.toml_lines import lines_of

_COST = re.compile(r"(\bcost[ \t]*=[ \t]*)[0-9][0-9_.]*")


def with_cost(text: str, goods: str, cost: Decimal) -> str | None:
    """The text with another cost of these goods and nothing else changed; None where it does not have them, or has
    them written so that only a person can change them."""
    lines, where = text.split("\n"), lines_of(text)
    head = where.get(("goods", goods))
    if head is None:
        return None
    at = where.get(("goods", goods, "cost"), head) - 1
    new, found = _COST.subn(rf"\g<1>{cost:f}", lines[at], count=1)
    if found:
        changed = [*lines[:at], new, *lines[at + 1 :]]
    elif lines[at].lstrip().startswith("["):
        changed = [*lines[: at + 1], f"cost = {cost:f}", *lines[at + 1 :]]
    else:
        changed = [*lines[:at], re.sub(r"[ \t]*\}", f", cost = {cost:f} }}", lines[at], count=1), *lines[at + 1 :]]
    return _checked(text, "\n".join(changed), goods, cost)


def _checked(before: str, after: str, goods: str, cost: Decimal) -> str | None:
    """The new text, when a parser reads the old one's values in it but for this cost."""
    wanted = tomli.loads(before, parse_float=Decimal)
    wanted["goods"][goods]["cost"] = cost
    try:
        return after if tomli.loads(after, parse_float=Decimal) == wanted else None
    except tomli.TOMLDecodeError:
        return None


def new_goods(goods: str, values: Mapping[str, str | Decimal | Sequence[str]]) -> str:
    """A table of goods that the book does not have yet."""
    lines = [f"{key} = {_value(value)}" for key, value in values.items() if value != ""]
    return "\n".join([f"[goods.{goods}]", *lines, ""])


def _value(value: str | Decimal | Sequence[str]) -> str:
    # A basic string of TOML has the escapes of JSON.
    return f"{value:f}" if isinstance(value, Decimal) else json.dumps(value, ensure_ascii=False)
