"""What history is told from the sous chef's board: a day that it does not learn, a recipe that is new."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.questions.which import AskWhich
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.plan.board import Board
from prepboard.plan.given.numbers import Number
from prepboard.plan.given.state import Sitting, Tonight
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk


def dishes_of(board: Board, number: Number | None, sitting: Sitting | None) -> tuple[str, ...]:
    """The dishes that a line is about: its own, or those with the prep on the plate in this service."""
    if number is None or not number.item:
        return ()
    if number.item in board.state.book.dishes:
        return (number.item,)
    return tuple(
        dish.id
        for dish in board.state.book.dishes.values()
        if number.item in dish.plate and (sitting is None or sitting[0] in dish.services)
    )


async def new_recipe(desk: Desk, board: Board, dishes: Sequence[str]) -> None:
    """Lets history forget most of what it learned of a dish; asks which, where a line is about several."""
    from prepboard.store.actions import history

    who = await desk.who()
    if who is None:
        return
    dish: str | None = dishes[0] if dishes else None
    if len(dishes) > 1:
        rows = tuple(Row(one, what=voice_of(board).name(one)) for one in dishes)
        dish = await desk.app.push_screen_wait(AskWhich(_("Which dish is new?"), rows))
    if dish:
        await desk.carry_out(partial(history.reset, desk.file, who, dish))


async def special_day(desk: Desk, board: Board, sitting: Sitting) -> None:
    """Marks a sitting as one that history does not learn, or as an ordinary one again."""
    from prepboard.store.actions import history

    who = await desk.who()
    if who is None:
        return
    on = not board.state.tonight.get(sitting, Tonight()).special
    await desk.carry_out(partial(history.special, desk.file, who, sitting, on))
