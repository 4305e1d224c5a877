"""Saving a draft, step by step: what somebody else changed meanwhile is asked about first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Protocol

from prepboard.boards.pars.clash_words import SetBy, clash_words
from prepboard.boards.questions.mine_or_theirs import MineOrTheirs
from prepboard.plan.changing.usual import with_usual
from prepboard.plan.given.numbers import Change
from prepboard.texts import _

if TYPE_CHECKING:
    from textual.app import App

    from prepboard.boards.acts.desk import Desk
    from prepboard.boards.pars.drafting import Drafting
    from prepboard.plan.board import Board
    from prepboard.store.kitchen_file import KitchenFile


class Typing(Protocol):
    """A board on which numbers are typed, as far as saving asks for it."""

    board: Board | None
    desk: Desk
    drafting: Drafting
    file: KitchenFile
    set_by: SetBy

    @property
    def app(self) -> App[object]: ...

    def tell(self, text: str) -> None: ...

    def show_title(self) -> None: ...

    def draft_changed(self) -> None: ...


def who_set(file: KitchenFile, clashes: Iterable[Sequence[Change]]) -> SetBy:
    """Who changed these numbers, and when, as far as the file knows."""
    from prepboard.store.actions.night.numbers import last_set

    found = {change.number: last_set(file, change.number) for group in clashes for change in group}
    return {number: last for number, last in found.items() if last}


async def save(screen: Typing) -> None:
    """Saves all that is typed as one; where two typed the same number, the chef chooses which counts."""
    from prepboard.store.actions.night import numbers

    board, drafting = screen.board, screen.drafting
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
        answer = await screen.app.push_screen_wait(MineOrTheirs(*clash_words(board, changes, screen.set_by)))
        if answer is None:
            screen.tell(_("Nothing was saved."))
            return
        if answer == "mine":
            drafting.keep_mine(changes, board.state)
        else:
            drafting.take_theirs(changes)
    screen.set_by = {}
    wanted = tuple(drafting.draft.values())
    if not wanted:
        screen.tell(_("Theirs stays; nothing of yours was left to save."))
    elif await screen.desk.carry_out(partial(numbers.save, screen.file, who, with_usual(board, wanted))):
        drafting.saved(wanted, board.state)
        if not drafting.draft:
            return  # The screen shows what is saved already; the file's own board follows in a moment.
    screen.draft_changed()
