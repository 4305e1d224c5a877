"""What came from another kitchen: taken in with its dates, short, or refused."""

from __future__ import annotations

import json
from datetime import date, datetime

from msgspec.structs import replace

from prepboard.book.amounts import BASE, DUST
from prepboard.book.book import Store, Temperature
from prepboard.book.days import ONE_DAY
from prepboard.book.safety.allergens import carried
from prepboard.book.safety.life import History
from prepboard.book.safety.may_use import COUNTED
from prepboard.book.safety.stays import Stay
from prepboard.store.actions.food.readings import read_within
from prepboard.store.actions.group.between import (
    NotTaken,
    as_here,
    derived,
    name_of_kitchen,
    row_of_sent,
    said_degrees,
    scanned,
    this_kitchen,
    transfer_of,
    wrong_degrees,
)
from prepboard.store.actions.group.holds import withhold
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import RANK, Did, Refused, Who, who_may
from prepboard.store.food.refused import stands
from prepboard.store.food.taking import NewBatch, add_batch, place_for, place_sure, say
from prepboard.store.food.use_by import life_columns
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.delivery_note import End, Sent, is_written, read_note, sent_of
from prepboard.store.read.group import ON_PAPER
from prepboard.store.transaction.doing import Doing, Row, act, action
from prepboard.texts import _

TURNS = 20
"""So often a receipt is taken back and made anew at most."""


def receive(
    file: KitchenFile,
    who: Who,
    note: str,
    degrees: Temperature,
    *,
    amount: int | None = None,
    probe: str = "",
    why: str = "",
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """What a note is about came, so warm; `amount`, in millionths, where it is less than the note says. The note is its
    code, or all that its square holds: then nothing else need be known of it.

    Refused above the limit of its storage, thawed, past its use-by, or sent to another kitchen; the refusal is kept,
    and only a sous chef takes it in after that, saying `why`. The same note twice is taken in once.
    """
    receipt = action or _next_receipt(file, note)

    def body(doing: Doing) -> Did:
        return _receive(doing, note, degrees, amount, probe, why.strip())

    try:
        return act(file, who, "receive", body, action=receipt, at=at)
    except NotTaken as refused:
        reason = refused.kept
        act(file, who, "refuse", lambda doing: _refuse(doing, note, reason, degrees), at=at)
        raise


@action("refuse")
def refuse(doing: Doing, note: str, why: str, degrees: Temperature | None = None, *, action: str | None = None) -> Did:
    """What came is not taken in, for a reason in words: it goes back, or is thrown away."""
    return _refuse(doing, note, why.strip(), degrees)


def _next_receipt(kitchen: KitchenFile, note: str) -> str | None:
    """The id of the receipt of a note: the same whoever takes it in, so that it is taken in once. One that was undone
    is followed by the next."""
    with kitchen.looking() as db:
        if is_written(note):
            try:
                transfer = read_note(note).id
            except ValueError:
                return None
        else:
            code = note.strip().upper()
            found = db.execute(
                "SELECT id FROM transfers WHERE note = ? ORDER BY sent_at DESC LIMIT 1", [code]
            ).fetchone()
            if found is None:
                return None
            transfer = found[0]
        for turn in range(1, TURNS):
            receipt = receipt_id(transfer, turn)
            known = db.execute("SELECT undone_by FROM actions WHERE id = ?", [receipt]).fetchone()
            if known is None or known[0] is None:
                return receipt
    return None


def receipt_id(transfer: str, turn: int) -> str:
    """The id of the action by which a transfer is received, the first time or a later one."""
    return derived(transfer, f"received {turn}")


def _known(doing: Doing, note: str) -> tuple[Row, Sent]:
    """A note as it is known here, whichever way; its row is there from now on."""
    if is_written(note):
        row, sent = scanned(doing, note)
        if not row:
            row = {**row_of_sent(sent), "prep": as_here(doing, sent.prep), "sent_in": ON_PAPER}
            doing.put("transfers", row)
            row = doing.row("transfers", id=sent.id) or {}
    else:
        row = transfer_of(doing, note)
        sent = sent_of(row["sent"])
    here = this_kitchen(doing)
    if sent.receiver != here.id:
        said = _("{note} is for {kitchen}, not for here: it goes on to them, or back")
        raise Refused(said.format(note=sent.note, kitchen=name_of_kitchen(doing, sent.receiver)))
    return row, replace(sent, prep=as_here(doing, sent.prep))


def _refuse(doing: Doing, note: str, why: str, degrees: Temperature | None) -> Did:
    row, sent = _known(doing, note)
    if not why:
        raise Refused(_("say why"))
    if row["got"] == "taken in":
        raise Refused(_("{note} was taken in already: discard it, or undo that").format(note=sent.note))
    said = said_degrees(degrees) if degrees else ""
    doing.put("transfers", _half(doing, row, "refused", 0, said, why))
    doing.log(
        "refused", prep=sent.prep, before=f"{sent.note}: {name_of_kitchen(doing, sent.sender)}", after=said, why=why
    )
    return doing.answer(_("{name} {note} is not taken in: {why}").format(name=sent.name, note=sent.note, why=why))


def _half(doing: Doing, row: Row, got: str, amount: int, degrees: str, why: str, ours: str = "") -> Row:
    """The receiver's half."""
    return {
        "id": row["id"],
        "got": got,
        "got_amount": amount,
        "got_at": instant_text(doing.now),
        "got_by": doing.who.by,
        "got_degrees": degrees,
        "got_why": why,
        "got_in": doing.id,
        "got_turn": row["got_turn"] + 1,
        "ours": ours,
    }


def _receive(doing: Doing, note: str, degrees: Temperature, amount: int | None, probe: str, why: str) -> Did:
    row, sent = _known(doing, note)
    if row["got"] == "taken in":
        return doing.answer(_("{note} was taken in already, batch {batch}").format(note=sent.note, batch=row["ours"]))
    _check_refused_before(doing, row, sent, why)
    amount = sent.amount if amount is None or abs(amount - sent.amount) < DUST else amount
    if not DUST <= amount <= sent.amount:
        said = _("the note says {amount}; what is more did not come by it")
        raise Refused(said.format(amount=say(doing, {"prep": sent.prep, "unit": sent.unit}, sent.amount)))
    end = sent.use_by
    if end is not None and end <= doing.now:
        raise NotTaken(_("{name} {note} is past its use-by, {time}: send it back, or bin it").format(
            name=sent.name, note=sent.note, time=doing.time(end)))  # fmt: skip
    code = take_in(doing, sent, amount)
    batch = doing.row("batches", code=code) or {}
    if limit := wrong_degrees(doing, batch, batch["store"], degrees):
        said = _("{name} {note} is {degrees}; it must be {limit}: probe another box of it, then send it back or bin it")
        raise NotTaken(said.format(name=sent.name, note=sent.note, degrees=said_degrees(degrees), limit=limit))
    doing.put("transfers", _half(doing, row, "taken in", amount, said_degrees(degrees), why, code))
    keep_what_came_with_it(doing, sent, code)
    read_within(doing, "batch", code, degrees, probe)
    held = withhold(doing, sent.sender, sent.batch, code)
    doing.mark()
    return _received(doing, row, sent, code, amount, held, why)


def _check_refused_before(doing: Doing, row: Row, sent: Sent, why: str) -> None:
    """What was refused once is taken in on a sous chef's word alone."""
    if row["got"] != "refused":
        return
    said = _("{name} {note} was refused: {why}; only a sous chef takes it in after that{who}, saying why")
    if RANK[doing.role] < RANK["sous"] or not why:
        who = who_may(doing.book, "sous")
        raise Refused(said.format(name=sent.name, note=sent.note, why=row["got_why"], who=who))


def take_in(doing: Doing, sent: Sent, amount: int, code: str = "") -> str:
    """The batch that it becomes here: with the dates that it came with, none of them beyond this kitchen's
    now. It has the `code` that it had before, where it had one."""
    book, now = doing.book, doing.now
    prep = book.preps.get(sent.prep)
    if prep is not None and BASE[prep.measure.kind] != sent.unit:
        raise Refused(_("{name} is counted otherwise in this kitchen's book").format(name=prep.name))
    store: Store = sent.stays[-1][0] if sent.stays else "chilled"  # type: ignore[assignment]
    made_at, today = min(sent.made_at, now), book.kitchen.days.business_day(now)
    new = NewBatch(
        prep=prep.id if prep else "",
        name="" if prep else sent.name,
        amount=amount,
        unit=sent.unit,
        made_at=made_at,
        first_day=min(sent.first_day, today),
        use_by=None if prep else sent.use_by,
        why="" if prep else "no recipe",
        store=store,
        place=place_for(doing, store, sent.prep, prep),
        place_sure=place_sure(doing, store, sent.prep, prep),
        station=prep.station if prep else doing.who.station,
        inherited=sent.inherited,
        safety=sent.safety,
        allergens=_allergens(doing, sent),
        code=code,
    )
    code = add_batch(doing, new, "received")
    stays = tuple(Stay(store, max(made_at, min(since, now))) for store, since in sent.stays) or (Stay(store, made_at),)  # type: ignore[arg-type]
    history = History(new.first_day, made_at, stays, sent.inherited, sent.safety)
    doing.put("batches", {"code": code, **life_columns(book, new.prep, history)})
    return code


def _allergens(doing: Doing, sent: Sent) -> str | None:
    """What it holds: as the sender says, and as this kitchen's book does."""
    own = carried(doing.book, sent.prep) if sent.prep in doing.book.preps else ()
    if sent.allergens is None and not own:
        return None
    return json.dumps(sorted({*(sent.allergens or ()), *own}))


def keep_what_came_with_it(doing: Doing, sent: Sent, code: str) -> None:
    """Its code there, the lots in it, the ends that it came with."""
    ends = [*sent.ends, *_shortest_here(doing, sent)]
    doing.put(
        "received_as",
        {
            "ours": code,
            "sender": sent.sender,
            "code": sent.batch,
            "transfer": sent.id,
            "at": instant_text(doing.now),
            "stays": max(1, len(sent.stays)),
            "lots": json.dumps([list(lot) for lot in sent.lots], ensure_ascii=False),
            "ends": json.dumps([_end(one) for one in ends], ensure_ascii=False),
        },
    )


def _end(end: End) -> list[object]:
    return [end.row, end.why, instant_text(end.until), end.flows]


def _shortest_here(doing: Doing, sent: Sent) -> list[End]:
    """Of what this kitchen's book does not know the code's own count, whatever its label says: the shorter counts."""
    marked = doing.book.kitchen.rules.days("date_mark")
    if sent.prep in doing.book.preps or not marked or sent.use_by is None:
        return []
    first: date = min(sent.first_day, sent.inherited or sent.first_day)
    return [End(COUNTED, "date mark", doing.book.kitchen.days.midnight_after(first + (marked - 1) * ONE_DAY))]


def _received(doing: Doing, row: Row, sent: Sent, code: str, amount: int, held: str, why: str) -> Did:
    batch = doing.row("batches", code=code) or {}
    came, kitchen = say(doing, batch, amount), name_of_kitchen(doing, sent.sender)
    before = say(doing, batch, sent.amount)
    doing.log(
        "received", batch=code, prep=batch["prep"], before=before, after=came,
        why="; ".join(filter(None, (f"{sent.note}: {kitchen}", why))),
    )  # fmt: skip
    said = _("{name}: {amount} from {kitchen}, batch {batch}, {stands}").format(
        name=sent.name, amount=came, kitchen=kitchen, batch=code, stands=stands(doing, batch)
    )
    more = []
    if amount < sent.amount:
        more.append(_("short: the note says {amount}").format(amount=before))
    if row["back_at"]:
        more.append(_("{kitchen} wrote it down as back again: tell them it is here").format(kitchen=kitchen))
    if held:
        more.append(_("held back by {kitchen}: {why}").format(kitchen=kitchen, why=held))
    return doing.answer("; ".join([said, *more]), batches=(code,))
