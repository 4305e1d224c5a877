"""What all actions between kitchens share: which kitchen this is, ids that both sides can work out, temperatures."""

from __future__ import annotations

from uuid import UUID, uuid5

from prepboard.book.book import Member, Temperature
from prepboard.book.rules import RuleBook
from prepboard.book.safety.needs_control import rules_for
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Refused
from prepboard.store.read.delivery_note import Sent, is_written, read_note, text_of
from prepboard.store.transaction.doing import Doing, Row
from prepboard.store.transaction.lapsing import food_needs_control
from prepboard.texts import _, decimal


class NotTaken(Refused):
    """Food that is not sent, or not taken in; what was read of it is kept all the same, and why as its facts (`kept`),
    since the other kitchen may read another language."""

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.kept = why


def derived(of: str, half: str) -> str:
    """The id of one half of something: whoever works it out comes to the same one, so that it is done once."""
    return str(uuid5(UUID(of), half))


def kitchen_id(doing: Doing) -> str:
    """The id of this kitchen's file among all kitchens, whatever the book calls it."""
    found = doing.row("settings", name="kitchen id")
    assert found is not None
    return str(found["value"])


def this_kitchen(doing: Doing) -> Member:
    """Which kitchen of the group this is. Refused in a kitchen by itself."""
    member = doing.book.kitchens.get(doing.book.kitchen.member)
    if member is None:
        raise Refused(_("the book names no group: it needs [kitchens] and `this_kitchen`"))
    return member


def name_of_kitchen(doing: Doing, kitchen: str) -> str:
    """Its name; the id of one that the book has lost."""
    found = doing.book.kitchens.get(kitchen)
    return found.name if found else kitchen


def transfer_of(doing: Doing, note: str) -> Row:
    """The transfer of a note, by its code or by all that its square holds. Refused for one that is not known here."""
    if is_written(note):
        return scanned(doing, note)[0]
    code = note.strip().upper()
    # Codes are never used twice; where a file was lost they might be, and then the last one is meant.
    row = doing.first("SELECT * FROM transfers WHERE note = ? ORDER BY sent_at DESC LIMIT 1", code)
    if row is None:
        said = _("{note} is not known here: scan the square on the note, all that is needed stands in it")
        raise Refused(said.format(note=code))
    return row


def as_here(doing: Doing, prep: str) -> str:
    """The id by which this kitchen's book knows a prep that another kitchen's, or an earlier one, called so."""
    preps = doing.book.preps
    return prep if prep in preps else next((one.id for one in preps.values() if one.was == prep), prep)


def scanned(doing: Doing, note: str) -> tuple[Row, Sent]:
    """The transfer of a scanned note, as it is known here or as the note says it."""
    try:
        sent = read_note(note)
    except ValueError as fault:
        raise Refused(str(fault)) from None
    return doing.row("transfers", id=sent.id) or {}, sent


def wrong_degrees(doing: Doing, row: Row, store: str, temperature: Temperature) -> str:
    """The limit that food of a storage does not keep, in words; "" where it does, or none is set for it.

    FDA Food Code 2022, 3-202.11(A), (D) and (E), from memory: food is received at 5 °C (41 °F) or below, hot at 57 °C
    (135 °F) or above, frozen food frozen. What a chilled van brings is held to the rule book's cold limit, as a
    delivery is.
    """
    if store == "frozen":
        return _("frozen") if temperature.degrees > (0 if temperature.unit == "C" else 32) else ""
    if not food_needs_control(doing.files, row):
        return ""
    rules: RuleBook = (
        rules_for(doing.book, row["prep"]) if row["prep"] in doing.book.preps else doing.book.kitchen.rules
    )
    key = {"chilled": "cold_holding", "hot": "hot_holding"}.get(store, "")
    limit = rules.degrees(key, temperature.unit) if key in rules.rules else None
    if limit is None:
        return ""
    if key == "hot_holding":
        return _("{limit} or hotter").format(limit=rules.rules[key].said) if temperature.degrees < limit else ""
    return _("{limit} or colder").format(limit=rules.rules[key].said) if temperature.degrees > limit else ""


def said_degrees(temperature: Temperature) -> str:
    """ "3.5 °C"."""
    return f"{decimal(f'{float(temperature.degrees):g}')} °{temperature.unit}"


def row_of_sent(sent: Sent) -> Row:
    """The sender's half as `transfers` keeps it."""
    return {
        "id": sent.id,
        "note": sent.note,
        "sender": sent.sender,
        "receiver": sent.receiver,
        "van": sent.van,
        "day": sent.day,
        "batch": sent.batch,
        "prep": sent.prep,
        "name": sent.name,
        "unit": sent.unit,
        "amount": sent.amount,
        "sent": text_of(sent),
        "sent_at": instant_text(sent.sent_at),
        "sent_by": sent.sent_by,
    }
