"""What the keys of a station do, step by step: what is asked, and which action of the store follows.

Each takes the line as it was shown when the key was pressed; the store checks again whether it still stands so.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.row import Row
from prepboard.boards.rows import is_86, sitting_ahead, voice_of
from prepboard.paper.saying import listed, measure_of
from prepboard.plan.board import Board
from prepboard.plan.lines import MakeLine, UnderWay
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.desk import Desk


async def start(desk: Desk, line: MakeLine | UnderWay) -> None:
    """Starts a line; what is under way goes on to its next step."""
    from prepboard.store.actions import making

    who = await desk.who()
    if who is None:
        return
    if isinstance(line, UnderWay):
        await desk.carry_out(partial(making.step, desk.file, who, line.run))
    else:
        await desk.carry_out(partial(making.start, desk.file, who, line.prep, line.size, line.line))


async def done(desk: Desk, board: Board, line: MakeLine | UnderWay) -> None:
    """Marks a line done; one that was not started is started and done in one."""
    from prepboard.boards.dialogs.amount import AskAmount
    from prepboard.store.actions import making

    who = await desk.who()
    if who is None:
        return
    voice = voice_of(board)
    given = await desk.app.push_screen_wait(
        AskAmount(
            voice.name(line.prep),
            voice.amount(line.prep, line.amount),
            measure_of(board.state.book, line.prep),
            _beside(board, line.prep, line.outputs),
        )
    )
    if given is None:
        return
    outputs = None if given.amount is None else {line.prep: given.amount}
    if isinstance(line, UnderWay):
        await desk.carry_out(partial(making.done, desk.file, who, run=line.run, outputs=outputs))
        return
    await desk.carry_out(
        partial(making.done, desk.file, who, prep=line.prep, size=line.size, line=line.line, outputs=outputs)
    )


def _beside(board: Board, prep: str, outputs: Mapping[str, int]) -> str:
    voice = voice_of(board)
    others = listed(f"{voice.name(item)} {voice.amount(item, much)}" for item, much in outputs.items() if item != prep)
    return _("In the same run, in proportion: {others}").format(others=others) if others else ""


async def plate(desk: Desk, board: Board) -> None:
    """A plate of one dish goes out."""
    from prepboard.boards.dialogs.dish import AskDish
    from prepboard.store.actions import service

    ahead = sitting_ahead(board)
    if ahead is None:
        desk.tell(_("No service is near."))
        return
    who = await desk.who()
    if who is None:
        return
    voice = voice_of(board)
    dishes = tuple(
        Row(
            key=left.dish,
            what=voice.name(left.dish),
            amount=str(left.plates_left),
            words=_("86") if is_86(board, left) else "",
            tone="strong" if is_86(board, left) else "plain",
        )
        for left in board.left
    )
    named = voice.service(ahead.service, ahead.day)
    dish = await desk.app.push_screen_wait(AskDish(_("Plate out, {service}").format(service=named), dishes))
    if dish is not None:
        await desk.carry_out(partial(service.plate, desk.file, who, (ahead.service, ahead.day), dish))


async def undo(desk: Desk) -> None:
    """Takes back this person's own last change."""
    from prepboard.store.actions import undoing

    who = await desk.who()
    if who is not None:
        await desk.carry_out(partial(undoing.undo, desk.file, who))
