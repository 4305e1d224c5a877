"""The note that goes with food from one kitchen of a group to another: all that whoever receives it must know.

It travels on paper, as a square that any scanner types, so that food is taken in with every line down. The text is
letters and digits only (base32, RFC 4648, section 6, without its padding), so that it comes through whatever keyboard a
scanner pretends to be, and a QR code holds it in its compact alphanumeric mode.
"""

from __future__ import annotations

import zlib
from base64 import b32decode, b32encode
from binascii import Error as NoBase32
from datetime import date, datetime
from typing import Any, Literal

import msgspec
from msgspec import Struct

from prepboard.texts import _

HEAD = "NOTE"
"""What the text begins with. No code of a batch or a run has an O."""

FORM = 1
"""Which form of the note this is: a later program reads the earlier ones."""

LONGEST = 16_000
"""Bytes of a note, unpacked: what says to be longer is no note."""


class End(Struct, frozen=True, array_like=True):
    """An end of its life that it comes with, by row and word as `may_use` has them. One that `flows` goes on into what
    is made of it; a label's own does not."""

    row: int
    why: str
    until: datetime
    flows: bool = False


class Sent(Struct, frozen=True):
    """What left, by the word of the kitchen that sent it. Amounts are millionths of `unit`, a base unit ("g", "ml",
    "each"); instants are by the sender's clock."""

    id: str
    note: str
    """What people call it: the sender's letter and a code, "C-K7F"."""
    sender: str
    receiver: str
    van: str
    day: str
    """The van's business day, ISO; "" where no van was named."""
    batch: str
    prep: str
    name: str
    unit: str
    amount: int
    made_at: datetime
    first_day: date
    inherited: date | None
    safety: date | None
    stays: tuple[tuple[str, datetime], ...]
    """Where it was kept from when on."""
    ends: tuple[End, ...]
    lots: tuple[tuple[str, str], ...]
    """(goods, lot) of all that went in, however far down; the lot "" where nobody wrote it down."""
    allergens: tuple[str, ...] | None
    """None: not stated."""
    degrees: str
    degrees_unit: Literal["C", "F"]
    sent_at: datetime
    sent_by: str
    leaves: str = ""
    """When its van is to leave, as the file keeps instants; "" without one."""
    form: int = FORM

    @property
    def use_by(self) -> datetime | None:
        """The earliest of its ends; None without one."""
        return min((end.until for end in self.ends), default=None)


class _Packed(Sent, frozen=True, array_like=True):
    """The same without the names of its fields, as a square holds it."""


def text_of(sent: Sent) -> str:
    """The note as it is kept in a file."""
    return msgspec.json.encode(sent).decode()


def word_of_note(sent: Sent) -> dict[str, Any]:
    """The note in plain values."""
    found: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(sent))
    return found


def sent_of(text: str) -> Sent:
    """The note that a file keeps."""
    return msgspec.json.decode(text, type=Sent)


def written(sent: Sent) -> str:
    """The note as its square holds it."""
    fields = {name: getattr(sent, name) for name in sent.__struct_fields__}
    packed = zlib.compress(msgspec.msgpack.encode(_Packed(**fields)), 9)
    return HEAD + b32encode(packed).decode().rstrip("=")


def is_written(typed: str) -> bool:
    """Whether what was typed or scanned begins as a whole note does."""
    return typed.strip().upper().startswith(HEAD)


def read_note(typed: str) -> Sent:
    """The note that was scanned. ValueError, in words, where it is none or is not whole."""
    text = "".join(typed.split()).upper().removeprefix(HEAD)
    try:
        packed = b32decode(text + "=" * (-len(text) % 8))
        opener = zlib.decompressobj()
        plain = opener.decompress(packed, LONGEST)
        if not opener.eof:
            raise ValueError(_("the note is cut short"))
        found = msgspec.msgpack.decode(plain, type=_Packed)
    except (NoBase32, zlib.error, msgspec.DecodeError, ValueError) as fault:
        raise ValueError(_("that is no whole note: scan its square again")) from fault
    return Sent(**{name: getattr(found, name) for name in found.__struct_fields__})
