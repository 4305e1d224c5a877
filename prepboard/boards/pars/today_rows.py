"""From two boards to what may be different on one day: hands, equipment, goods, who makes what, portions. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from prepboard.boards.pars.rows import Table
from prepboard.boards.rows.number_words import number_name, value_words
from prepboard.boards.widgets.columns import Cell, Column, ColumnRow
from prepboard.plan.board import Board
from prepboard.plan.changing.drafts import Draft, in_force, in_the_book, set_to
from prepboard.plan.given.numbers import Number
from prepboard.texts import _


def today(before: Board, preview: Board, draft: Draft, day: date) -> Table:
    """What is different first, then all that may be: stations, equipment, the goods that runs ahead take."""
    columns = (
        Column(_("what")),
        Column(_("now")),
        Column(_("was"), gives=2),
        Column(_("in the book"), gives=1),
    )
    numbers = list(dict.fromkeys(_numbers(before, preview, draft, day)))
    numbers.sort(key=lambda number: set_to(before.state, number) is None and number.of not in ("hands", "equipment"))
    return columns, tuple(_row(before, preview, draft, number) for number in numbers)


def _numbers(before: Board, preview: Board, draft: Draft, day: date) -> Iterator[Number]:
    book = preview.state.book
    for station in book.stations:
        yield Number("hands", item=station, day=day)
    for equipment in book.equipment:
        yield Number("equipment", item=equipment, day=day)
    for state in (before.state, preview.state):
        yield from (Number("given", item=prep, day=on) for prep, on in state.given if on == day)
        yield from (Number("staying", item=who, day=on, on=clock) for who, on, clock in state.staying if on == day)
        yield from (Number("portion", item=prep, day=on, on=dish) for on, dish, prep in state.portions if on == day)
        yield from (Number("missing", item=goods) for goods in state.missing)
    taken = {taken.item for line in before.make for taken in line.takes}
    yield from (Number("missing", item=goods) for goods in book.goods if goods in taken)


def _row(before: Board, preview: Board, draft: Draft, number: Number) -> ColumnRow:
    def words(value: object) -> str:
        return value_words(preview, number, value)

    typed = number in draft
    now, usual = words(in_force(preview.state, number)), _in_the_book(preview, number)
    was = words(in_force(before.state, number)) if typed else ""
    name = number_name(preview, number)
    different = set_to(preview.state, number) is not None
    return ColumnRow(
        f"{number.of} {number.on} {number.item}",
        what=name,
        amount=f"[ {now} ]" if typed else now,
        words=_("was {n}").format(n=was) if was else "",
        extra=_("book: {n}").format(n=usual) if different and usual else "",
        cells=(
            Cell(name, tone="strong" if different else "plain"),
            Cell(f"[ {now} ]" if typed else now, tone="strong" if different or typed else "plain"),
            Cell(was),
            Cell(usual if different else "", tone="dim"),
        ),
        number=number,
    )


def _in_the_book(board: Board, number: Number) -> str:
    value = in_the_book(board.state.book, number)
    return value_words(board, number, value) if value is not None else ""
