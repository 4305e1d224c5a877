"""What goes between the kitchens of a group, as one of them knows it: on vans, ordered, held back elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Literal

from msgspec import Struct

TransferState = Literal[
    "on the van", "received", "short", "refused", "received on paper", "taken back", "crossed"
]  # fmt: skip


MISSING = timedelta(days=1)
"""So long after it left somebody has to say what became of a box that nobody took in (common practice, no source)."""


class Transfer(Struct, frozen=True):
    """Food that went from one kitchen to another: what left is the sender's word, what came the receiver's. Amounts are
    millionths of `unit`, a base unit; instants are each by the clock of the kitchen whose word it is."""

    id: str
    note: str
    """What people call it: the sender's letter and a code, "C-K7F"."""
    sender: str
    receiver: str
    van: str
    day: date | None
    batch: str
    """The sender's code of it."""
    prep: str
    name: str
    """Of what no recipe knows."""
    unit: str
    amount: int
    use_by: datetime | None
    lots: tuple[tuple[str, str], ...]
    allergens: tuple[str, ...] | None
    degrees: str
    """As it left, with its unit: "3.5 °C"."""
    sent_at: datetime
    sent_by: str
    back_at: datetime | None = None
    got: str = ""
    """ "taken in", "refused", or "" while nothing is known of it."""
    got_amount: int = 0
    got_at: datetime | None = None
    got_by: str = ""
    got_degrees: str = ""
    got_why: str = ""
    ours: str = ""
    """The receiver's own code of it."""
    settled: bool = False
    held: str = ""
    """Why it is held back already, by whom; nobody takes it in to use it."""
    passes_on: date | None = None
    """The day 1 that it hands to what is made of it."""
    safety: date | None = None
    made_at: datetime | None = None
    shipped: bool = True
    """Whether the sender's own word is here: not only the paper that came with the food."""

    @property
    def state(self) -> TransferState:
        """What both halves say together."""
        if self.got == "refused":
            return "taken back" if self.back_at else "refused"
        if self.got:
            if self.back_at:
                return "crossed"
            if self.got_amount < self.amount:
                return "short"
            return "received" if self.shipped else "received on paper"
        return "taken back" if self.back_at else "on the van"

    @property
    def differs(self) -> bool:
        """Whether somebody has to answer for what left and what came."""
        lacks = self.got == "taken in" and self.got_amount < self.amount
        return not self.settled and (lacks or self.state in ("refused", "crossed"))

    def missing(self, now: datetime) -> bool:
        """Whether it left long ago and nobody took it in or answered for it."""
        return self.state == "on the van" and not self.settled and self.sent_at + MISSING <= now


class Ordered(Struct, frozen=True):
    """What a kitchen ordered by a van of a business day; `maker` is the one that is to send it."""

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
    """It came after the van was closed: the maker answers it."""


class Order(Ordered, frozen=True):
    """The same with what was said to it."""

    answer: str = ""
    """ "yes", "no", or "" while nobody has answered; in time it counts without one."""
    answer_why: str = ""

    @property
    def counts(self) -> bool:
        """Whether it is to be sent."""
        return self.answer == "yes" or (not self.answer and not self.late)


class ToldHold(Struct, frozen=True):
    """What is held back here and the others were told of: a batch, to the kitchen that has some of it, or goods of a
    lot, to all."""

    id: str
    receivers: tuple[str, ...]
    code: str
    goods: str
    lot: str
    why: str
    at: datetime
    by: str
    seen: Mapping[str, tuple[datetime, str]]
    """Kitchen -> when somebody there had looked for it, and who."""

    @property
    def not_seen(self) -> tuple[str, ...]:
        return tuple(one for one in self.receivers if one not in self.seen)


class Hold(Struct, frozen=True):
    """What another kitchen holds back: a batch by its code there, or goods of a lot."""

    id: str
    sender: str
    code: str
    goods: str
    lot: str
    why: str
    at: datetime
    by: str
    lifted_at: datetime | None = None
    seen_at: datetime | None = None
    seen_by: str = ""
    here: tuple[str, ...] = ()
    """Our codes of what came of it."""
