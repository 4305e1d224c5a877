"""What two people set to different numbers: who did, and how that is said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.rows.number_words import number_name, value_words
from prepboard.paper.text.saying import listed
from prepboard.plan.board import Board
from prepboard.plan.changing.drafts import in_force
from prepboard.plan.given.numbers import Change, Number
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.kitchen_file import KitchenFile

SetBy = dict[Number, tuple[str, datetime]]
"""Who changed a number last, and when."""


def who_set(file: KitchenFile, clashes: Iterable[Sequence[Change]]) -> SetBy:
    """Who changed these numbers, and when, as far as the file knows."""
    from prepboard.store.actions.night.numbers import last_set

    found = {change.number: last_set(file, change.number) for group in clashes for change in group}
    return {number: last for number, last in found.items() if last}


def clash_words(board: Board, changes: Sequence[Change], set_by: SetBy) -> tuple[str, str, str]:
    """What was changed by two, in words: the number, what was typed here, and what somebody else set, and who."""
    number = changes[0].number
    if number.of == "mix":
        name = _("{service}, shares").format(
            service=number_name(board, Number("covers", number.sitting)).rsplit(",", 1)[0]
        )
    else:
        name = number_name(board, number)
    voice = voice_of(board)
    mine = listed(_one(board, change, change.to, changes) for change in changes)
    theirs = listed(_one(board, change, in_force(board.state, change.number), changes) for change in changes)
    last = set_by.get(number)
    if last:
        theirs = f"{theirs} ({listed((last[0], voice.time(last[1])))})"
    return name, mine, theirs


def _one(board: Board, change: Change, value: object, changes: Sequence[Change]) -> str:
    said = value_words(board, change.number, value)
    return f"{voice_of(board).name(change.number.item)} {said}" if change.number.of == "mix" else said
