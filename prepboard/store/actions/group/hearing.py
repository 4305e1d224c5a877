"""What is heard of the other kitchens, written into this one's file by ordinary actions.

Each has an id that follows from what it tells, so that the same message twice is written once. One that cannot be
applied is refused in words and changes nothing: the others go on. Nobody's undo reaches them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from msgspec import Struct

from prepboard.book.amounts import BASE, Measure
from prepboard.book.saying import say_amount
from prepboard.plan.given.group import Ordered
from prepboard.store.actions.group.between import as_here, derived, name_of_kitchen, row_of_sent, this_kitchen
from prepboard.store.actions.group.holds import hold_here, let_go_here
from prepboard.store.actions.group.orders import set_pars, trip_for
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Did, Refused, Who
from prepboard.store.food.taking import Cause, move
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.delivery_note import Sent
from prepboard.store.read.group import ON_PAPER
from prepboard.store.read.halves import Answered, Back, Got, Held, Lifted, Seen, Settled, T, read_half
from prepboard.store.transaction.doing import Doing, Row, act
from prepboard.texts import _

Word = str | bytes | Mapping[str, Any] | Struct
"""A message as it comes over the line: JSON text, plain values, or read already."""

GROUP = Who("", "group")
"""In whose name what is heard is written down."""


def hear_sent(file: KitchenFile, word: Word) -> Did:
    """Something is on its way here."""
    sent = read_word(Sent, word)
    return hear(file, "heard of", sent.id, "heard sent", lambda doing: _sent(doing, sent))


def hear_back(file: KitchenFile, word: Word) -> Did:
    """The sender took it back: it does not come any more. Where it was taken in here, it stays: whoever has it in hand
    is right."""
    back = read_word(Back, word)
    return hear(file, "heard of", back.sent.id, "heard back", lambda doing: _back(doing, back))


def hear_got(file: KitchenFile, word: Word) -> Did:
    """The receiver took it in, or did not. What was taken back here meanwhile goes out again."""
    got = read_word(Got, word)
    half = f"heard got {got.turn}"
    return hear(file, "heard of", got.sent.id, half, lambda doing: _got(doing, got))


def hear_settled(file: KitchenFile, word: Word) -> Did:
    """The other kitchen answered for what does not agree, or took that back. What was answered for here stays."""
    settled = read_word(Settled, word)
    half = f"heard settled {settled.kitchen} {instant_text(settled.at)} {settled.undone}"
    return hear(file, "heard of", settled.transfer, half, lambda doing: _settled(doing, settled))


def hear_hold(file: KitchenFile, word: Word) -> Did:
    """Another kitchen holds something back: so is all that came of it here, and what will come."""
    held = read_word(Held, word)
    half = f"heard hold {instant_text(held.at)}"
    return hear(file, "held back elsewhere", held.id, half, lambda doing: _hold(doing, held))


def hear_lifted(file: KitchenFile, word: Word) -> Did:
    """Another kitchen holds it back no more."""
    lifted = read_word(Lifted, word)
    half = f"heard lifted {instant_text(lifted.at)}"
    return hear(file, "held back elsewhere", lifted.id, half, lambda doing: _lifted(doing, lifted))


def hear_order(file: KitchenFile, word: Word) -> Did:
    """Another kitchen orders by a van that leaves from here. What comes after it was closed waits for an answer."""
    ordered = read_word(Ordered, word)
    return hear(file, "heard of", ordered.id, "heard order", lambda doing: _ordered(doing, ordered))


def hear_answer(file: KitchenFile, word: Word) -> Did:
    """What another kitchen says to an order."""
    said = read_word(Answered, word)
    half = f"heard answer {instant_text(said.at)}"
    return hear(file, "heard of", said.order, half, lambda doing: _answered(doing, said))


def hear_seen(file: KitchenFile, word: Word) -> Did:
    """Another kitchen has looked for what is held back here; the log keeps who."""
    seen = read_word(Seen, word)
    return hear(file, "heard of", seen.hold, f"heard seen {seen.kitchen}", lambda doing: _seen(doing, seen))


def hear(into: KitchenFile, did: str, of: str, half: str, body: Callable[[Doing], Did]) -> Did:
    """Writes one half of something down, once; Refused for what has no id."""
    try:
        action = derived(str(UUID(of)), half)
    except ValueError:
        raise Refused(_("another kitchen's message has no id that is one")) from None
    return act(into, GROUP, did, body, action=action, pin_is_asked=False)


def read_word(kind: type[T], word: Word) -> T:
    """A message as it came; Refused, in words, for one that cannot be read."""
    try:
        return read_half(kind, word)
    except ValueError as fault:
        raise Refused(str(fault)) from None


def _check_for_here(doing: Doing, kitchen: str) -> None:
    if kitchen != this_kitchen(doing).id:
        raise Refused(_("that is for {kitchen}, not for here").format(kitchen=name_of_kitchen(doing, kitchen)))


def _check_amount(amount: int) -> None:
    if amount < 0:
        raise Refused(_("an amount is never less than zero"))


def _is_known(doing: Doing, sent: Sent) -> Row:
    """The row of a transfer that comes here, which is there from now on."""
    _check_amount(sent.amount)
    row = doing.row("transfers", id=sent.id)
    if row is None or row["sent_in"] == ON_PAPER:
        doing.put("transfers", {**row_of_sent(sent), "prep": as_here(doing, sent.prep), "sent_in": ""})
        row = doing.row("transfers", id=sent.id)
    assert row is not None
    return row


def _sent(doing: Doing, sent: Sent) -> Did:
    _check_for_here(doing, sent.receiver)
    _is_known(doing, sent)
    return _coming(doing, sent, _("{name} {note} is on its way from {kitchen}"))


def _coming(doing: Doing, sent: Sent, text: str) -> Did:
    kitchen = name_of_kitchen(doing, sent.sender)
    amount = _amount(doing, sent.unit, sent.amount)
    doing.log("coming", prep=sent.prep, after=amount, why=f"{sent.note}: {kitchen}")
    return doing.answer(text.format(name=sent.name, note=sent.note, kitchen=kitchen))


def _amount(doing: Doing, unit: str, amount: int) -> str:
    kind = next((kind for kind, base in BASE.items() if base == unit), None)
    if kind is None:
        raise Refused(_("'{unit}' is no unit that is known here").format(unit=unit))
    return say_amount(Measure(kind, unit), amount, doing.book.kitchen.units)


def _back(doing: Doing, back: Back) -> Did:
    _check_for_here(doing, back.sent.receiver)
    row = _is_known(doing, back.sent)
    taken = {"back_at": instant_text(back.at), "back_by": back.by}
    doing.put("transfers", {"id": row["id"], **taken})
    kitchen = name_of_kitchen(doing, back.sent.sender)
    doing.log("does not come", prep=row["prep"], before=row["note"], after=row["ours"], why=f"{kitchen}, {back.by}")
    text = _("{name} {note} does not come: {kitchen} took it back")
    if row["got"] == "taken in":
        text = _("{name} {note} is here, and {kitchen} wrote it down as back again")
    return doing.answer(text.format(name=row["name"], note=row["note"], kitchen=kitchen))


def _got(doing: Doing, got: Got) -> Did:
    _check_for_here(doing, got.sent.sender)
    _check_amount(got.amount)
    row = doing.row("transfers", id=got.sent.id)
    if row is None:
        raise Refused(_("{note} is not known here any more: put back what left first").format(note=got.sent.note))
    if got.turn <= row["got_turn"]:
        return doing.answer(_("{note}: what came later is known already").format(note=row["note"]))
    now = "" if got.undone else got.got
    taken = now == "taken in"
    half: Row = {
        "id": row["id"],
        "got": now,
        "got_amount": got.amount if taken else 0,
        "got_at": instant_text(got.at),
        "got_by": got.by,
        "got_degrees": got.degrees,
        "got_why": got.why,
        "got_turn": got.turn,
        "ours": got.ours,
    }
    doing.put("transfers", half)
    kitchen, amount = name_of_kitchen(doing, row["receiver"]), _amount(doing, row["unit"], got.amount)
    words = {"name": row["name"], "note": row["note"], "kitchen": kitchen, "amount": amount, "why": got.why}
    doing.log("arrived there", batch=row["batch"], prep=row["prep"], before=_amount(doing, row["unit"], row["amount"]),
              after=amount if taken else now or "undone", why=f"{row['note']}: {kitchen}, {got.by}")  # fmt: skip
    if taken and row["back_at"]:
        return doing.answer(_out_again(doing, row, got.amount, words))
    text = {
        "taken in": _("{kitchen} took in {amount} of {name} {note}"),
        "refused": _("{kitchen} did not take in {name} {note}: {why}"),
        "": _("{kitchen} took back that {name} {note} came"),
    }[now]
    return doing.answer(text.format(**words))


def _settled(doing: Doing, settled: Settled) -> Did:
    row = doing.row("transfers", id=settled.transfer)
    if row is None and settled.sent is not None and settled.sent.receiver == this_kitchen(doing).id:
        row = _is_known(doing, settled.sent)
    if row is None or settled.kitchen not in (row["sender"], row["receiver"]):
        raise Refused(_("what is answered for is not known here"))
    words = {"note": row["note"], "kitchen": name_of_kitchen(doing, settled.kitchen), "why": settled.why}
    own = row["settled_in"] and row["settled_at"]
    if not own:
        now = {"settled_at": None, "settled_by": "", "settled_why": ""}
        if not settled.undone:
            now = {"settled_at": instant_text(settled.at), "settled_by": settled.by, "settled_why": settled.why}
        doing.put("transfers", {"id": row["id"], **now, "settled_in": ""})
    elif settled.undone:  # what was answered for here counts from now on: they hear of it once more
        doing.put("transfers", {"id": row["id"], "settled_in": doing.id})
    doing.log("settled", prep=row["prep"], before=row["note"], after="undone" if settled.undone else "",
              why=f"{words['kitchen']}, {settled.by}: {settled.why}")  # fmt: skip
    text = _("{note}: {kitchen} answered for it, {why}")
    if settled.undone:
        text = _("{note}: {kitchen} took back that it answered for it")
    return doing.answer(text.format(**words))


def _out_again(doing: Doing, row: Row, amount: int, words: dict[str, str]) -> str:
    """What was taken back here and is in the other kitchen's hands: as far as this batch has so much, it goes out of it
    once more. What was used of it meanwhile somebody has to answer for."""
    batch = doing.row("batches", code=row["batch"])
    part = min(amount, batch["left"]) if batch and batch["state"] == "live" else 0
    if part:
        move(doing, row["batch"], -part, Cause("sent", why=row["note"]))
    doing.log("dispatched", batch=row["batch"], prep=row["prep"], after=_amount(doing, row["unit"], part),
              why=f"{row['note']}: {words['kitchen']}")  # fmt: skip
    return _("{kitchen} took in {name} {note}, which was back here: {amount} goes out again").format(
        **{**words, "amount": _amount(doing, row["unit"], part)}
    )


def _hold(doing: Doing, held: Held) -> Did:
    if not held.code and not held.goods and not held.lot:
        raise Refused(_("another kitchen's message holds nothing back"))
    known = doing.row("holds_kept", id=held.id)
    if known and _newest(known) >= held.at:
        return doing.answer(_("what came later is known already"))
    row: Row = {
        "id": held.id, "sender": held.sender, "code": held.code, "goods": held.goods, "lot": held.lot,
        "why": held.why, "at": instant_text(held.at), "by": held.by, "lifted_at": None, "seen_at": None,
    }  # fmt: skip
    doing.put("holds_kept", row)
    ours = hold_here(doing, row)
    doing.mark()
    kitchen, what = name_of_kitchen(doing, held.sender), held.lot or held.goods or held.code
    for code in ours or [""]:
        batch = doing.row("batches", code=code) if code else None
        doing.log("held back elsewhere", batch=code, prep=batch["prep"] if batch else held.goods,
                  before=f"{kitchen} {what}", why=held.why)  # fmt: skip
    text = _("{kitchen} holds back {what}: {why}").format(kitchen=kitchen, what=what, why=held.why)
    return doing.answer(text, batches=tuple(ours))


def _newest(row: Row) -> datetime:
    return max(instant(row["at"]), instant(row["lifted_at"]) if row["lifted_at"] else instant(row["at"]))


def _lifted(doing: Doing, lifted: Lifted) -> Did:
    row = doing.row("holds_kept", id=lifted.id)
    if row is None:
        raise Refused(_("what is let go of is not held back here"))
    if instant(row["at"]) > lifted.at:
        return doing.answer(_("what came later is known already"))
    let_go = {"lifted_at": instant_text(lifted.at), "lifted_by": lifted.by, "lifted_why": lifted.why}
    doing.put("holds_kept", {"id": row["id"], **let_go})
    ours = let_go_here(doing, row["id"], lifted.by, lifted.why)
    doing.mark()
    kitchen, what = name_of_kitchen(doing, row["sender"]), row["lot"] or row["goods"] or row["code"]
    doing.log("let go elsewhere", batch=ours[0] if len(ours) == 1 else "", prep=row["goods"],
              before=f"{kitchen} {what}", why=lifted.why)  # fmt: skip
    text = _("{kitchen} holds back {what} no more").format(kitchen=kitchen, what=what)
    return doing.answer(text, batches=tuple(ours))


def _ordered(doing: Doing, told: Ordered) -> Did:
    _check_for_here(doing, told.maker)
    _check_amount(told.amount)
    trip = trip_for(doing, told.van, told.day)
    prep = doing.book.preps.get(as_here(doing, told.prep))
    if prep is None or BASE[prep.measure.kind] != told.unit:
        raise Refused(_("no prep is called {word}").format(word=told.prep))
    # What was ordered in time and came too late to be planned for is answered too.
    late = told.late or doing.now > trip.closes
    row: Row = {
        "id": told.id, "van": told.van, "day": told.day.isoformat(), "kitchen": told.kitchen, "maker": told.maker,
        "prep": prep.id, "amount": told.amount, "unit": told.unit, "at": instant_text(told.at), "by": told.by,
        "late": int(late),
    }  # fmt: skip
    doing.put("orders", row)
    set_pars(doing, told.van, told.day.isoformat(), prep.id)
    kitchen, amount = name_of_kitchen(doing, told.kitchen), _amount(doing, told.unit, told.amount)
    doing.log("ordered from here", prep=prep.id, after=amount, why=f"{kitchen}: {trip.van.name} {told.day.isoformat()}")
    text = _("{kitchen} orders {amount} of {name} by {van}")
    if late:
        text = _("{kitchen} orders {amount} of {name} by {van}, which is closed: say yes or no")
    words = {"kitchen": kitchen, "amount": amount, "name": prep.name, "van": trip.van.name}
    return doing.answer(text.format(**words))


def _answered(doing: Doing, said: Answered) -> Did:
    row = doing.row("orders", id=said.order)
    if row is None or row["kitchen"] != this_kitchen(doing).id:
        raise Refused(_("that answers no order of this kitchen"))
    answer = {"answer": said.answer, "answered_at": instant_text(said.at), "answered_by": said.by}
    doing.put("orders", {"id": row["id"], **answer, "answer_why": said.why})
    words = {"kitchen": name_of_kitchen(doing, row["maker"]), "name": doing.book.name(row["prep"])}
    doing.log("order answered", prep=row["prep"], before=words["kitchen"], after=said.answer, why=said.why)
    text = _("{kitchen} will send {name}") if said.answer == "yes" else _("{kitchen} will not send {name}: {why}")
    return doing.answer(text.format(**words, why=said.why))


def _seen(doing: Doing, seen: Seen) -> Did:
    kitchen = name_of_kitchen(doing, seen.kitchen)
    row = {"hold": seen.hold, "kitchen": seen.kitchen, "at": instant_text(seen.at), "by": seen.by}
    doing.put("holds_seen", row)
    doing.log("seen to", before=kitchen, after=seen.by, why=seen.hold)
    return doing.answer(_("{kitchen} has looked for what is held back here: {by}").format(kitchen=kitchen, by=seen.by))
