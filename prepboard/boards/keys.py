"""The keys of all boards, in one place: the footer, the `?` screen, the palette and the key table come from here.

A key that is not in this list cannot be pressed, and one that is can be read under `?`.
"""

from __future__ import annotations

from dataclasses import dataclass

from textual.binding import Binding, BindingType

from prepboard.texts import _


@dataclass(frozen=True, slots=True)
class Key:
    """A key of one board (or of every list, every board, every dialog). Texts are put into words when shown."""

    board: str
    keys: str
    """As Textual names them, divided by commas; the first is the one that is shown."""
    action: str
    label: str
    help: str
    footer: bool = False
    short: str = ""
    """A shorter label, where the screen is narrow."""


KEYS: tuple[Key, ...] = (
    Key(
        "station",
        "s",
        "start",
        "start",
        "start the line under the cursor, else the most urgent; on a line under way, go on to its next step",
        footer=True,
    ),
    Key("station", "d", "done", "done", "done: Enter takes the planned amount, a typed one changes it", footer=True),
    Key("station", "c", "count", "count", "say how much is really there of a prep or a batch", footer=True),
    Key(
        "station",
        "p",
        "plate",
        "plate out",
        "a plate goes out: first letters of the dish, Enter; a number before them for several, a minus takes back",
        footer=True,
        short="plate",
    ),
    Key("station", "b", "began", "began earlier", "start the line, back-dated to when it really began"),
    Key("station", "space", "mark", "mark", "mark the line, or unmark it: done then takes all that are marked at once"),
    Key(
        "station",
        "x",
        "throw_away",
        "throw away",
        "throw a batch away, or some of it, and say why; of a run: it is lost, and the plan makes it again",
    ),
    Key(
        "station", "o", "other_use", "other use", "gone and not waste: for staff, tasting, a guest, a transfer, donated"
    ),
    Key("station", "t", "temperature", "temperature", "write a temperature down: of a batch, a run, a place or goods"),
    Key("station", "m", "made", "made", "a batch of something that is in no book"),
    Key("station", "slash", "filter", "filter", "show only lines with these letters"),
    Key("station", "escape", "show_all", "show all", "show all lines again, and unmark what is marked"),
    Key("closing", "space", "as_shown", "as shown", "count: what is there is what is shown"),
    Key("closing", "h", "half", "half", "count: half of what is shown is there; the rest went in service"),
    Key("closing", "n", "none", "none left", "count: nothing is there; all of it went in service", short="none"),
    Key("closing", "c", "count", "count", "count: type what is really there"),
    Key("closing", "x", "discard", "discard", "discard for the reason that stands there, else pick one", footer=True),
    Key(
        "closing",
        "a",
        "discard_all",
        "all with this reason",
        "discard every line that has the same reason, as one change",
        footer=True,
        short="all",
    ),
    Key("closing", "w", "discard_why", "why", "discard for another reason, or only some of it"),
    Key("closing", "m", "staff_meal", "staff meal", "it goes to the staff meal: gone, and no waste", short="staff"),
    Key("closing", "s", "start", "start", "start the line, tonight"),
    Key("closing", "d", "done", "done", "mark the line done"),
    Key("closing", "g", "sign", "sign", "sign the close of this station, once nothing of it is left to discard"),
    Key("closing", "v", "waste", "waste", "what was thrown away in the last weeks, and why"),
    Key("waste", "d", "by_day", "by day", "the last two weeks by day", footer=True),
    Key("waste", "w", "by_week", "by week", "the last eight weeks by week", footer=True),
    Key("waste", "m", "by_month", "by month", "the last eleven months by month", footer=True),
    Key("waste", "escape,q", "back", "back", "back to the close", footer=True),
    Key("waste", "down,j", "down", "down", "read on"),
    Key("waste", "up,k", "up", "up", "read back"),
    Key("waste", "pagedown,space", "page_down", "page down", "a page on"),
    Key("waste", "pageup", "page_up", "page up", "a page back"),
    Key("board", "u", "undo", "undo", "say what your last change was, and take it back", footer=True),
    Key("board", "question_mark", "all_keys", "all keys", "this list", footer=True, short="keys"),
    Key("board", "i", "initials", "initials", "become someone else"),
    Key("board", "r", "try_again", "try again", "try again what was not saved"),
    Key("board", "q", "quit", "quit", "close this board; the kitchen's file is always saved"),
    Key("list", "enter", "open_line", "open", "open the line: the recipe for this run, and why this much"),
    Key("list", "down,j", "line_down", "down", "next line, and on into the next list"),
    Key("list", "up,k", "line_up", "up", "line before"),
    Key("list", "pagedown", "lines_down", "page down", "a page on"),
    Key("list", "pageup", "lines_up", "page up", "a page back"),
    Key("list", "home", "first_line", "first", "first line of this list"),
    Key("list", "end", "last_line", "last", "last line of this list"),
    Key("line", "s", "start", "start", "start this line; on a line under way, go on to its next step", footer=True),
    Key("line", "d", "done", "done", "mark it done", footer=True),
    Key("line", "u", "undo", "undo", "say what your last change was, and take it back", footer=True),
    Key("line", "question_mark", "all_keys", "all keys", "this list", footer=True, short="keys"),
    Key("line", "escape,enter,q", "back", "back", "back to the board", footer=True),
    Key("line", "down,j", "down", "down", "read on"),
    Key("line", "up,k", "up", "up", "read back"),
    Key("line", "pagedown,space", "page_down", "page down", "a page on"),
    Key("line", "pageup", "page_up", "page up", "a page back"),
    Key("wall", "space", "next_page", "next page", "the next page now; they turn by themselves", footer=True),
    Key("wall", "question_mark", "all_keys", "all keys", "this list", footer=True),
    Key("wall", "q", "quit", "quit", "close the wall", footer=True),
    Key(
        "answer", "enter", "take", "take it", "take what is typed or offered, or the row under the cursor", footer=True
    ),
    Key("dialog", "escape", "cancel", "leave it", "close without doing anything", footer=True),
    Key("sure", "y", "yes", "yes", "yes, the amount is right", footer=True),
    Key("several", "enter,y", "yes", "all of them", "yes, all of these", footer=True),
    Key("take back", "u,enter", "yes", "take it back", "yes, take it back", footer=True),
)

GROUPS: tuple[tuple[str, str], ...] = (
    ("station", "STATION"),
    ("closing", "CLOSING"),
    ("waste", "WASTE"),
    ("list", "LISTS"),
    ("board", "EVERY BOARD"),
    ("line", "AN OPEN LINE"),
    ("wall", "THE WALL"),
    ("answer", "QUESTIONS"),
    ("dialog", "QUESTIONS"),
    ("sure", "IS IT RIGHT?"),
    ("several", "SEVERAL AT ONCE"),
    ("take back", "TAKE THIS BACK?"),
)

_SHOWN = {"question_mark": "?", "slash": "/", "escape": "esc", "pagedown": "page down", "pageup": "page up"}


def of(*boards: str) -> list[Key]:
    """The keys of these boards, in the order of the list."""
    return [key for key in KEYS if key.board in boards]


def named(*boards: str, actions: tuple[str, ...]) -> list[Key]:
    """The keys of these actions, in this order: the footer of a board on which it follows the cursor."""
    keys = {key.action: key for key in of(*boards)}
    return [keys[action] for action in actions]


def bindings(*boards: str) -> list[BindingType]:
    """What Textual is told about them."""
    return [Binding(key.keys, key.action, key.label, show=False) for key in of(*boards)]


def shown(key: Key) -> str:
    """The key as people read it: "?", "esc", "down or j"."""
    return _(" or ").join(_SHOWN.get(name, name) for name in key.keys.split(","))


def hint(key: Key, *, short: bool = False) -> tuple[str, str]:
    """The key and its word in the footer."""
    first = key.keys.split(",")[0]
    return _SHOWN.get(first, first), _(key.short if short and key.short else key.label)


def key_table() -> str:
    """All keys as a Markdown table, for the README."""
    lines = ["| where | key | does |", "| --- | --- | --- |"]
    for board, title in GROUPS:
        lines += [f"| {_(title).lower()} | `{shown(key)}` | {_(key.help)} |" for key in of(board)]
    return "\n".join(lines) + "\n"
