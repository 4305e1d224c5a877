"""After the group was set back: what another kitchen heard of this one, and the group does not have any more.

Nearly always this file knows it and has shipped it again by then: nothing is to be done. Where this file was set back
as well it is put back, and shipped as this kitchen's own word.
"""

from __future__ import annotations

from datetime import datetime

from prepboard.store.actions.group.hearing import Word, hear, read_word
from prepboard.store.actions.group.hearing_own import (
    hear_own_got,
    hear_own_sent,
    hear_own_taken_back,
    restored_since,
)
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.delivery_note import Sent
from prepboard.store.read.halves import Back, Got, Settled
from prepboard.store.transaction.doing import Doing, Row
from prepboard.texts import _

KNOWN = "SELECT back_at, got_turn, settled_at FROM transfers WHERE id = ?"


def hear_lost_sent(file: KitchenFile, word: Word) -> Did:
    """That something left here."""
    sent = read_word(Sent, word)
    return _known(sent.note) if _row(file, sent.id) else hear_own_sent(file, _lost(file, sent, sent.sent_at))


def hear_lost_back(file: KitchenFile, word: Word) -> Did:
    """That it was taken back here."""
    back = read_word(Back, word)
    row = _row(file, back.transfer)
    if row and row["back_at"]:
        return _known(back.sent.note)
    _lost(file, back.sent, back.at)
    return hear_own_taken_back(file, back)


def hear_lost_got(file: KitchenFile, word: Word) -> Did:
    """That it was taken in here, or was not."""
    got = read_word(Got, word)
    row = _row(file, got.transfer)
    if row and row["got_turn"] >= got.turn:
        return _known(got.sent.note)
    _lost(file, got.sent, got.at)
    return hear_own_got(file, got)


def hear_lost_settled(file: KitchenFile, word: Word) -> Did:
    """That somebody here answered for it."""
    settled = read_word(Settled, word)
    row = _row(file, settled.transfer)
    if row is None or settled.sent is None:
        raise Refused(_("what is answered for is not known here"))
    if row["settled_at"]:
        return _known(settled.sent.note)
    _lost(file, settled.sent, settled.at)
    half = f"put back settled {instant_text(settled.at)}"
    return hear(file, "put back", settled.transfer, half, lambda doing: _settled(doing, settled))


def _settled(doing: Doing, settled: Settled) -> Did:
    row = doing.row("transfers", id=settled.transfer) or {}
    again = {"settled_at": instant_text(settled.at), "settled_by": settled.by, "settled_why": settled.why}
    doing.put("transfers", {"id": settled.transfer, **again, "settled_in": doing.id})
    doing.log("settled", prep=row["prep"], before=row["note"], why=f"{settled.by}: {settled.why}")
    return doing.answer(_("{note}: answered for, {why}").format(note=row["note"], why=settled.why))


def _row(file: KitchenFile, transfer: str) -> Row | None:
    with file.looking() as db:
        found = db.execute(KNOWN, [transfer]).fetchone()
    return dict(zip(("back_at", "got_turn", "settled_at"), found, strict=True)) if found else None


def _known(note: str) -> Did:
    return Did(_("{note} is known here").format(note=note), "")


def _lost(file: KitchenFile, sent: Sent, at: datetime) -> Sent:
    """Refused where no copy was put in this file's place since: then it was never done here."""
    if not restored_since(file, at):
        raise Refused(_("{note} is not known here, and this file was not put back since").format(note=sent.note))
    return sent
