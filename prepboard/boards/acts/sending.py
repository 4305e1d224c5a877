"""A batch, or some of it, leaves for another kitchen of the group: to which, how much, how warm."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.acts.readings import how_warm
from prepboard.boards.acts.stock import held_batch
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.book.book import Temperature
from prepboard.paper.lists.vans import amount_text, load_text
from prepboard.paper.text.plain import plain
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.leftovers.vans import Load, ToSend, loads
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.file.who import Did


def may_go(board: Board, batch: Batch) -> bool:
    """Whether there is a kitchen that it may be sent to, as far as the board knows: the action looks at it again."""
    book = board.state.book
    return bool(book.kitchen.member) and len(book.kitchens) > 1 and batch.answer(board.now).may and batch.left > 0


async def send(desk: Desk, board: Board, batch: Batch) -> Did | None:
    """Asks which kitchen it goes to, then as `send_to`."""
    from prepboard.boards.questions.which import AskWhich

    who = await desk.who()
    if who is None:
        return None
    voice, book = voice_of(board), board.state.book
    asked = {line.kitchen: (load, line) for load, line in _still_to_load(board, batch.prep)}
    rows = [
        Row(one.id, what=plain(one.name), words=_asked_words(board, *asked[one.id]) if one.id in asked else "")
        for one in book.kitchens.values()
        if one.id != book.kitchen.member
    ]
    rows.sort(key=lambda row: row.key not in asked)
    held = held_batch(board, batch)
    title = _("{name}, {amount}: to which kitchen?").format(name=held.name, amount=voice.left(batch))
    kitchen = await desk.app.push_screen_wait(AskWhich(title, rows))
    line = asked[kitchen][1] if kitchen in asked else None
    return await send_to(desk, board, batch, kitchen, line.lacks if line else 0) if kitchen else None


async def load(desk: Desk, board: Board, line: ToSend) -> Did | None:
    """What a van still lacks of a prep for a kitchen is loaded: of which batch, then as `send_to`."""
    from prepboard.boards.questions.which import AskWhich

    if await desk.who() is None:
        return None
    voice = voice_of(board)
    there = [one for one in board.state.batches if one.prep == line.prep and may_go(board, one)]
    if not there:
        desk.tell(_("There is no {name} that may be sent.").format(name=plain(line.name)))
        return None
    rows = [
        Row(one.code, what=held_batch(board, one).name, amount=voice.left(one), words=voice.good(one.use_by))
        for one in there
    ]
    title = _("{name} for {kitchen}: of which batch?").format(
        name=plain(line.name), kitchen=voice.kitchen(line.kitchen)
    )
    code = rows[0].key if len(rows) == 1 else await desk.app.push_screen_wait(AskWhich(title, rows))
    batch = next((one for one in there if one.code == code), None)
    return await send_to(desk, board, batch, line.kitchen, line.lacks) if batch else None


async def send_to(desk: Desk, board: Board, batch: Batch, kitchen: str, lacks: int) -> Did | None:
    """Asks how much goes there, what it `lacks` (in millionths) offered, and how warm it is; one change."""
    from prepboard.boards.questions.amount import AskAmount
    from prepboard.store.actions.group.sending import dispatch

    who, voice, held = await desk.who(), voice_of(board), held_batch(board, batch)
    if who is None:
        return None
    offered = min(lacks, batch.left) if lacks else batch.left
    said = amount_text(voice, batch.prep, batch.unit, offered)
    title = _("{name}: how much goes to {kitchen}?").format(name=held.name, kitchen=voice.kitchen(kitchen))
    why = _("Enter: {planned}, all of it.")
    if lacks:
        why = _("Enter: {planned}, as ordered.") if offered == lacks else _("Enter: {planned}, all that there is.")
    given = await desk.app.push_screen_wait(AskAmount(title, said, held.measure, why_planned=why))
    if given is None:
        return None
    notes = [_("Measured between two packs, or in the food.")]
    read = await how_warm(desk, board, held.name, notes)
    if read is None:
        return None
    degrees, probe = read
    amount = offered if given.amount is None else given.amount
    write = partial(dispatch, desk.file, who, kitchen, batch.code, amount, Temperature(*degrees), probe=probe,
                    shown=batch)  # fmt: skip
    return await desk.carry_out(write)


def _still_to_load(board: Board, prep: str) -> list[tuple[Load, ToSend]]:
    """What vans that have not left lack of a prep, the next van last, so that it counts where two lack it."""
    ahead = [load for load in loads(board.state, board.now) if load.trip.leaves > board.now]
    ahead.sort(key=lambda load: load.trip.leaves, reverse=True)
    return [(load, line) for load in ahead for line in load.lines if line.prep == prep and line.lacks]


def _asked_words(board: Board, load: Load, line: ToSend) -> str:
    voice = voice_of(board)
    return f"{load_text(line, voice)}, {voice.van(load.trip.van.id)} {voice.time(load.trip.leaves)}"
