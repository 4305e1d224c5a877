"""May this food be used, until when, and why: one question with one answer, for plan, store, plates, labels, close and
record alike.

Ten rows. Rows 1 to 5 refuse, and the first of them wins; rows 6 to 9 give ends, and the earliest of them wins, ties in
this order; row 10 says what stands still in a freezer. Food is good up to, not at, its end. A forecast never enters.

Time alone changes no answer but by passing an instant: what is known of food is kept as marks, each from an instant on,
and whoever touches a source works the marks of everything downstream out again.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Literal

from msgspec import Struct

GONE, WITHHELD, MISSED, HELD, UNMARKED, OUT, MAKERS, COUNTED, KEEPS, FROZEN = range(1, 11)
"""The rows: gone or not there yet; blocked or withdrawn; a limit missed; held until it is read; without a day 1; out of
control; a maker's date; the date mark; what the recipe gives it; frozen now."""

UNREAD = 11
"""No row: a limit of a cooling that nobody showed. It refuses nothing and ends nothing; the close asks a sous chef."""

Row = Literal[1, 2, 3, 4, 5, 6, 7, 8, 9, 10]

WORDS = {
    MAKERS: ("maker's date", "frozen before its date"),
    OUT: ("time control", "time control, cold", "out of control"),
    COUNTED: ("date mark", "inherited", "packed", "packed without a plan", "expired food in it"),
}
"""What ends a life, by row; every other word is the recipe's own, row 9."""


class Mark(Struct, frozen=True, order=True):
    """Something that is known of food. It is so from `since` on: what left the food before that is not touched.

    `source` is the batch or the run that it comes from, `key` a limit of the rule book, `until` the end that rows 6 to
    9 give. A mark that does not `flow` stays on its batch: a block for taste.
    """

    row: int
    since: datetime
    why: str
    source: str = ""
    key: str = ""
    until: datetime | None = None
    flows: bool = True
    over: datetime | None = None
    """From when on it is so no more: food was shown in control again, as its book allows. What was taken of it before
    that keeps the end, since nobody showed that part."""

    @property
    def name(self) -> tuple[int, str, str, str, datetime | None, datetime | None]:
        """What makes two marks the same, whichever way they came."""
        return self.row, self.why, self.source, self.key, self.until, self.over


class Answer(Struct, frozen=True):
    """`until` is the first instant at which it may not be used; None without an end, or where it may not be now."""

    may: bool
    row: int
    why: str
    until: datetime | None = None
    source: str = ""
    key: str = ""
    since: datetime | None = None


class Food(Struct, frozen=True):
    """What the answer is worked out from. `use_by` and `ends_by` are the earliest end of its labels, rows 7 to 9, and
    the word for it; `from_` is when it is given, `no_end` whether food without any end is good at all."""

    there: bool
    from_: datetime
    marks: tuple[Mark, ...] = ()
    use_by: datetime | None = None
    ends_by: str = ""
    no_end: bool = True


def may_use(food: Food, at: datetime) -> Answer:
    """The ten rows, asked in their order."""
    if not food.there or at < food.from_:
        return Answer(False, GONE, "gone" if not food.there else "not made yet")
    known = [mark for mark in food.marks if mark.since <= at and mark.over is None]
    end = earliest(food)
    for row in (WITHHELD, MISSED, HELD, UNMARKED):
        refused = min((mark for mark in known if mark.row == row), default=None)
        if refused is not None:
            if row == HELD and end is not None and end.row == OUT and end.until is not None and end.until <= at:
                continue  # An end of row 6 that is past is said first.
            return Answer(False, row, refused.why, None, refused.source, refused.key, refused.since)
    if end is None:
        return Answer(food.no_end, KEEPS if food.no_end else UNMARKED, "" if food.no_end else "no date")
    assert end.until is not None
    return Answer(at < end.until, end.row, end.why, end.until, end.source, end.key, end.since)


def earliest(food: Food) -> Mark | None:
    """The earliest of the ends, ties in the order of the rows."""
    ends = [mark for mark in food.marks if mark.until is not None and mark.over is None]
    if food.use_by is not None:
        ends.append(Mark(row_of(food.ends_by), food.from_, food.ends_by, until=food.use_by))
    return min(ends, key=lambda mark: (mark.until, mark.row), default=None)


def row_of(why: str) -> int:
    """The row of a word that ends a life."""
    return next((row for row, words in WORDS.items() if why in words), KEEPS)


def passed_on(marks: Iterable[Mark], at: datetime) -> list[Mark]:
    """What food hands on to what is taken of it at an instant: all that was so by then, from then on."""
    found = []
    for mark in marks:
        if mark.flows and mark.since <= at and (mark.over is None or at < mark.over):
            found.append(Mark(mark.row, at, mark.why, mark.source, mark.key, mark.until))
    return found


def together(marks: Iterable[Mark]) -> tuple[Mark, ...]:
    """Each once, from its earliest instant on, in order."""
    found: dict[tuple[int, str, str, str, datetime | None, datetime | None], Mark] = {}
    for mark in marks:
        known = found.get(mark.name)
        if known is None or mark.since < known.since or (mark.flows and not known.flows):
            found[mark.name] = mark
    return tuple(sorted(found.values(), key=lambda mark: (mark.row, mark.since, mark.source, mark.why, mark.key)))
