"""The keys of all boards, in one place: the footer, the `?` screen, the palette and the key table come from here.

A key that is not in this list cannot be pressed, and one that is can be read under `?`.
"""

from __future__ import annotations

from msgspec import Struct
from textual.binding import Binding, BindingType


class Key(Struct, frozen=True):
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
    each: bool = False
    """Its action is told which of the keys it was."""
    menu: bool = False
    """Its letter works in the menu of a line only, where the words stand beside it: on the board itself a letter means
    what it means on every other board, or nothing."""

    def action_of(self, name: str) -> str:
        """What one of its keys does."""
        return f"{self.action}('{name}')" if self.each else self.action


def _to_read(group: str, *, pages: bool = True) -> tuple[Key, ...]:
    """The keys of whatever is read by scrolling."""
    return (
        Key(group, "down,j", "down", "down", "read on"),
        Key(group, "up,k", "up", "up", "read back"),
        Key(group, "pagedown,space", "page_down", "page down", "a page on"),
        Key(group, "pageup", "page_up", "page up", "a page back"),
    )[: 4 if pages else 2]


def _undo(group: str) -> Key:
    return Key(group, "u", "undo", "undo", "say what your last change was, and take it back", footer=True)


def _all_keys(group: str) -> Key:
    return Key(group, "question_mark", "all_keys", "all keys", "this list", footer=True, short="keys")


KEYS: tuple[Key, ...] = (
    Key(
        "station",
        "s",
        "start",
        "start",
        "start the line under the cursor, else the most urgent, with a number after it another amount of it; on a line"
        " under way, go on to its next step",
        footer=True,
    ),
    Key(
        "station",
        "d",
        "done",
        "done",
        "done: Enter takes the planned amount, a typed one changes it; of a task: done, of a note: ticked off",
        footer=True,
    ),
    Key("station", "c", "count", "count", "say how much is really there of a prep or a batch", footer=True),
    Key(
        "station",
        "p",
        "plate",
        "plate out",
        "plates go out: first letters of the dish, Enter; a number before them for several, a minus takes back; + adds"
        " a dish",
        footer=True,
        short="plate",
    ),
    Key(
        "station",
        "v",
        "whole",
        "whole lists",
        "in service: all of each list, also what is not tonight's; v again folds it",
    ),
    Key("station", "y", "timer", "timer", "a timer of this bench: y and a digit, from 1 (a minute) to 9 (90)"),
    Key("station", "8", "off", "86 or back", "86: a dish is taken off, and why; one that is off is back"),
    Key("station", "w", "portion", "portion", "a smaller portion of a prep on a plate of this dish, from now on"),
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
    Key("station", "n", "note", "note", "leave a note for another bench, for whoever has a run, or for all"),
    Key("station", "f", "bring", "fetch", "what this bench brings to the line for the service, and from where"),
    Key("station", "a", "part_ready", "a part", "a part of a run is ready, and the run goes on"),
    Key(
        "station", "g", "done_onto", "done onto", "a run is done and goes onto a batch; the earlier dates count for all"
    ),
    Key("station", "h", "handle", "hold or move", "a batch: freeze, thaw, elsewhere, hold back, reheat; or open goods"),
    Key("station", "slash", "filter", "filter", "show only lines with these letters; a batch's code opens that batch"),
    Key("station", "escape", "show_all", "show all", "show all lines again, and unmark what is marked"),
    Key("closing", "space", "as_shown", "as shown", "count: what is there is what is shown"),
    Key("closing", "5", "half", "half", "count: half of what is shown is there; the rest went in service"),
    Key("closing", "0", "none", "none left", "count: nothing is there; all of it went in service", short="none"),
    Key("closing", "c", "count", "count", "count: type what is really there"),
    Key("closing", "x", "discard", "bin", "into the bin for the reason that stands there, else pick one", footer=True),
    Key(
        "closing",
        "ampersand",
        "all_alike",
        "all alike",
        "all that is expired into the bin, or all that gains by it into the freezer, as one change",
        footer=True,
        short="all",
    ),
    Key("closing", "minus", "discard_why", "other reason", "into the bin for another reason, or only some of it"),
    Key("closing", "o", "staff_meal", "staff meal", "it goes to the staff meal: gone, and no waste", short="staff"),
    Key("closing", "h", "freeze", "freeze", "into the freezer, where that gains days: they stand still there"),
    Key(
        "closing",
        "equals_sign",
        "keep",
        "keep",
        "kept, though nothing needs it in time: a sous chef's word, with the reason",
    ),
    Key("closing", "s", "start", "start", "start the line, tonight"),
    Key("closing", "d", "done", "done", "mark the line or the task done"),
    Key("closing", "tab", "next_part", "next part", "the next part of the close; a tap on its heading opens it too"),
    Key("closing", "z", "sign", "sign", "sign this station, once nothing of it is left to bin; then the next"),
    Key("closing", "dollar_sign", "waste", "waste", "what was thrown away in the last weeks, and why"),
    Key("closing", "slash", "find_batch", "find batch", "open a batch by its code; a scanned code opens it at once"),
    Key("waste", "1", "by_day", "by day", "the last two weeks by day", footer=True),
    Key("waste", "2", "by_week", "by week", "the last eight weeks by week", footer=True),
    Key("waste", "3", "by_month", "by month", "the last eleven months by month", footer=True),
    Key("waste", "escape,q", "back", "back", "back to the close", footer=True),
    *_to_read("waste"),
    Key(
        "pars",
        "enter",
        "save",
        "save",
        "save all that was typed, as one; with nothing typed: what can be done with this line",
        footer=True,
    ),
    Key("pars", "escape", "as_it_was", "as it was", "leave everything as it was", footer=True, short="as was"),
    Key("pars", "full_stop", "menu", "menu", "what can be done with this line, in words", footer=True),
    Key(
        "pars",
        "right",
        "next_page",
        "next page",
        "from the pars to the dishes and their shares, to what is different today, and back",
        footer=True,
        short="page",
    ),
    Key("pars", "left", "last_page", "page before", "the same the other way round"),
    Key("pars", "0,1,2,3,4,5,6,7,8,9", "type_number", "a number", "begins to type the number of this line", each=True),
    Key(
        "pars",
        "tab",
        "next_list",
        "next list",
        "from the services to the numbers of this one, to what is too late, and back",
    ),
    Key(
        "pars",
        "plus",
        "add",
        "add a service",
        "add a service on this day, at once: like this one, or another of the book",
    ),
    Key("pars", "n", "note", "note", "leave a note on this service: who is coming; or for a bench, or for all"),
    Key("pars", "slash", "find_batch", "find batch", "open a batch by its code; a scanned code opens it at once"),
    Key(
        "pars", "dollar_sign", "order", "order", "what to buy for the next two days, by supplier, with the last moment"
    ),
    Key("pars", "v", "changes", "what changes", "all that would change if you save, the worst first"),
    Key("pars", "h", "by_hand", "by hand", "type the number of this line: covers, a par, a share", menu=True),
    Key("pars", "f", "free", "free", "the number of this line as booked, computed, or as in the book", menu=True),
    Key(
        "pars", "x", "off", "off or back", "cancel this service, or 86 this dish; again: it is held, or back", menu=True
    ),
    Key(
        "pars", "b", "move", "begins", "this service begins later, or earlier: what that breaks comes first", menu=True
    ),
    Key("pars", "a", "percent", "all pars", "all computed pars of this service by a percentage: 10 or -5", menu=True),
    Key("pars", "m", "mix", "mix", "the dishes of this service and their shares; m again: its pars", menu=True),
    Key("pars", "t", "today", "today", "what is different today: cooks, ovens, goods; t again: the pars", menu=True),
    Key("pars", "g", "give", "give", "give this prep to another station for the day: its first letters", menu=True),
    Key(
        "pars", "p", "portion", "portion", "another portion of this prep on a plate from now on, for the day", menu=True
    ),
    Key("pars", "k", "count", "fixed count", "a fixed count of this dish, as for a function", menu=True),
    Key("pars", "s", "standing", "standing par", "a standing par of this prep, for good", menu=True),
    Key("pars", "w", "weekday", "weekday par", "a standing par of this prep for this weekday, for good", menu=True),
    Key("pars", "o", "look", "look", "open the line: the recipe for its run, and why this much", menu=True),
    Key("pars", "c", "chart", "chart", "what the dishes of this line sold lately, against their pars", menu=True),
    Key(
        "pars",
        "y",
        "special",
        "special day",
        "history learns nothing of this service; again: an ordinary one",
        menu=True,
    ),
    Key(
        "pars",
        "z",
        "new_recipe",
        "new recipe",
        "a new dish or recipe: what was learned of it weighs less now",
        menu=True,
    ),
    _undo("board"),
    _all_keys("board"),
    Key("board", "l", "label", "label", "the label of this batch, else of what was just made, as text"),
    Key("board", "asterisk", "allergens", "allergens", "tonight's dishes and what on them harms some guests"),
    Key(
        "board",
        "greater_than_sign",
        "vans",
        "vans",
        "in a group of kitchens: what comes, to be taken in; what goes; what to order; what others hold back",
    ),
    Key("board", "e", "timeline", "timeline", "the hours ahead as a picture: benches, ovens, services, and now"),
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
    Key("line", "d", "done", "done", "mark it done; of a batch: it is used up", footer=True),
    Key(
        "line",
        "plus",
        "what_helps",
        "what helps",
        "of a late line: what helps, the best first; Enter does it as one change",
        footer=True,
        short="helps",
    ),
    Key("line", "a", "part_ready", "a part", "a part of a run is ready, and the run goes on"),
    Key("line", "g", "done_onto", "onto", "a run is done and goes onto a batch; the earlier dates count for all"),
    Key("line", "c", "count", "count", "of a batch: say how much is really there"),
    Key("line", "x", "throw_away", "throw away", "throw a batch away, or some of it, and say why", short="bin"),
    Key("line", "t", "temperature", "temperature", "write a temperature down", short="temp"),
    Key("line", "o", "other_use", "other use", "of a batch: gone and not waste", short="use"),
    Key(
        "line",
        "greater_than_sign",
        "send",
        "send",
        "of a batch, in a group of kitchens: it goes to another kitchen, all of it or some",
    ),
    Key("line", "8", "off", "86 or back", "86: the dish is taken off, and why; one that is off is back"),
    Key("line", "w", "portion", "portion", "a smaller portion of a prep on a plate of this dish"),
    Key("line", "l", "label", "label", "the label of this batch as text"),
    Key(
        "line",
        "h",
        "handle",
        "hold or move",
        "a batch: freeze, thaw, elsewhere, hold back, reheat; or open goods",
        short="move",
    ),
    _undo("line"),
    _all_keys("line"),
    Key("line", "escape,enter,q", "back", "back", "back to the board", footer=True),
    *_to_read("line"),
    Key("bring", "enter", "open_line", "open", "open the batch, or what is said of the goods", footer=True),
    _all_keys("bring"),
    Key("bring", "escape,q,f", "back", "back", "back to the board", footer=True),
    Key(
        "vans",
        "enter",
        "open_line",
        "do it",
        "what the line under the cursor asks for: take in, load, order, answer, see to it",
        footer=True,
    ),
    _undo("vans"),
    _all_keys("vans"),
    Key("vans", "escape,q,greater_than_sign", "back", "back", "back to the board", footer=True),
    *_to_read("label", pages=False),
    Key("label", "escape,enter,q,l", "back", "back", "back to where it was opened", footer=True),
    *_to_read("allergens"),
    Key("allergens", "escape,enter,q,asterisk", "back", "back", "back to the board", footer=True),
    Key("timeline", "right,full_stop", "later", "later", "go on in time", footer=True),
    Key("timeline", "left,comma", "earlier", "earlier", "go back in time", footer=True),
    Key("timeline", "plus", "closer", "closer", "fewer hours, drawn larger", footer=True),
    Key("timeline", "minus", "further", "further", "more hours at once", footer=True),
    Key("timeline", "home", "now", "now", "back to now"),
    *_to_read("timeline", pages=False),
    _all_keys("timeline"),
    Key("timeline", "escape,enter,q,e", "back", "back", "back to the board", footer=True),
    Key("wall", "space", "next_page", "next page", "the next page now; they turn by themselves", footer=True),
    Key("wall", "slash", "find_batch", "find batch", "open a batch by its code; a scanned code opens it at once"),
    Key("wall", "asterisk", "allergens", "allergens", "tonight's dishes and what on them harms some guests"),
    Key("wall", "question_mark", "all_keys", "all keys", "this list", footer=True),
    Key("wall", "q", "quit", "quit", "close the wall", footer=True),
    Key(
        "answer", "enter", "take", "take it", "take what is typed or offered, or the row under the cursor", footer=True
    ),
    Key("dialog", "escape", "cancel", "leave it", "close without doing anything", footer=True),
    Key("sure", "y", "yes", "yes", "yes, the amount is right", footer=True),
    Key("several", "enter,y", "yes", "yes", "yes, all of these", footer=True),
    Key("changes", "space", "open_it", "open", "open what this line is about", footer=True),
    Key("changes", "enter,y", "yes", "do it", "yes, do it", footer=True),
    Key("take back", "u,enter", "yes", "take it back", "yes, take it back", footer=True),
    Key("number", "enter", "save", "save", "save it, with all else that was typed"),
    Key("number", "down", "keep_down", "next line", "keep it as typed and go to the next line"),
    Key("number", "up", "keep_up", "line before", "keep it as typed and go to the line before"),
    Key("number", "tab", "keep", "keep", "keep it as typed"),
    Key("number", "escape", "leave", "leave it", "leave this number as it was"),
    Key("clash", "m", "mine", "mine", "what you typed is saved"),
    Key("clash", "t", "theirs", "theirs", "what the other one set stays"),
)

MOVES = frozenset(
    {"up", "down", "left", "right", "j", "k", "pageup", "pagedown", "home", "end", "tab", "shift+tab", "plus", "minus"}
)
"""Keys that only move: they may be held."""

ABOUT_THE_ROW = frozenset(
    {"start", "done", "began", "mark", "throw_away", "other_use", "temperature", "part_ready", "done_onto", "handle"}
    | {"count", "as_shown", "half", "none", "discard", "all_alike", "discard_why", "staff_meal", "freeze", "keep"}
    | {"free", "off", "give", "portion", "standing", "weekday", "special", "new_recipe", "sign"}
)
"""Actions that do something with the row under the cursor: they wait when another row slid there."""

GROUPS: tuple[tuple[str, str], ...] = (
    ("station", "STATION"),
    ("closing", "CLOSING"),
    ("waste", "WASTE"),
    ("pars", "PARS"),
    ("number", "A NUMBER BEING TYPED"),
    ("list", "LISTS"),
    ("board", "EVERY BOARD"),
    ("line", "AN OPEN LINE"),
    ("bring", "BRING TO THE LINE"),
    ("vans", "VANS"),
    ("label", "A LABEL"),
    ("allergens", "ALLERGENS"),
    ("timeline", "THE TIMELINE"),
    ("wall", "THE WALL"),
    ("answer", "QUESTIONS"),
    ("dialog", "QUESTIONS"),
    ("sure", "IS IT RIGHT?"),
    ("several", "SEVERAL AT ONCE"),
    ("changes", "WHAT IT CHANGES"),
    ("take back", "UNDO THIS?"),
    ("clash", "WHICH OF TWO?"),
)


def of(*boards: str) -> list[Key]:
    """The keys of these boards, in the order of the list."""
    return [key for key in KEYS if key.board in boards]


def named(*boards: str, actions: tuple[str, ...]) -> list[Key]:
    """The keys of these actions, in this order: the footer of a board on which it follows the cursor."""
    keys = {key.action: key for key in of(*boards)}
    return [keys[action] for action in actions]


def bindings(*boards: str, without: str = "") -> list[BindingType]:
    """What Textual is told about them; `without` names an action that these keys do not do here."""
    return [
        Binding(name, key.action_of(name), key.label, show=False)
        for key in of(*boards)
        if key.action != without and not key.menu
        for name in key.keys.split(",")
    ]
