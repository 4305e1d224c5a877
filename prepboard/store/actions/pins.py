"""PINs: one is set, typed, or taken away when it was forgotten."""

from __future__ import annotations

from datetime import timedelta

from msgspec.structs import replace

from prepboard.store.file.pins import NeedsPin, check_form, is_right, kept_of, person_of, proof_of, to_keep
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import RANK, Did, Refused, Who, only
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.snapshot import newest_book
from prepboard.store.transaction.doing import Doing, act, action
from prepboard.texts import _, some

FREE = 3
"""Wrong PINs after which the next one waits: fingers slip."""

LONGEST_WAIT = timedelta(minutes=5)
"""So a stranger tries some hundred PINs in a shift, of at least ten thousand; and a cook is never locked out."""


class WrongPin(NeedsPin):
    """Not this person's PIN, or too many wrong ones before it."""


def set_pin(file: KitchenFile, who: Who, pin: str, *, action: str | None = None) -> Did:
    """This person is asked for a PIN from now on. Refused for whom the book does not list; who has one already types
    that first, as before every other change."""
    check_form(pin)
    kept = to_keep(pin)
    return act(file, who, "pin", lambda doing: _set(doing, kept), action=action)


@action("pin")
def forget_pin(doing: Doing, person: str, *, action: str | None = None) -> Did:
    """Somebody has no PIN any more: said by themselves, or by a sous chef when it was forgotten."""
    return _forget(doing, person)


def has_pin(file: KitchenFile, by: str) -> bool:
    """Whether these initials are asked for a PIN."""
    with file.glance() as db:
        if db.execute("SELECT 1 FROM pins LIMIT 1").fetchone() is None:
            return False
        return bool(kept_of(db, person_of(by, file.book_today(db, newest_book(db)))))


def prove(file: KitchenFile, who: Who, pin: str) -> Who:
    """The same person, known by their PIN. WrongPin when it is another's, and for a while after several wrong ones;
    each wrong one is in the log."""
    with file.glance() as db:
        book = file.book_today(db, newest_book(db))
        person = person_of(who.by, book)
        row = db.execute("SELECT kept, wrong, wait_until FROM pins WHERE person = ?", [person]).fetchone()
    if row is None:
        return who
    kept, wrong, wait_until = row
    now = file.clock.now()
    if wait_until and now < instant(wait_until):
        seconds = round((instant(wait_until) - now).total_seconds()) or 1
        raise WrongPin(some("too many wrong PINs: wait {n} second", "too many wrong PINs: wait {n} seconds", seconds))
    if not is_right(pin, kept):
        act(file, who, "wrong pin", lambda doing: _wrong(doing, person), pin_is_asked=False)
        raise WrongPin(_("that is not the PIN of {who}").format(who=who.by))
    if wrong:
        act(file, who, "right pin", lambda doing: _right(doing, person, wrong), pin_is_asked=False)
    return replace(who, proof=proof_of(kept))


def _set(doing: Doing, kept: str) -> Did:
    person = person_of(doing.who.by, doing.book)
    if not person:
        said = _("the book lists nobody with the initials {who}; only those may have a PIN")
        raise Refused(said.format(who=doing.who.by or _("of nobody")))
    row = {"person": person, "kept": kept, "set_at": instant_text(doing.now), "by": doing.who.by}
    doing.put("pins", {**row, "wrong": 0, "wait_until": None})
    doing.log("pin set", after=person)
    said = _("{who}: the PIN is set, and asked for from now on").format(who=doing.book.people[person].initials)
    return doing.answer(said + _without(doing, doing.book.people[person].role))


def _without(doing: Doing, role: str) -> str:
    """Who else may do the same and is asked for nothing: as long as there are such, a PIN is no lock on the role."""
    others = [
        one.initials
        for id_, one in doing.book.people.items()
        if RANK[one.role] >= RANK[role] and doing.row("pins", person=id_) is None
    ]
    if not others:
        return ""
    return _("; no lock yet, since anybody may type the initials of {others}").format(others=", ".join(others))


def _forget(doing: Doing, named: str) -> Did:
    person = person_of(named, doing.book)
    if person != person_of(doing.who.by, doing.book) and RANK[doing.role] < RANK["sous"]:
        raise Refused(only("sous", doing.book))
    if not person or doing.row("pins", person=person) is None:
        raise Refused(_("{who} has no PIN").format(who=named))
    doing.drop("pins", person=person)
    doing.log("pin forgotten", before=person)
    return doing.answer(_("{who} has no PIN any more").format(who=doing.book.people[person].initials))


def _right(doing: Doing, person: str, wrong: int) -> Did:
    doing.put("pins", {"person": person, "wrong": 0, "wait_until": None})
    doing.log("right pin", before=str(wrong), why=person)
    return doing.answer(_("the PIN of {who}, after wrong ones").format(who=doing.who.by))


def _wrong(doing: Doing, person: str) -> Did:
    row = doing.row("pins", person=person)
    wrong = (row["wrong"] if row else 0) + 1
    wait = min(LONGEST_WAIT, timedelta(seconds=5 * 2 ** min(wrong - FREE, 10))) if wrong >= FREE else timedelta()
    until = instant_text(doing.now + wait) if wait else None
    if row:
        doing.put("pins", {"person": person, "wrong": wrong, "wait_until": until})
    doing.log("wrong pin", after=str(wrong), why=person)
    return doing.answer(_("a wrong PIN for {who}").format(who=doing.who.by))
