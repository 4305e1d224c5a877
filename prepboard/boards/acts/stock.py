"""What the keys of a station do with what is there: count it, throw it away, use it otherwise, or add to it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from msgspec import Struct

from prepboard.boards.acts.runs import shown
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.rows.reason_words import purpose_words, reason_words
from prepboard.boards.widgets.row import Row
from prepboard.book.amounts import UNITS, Measure
from prepboard.book.saying import say_amount
from prepboard.paper.text.saying import Voice, is_known, measure_of
from prepboard.plan.board import Board
from prepboard.plan.changing.usual import usual_there
from prepboard.plan.given.state import Batch
from prepboard.plan.shown.lines import UnderWay
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.boards.questions.amount import Given
    from prepboard.store.file.who import Did


class InStore(Struct, frozen=True):
    """Something in store: a batch, all good batches of a prep, or goods (whose amount nobody keeps: None)."""

    target: str
    """A batch's code, or the id of a prep or of goods."""
    name: str
    known: int | None
    said: str
    """What is known, in words."""
    measure: Measure
    past: bool = False
    batch: Batch | None = None
    """The batch as it is shown."""


def held_batch(board: Board, batch: Batch) -> InStore:
    """A batch as it can be counted, used and thrown away."""
    voice = voice_of(board)
    return InStore(
        batch.code,
        f"{batch_name(voice, batch)} {batch.code}",
        batch.left,
        voice.left(batch),
        _measure(board, batch),
        past=batch.use_by is not None and batch.use_by <= board.now,
        batch=batch,
    )


def held_prep(board: Board, prep: str) -> InStore:
    """All good batches of a prep."""
    voice, now = voice_of(board), board.now
    there = sum(
        batch.left
        for batch in board.state.batches
        if batch.prep == prep and not batch.blocked and (batch.use_by is None or batch.use_by > now)
    )
    return InStore(prep, voice.name(prep), there, voice.amount(prep, there), measure_of(board.state.book, prep))


def batch_name(voice: Voice, batch: Batch) -> str:
    return voice.name(batch.prep) if is_known(voice.book, batch.prep) else batch.name or batch.prep


def _measure(board: Board, batch: Batch) -> Measure:
    if batch.unit and not is_known(board.state.book, batch.prep):
        return Measure(UNITS[batch.unit].kind, batch.unit)
    return measure_of(board.state.book, batch.prep)


async def which(
    desk: Desk, board: Board, title: str, batches: Iterable[Batch], goods: Sequence[str] = ()
) -> InStore | None:
    """Asks which batch is meant, or which goods."""
    from prepboard.boards.questions.which import AskWhich

    voice = voice_of(board)
    there = {batch.code: batch for batch in batches}
    ordered = sorted(there.values(), key=lambda batch: (batch.use_by is None, batch.use_by or board.now, batch.code))
    rows = [
        Row(batch.code, what=batch_name(voice, batch), amount=voice.left(batch), words=batch.code) for batch in ordered
    ]
    rows += [Row(id, what=voice.name(id), words=_("goods")) for id in goods]
    key = await desk.app.push_screen_wait(AskWhich(title, rows, empty=_("Nothing is on hand here.")))
    if key is None:
        return None
    if key in there:
        return held_batch(board, there[key])
    return InStore(key, voice.name(key), None, "", measure_of(board.state.book, key))


# --- what is done with it --------------------------------------------------------------------------------


async def count(desk: Desk, board: Board, held: InStore) -> Did | None:
    """Says how much is really there; more than known must say when it was made."""
    from prepboard.boards.questions.amount import AskAmount
    from prepboard.store.actions.food import stock
    from prepboard.store.food.counted import may_go_back

    who = await desk.who()
    if who is None or held.known is None:
        return None
    title = _("{name}: how much is really there?").format(name=held.name)
    asked = AskAmount(title, held.said, held.measure, why_planned=_("Enter: {planned}, as is known."))
    answer = await desk.app.push_screen_wait(asked)
    if answer is None:
        return None
    amount = held.known if answer.amount is None else answer.amount
    made_at = None
    known = held.known + may_go_back(desk.file, held.target)
    if amount > known and _reads(board, held, amount) != held.said:
        made_at = await _made_when(desk, board, held)
        if made_at is None:
            return None
    # What was typed was counted, whatever else went meanwhile; "as is known" is what stood there.
    seen = (held.batch or held.known) if answer.amount is None else None
    usual = usual_there(board, held.batch.prep if held.batch else held.target) if made_at is not None else None
    return await desk.carry_out(
        partial(stock.count, desk.file, who, held.target, amount, made_at=made_at, shown=seen, usual=usual)
    )


async def used_up(desk: Desk, board: Board, held: InStore) -> Did | None:
    """Nothing is left of a batch: what was there went in service."""
    from prepboard.boards.questions.sure import AskAll
    from prepboard.store.actions.food import stock

    who = await desk.who()
    if who is None or held.known is None:
        return None
    title = _("{name}: is all of it used up?").format(name=held.name)
    if not await desk.app.push_screen_wait(AskAll(title, [held.said])):
        return None
    return await desk.carry_out(partial(stock.count, desk.file, who, held.target, 0, shown=held.batch or held.known))


async def _made_when(desk: Desk, board: Board, held: InStore) -> datetime | None:
    from prepboard.boards.questions.when import AskWhen

    title = _("{name}: that is more than the {known} known. When was the rest made?")
    notes = [_("Food without a date may not be kept; esc leaves the count as it was.")]
    title = title.format(name=held.name, known=held.said)
    days = board.state.book.kitchen.days
    return await desk.app.push_screen_wait(AskWhen(title, days, desk.file.clock.now(), notes))


def _reads(board: Board, held: InStore, amount: int) -> str:
    return say_amount(held.measure, amount, board.state.book.kitchen.units)


async def discard(desk: Desk, board: Board, held: InStore) -> Did | None:
    """Throws it away, or some of it, with a reason of the closed list."""
    from prepboard.store.actions.food import stock

    who = await desk.who()
    if who is None:
        return None
    title = _("{name}, {amount}: thrown away, why?") if held.said else _("{name}: thrown away, why?")
    why = await a_word(
        desk,
        title.format(name=held.name, amount=held.said),
        [(word, reason_words()[word]) for word in stock.REASONS],
        first="past-use-by" if held.past else "",
    )
    if why is None:
        return None
    amount = await how_much(desk, held, _("{name}: how much is thrown away?"))
    if amount is None:
        return None
    seen = held.batch or (held.known if amount.amount is None else None)
    return await desk.carry_out(partial(stock.discard, desk.file, who, held.target, amount.amount, why, shown=seen))


async def other_use(desk: Desk, board: Board, held: InStore) -> Did | None:
    """Some of it went to somebody who did not buy it, and is no waste."""
    from prepboard.store.actions.food import stock

    who = await desk.who()
    if who is None or held.known is None:
        return None
    title = _("{name}, {amount}: what for?").format(name=held.name, amount=held.said)
    purpose = await a_word(desk, title, [(word, purpose_words()[word]) for word in stock.PURPOSES])
    if purpose is None:
        return None
    amount = await how_much(desk, held, _("{name}: how much goes?"))
    if amount is None:
        return None
    taken = held.known if amount.amount is None else amount.amount
    return await desk.carry_out(partial(stock.use, desk.file, who, held.target, taken, purpose, shown=held.batch))


async def lost(desk: Desk, board: Board, run: UnderWay) -> Did | None:
    """A run, or part of what it was to give, is lost; the plan makes it again."""
    from prepboard.boards.questions.amount import AskAmount
    from prepboard.store.actions.food import making

    who = await desk.who()
    if who is None:
        return None
    voice = voice_of(board)
    words = [(word, reason_words()[word]) for word in ("burnt", "spoiled", "wrong", "dropped", "unsafe", "other")]
    why = await a_word(desk, _("{prep}: lost, why?").format(prep=voice.name(run.prep)), words)
    if why is None:
        return None
    title = _("{prep}: how much of it is lost?").format(prep=voice.name(run.prep))
    measure, all_of_it = measure_of(board.state.book, run.prep), voice.amount(run.prep, run.amount)
    asked = AskAmount(title, all_of_it, measure, why_planned=_("Enter: {planned}, all of it."))
    answer = await desk.app.push_screen_wait(asked)
    if answer is None:
        return None
    write = partial(making.lost, desk.file, who, run.run, why, answer.amount, shown=shown(run))
    return await desk.carry_out(write)


async def made(desk: Desk, board: Board) -> Did | None:
    """A batch of something that no recipe knows."""
    from prepboard.boards.questions.amount import AskAnyAmount
    from prepboard.boards.questions.typed import AskText
    from prepboard.store.actions.food import making

    who = await desk.who()
    if who is None:
        return None
    name = await desk.app.push_screen_wait(
        AskText(_("Made, and in no book: what is it?"), notes=[_("It gets the shortest life of its place.")])
    )
    if name is None:
        return None
    amount = await desk.app.push_screen_wait(AskAnyAmount(_("{name}: how much is there?").format(name=name)))
    if amount is None:
        return None
    places = [(place.id, place.name) for place in board.state.book.places.values()]
    place = await a_word(desk, _("{name}: where is it kept?").format(name=name), places) if places else ""
    if place is None:
        return None
    return await desk.carry_out(partial(making.made, desk.file, who, name, amount, place or None))


# --- what is asked on the way ----------------------------------------------------------------------------


async def a_word(desk: Desk, title: str, words: Sequence[tuple[str, str]], first: str = "") -> str | None:
    """Asks for one of these keys by the words behind them."""
    from prepboard.boards.questions.which import AskWhich

    rows = [Row(key, what=said) for key, said in words]
    return await desk.app.push_screen_wait(AskWhich(title, rows, first=first))


async def how_much(desk: Desk, held: InStore, title: str) -> Given | None:
    """Asks how much of it; Enter alone is all."""
    from prepboard.boards.questions.amount import AskAmount

    asked = AskAmount(
        title.format(name=held.name), held.said, held.measure, why_planned=_("Enter: {planned}, all of it.")
    )
    return await desk.app.push_screen_wait(asked)
