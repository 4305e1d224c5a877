"""What leaves for another kitchen, and comes back from the van."""

from __future__ import annotations

import json
from datetime import datetime, timedelta

from prepboard.book.amounts import DUST
from prepboard.book.book import Member, Temperature
from prepboard.book.names import plainly
from prepboard.book.safety.may_use import row_of
from prepboard.book.vans import Trip, loading, trip_on
from prepboard.plan.given.group import MISSING
from prepboard.plan.given.state import Batch
from prepboard.store.actions.food.readings import read_within
from prepboard.store.actions.group.between import (
    NotTaken,
    derived,
    kitchen_id,
    name_of_kitchen,
    row_of_sent,
    said_degrees,
    this_kitchen,
    transfer_of,
    wrong_degrees,
)
from prepboard.store.actions.group.orders import set_pars
from prepboard.store.actions.group.receiving import keep_what_came_with_it, take_in
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Did, Refused, Who
from prepboard.store.food.parts import live_batch
from prepboard.store.food.refused import answer, food, in_words
from prepboard.store.food.taking import Cause, move, name_of, say
from prepboard.store.food.use_by import history_of
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.lots import lots_in
from prepboard.store.past.reach import Reach
from prepboard.store.read.delivery_note import End, Sent, sent_of
from prepboard.store.transaction.doing import Doing, Row, act, action
from prepboard.store.transaction.shown import check_batch
from prepboard.texts import _

SLIP = timedelta(minutes=30)
"""A box that was written down as sent for longer may have stood on a van: it comes back with its temperature (common
practice, no source)."""

THE_MOVE = "SELECT number FROM moves WHERE action = ? AND batch = ? AND kind = 'sent' ORDER BY number LIMIT 1"


def dispatch(
    file: KitchenFile,
    who: Who,
    kitchen: str,
    batch: str,
    amount: int | None,
    degrees: Temperature,
    *,
    van: str = "",
    probe: str = "",
    shown: Batch | None = None,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """So much of a batch, in millionths, leaves for another kitchen of the group; None: all of it. It goes by the `van`
    that is named, else by the one that is loaded now.

    Refused for what may not be used, what is set aside, what does not keep the limit of its storage (that reading is
    kept), more than is there, and a batch that is no longer as it was `shown`.
    """

    def body(doing: Doing) -> Did:
        check_batch(doing, shown, all_of_it=amount is None)
        return _dispatch(doing, kitchen, batch, amount, degrees, van, probe)

    try:
        return act(file, who, "dispatch", body, action=action, at=at)
    except NotTaken as refused:
        why = refused.kept
        act(file, who, "read", lambda doing: _only_read(doing, batch, degrees, probe, why), at=at)
        raise


@action("take back")
def take_back(
    doing: Doing, note: str, degrees: Temperature | None = None, *, probe: str = "", action: str | None = None
) -> Did:
    """What left is here again: it never went, or nobody took it. Half an hour after it left it comes with its
    temperature, by which it is judged. Refused for what another kitchen sent or took in."""
    return _take_back(doing, transfer_of(doing, note), degrees, probe)


@action("settle")
def settle(doing: Doing, note: str, why: str, *, action: str | None = None) -> Did:
    """Somebody answers for the difference between what left and what came, or for a box that left a day ago and
    nobody took in; the other kitchen hears of it. Refused where there is none."""
    row = transfer_of(doing, note)
    if not why.strip():
        raise Refused(_("say why"))
    lost = row and not row["back_at"] and instant(row["sent_at"]) + MISSING <= doing.now
    if not row or row["settled_at"] or not (row["got"] or lost):
        raise Refused(_("{note}: there is nothing to answer for").format(note=note.upper()))
    settled = {"settled_at": instant_text(doing.now), "settled_by": doing.who.by, "settled_why": why.strip()}
    doing.put("transfers", {"id": row["id"], **settled, "settled_in": doing.id})
    doing.log("settled", batch=row["ours"] or _own(doing, row), prep=row["prep"], before=row["note"], why=why.strip())
    return doing.answer(_("{note}: answered for, {why}").format(note=row["note"], why=why.strip()))


def _own(doing: Doing, row: Row) -> str:
    """The code of its batch here."""
    return str(row["batch"]) if row["sender"] == doing.book.kitchen.member else ""


def _only_read(doing: Doing, batch: str, degrees: Temperature, probe: str, why: str) -> Did:
    read_within(doing, "batch", live_batch(doing, batch)["code"], degrees, probe)
    return doing.answer(why)


def _dispatch(
    doing: Doing, kitchen: str, code: str, amount: int | None, degrees: Temperature, van: str, probe: str
) -> Did:
    here, there = this_kitchen(doing), _receiver(doing, kitchen)
    trip = _trip(doing, here, there, van)
    batch = live_batch(doing, code)
    name = f"{name_of(doing, batch)} {batch['code']}"
    if batch["set_aside"]:
        raise Refused(_("{name} is kept for a service here").format(name=name))
    read_within(doing, "batch", batch["code"], degrees, probe)
    doing.mark()
    batch = live_batch(doing, batch["code"])
    if limit := wrong_degrees(doing, batch, batch["store"], degrees):
        said = _("{name} is {degrees}; it must be {limit} before it leaves: chill it, or send another box")
        raise NotTaken(said.format(name=name, degrees=said_degrees(degrees), limit=limit))
    found = answer(doing, batch)
    if not found.may:
        raise Refused(_("{name} may not be sent: {why}").format(name=name, why=in_words(found)))
    amount = batch["left"] if amount is None or abs(batch["left"] - amount) < DUST else amount
    if amount < DUST:
        raise Refused(_("an amount is never less than zero"))
    if amount > batch["left"]:
        there_is = say(doing, batch, batch["left"])
        raise Refused(_("there is only {there} of {name}").format(there=there_is, name=name))
    sent = _sent(doing, batch, amount, degrees, here, there, trip)
    before = say(doing, batch, batch["left"])
    left = move(doing, batch["code"], -amount, Cause("sent", why=sent.note))
    doing.put("transfers", {**row_of_sent(sent), "sent_in": doing.id})
    set_pars(doing, sent.van, sent.day, sent.prep)
    doing.log(
        "dispatched", batch=batch["code"], prep=batch["prep"], before=before, after=say(doing, batch, left),
        why=f"{sent.note}: {there.name}",
    )  # fmt: skip
    text = _("{name}: {amount} for {kitchen}, note {note}").format(
        name=name, amount=say(doing, batch, amount), kitchen=there.name, note=sent.note
    )
    by = _("{said}, {van} {time}").format(said=text, van=trip.van.name, time=doing.time(trip.leaves)) if trip else text
    return doing.answer(by, batches=(batch["code"],))


def _receiver(doing: Doing, kitchen: str) -> Member:
    found = doing.book.kitchens.get(kitchen)
    if found is None:
        known = ", ".join(one.name for one in doing.book.kitchens.values())
        raise Refused(_("no kitchen of the group is called {word}: {known}").format(word=kitchen, known=known))
    if kitchen == doing.book.kitchen.member:
        raise Refused(_("{kitchen} is this kitchen").format(kitchen=found.name))
    return found


def _trip(doing: Doing, here: Member, there: Member, van: str) -> Trip | None:
    """The trip that it goes by; None where no van of the book goes there."""
    if not van:
        return loading(doing.book, here.id, there.id, doing.now)
    named = doing.book.vans.get(van)
    if named is None or named.comes_from != here.id or there.id not in named.to:
        raise Refused(_("no van called {van} goes from here to {kitchen}").format(van=van, kitchen=there.name))
    today = doing.book.kitchen.days.business_day(doing.now)
    found = loading(doing.book, here.id, there.id, doing.now)
    return found if found and found.van.id == van else trip_on(doing.book, named, today)


def _sent(
    doing: Doing, batch: Row, amount: int, degrees: Temperature, here: Member, there: Member, trip: Trip | None
) -> Sent:
    """The whole half of the kitchen that sends."""
    history = history_of(batch)
    allergens = json.loads(batch["allergens"]) if batch["allergens"] else None
    return Sent(
        id=derived(kitchen_id(doing), doing.id),
        note=f"{here.letter}-{_note_code(doing)}",
        sender=here.id,
        receiver=there.id,
        van=trip.van.id if trip else "",
        day=trip.day.isoformat() if trip else "",
        batch=batch["code"],
        prep=batch["prep"],
        # A square to scan has little room, and the other kitchen a book of its own.
        name=plainly(name_of(doing, batch)),
        unit=batch["unit"],
        amount=amount,
        made_at=history.ready,
        first_day=history.first_day,
        inherited=history.inherited,
        safety=history.safety,
        stays=tuple((stay.store, stay.since) for stay in history.stays),
        ends=_ends(doing, batch),
        lots=lots_in(Reach(doing.db), batch["code"], lambda version: doing.file.book(doing.db, version)),
        allergens=tuple(allergens) if allergens is not None else None,
        degrees=f"{float(degrees.degrees):g}",
        degrees_unit=degrees.unit,
        sent_at=doing.now,
        sent_by=doing.who.by,
        leaves=instant_text(trip.leaves) if trip else "",
    )


def _note_code(doing: Doing) -> str:
    """A code that no batch, no run and no note of this file ever had: it is never drawn again."""
    code = doing.new_code()
    doing.db.execute("INSERT INTO codes_gone VALUES (?)", [code])
    return code


def _ends(doing: Doing, batch: Row) -> tuple[End, ...]:
    """The end of its label, and those that what is made of it inherits."""
    lies = food(doing, batch, taken=False)
    found = [End(row_of(lies.ends_by), lies.ends_by, lies.use_by)] if lies.use_by else []
    for mark in lies.marks:
        if mark.until is not None and mark.over is None:
            found.append(End(mark.row, mark.why, mark.until, mark.flows))
    return tuple(dict.fromkeys(found))


def _take_back(doing: Doing, row: Row, degrees: Temperature | None, probe: str) -> Did:
    if not row or row["sender"] != this_kitchen(doing).id:
        raise Refused(_("that was sent by another kitchen; only they take it back"))
    name, sent = f"{row['name']} {row['note']}", sent_of(row["sent"])
    if row["back_at"]:
        raise Refused(_("{name} is back already").format(name=name))
    if row["got"] == "taken in":
        said = _("{kitchen} took {name} in, {time}; they send it back")
        names = {"kitchen": name_of_kitchen(doing, row["receiver"]), "time": doing.time(instant(row["got_at"]))}
        raise Refused(said.format(name=name, **names))
    if degrees is None and doing.now - sent.sent_at > SLIP:
        raise Refused(_("{name} left {time}: probe it, and say how warm it is").format(
            name=name, time=doing.time(sent.sent_at)))  # fmt: skip
    if doing.row("batches", code=row["batch"]) is None:
        # Made after the copy that was put back: all that is known of it is what its note says.
        keep_what_came_with_it(doing, sent, take_in(doing, sent, row["amount"], row["batch"]))
    else:
        moved = doing.first(THE_MOVE, row["sent_in"], row["batch"])
        cause = Cause("undone", gives_back=moved["number"] if moved else None)
        move(doing, row["batch"], row["amount"], cause)
    back = {"back_at": instant_text(doing.now), "back_by": doing.who.by, "back_in": doing.id}
    doing.put("transfers", {"id": row["id"], **back})
    read = read_within(doing, "batch", row["batch"], degrees, probe) if degrees else ""
    set_pars(doing, row["van"], row["day"], row["prep"])
    batch = live_batch(doing, row["batch"])
    doing.log("taken back", batch=batch["code"], prep=batch["prep"], before=row["note"],
              after=say(doing, batch, batch["left"]))  # fmt: skip
    said = _("{name}: {amount} is here again").format(name=name, amount=say(doing, batch, row["amount"]))
    return doing.answer("; ".join(filter(None, (said, read))), batches=(batch["code"],))
