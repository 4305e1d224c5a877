"""Parts: a batch that is still there, and a part of one that becomes a batch of its own with the same dates."""

from __future__ import annotations

from prepboard.book.amounts import DUST
from prepboard.book.safety.may_use import earliest
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Refused
from prepboard.store.food.refused import food
from prepboard.store.food.taking import Cause, add_move, move, name_of, say
from prepboard.store.transaction.doing import Doing, Row
from prepboard.texts import _


def live_batch(doing: Doing, code: str) -> Row:
    """The batch of that code with something left, there by now; else Refused in words."""
    batch = doing.row("batches", code=code.upper())
    if batch is None or batch["state"] == "undone":
        raise Refused(_("there is no batch {batch}").format(batch=code))
    if batch["state"] != "live":
        raise Refused(_("nothing is left of batch {batch}").format(batch=batch["code"]))
    if batch["made_at"] > instant_text(doing.now):
        made = doing.time(instant(batch["made_at"]))
        raise Refused(_("batch {batch} was not there then; it was made {time}").format(batch=batch["code"], time=made))
    return batch


def check_not_past(doing: Doing, batch: Row) -> None:
    """Refused for what is past its use-by, now or at the moment that is meant: it cannot be kept."""
    end = earliest(food(doing, batch, taken=False))
    if end and end.until and end.until <= max(doing.now, doing.file.clock.now()):
        said = _("{name} {batch} is past its use-by; it can only be discarded, or its label put right by a sous chef")
        raise Refused(said.format(name=name_of(doing, batch), batch=batch["code"]))


def part_of(doing: Doing, batch: Row, amount: int | None) -> Row:
    """The batch itself when all of it is meant, else a new one of so much, with the same dates."""
    if amount is None or abs(batch["left"] - amount) < DUST:
        return batch
    if amount < DUST:
        raise Refused(_("an amount is never less than zero"))
    if amount > batch["left"]:
        said = _("there is only {there} of {name} {batch}")
        raise Refused(
            said.format(there=say(doing, batch, batch["left"]), name=name_of(doing, batch), batch=batch["code"])
        )
    code = doing.new_code()
    move(doing, batch["code"], -amount, Cause("split", why=code))
    doing.put("batches", {**batch, "code": code, "left": amount, "parent": batch["code"]})
    add_move(doing, code, amount, Cause("split", why=batch["code"]))
    rest = batch["left"] - amount
    before = say(doing, batch, batch["left"])
    doing.log("split", batch=batch["code"], prep=batch["prep"], before=before, after=say(doing, batch, rest), why=code)
    return {**batch, "code": code, "left": amount, "parent": batch["code"]}
