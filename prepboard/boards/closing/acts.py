"""What the keys of the close do, each with one line: counted, thrown away, to the staff meal, signed."""

from __future__ import annotations

from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.closing.signing import names_of, nobody_reads
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.texts import _, some

if TYPE_CHECKING:
    from collections.abc import Sequence

    from prepboard.boards.acts.desk import Desk
    from prepboard.store.file.who import Did


async def count(desk: Desk, batch: Batch, amount: int) -> Did | None:
    """So much of a batch is there, in millionths: said of what is shown of it."""
    from prepboard.store.actions.food import stock

    who = await desk.who()
    write = partial(stock.count, desk.file, who, batch.code, amount, shown=batch) if who else None
    return await desk.carry_out(write) if write else None


async def discard(desk: Desk, batches: list[Batch], why: str) -> Did | None:
    """Batches are thrown away, as one change."""
    from prepboard.store.actions.food import stock

    who = await desk.who()
    codes = [batch.code for batch in batches]
    write = partial(stock.discard_batches, desk.file, who, codes, why, shown=batches) if who else None
    return await desk.carry_out(write) if write else None


async def staff_meal(desk: Desk, batch: Batch) -> Did | None:
    """All of a batch goes to the staff meal."""
    from prepboard.store.actions.food import stock

    who = await desk.who()
    write = partial(stock.use, desk.file, who, batch.code, batch.left, "staff", shown=batch) if who else None
    return await desk.carry_out(write) if write else None


async def freeze(desk: Desk, batch: Batch) -> Did | None:
    """All of a batch goes into the first freezer of the book."""
    from prepboard.store.actions.food import places

    who = await desk.who()
    return await desk.carry_out(partial(places.freeze, desk.file, who, batch.code, shown=batch)) if who else None


async def freeze_all(desk: Desk, batches: list[Batch]) -> Did | None:
    """Several batches go into the freezer, as one change."""
    from prepboard.store.actions.food import places

    who = await desk.who()
    codes = [batch.code for batch in batches]
    write = partial(places.freeze_several, desk.file, who, codes, shown=batches) if who else None
    return await desk.carry_out(write) if write else None


async def keep(desk: Desk, name: str, batch: Batch) -> Did | None:
    """Asks why a batch is kept though nothing needs it in time, and keeps it."""
    from prepboard.boards.questions.typed import AskText
    from prepboard.store.actions.food import holding

    who = await desk.who()
    if who is None:
        return None
    why = await desk.app.push_screen_wait(AskText(_("{name}: kept, why?").format(name=name)))
    return await desk.carry_out(partial(holding.keep, desk.file, who, batch.code, why, shown=batch)) if why else None


async def count_on(desk: Desk, board: Board, batches: Sequence[Batch]) -> Did | None:
    """Food of which nobody showed that it cooled in time counts on, by the initials of a sous chef who saw the list."""
    from prepboard.boards.questions.sure import AskAll
    from prepboard.store.actions.food import holding

    who = await desk.who()
    if who is None:
        return None
    title = some(
        "Its cooling was not shown: does it count on?", "Their cooling was not shown: do these count on?", len(batches)
    )
    if not await desk.app.push_screen_wait(AskAll(title, [names_of(board, batches)])):
        return None
    codes = [batch.code for batch in batches]
    return await desk.carry_out(partial(holding.count_on, desk.file, who, codes))


async def sign(desk: Desk, board: Board, station: str, day: date) -> Did | None:
    """A station's sign-off of a business day's close, with the initials of whoever is here; who reads what still cools
    when everybody has gone is asked first."""
    from prepboard.boards.questions.typed import AskText
    from prepboard.store.actions import handover

    who, reads = await desk.who(), ""
    if who is None:
        return None
    if lines := nobody_reads(board, station):
        notes = [*lines, _("Ice it and read it, say who reads it, or bin it.")]
        named = await desk.app.push_screen_wait(AskText(_("Nobody is here then. Who reads it?"), notes=notes))
        if not named:
            return None
        reads = named
    return await desk.carry_out(partial(handover.sign, desk.file, who, station, day, reads=reads))
