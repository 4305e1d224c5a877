"""Presses: what of all that a keyboard sends was meant.

A key that is held or stuck comes again and again; the keys that follow one that asks something come before the
question stands; and a packet brings several at once. So the same key is one press until it was let go, and keys wait in
their order until it is known where they belong.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextvars import ContextVar
from time import monotonic
from typing import Literal

from prepboard.boards.keys import MOVES

HELD = 0.08
"""Seconds within which the same key is the same press: keyboards repeat 20 to 40 times a second, hands 8 at most
(common practice, no source)."""

BEGINS_TO_REPEAT = 0.7
"""Seconds after a press within which a keyboard may begin to repeat it: the first repeat looks like a second press, and
waits until it is seen whether a third follows at the pace of a machine."""

PACKET = 0.005
"""Seconds between two keys of one packet, at most. So long a key that acts waits for others behind it: several
different letters in one packet were pasted into a terminal that does not say so, and no hand pressed them."""

BEHIND = 0.05
"""Seconds in which what is pasted may go on in the next packet."""

GIVEN_UP = 3.0
"""Seconds after which keys no longer wait for a question that does not come: they are dropped, since nobody knows where
they belong, and that is said."""

Verdict = Literal["now", "wait", "no"]

_asked: ContextVar[int] = ContextVar("asked", default=0)
"""Which press the worker that runs belongs to."""


class Presses:
    """Judges each key as it comes, and knows whether a press still has to say where the next ones belong."""

    def __init__(self, *, ticks: Callable[[], float] = monotonic) -> None:
        self._ticks = ticks
        self._last: dict[str, float] = {}
        """When each key came last, meant or not."""
        self._open: dict[int, float] = {}
        """Presses that may ask yet, and since when."""
        self._number = 0
        self._gave_up = 0.0
        self._pasted_until = -1.0

    # --- the same key again ------------------------------------------------------------------------------

    def judge(self, key: str, character: str | None, *, typing: bool, at: float, acts: bool = False) -> Verdict:
        """Whether a key that came `at` that moment (machine's clock) is meant: now, perhaps (it is asked about again
        with `stands_alone`), or not. `acts`: where it was pressed it does something by itself, and is no sign of a
        number."""
        if key in MOVES or _types(character, typing, acts) or (typing and key in ("backspace", "delete")):
            return "now"
        apart = at - self._last.get(key, -1e9)
        self._last[key] = at
        if apart <= HELD:
            return "no"
        return "wait" if HELD and apart <= BEGINS_TO_REPEAT else "now"

    def stands_alone(self, key: str, at: float) -> bool:
        """Whether nothing followed a press that waited."""
        return self._last.get(key) == at

    # --- pasted as plain keys ------------------------------------------------------------------------------

    def is_pasted(self, keys: Sequence[tuple[float, str | None]]) -> bool:
        """Whether the first of these keys, each with its moment and its sign, is one of a pasted text: two different
        small letters stand in its packet, or it follows one in which they did."""
        packet = _packet(keys)
        if len({sign for _at, sign in packet if _is_of_text(sign)}) > 1 or packet[0][0] <= self._pasted_until:
            self._pasted_until = packet[-1][0] + BEHIND
            return True
        return False

    def waits_for_more(self, key: str, character: str | None, *, typing: bool, at: float, acts: bool) -> bool:
        """Whether it matters what follows in the packet: for what acts, and for Enter within a pasted text."""
        if typing:
            return key == "enter" and at <= self._pasted_until
        held = at - self._last.get(key, -1e9) <= HELD
        return key not in MOVES and not held and not _types(character, typing, acts)

    # --- what a press asks -------------------------------------------------------------------------------

    def begins(self) -> int:
        """A worker begins for a press; until it asks, acts or ends, the next keys wait. The worker says its number by
        `is_mine`."""
        self._number += 1
        self._open[self._number] = self._ticks()
        return self._number

    @staticmethod
    def is_mine(number: int) -> None:
        _asked.set(number)

    def goes_on(self) -> None:
        """The worker had its answer, and may ask again."""
        if number := _asked.get():
            self._open[number] = self._ticks()

    def decided(self) -> None:
        """The worker acts, or has ended: the next keys belong to what is in sight."""
        self._open.pop(_asked.get(), None)

    def stands(self) -> None:
        """A question stands, and takes the keys."""
        self._open.clear()

    @property
    def undecided(self) -> bool:
        now = self._ticks()
        left = {number: since for number, since in self._open.items() if now - since < GIVEN_UP}
        if self._open and not left:
            self._gave_up = max(self._open.values()) + GIVEN_UP
        self._open = left
        return bool(left)

    def gave_up(self) -> float:
        """Until when keys waited for a question in vain, by the machine's clock; asked once, 0 where they did not."""
        gave_up, self._gave_up = self._gave_up, 0.0
        return gave_up


def _packet(keys: Sequence[tuple[float, str | None]]) -> list[tuple[float, str | None]]:
    packet = [keys[0]]
    for key in keys[1:]:
        if key[0] - packet[-1][0] > PACKET:
            break
        packet.append(key)
    return packet


def _is_of_text(sign: str | None) -> bool:
    return bool(sign) and str(sign).isalpha() and not str(sign).isupper()


def _types(character: str | None, typing: bool, acts: bool) -> bool:
    """Whether a key types a sign: digits begin a number where they do nothing else, capitals are a scanner's."""
    if not character or not character.isprintable():
        return False
    return typing or character.isupper() or (character.isdigit() and not acts)
