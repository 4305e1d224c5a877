"""Saving a draft, step by step: what somebody else changed meanwhile is asked about first."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.pars.clash_words import clash_words
from prepboard.boards.questions.mine_or_theirs import MineOrTheirs
from prepboard.plan.changing.usual import with_usual
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.pars.typed_numbers import TypedNumbers


async def save(typed: TypedNumbers) -> None:
    """Saves all that is typed as one; where two typed the same number, the chef chooses which counts."""
    from prepboard.store.actions.night import numbers

    screen, drafting = typed.screen, typed.drafting
    board = screen.board
    if board is None:
        return
    if not drafting.draft:
        screen.tell(_("Nothing is typed, so there is nothing to save."))
        return
    who = await screen.desk.who()
    if who is None:
        return
    screen.show_title()
    for changes in drafting.clashes(board.state):
        answer = await screen.app.push_screen_wait(MineOrTheirs(*clash_words(board, changes, typed.set_by)))
        if answer is None:
            screen.tell(_("Nothing was saved."))
            return
        if answer == "mine":
            drafting.keep_mine(changes, board.state)
        else:
            drafting.take_theirs(changes)
    typed.set_by = {}
    wanted = tuple(drafting.draft.values())
    if not wanted:
        screen.tell(_("Theirs stays; nothing of yours was left to save."))
    elif await screen.desk.carry_out(partial(numbers.save, screen.file, who, with_usual(board, wanted))):
        drafting.saved(wanted, board.state)
        if not drafting.draft:
            return  # The screen shows what is saved already; the file's own board follows in a moment.
    typed.draft_changed()
