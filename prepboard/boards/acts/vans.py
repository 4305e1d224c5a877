"""What comes from other kitchens and goes to them: what is asked, and off to the store."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.acts.readings import how_warm
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.book.amounts import UNITS, Measure
from prepboard.book.book import Temperature
from prepboard.paper.lists.vans import amount_text
from prepboard.paper.text.saying import is_known, measure_of
from prepboard.plan.board import Board
from prepboard.plan.given.called import note_called
from prepboard.plan.given.group import Hold, Order, Transfer
from prepboard.plan.leftovers.vans import Proposed
from prepboard.store.read.delivery_note import Sent, is_written, read_note
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.file.who import Did


def note_meant(board: Board, text: str) -> str:
    """The note that was scanned or typed, whole or by its code; "" for what is none that is still to be taken in."""
    if is_written(text):
        return text.strip()
    code = note_called(board.state, text)
    here = board.state.book.kitchen.member
    known = (one for one in board.state.transfers if one.receiver == here and one.note == code)
    return code if any(one.state in ("on the van", "refused") for one in known) else ""


async def receive(desk: Desk, board: Board, note: str) -> Did | None:
    """Takes in what came with a note: how warm it is, and how much where that is less than the note says."""
    from prepboard.boards.questions.amount import AskAmount
    from prepboard.boards.questions.typed import AskText
    from prepboard.store.actions.group import receiving

    who, one = await desk.who(), _of_note(board, note)
    if who is None or one is None:
        return None
    name, said = one.name, amount_text(voice_of(board), one.prep, one.unit, one.amount)
    read = await how_warm(desk, board, f"{name} {one.note}", [_("Measured between two packs, or in the food.")])
    if read is None:
        return None
    degrees, probe = read
    measure = measure_of(board.state.book, one.prep) if is_known(board.state.book, one.prep) else _measure(one.unit)
    title = _("{name}: how much came?").format(name=name)
    why = _("Enter: {planned}, as the note says.")
    given = await desk.app.push_screen_wait(AskAmount(title, said, measure, why_planned=why))
    if given is None:
        return None
    why_after_all: str | None = ""
    if isinstance(one, Transfer) and one.state == "refused":
        after_all = AskText(_("It was refused. Why is it taken in after all?"))
        why_after_all = await desk.app.push_screen_wait(after_all)
    write = partial(
        receiving.receive, desk.file, who, note, Temperature(*degrees), amount=given.amount, probe=probe,
        why=why_after_all or "",
    )  # fmt: skip
    return await desk.carry_out(write)


def _of_note(board: Board, note: str) -> Transfer | Sent | None:
    if not is_written(note):
        return next((one for one in board.state.transfers if one.note == note), None)
    try:
        return read_note(note)
    except ValueError:
        return None


def _measure(unit: str) -> Measure:
    return Measure(UNITS[unit].kind, unit)


async def settle(desk: Desk, board: Board, one: Transfer) -> Did | None:
    """Somebody answers for what does not agree."""
    from prepboard.boards.questions.typed import AskText
    from prepboard.store.actions.group import sending

    who = await desk.who()
    title = _("{note}: what became of the difference?").format(note=one.note)
    why = await desk.app.push_screen_wait(AskText(title)) if who else None
    return await desk.carry_out(partial(sending.settle, desk.file, who, one.note, why)) if who and why else None


async def see_to(desk: Desk, board: Board, hold: Hold) -> Did | None:
    """Somebody has looked for what another kitchen holds back."""
    from prepboard.store.actions.group import holds

    who = await desk.who()
    return await desk.carry_out(partial(holds.acknowledge, desk.file, who, hold.id)) if who else None


async def order(desk: Desk, board: Board, proposed: Proposed) -> Did | None:
    """Orders what is proposed, by its van."""
    from prepboard.store.actions.group import orders

    who = await desk.who()
    amounts = {line.prep: line.amount for line in proposed.lines}
    trip = proposed.trip
    return await desk.carry_out(partial(orders.order, desk.file, who, trip.van.id, trip.day, amounts)) if who else None


async def answer(desk: Desk, board: Board, one: Order) -> Did | None:
    """Whether an order that came too late is sent; where it is not, why."""
    from prepboard.boards.questions.typed import AskText
    from prepboard.boards.questions.which import AskWhich
    from prepboard.store.actions.group import orders

    who = await desk.who()
    if who is None:
        return None
    voice = voice_of(board)
    asked = amount_text(voice, one.prep, one.unit, one.amount)
    title = _("{kitchen}: {amount} of {name}?").format(
        kitchen=voice.kitchen(one.kitchen), amount=asked, name=voice.name(one.prep)
    )
    rows = [Row("yes", what=_("it will be sent")), Row("no", what=_("not sent"))]
    chosen = await desk.app.push_screen_wait(AskWhich(title, rows))
    why = await desk.app.push_screen_wait(AskText(_("Why not?"))) if chosen == "no" else ""
    if chosen is None or why is None:
        return None
    return await desk.carry_out(partial(orders.answer_order, desk.file, who, one.id, chosen == "yes", why))
