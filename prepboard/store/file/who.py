"""Who does something, whether they may, and what they are answered."""

from __future__ import annotations

import json
from datetime import timedelta

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.texts import _, as_facts, of_facts, recognized


class Who(Struct, frozen=True):
    """Initials and station of whoever acts; both are kept with every change."""

    by: str
    station: str
    proof: str = ""
    """What typing their PIN gave; never kept."""


class Did(Struct, frozen=True):
    """What an action answers: one sentence, and what it made. In the file the sentence is its facts."""

    text: str
    action: str
    run: str = ""
    batches: tuple[str, ...] = ()


def answer_text(did: Did) -> str:
    """An answer as it is kept, for a retry."""
    made = {"run": did.run} if did.run else {}
    batches = {"batches": did.batches} if did.batches else {}
    kept = {"text": as_facts(did.text), **made, **batches}
    return json.dumps(kept, ensure_ascii=False, separators=(",", ":"))


def text_of(answer: str) -> str:
    """What an answer that was kept says."""
    return of_facts(json.loads(answer).get("text", ""))


def said(did: Did) -> Did:
    """An answer in the reader's language."""
    return replace(did, text=recognized(did.text))


def read_answer(action: str, text: str) -> Did:
    """The answer that was kept under an action's id."""
    kept = json.loads(text)
    return Did(of_facts(kept["text"]), action, kept.get("run", ""), tuple(kept.get("batches", ())))


class Refused(Exception):
    """An action that was refused: `str()` is one line, what and why. Nothing was changed."""


class Unsure(Refused):
    """So much more than planned that it is asked for once more; the same with `sure=True` is taken."""


RANK = {"cook": 0, "closing": 1, "sous": 2, "open": 2}
"""Each may do what those below it may; "open" is everyone where the book lists nobody."""

NEEDS = {
    "load": "sous",
    "restore": "sous",
    "covers": "sous",
    "mix": "sous",
    "count for": "sous",
    "par": "sous",
    "standing par": "sous",
    "adjust": "sous",
    "special": "sous",
    "reset": "sous",
    "past plates": "sous",
    "numbers": "sous",
    "add service": "sous",
    "cancel service": "sous",
    "move service": "sous",
    "hands": "sous",
    "equip": "sous",
    "give": "sous",
    "stay": "sous",
    "portion": "sous",
    "unblock": "sous",
    "keep": "sous",
    "correct": "sous",
    "withdraw": "sous",
    "corrected": "sous",
    "count on": "sous",
}
"""The role that an action needs; what is not named here, any cook may do."""


def role_of(who: Who, book: Book | None) -> str:
    """The role someone acts in: unknown initials are a cook's, once the book lists anybody."""
    if book is None or not book.people:
        return "open"
    for initials, person in book.people.items():
        if who.by.casefold() in (initials.casefold(), person.initials.casefold()):
            return person.role
    return "cook"


def check_may(did: str, role: str, book: Book | None) -> None:
    """Refused, with who may, when the role may not do that."""
    needed = NEEDS.get(did, "cook")
    if RANK[role] < RANK[needed]:
        raise Refused(only(needed, book))


def only(needed: str, book: Book | None) -> str:
    """Who may, by initials, and what to do about it."""
    able = [one.initials for one in book.people.values() if RANK[one.role] >= RANK[needed]] if book else []
    if not able:
        return _("only a {role} may do that, and the book lists none").format(role=role_name(needed))
    said = _("only a {role} may do that ({people}): ask them; on a board, i becomes one")
    return said.format(role=role_name(needed), people=", ".join(able))


def who_may(book: Book | None, needed: str) -> str:
    """The initials of those who may, in brackets; nothing where the book lists nobody who may."""
    people = book.people.values() if book else ()
    initials = [one.initials.upper() for one in people if RANK[one.role] >= RANK[needed]]
    return f" ({', '.join(initials)})" if initials else ""


LONG_AGO = timedelta(hours=1)
"""Only a sous chef says that something was longer ago than this."""


def check_how_late(late: timedelta, role: str, book: Book | None) -> None:
    if late > LONG_AGO and RANK[role] < RANK["sous"]:
        said = _("only a sous chef may say that something was more than an hour ago{who}")
        raise Refused(said.format(who=who_may(book, "sous")))


def role_name(role: str) -> str:
    """The role as people say it."""
    return {"cook": _("cook"), "closing": _("closing cook"), "sous": _("sous chef")}[role]
