"""After a file was set back to an older copy: what the group knows of this kitchen's own dispatches and receipts comes
back under the same ids ("put back" in the log). Nobody knows what else was done with the food meanwhile, so each batch
is to be counted.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from prepboard.store.actions.group.between import as_here, name_of_kitchen, row_of_sent, this_kitchen
from prepboard.store.actions.group.hearing import Word, hear, hear_got, read_word
from prepboard.store.actions.group.receiving import keep_what_came_with_it, take_in
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.food.taking import Cause, move, say
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.delivery_note import Sent
from prepboard.store.read.halves import Back, Got
from prepboard.store.transaction.doing import Doing, Row
from prepboard.texts import _

RESTORED_SINCE = "SELECT 1 FROM log WHERE did = 'restored' AND at >= ? LIMIT 1"
CLOCKS_OFF = timedelta(minutes=30)
"""A kitchen's clock is set back by less (common practice, no source)."""
RESTORED_IN = """
    SELECT actions.number FROM log JOIN actions ON actions.id = log.action
    WHERE log.did = 'restored' ORDER BY log.number DESC LIMIT 1"""
RECEIVED = "SELECT number, amount FROM moves WHERE batch = ? AND kind = 'received' ORDER BY number LIMIT 1"


def hear_own_sent(file: KitchenFile, word: Word) -> Did:
    """Something left this kitchen that its file no longer knows: it is taken out of its batch again, as far as there is
    so much."""
    sent = read_word(Sent, word)
    return hear(file, "put back", sent.id, "put back sent", lambda doing: _sent(doing, sent))


def hear_own_taken_back(file: KitchenFile, word: Word) -> Did:
    """It was taken back here, which the file no longer knows: it stays in its batch."""
    back = read_word(Back, word)
    return hear(file, "put back", back.transfer, "put back unsent", lambda doing: _taken_back(doing, back))


def hear_own_got(file: KitchenFile, word: Word) -> Did:
    """What came and was taken in, or was not, which the file no longer knows."""
    got = read_word(Got, word)
    return hear(file, "put back", got.transfer, f"put back got {got.turn}", lambda doing: _got(doing, got))


def hear_got_of_lost(file: KitchenFile, word: Word) -> Did:
    """As `hear_got`; where this file lost its own word of it, since a copy was put in its place after it left, and the
    group was set back as well, what left is taken from what the other kitchen says."""
    got = read_word(Got, word)
    if _was_lost(file, got.sent):
        hear_own_sent(file, got.sent)
    return hear_got(file, got)


def _was_lost(file: KitchenFile, sent: Sent) -> bool:
    with file.looking() as db:
        known = db.execute("SELECT 1 FROM transfers WHERE id = ?", [sent.id]).fetchone()
    return not known and restored_since(file, sent.sent_at)


def restored_since(file: KitchenFile, at: datetime) -> bool:
    """Whether a copy was put in this file's place after a moment of this kitchen's own, by a clock that may have been
    set since."""
    with file.looking() as db:
        return db.execute(RESTORED_SINCE, [instant_text(at - CLOCKS_OFF)]).fetchone() is not None


def _sent(doing: Doing, sent: Sent) -> Did:
    _check_own(doing, sent.sender)
    if doing.row("transfers", id=sent.id) is not None:
        return doing.answer(_("{note} is known here").format(note=sent.note))
    doing.put("transfers", {**row_of_sent(sent), "sent_in": doing.id})
    doing.db.execute("INSERT OR IGNORE INTO codes_gone VALUES (?)", [sent.note.partition("-")[2]])
    batch = _left_from(doing, sent)
    part = min(sent.amount, batch["left"]) if batch and batch["state"] == "live" else 0
    if part:
        move(doing, sent.batch, -part, Cause("sent", why=sent.note))
    return _ask_to_count(doing, sent, sent.batch if batch else "", name_of_kitchen(doing, sent.receiver))


def _left_from(doing: Doing, sent: Sent) -> Row | None:
    """The batch that it left from, where the copy knows it. Its code may have been given anew since: what was made
    after it left, or is of another prep, is another batch."""
    batch = doing.row("batches", code=sent.batch)
    if batch is None or instant(batch["made_at"]) > sent.sent_at:
        return None
    return batch if as_here(doing, batch["prep"]) == as_here(doing, sent.prep) else None


def _taken_back(doing: Doing, back: Back) -> Did:
    _check_own(doing, back.sent.sender)
    row = doing.row("transfers", id=back.transfer)
    if row is None:
        doing.put("transfers", {**row_of_sent(back.sent), "sent_in": doing.id})
    elif row["back_at"]:
        return doing.answer(_("{note} is known here").format(note=back.sent.note))
    else:
        _returned(doing, row)
    taken = {"back_at": instant_text(back.at), "back_by": back.by, "back_in": doing.id}
    doing.put("transfers", {"id": back.transfer, **taken})
    return _ask_to_count(doing, back.sent, back.sent.batch, name_of_kitchen(doing, back.sent.receiver))


def _returned(doing: Doing, row: Row) -> None:
    """What left by this note is in its batch again."""
    for moved in doing.rows(
        "SELECT * FROM moves WHERE batch = ? AND kind = 'sent' AND why = ?", row["batch"], row["note"]
    ):
        move(doing, row["batch"], -moved["amount"], Cause("undone", gives_back=moved["number"]))


def _got(doing: Doing, got: Got) -> Did:
    _check_own(doing, got.sent.receiver)
    row = doing.row("transfers", id=got.transfer)
    if row is not None and _is_newer(doing, row):
        return _said_anew(doing, row, got)
    if row is not None and row["got_turn"] >= got.turn:
        return doing.answer(_("{note} is known here").format(note=got.sent.note))
    if row is None:
        doing.put("transfers", {**row_of_sent(got.sent), "sent_in": ""})
    here = got.got == "taken in" and not got.undone
    ours = ""
    if row is not None:
        _taken_out(doing, row)  # Of a receipt that was made anew since, the first one is not there either.
    if here:
        ours = got.ours if got.ours and doing.row("batches", code=got.ours) is None else ""
        ours = take_in(doing, got.sent, got.amount, ours)
        keep_what_came_with_it(doing, got.sent, ours)
    doing.put(
        "transfers",
        {
            "id": got.transfer,
            "got": "" if got.undone else got.got,
            "got_amount": got.amount if here else 0,
            "got_at": instant_text(got.at),
            "got_by": got.by,
            "got_degrees": got.degrees,
            "got_why": got.why,
            "got_turn": got.turn,
            "got_in": doing.id,
            "ours": ours,
        },
    )
    doing.mark()
    return _ask_to_count(doing, got.sent, ours, name_of_kitchen(doing, got.sent.sender))


def _is_newer(doing: Doing, row: Row) -> bool:
    """Whether somebody here said what this file says of a receipt after the copy was put in its place."""
    restored = doing.first(RESTORED_IN)
    said = doing.first("SELECT number, did FROM actions WHERE id = ?", row["got_in"])
    return bool(restored and said and said["number"] > restored["number"] and said["did"] != "put back")


def _said_anew(doing: Doing, row: Row, got: Got) -> Did:
    """Somebody took it in, or did not, after the copy was put back and before the group was heard: that counts, and is
    told as what came later."""
    same = (row["got"], row["got_amount"] or 0) == ("" if got.undone else got.got, got.amount)
    if not (same and row["got_turn"] == got.turn) and row["got_turn"] <= got.turn:
        doing.put("transfers", {"id": row["id"], "got_turn": got.turn + 1, "got_in": doing.id})
    return doing.answer(_("{note} is known here").format(note=got.sent.note))


def _taken_out(doing: Doing, row: Row) -> None:
    """That it came was taken back: what is left of our batch of it is not there."""
    batch = doing.row("batches", code=row["ours"]) if row["ours"] else None
    if batch is None or batch["state"] != "live":
        return
    first = doing.first(RECEIVED, batch["code"])
    if first is not None and first["amount"] == batch["left"]:
        move(doing, batch["code"], -batch["left"], Cause("undone", gives_back=first["number"]))
        doing.put("batches", {"code": batch["code"], "state": "undone"})
        doing.drop("received_as", ours=batch["code"])
    else:  # Something was done with it before the copy: only what is still there goes.
        move(doing, batch["code"], -batch["left"], Cause("counted"))


def _check_own(doing: Doing, kitchen: str) -> None:
    if this_kitchen(doing).id != kitchen:
        raise Refused(_("that is for {kitchen}, not for here").format(kitchen=name_of_kitchen(doing, kitchen)))


def _ask_to_count(doing: Doing, sent: Sent, batch: str, kitchen: str) -> Did:
    """The log's line, and a note for whoever is in the kitchen to count what is really there."""
    row = doing.row("batches", code=batch) if batch else None
    left = say(doing, row, row["left"]) if row else ""
    doing.log("put back", batch=batch, prep=sent.prep, after=left, why=f"{sent.note}: {kitchen}")
    said = _("count {name} {batch}: {note} was put back after the file was")
    if not batch:
        said = _("count {name}: {note} was put back after the file was")
    text = said.format(name=sent.name, batch=batch, note=sent.note)
    number = doing.rows("SELECT coalesce(max(number), 0) + 1 AS number FROM notes")[0]["number"]
    note: Row = {"number": number, "at": instant_text(doing.now), "by": "", "station": "", "whom": "", "text": text}
    doing.put("notes", note)
    return doing.answer(text, batches=(batch,) if batch else ())
