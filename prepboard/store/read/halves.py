"""What one kitchen tells another: each message is whole in itself, so that they may come in any order and twice."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Literal, TypeVar

import msgspec
from msgspec import Struct

from prepboard.store.read.delivery_note import Sent
from prepboard.texts import _

T = TypeVar("T")


class Back(Struct, frozen=True):
    """The sender took it back."""

    transfer: str
    sent: Sent
    at: datetime
    by: str


class Got(Struct, frozen=True):
    """The receiver's half; of several the one of the highest `turn` counts. `undone`: that it came was taken back, and
    nothing of it is there."""

    transfer: str
    sent: Sent
    turn: int
    got: Literal["taken in", "refused"]
    amount: int
    at: datetime
    by: str
    degrees: str = ""
    why: str = ""
    ours: str = ""
    """The receiver's code of it."""
    undone: bool = False


class Settled(Struct, frozen=True):
    """That a kitchen answered for what does not agree; `undone`: it took that back."""

    transfer: str
    kitchen: str
    at: datetime
    by: str
    why: str
    undone: bool = False
    sent: Sent | None = None
    """None: from a prepboard that did not say it yet."""


class Held(Struct, frozen=True):
    """What a kitchen holds back: a batch by its own code, for the `receiver` of some of it, or goods of a lot, for
    all."""

    id: str
    sender: str
    why: str
    at: datetime
    by: str
    code: str = ""
    goods: str = ""
    lot: str = ""
    receiver: str = ""


class Lifted(Struct, frozen=True):
    """It holds that back no more."""

    id: str
    at: datetime
    by: str
    why: str = ""
    receiver: str = ""


class Answered(Struct, frozen=True):
    """What the kitchen that is to send it says to an order."""

    order: str
    answer: Literal["yes", "no"]
    at: datetime
    by: str
    why: str = ""


class Seen(Struct, frozen=True):
    """That a kitchen has looked for what another one holds back."""

    hold: str
    kitchen: str
    at: datetime
    by: str


class NewBook(Struct, frozen=True):
    """A book for all kitchens, from a business day on."""

    number: int
    from_day: date
    texts: dict[str, str]


def read_half(kind: type[T], word: object) -> T:
    """A message as it came: JSON text, a mapping, or made already. ValueError, in words, for one that lacks something
    or holds what cannot be."""
    if isinstance(word, kind):
        return word
    try:
        if isinstance(word, str | bytes):
            return msgspec.json.decode(word, type=kind)
        return msgspec.convert(word, kind)
    except (msgspec.ValidationError, msgspec.DecodeError, UnicodeDecodeError) as fault:
        raise ValueError(_("another kitchen's message cannot be read: {why}").format(why=fault)) from fault


def word_of(half: Struct) -> dict[str, Any]:
    """A message as it goes, in plain values."""
    found: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(half))
    return found
