"""What counts took away of a batch, and how it goes back: onto the batch itself, with its dates."""

from __future__ import annotations

from prepboard.store.food.taking import Cause, move, say
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.transaction.doing import Doing, Row
from prepboard.texts import _


def counted_lately(doing: Doing, prep: str) -> list[Row]:
    """The batches of a prep that a count took something from, the last count first."""
    return doing.rows(
        "SELECT batches.* FROM batches JOIN moves ON moves.batch = batches.code AND moves.kind = 'counted'"
        " WHERE batches.prep = ? AND batches.state != 'undone' GROUP BY batches.code ORDER BY max(moves.number) DESC",
        prep,
    )


COUNTED_AWAY = """
    SELECT -coalesce(sum(amount), 0) AS amount FROM moves WHERE batch = ?1
    AND number > (SELECT min(number) FROM moves WHERE batch = ?1)
    AND (kind = 'counted' OR gives_back IN (SELECT number FROM moves WHERE batch = ?1 AND kind = 'counted'))"""
"""What counts took away of a batch and did not give back, in millionths."""


def give_back(doing: Doing, batches: list[Row], amount: int) -> int:
    """Gives back what counts took away, as far as the log knows of any; answers how much that was."""
    back = 0
    for batch in batches:
        away = doing.first(COUNTED_AWAY, batch["code"])
        part = min(away["amount"] if away else 0, amount - back)
        if part > 0:
            now = doing.row("batches", code=batch["code"])
            left = now["left"] if now else 0
            move(doing, batch["code"], part, Cause("counted"))
            before, after = say(doing, batch, left), say(doing, batch, left + part)
            why = _("counted anew")
            doing.log("counted", batch=batch["code"], prep=batch["prep"], before=before, after=after, why=why)
            back += part
    return back


def may_go_back(file: KitchenFile, target: str) -> int:
    """How much a count of a prep or a batch may exceed what is known before anybody must say when it was made."""
    with file.looking() as db:
        of_prep = "SELECT code FROM batches WHERE prep = ? AND state != 'undone'"
        codes = [code for (code,) in db.execute(of_prep, [target])]
        found = [db.execute(COUNTED_AWAY, [code]).fetchone() for code in codes or [target.upper()]]
    return sum(max(0, row[0]) for row in found if row)


def gone_batch(file: KitchenFile, code: str) -> str:
    """The prep of a batch of which nothing is left any more; "" where no batch had that code."""
    with file.looking() as db:
        found = db.execute("SELECT prep FROM batches WHERE code = ? AND state = 'closed'", [code.upper()]).fetchone()
    return found[0] if found else ""
