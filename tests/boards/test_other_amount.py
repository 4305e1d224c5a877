"""What is said of a run that was begun with another amount than planned: what it covers besides, what it pushes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from msgspec.structs import replace

from prepboard.boards.acts.other_amount import said_of
from prepboard.boards.rows.lists import voice_of
from prepboard.plan.board import Board
from prepboard.plan.changing.difference import difference


def test_what_is_no_longer_to_make_is_covered_and_what_is_later_is_pushed(board: Callable[..., Board]) -> None:
    planned = board()
    first, other, *_rest = planned.make
    again = replace(first, line=replace(first.line, n=first.line.n + 1))
    later = replace(other, ready_at=other.ready_by + timedelta(minutes=12))
    before, after = replace(planned, make=(other, again)), replace(planned, make=(later,))
    voice = voice_of(planned)
    covers, pushes = said_of(voice, first, difference(before, after))
    assert covers.startswith("it covers ")
    assert covers.endswith(" as well")
    assert pushes == f"it pushes {voice.name(other.prep)}: ready {voice.time(later.ready_at)}"


def test_a_smaller_one_leaves_something_to_make(board: Callable[..., Board]) -> None:
    planned = board()
    first = planned.make[0]
    (said,) = said_of(voice_of(planned), first, difference(replace(planned, make=()), replace(planned, make=(first,))))
    assert said.startswith("still to make: for ")
