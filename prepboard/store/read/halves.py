"""What one kitchen tells another: each message is whole in itself, so that they may come in any order and twice."""

from __future__ import annotations

from datetime import date, datetime
from typing import Literal, TypeVar

import msgspec
from msgspec import Struct

from prepboard.store.read.note import Sent
from prepboard.texts import _

T = TypeVar("T")


class Back(Struct, frozen=True):
    """The sender took it back."""

    sent: Sent
    at: datetime
    by: str


class Got(Struct, frozen=True):
    """The receiver's half. `got` is "" where a receipt was undone: then nothing of it is there any more."""

    sent: Sent
    turn: int
    got: Literal["", "taken in", "refused"]
    amount: int
    at: datetime
    by: str
    degrees: str = ""
    why: str = ""
    ours: str = ""
    """The receiver's code of it."""


class Held(Struct, frozen=True):
    """What a kitchen holds back: a batch by its own code, or goods of a lot."""

    id: str
    sender: str
    why: str
    at: datetime
    by: str
    code: str = ""
    goods: str = ""
    lot: str = ""


class Lifted(Struct, frozen=True):
    """It holds that back no more."""

    id: str
    at: datetime
    by: str
    why: str = ""


class Ordered(Struct, frozen=True):
    """What a kitchen orders by a van."""

    id: str
    van: str
    day: date
    kitchen: str
    maker: str
    prep: str
    amount: int
    unit: str
    at: datetime
    by: str
    late: bool = False


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


def read_half(kind: type[T], body: str | bytes | T) -> T:
    """A message as it came. ValueError, in words, for one that lacks something or holds what cannot be."""
    if isinstance(body, kind):
        return body
    assert isinstance(body, str | bytes)
    try:
        return msgspec.json.decode(body, type=kind)
    except (msgspec.ValidationError, msgspec.DecodeError, UnicodeDecodeError) as fault:
        raise ValueError(_("another kitchen's message cannot be read: {why}").format(why=fault)) from fault


def written_half(half: Struct) -> str:
    """A message as it goes."""
    return msgspec.json.encode(half).decode()
