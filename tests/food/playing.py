"""A kitchen that does whatever the dice say with its food, and beside it the small reckoning that says what is true.

A play is a list of plain numbers: each is one action and what it is done to. So hypothesis can make it shorter, and a
benchmark can draw it from a seed. After each action every batch is asked about, now and for moments ahead.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from random import Random

from prepboard.clock import FixedClock
from tests.food import reckoned_facts
from tests.food.played_actions import (
    ACTIONS,
)
from tests.food.played_asking import Differs, Play
from tests.food.played_kitchen import DISHES, MONDAY, WAITS, InMemory, Op, Ready

THEMES = (
    (),
    ("unseen", "start", "step", "read run", "done", "onto", "read", "read", "reheat", "corrected", "split", "undo",
     "probe", "check"),
    ("unseen", "unseen", "move", "read", "read place", "exposed", "split", "start", "done", "late", "count",
     "probe", "check"),
    ("unseen", "start", "done", "freeze", "thaw", "read place", "open", "relabel", "split", "onto", "undo", "rename",
     "probe", "check"),
    ("open", "start", "done", "onto", "split", "withdraw", "lift", "block", "unblock", "rename", "undo", "plate"),
)  # fmt: skip
"""What a play is about: all there is, cooling, places, dates, what is withheld."""


def drawn(seed: str, most: int = 50) -> list[Op]:
    """A play drawn from a seed; most waits are short. Plays about one thing go deeper than those about everything."""
    random = Random(seed)
    theme = random.choice(THEMES)
    short = len(WAITS) - 5
    kinds = [number for number, (name, _action) in enumerate(ACTIONS) if not theme or name in theme]
    first = [number for number in kinds if ACTIONS[number][0] in ("start", "unseen")]
    return [
        (
            random.choice(first if number < 2 else kinds),
            random.randrange(60),
            random.randrange(60),
            random.randrange(short) if random.random() < 0.85 else random.randrange(len(WAITS)),
        )
        for number in range(random.randint(8, most))
    ]


def begin(ready: Ready) -> Play:
    """A fresh kitchen, copied from the one that was made ready."""
    clock = FixedClock(MONDAY + timedelta(hours=5))
    file = InMemory.copy_of(ready, clock)
    return Play(
        file, clock, ready, reckoned_facts.Kitchen(reckoned_facts.CODES[ready.rules], DISHES, hold=ready.hold), ACTIONS
    )


def played(ready: Ready, ops: Sequence[Op]) -> Play:
    """Plays it through; Differs, with all that was done, where the answers are not the same."""
    play = begin(ready)
    try:
        for op in ops:
            play.do(op)
    except Differs as no:
        told = "\n  ".join(play.said)
        raise Differs(f"{ready.rules}{' hold' if ready.hold else ''}: {no}\n  {told}") from None
    finally:
        play.file.close()
    return play
