"""What another kitchen holds back: it reaches what came of it here, whichever of the two was known first."""

from __future__ import annotations

from prepboard.store.actions.group.between import name_of_kitchen
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.texts import _

IN_FORCE = "SELECT * FROM holds_kept WHERE sender = ? AND code = ? AND lifted_at IS NULL ORDER BY at"
OURS = "SELECT ours FROM received_as WHERE sender = ? AND code = ? ORDER BY ours"
OF_HOLD = "SELECT number, batch FROM withdrawals WHERE hold = ? AND lifted_at IS NULL"


@action("acknowledge")
def acknowledge(doing: Doing, hold: str, *, action: str | None = None) -> Did:
    """Somebody here has seen what another kitchen holds back, and looked for it. Refused without initials."""
    row = doing.row("holds_kept", id=hold)
    if row is None:
        raise Refused(_("no other kitchen holds that back"))
    if not doing.who.by:
        raise Refused(_("that is answered for with initials"))
    if row["seen_at"]:
        raise Refused(_("{by} has seen to it already").format(by=row["seen_by"]))
    seen = {"seen_at": instant_text(doing.now), "seen_by": doing.who.by, "seen_in": doing.id}
    doing.put("holds_kept", {"id": hold, **seen})
    what = row["lot"] or row["goods"] or row["code"]
    kitchen = name_of_kitchen(doing, row["sender"])
    doing.log("seen to", before=f"{kitchen} {what}", after=doing.who.by, why=row["why"])
    return doing.answer(_("{what} of {kitchen}: seen to by {by}").format(what=what, kitchen=kitchen, by=doing.who.by))


def hold_here(doing: Doing, hold: Row) -> list[str]:
    """Holds back all that came of what another kitchen holds back; answers our codes of it. Goods of a lot are held
    back like any withdrawn here: what comes later too."""
    if hold["goods"]:
        _withdraw(doing, hold)
        return []
    ours = [row["ours"] for row in doing.rows(OURS, hold["sender"], hold["code"])]
    for code in ours:
        _withdraw(doing, hold, code)
    return ours


def withhold(doing: Doing, sender: str, their_code: str, ours: str) -> str:
    """Holds back a batch as it comes in, where the kitchen that sent it holds it back already; answers why."""
    why = ""
    for hold in doing.rows(IN_FORCE, sender, their_code):
        _withdraw(doing, hold, ours)
        why = why or hold["why"]
    return why


def let_go_here(doing: Doing, hold: str, by: str, why: str) -> list[str]:
    """Lets go of what was held back here for another kitchen; answers our codes."""
    found = doing.rows(OF_HOLD, hold)
    for row in found:
        lifted = {"lifted_at": instant_text(doing.now), "lifted_by": by, "lifted_why": why}
        doing.put("withdrawals", {"number": row["number"], **lifted})
    return [row["batch"] for row in found if row["batch"]]


def _withdraw(doing: Doing, hold: Row, batch: str = "") -> None:
    number = doing.rows("SELECT coalesce(max(number), 0) + 1 AS number FROM withdrawals")[0]["number"]
    kitchen = name_of_kitchen(doing, hold["sender"])
    doing.put(
        "withdrawals",
        {
            "number": number,
            "at": instant_text(doing.now),
            "by": hold["by"],
            "batch": batch,
            "goods": "" if batch else hold["goods"],
            "lot": "" if batch else hold["lot"],
            "why": _("held back by {kitchen}: {why}").format(kitchen=kitchen, why=hold["why"]),
            "hold": hold["id"],
        },
    )
