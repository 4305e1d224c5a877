"""What was saved and is in no state yet: laid over until one knows it."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace

from msgspec.structs import replace

from prepboard.boards.pars.drafting import Drafting
from prepboard.plan.board import Board
from prepboard.plan.given.numbers import Number
from prepboard.plan.given.state import State, Tonight


def covers(state: State, sitting: tuple[str, object]) -> int | None:
    return state.tonight.get(sitting, Tonight()).covers  # type: ignore[call-overload, no-any-return]


def test_what_was_saved_is_laid_over_until_a_state_knows_of_it(
    board: Callable[..., Board], parts: SimpleNamespace
) -> None:
    state, sitting, drafting = board().state, ("dinner", parts.day), Drafting()
    drafting.begin(Number("covers", sitting), state)
    drafting.set(94)
    drafting.end(keep=True)
    drafting.saved(tuple(drafting.draft.values()), state)
    assert (drafting.draft, drafting.alters, covers(drafting.laid_over(state), sitting)) == ({}, True, 94)
    before_it = replace(state, version=state.version + 1)  # somebody else wrote first
    drafting.saw(before_it)
    assert covers(drafting.laid_over(before_it), sitting) == 94
    with_it = replace(before_it, tonight={sitting: Tonight(covers=94)})
    drafting.saw(with_it)
    assert not drafting.alters


def test_what_somebody_else_set_after_a_save_counts(board: Callable[..., Board], parts: SimpleNamespace) -> None:
    state, sitting, drafting = board().state, ("dinner", parts.day), Drafting()
    drafting.begin(Number("covers", sitting), state)
    drafting.set(94)
    drafting.end(keep=True)
    drafting.saved(tuple(drafting.draft.values()), state)
    theirs = replace(state, version=state.version + 2, tonight={sitting: Tonight(covers=80)})
    drafting.saw(theirs)
    assert covers(drafting.laid_over(theirs), sitting) == 80
