"""PINs: what a person types before something is done in their name.

A PIN keeps a hand off a board; it keeps nobody off the file. Whoever may read the file may try all short PINs, and who
may write to it needs none. So it is kept by scrypt (RFC 7914) with salt, and never shown.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from sqlite3 import Connection

from prepboard.book.book import Book
from prepboard.store.file.who import Refused, Who
from prepboard.texts import _

N, R, P = 2**14, 8, 1
"""Cost, block size and lanes: 16 MiB and about a twentieth of a second. Block and lanes are those of RFC 7914, section
2, the cost is that of its third example, section 12."""

SHORTEST, LONGEST = 4, 12


class NeedsPin(Refused):
    """Somebody has a PIN, and whoever acts has not typed it."""


def person_of(by: str, book: Book | None) -> str:
    """Under which name a person's PIN is kept: the id in the book, however the initials were written; "" for others."""
    for id_, person in book.people.items() if book else ():
        if by.casefold() in (id_.casefold(), person.initials.casefold()):
            return id_
    return ""


def check_form(pin: str) -> None:
    """Refused for what is no PIN: digits, so that every pad and every page can type them."""
    if not (pin.isascii() and pin.isdigit() and SHORTEST <= len(pin) <= LONGEST):
        raise Refused(_("a PIN is {least} to {most} digits").format(least=SHORTEST, most=LONGEST))


def to_keep(pin: str) -> str:
    """What is kept of a PIN: "scrypt 16384 8 1", its salt and what comes of it."""
    salt = secrets.token_hex(16)
    return f"scrypt {N} {R} {P} {salt} {_worked_out(pin, salt, N, R, P)}"


def is_right(pin: str, kept: str) -> bool:
    _name, n, r, p, salt, came = kept.split(" ")
    return hmac.compare_digest(_worked_out(pin, salt, int(n), int(r), int(p)), came)


def _worked_out(pin: str, salt: str, n: int, r: int, p: int) -> str:
    return hashlib.scrypt(pin.encode(), salt=salt.encode(), n=n, r=r, p=p, dklen=64).hex()


def kept_of(db: Connection, person: str) -> str:
    """What is kept of somebody's PIN; "" of those who have none."""
    found = db.execute("SELECT kept FROM pins WHERE person = ?", [person]).fetchone() if person else None
    return str(found[0]) if found else ""


def proof_of(kept: str) -> str:
    """What somebody who typed this PIN carries: worth nothing once another one is set."""
    return hashlib.sha256(f"typed {kept}".encode()).hexdigest()


def check_pin(db: Connection, who: Who, book: Book | None) -> None:
    """NeedsPin when whoever acts has a PIN and has not typed it."""
    kept = kept_of(db, person_of(who.by, book))
    if kept and not hmac.compare_digest(who.proof, proof_of(kept)):
        raise NeedsPin(_("{who} has a PIN, and it was not typed; nothing was changed").format(who=who.by))
