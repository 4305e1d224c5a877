"""How keys are written for people: in the footer, under `?`, in menus, and as a table."""

from __future__ import annotations

from prepboard.boards.keys import GROUPS, Key, of
from prepboard.texts import _, meant

_SHOWN = {
    "question_mark": "?",
    "plus": "+",
    "minus": "-",
    "slash": "/",
    "dollar_sign": "$",
    "number_sign": "#",
    "ampersand": "&",
    "asterisk": "*",
    "equals_sign": "=",
    "greater_than_sign": ">",
    "full_stop": ".",
    "comma": ",",
    "escape": "esc",
    "pagedown": "page down",
    "pageup": "page up",
}


def sign(name: str) -> str:
    """One key as it is called in the reader's language; letters and signs are themselves."""
    called = _SHOWN.get(name, name)
    return _(called) if len(called) > 1 else called


def shown(key: Key) -> str:
    """The key as people read it: "?", "esc", "down or j", "0 to 9"; ". x" is x in the menu of a line."""
    if key.each:
        names = key.keys.split(",")
        return _("{first} to {last}").format(first=names[0], last=names[-1])
    if key.menu:
        return f"{_SHOWN['full_stop']} {key.keys}"
    return _(" or ").join(sign(name) for name in key.keys.split(","))


def hint(key: Key, *, short: bool = False) -> tuple[str, str]:
    """The key and its word in the footer."""
    first = key.keys.split(",")[0]
    return sign(first), meant("key", key.short if short and key.short else key.label)


def key_table() -> str:
    """All keys as a Markdown table, for the README and the guide."""
    lines = [f"| {_('where')} | {_('key')} | {_('does')} |", "| --- | --- | --- |"]
    for board, title in GROUPS:
        lines += [f"| {_(title).lower()} | `{shown(key)}` | {_(key.help)} |" for key in of(board)]
    return "\n".join(lines) + "\n"
