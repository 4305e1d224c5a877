"""After a file was set back: what this kitchen holds back, as the others were told, is held back here again.

It was forgotten with whatever was done since the copy; the others still hold it. Only a person lets it go.
"""

from __future__ import annotations

from prepboard.book.safety.may_use import HELD, MISSED, WITHHELD
from prepboard.store.actions.group.hearing import Word, hear, read_word
from prepboard.store.actions.group.hearing_own import restored_since
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.halves import Held
from prepboard.store.transaction.doing import Doing, Row
from prepboard.texts import _

KNOWN = "SELECT 1 FROM holds_told WHERE id = ?"
TOLD = """
    INSERT INTO holds_told (id, of, receiver, code, goods, lot, why, at, by, told_in)
    VALUES (:id, :of, :receiver, :code, :goods, :lot, :why, :at, :by, :told_in)"""


def hear_own_hold(file: KitchenFile, word: Word) -> Did:
    """Held back under the same id as before, so that all let it go once it is let go of here. What is known here stays
    as it is; Refused where no copy was put in this file's place since."""
    held = read_word(Held, word)
    with file.looking() as db:
        known = db.execute(KNOWN, [held.id]).fetchone() is not None
    if known:
        return Did(_("what came later is known already"), "")
    if not restored_since(file, held.at):
        raise Refused(_("what is held back is not known here, and this file was not put back since"))
    return hear(file, "put back", held.id, "put back hold", lambda doing: _held(doing, held))


def _held(doing: Doing, held: Held) -> Did:
    batch = doing.row("batches", code=held.code) if held.code else None
    if held.code and batch is None:
        raise Refused(_("what is held back is not known here any more"))
    number = doing.rows("SELECT coalesce(max(number), 0) + 1 AS number FROM withdrawals")[0]["number"]
    row: Row = {"number": number, "at": instant_text(doing.now), "by": held.by, "batch": held.code}
    if not any(mark.row in (WITHHELD, MISSED, HELD) and mark.flows for mark in doing.marks("batch", held.code)):
        doing.put("withdrawals", {**row, "goods": held.goods, "lot": held.lot, "why": held.why})
    of = f"batch {held.code} {held.receiver}" if held.code else f"withdrawal {number} {row['at']}"
    told = {"receiver": held.receiver, "code": held.code, "goods": held.goods, "lot": held.lot, "why": held.why}
    doing.db.execute(TOLD, {"id": held.id, "of": of, **told, "at": instant_text(held.at), "by": held.by,
                            "told_in": doing.id})  # fmt: skip
    doing.mark()
    what = held.lot or held.goods or held.code
    doing.log("withdrawn", batch=held.code, prep=batch["prep"] if batch else held.goods, after=held.lot, why=held.why)
    return doing.answer(_("{what} is held back again, as the others were told: {why}").format(what=what, why=held.why))
