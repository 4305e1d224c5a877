"""What one key does with a batch beside eating it: frozen, heated, put right, elsewhere, held back; or goods opened."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any

from prepboard.boards.acts.readings import heated, put_right, temperature
from prepboard.boards.acts.sending import may_go, send
from prepboard.boards.acts.stock import a_word, discard, held_batch, how_much
from prepboard.boards.rows.lists import voice_of
from prepboard.book.safety.judging import may_put_right, window
from prepboard.book.safety.may_use import HELD, MISSED, WITHHELD
from prepboard.book.values import read_date
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.probes.watching import HeldBack
from prepboard.plan.shown.lines import Expiring
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.file.who import Did


async def handle(desk: Desk, board: Board, batch: Batch) -> Did | None:
    """Asks what is to be done with a batch, and does it."""
    held = held_batch(board, batch)
    title = _("{name}, {amount}: what now?").format(name=held.name, amount=held.said)
    wish = await a_word(desk, title, wishes(board, batch))
    does: dict[str, Callable[[], Coroutine[Any, Any, Did | None]]] = {
        "freeze": partial(_in_or_out, desk, board, batch, "freeze"),
        "thaw": partial(_in_or_out, desk, board, batch, "thaw"),
        "heat": partial(heated, desk, board, batch),
        "put right": partial(put_right, desk, board, batch),
        "read": partial(temperature, desk, board, Expiring(batch, use_first=False), ()),
        "bin": partial(discard, desk, board, held),
        "send": partial(send, desk, board, batch),
        "move": partial(_move, desk, board, batch),
        "block": partial(_hold, desk, board, batch, "block"),
        "unblock": partial(_hold, desk, board, batch, "unblock"),
        "open": partial(open_goods, desk, board),
    }
    return await does[wish]() if wish else None


def wishes(board: Board, batch: Batch) -> list[tuple[str, str]]:
    """What can be done with it as it stands now, and its words: what may not be used is neither frozen nor reheated.
    What the code says of a missed limit comes first, and only while the code lets it be put right."""
    held = board.watch.held.get(batch.code)
    held_back = held.row == WITHHELD if held else bool(batch.blocked)
    bad = held is not None or bool(batch.blocked) or (batch.use_by is not None and batch.use_by <= board.now)
    heats, frozen = held is not None and _may_be_put_right(board, batch, held), batch.store == "frozen"
    found = [("put right", _("Corrective action"))] if heats else []
    found += [("read", _("Read it: it is held until then"))] if held and held.row == HELD else []
    found += [("bin", _("Throw it away"))] if bad else []
    found += [("thaw", _("Thaw it"))] if frozen and not bad else []
    found += [("freeze", _("Freeze it"))] if not frozen and not bad else []
    found += [("send", _("Send it to another kitchen"))] if may_go(board, batch) else []
    found += [("move", _("Bring it elsewhere"))] if board.state.book.places else []
    found += [("unblock", _("Let it be used again"))] if held_back else [("block", _("Hold it back"))]
    found += [("heat", _("Reheat it for hot holding"))] if not frozen and (heats or not bad) else []
    return found + ([("open", _("Open a pack of goods"))] if board.state.book.goods else [])


def _may_be_put_right(board: Board, batch: Batch, held: HeldBack) -> bool:
    """Whether the code's action for a missed limit of its own is still in time."""
    rules, judged = board.state.book.kitchen.rules, board.watch.judged.get(batch.code)
    way = next((one for one in reversed(judged.coolings) if one.broken), None) if judged else None
    own = held.row == MISSED and held.source == batch.code and may_put_right(rules, held.key)
    return own and way is not None and board.now <= window(rules, way)[1]


async def _in_or_out(desk: Desk, board: Board, batch: Batch, wish: str) -> Did | None:
    from prepboard.store.actions.food import places

    who = await desk.who()
    if who is None:
        return None
    title = _("{name}: how much is frozen?") if wish == "freeze" else _("{name}: how much is thawed?")
    amount = await how_much(desk, held_batch(board, batch), title)
    if amount is None:
        return None
    act = places.freeze if wish == "freeze" else places.thaw
    return await desk.carry_out(partial(act, desk.file, who, batch.code, amount.amount, shown=batch))


async def _move(desk: Desk, board: Board, batch: Batch) -> Did | None:
    from prepboard.store.actions.food import places

    who = await desk.who()
    if who is None:
        return None
    held = held_batch(board, batch)
    there = [(place.id, place.name) for place in board.state.book.places.values() if place.id != batch.place]
    place = await a_word(desk, _("{name}: where to?").format(name=held.name), there)
    amount = await how_much(desk, held, _("{name}: how much goes there?")) if place else None
    if place is None or amount is None:
        return None
    return await desk.carry_out(partial(places.move_to, desk.file, who, batch.code, place, amount.amount, shown=batch))


async def _hold(desk: Desk, board: Board, batch: Batch, wish: str) -> Did | None:
    from prepboard.boards.questions.typed import AskText
    from prepboard.store.actions.food import holding

    who = await desk.who()
    if who is None:
        return None
    title = _("{name}: held back, why?") if wish == "block" else _("{name}: let go, why?")
    asked = AskText(title.format(name=held_batch(board, batch).name), notes=[_("It stays in the record.")])
    why = await desk.app.push_screen_wait(asked)
    act = holding.block if wish == "block" else holding.unblock
    return await desk.carry_out(partial(act, desk.file, who, batch.code, why, shown=batch)) if why else None


async def open_goods(desk: Desk, board: Board) -> Did | None:
    """A pack is opened: which goods, its lot and the maker's date, as far as they stand on it."""
    from prepboard.boards.questions.typed import AskTyped
    from prepboard.store.actions.food import opened

    who = await desk.who()
    if who is None:
        return None
    voice, goods = voice_of(board), board.state.book.goods
    item = await a_word(desk, _("Which goods are opened?"), [(id_, voice.name(id_)) for id_ in goods])
    if item is None:
        return None
    name = voice.name(item)
    notes = [_("A trace leads back to it. Enter alone: none stands on it.")]
    lot = await desk.app.push_screen_wait(AskTyped(_("{name}: its lot?").format(name=name), str, notes=notes))
    if lot is None:
        return None
    title = _("{name}: the last day on which the maker says it is safe?").format(name=name)
    notes = [_("A use-by, such as 2026-10-31; no best-before. Enter alone: none stands on it.")]
    day = await desk.app.push_screen_wait(AskTyped(title, _day_or_none, notes=notes, signs=[*"1234567890-"]))
    if day is None:
        return None
    return await desk.carry_out(partial(opened.open_goods, desk.file, who, item, lot, day()))


def _day_or_none(text: str) -> Callable[[], date | None]:
    """The day that was typed, or none; wrapped, since a question that was left answers None."""
    day = read_date(text) if text else None
    return lambda: day


async def relabelled(desk: Desk, batch: Batch) -> Did | None:
    """The box was labelled anew: its label says what is so again."""
    from prepboard.store.actions.food import holding

    who = await desk.who()
    return await desk.carry_out(partial(holding.relabelled, desk.file, who, batch.code, shown=batch)) if who else None
