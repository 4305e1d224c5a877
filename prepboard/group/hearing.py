"""What others told this kitchen, taken in by ordinary actions.

Each has an id that follows from what it is about, so the same news twice is once. A bad one is refused, listed with
why, and never stops those that come after it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from msgspec import Struct

from prepboard.group.line import Line
from prepboard.store.actions.group import hearing as acts
from prepboard.store.actions.group import hearing_lost, hearing_own
from prepboard.store.actions.group.books import hear_book
from prepboard.store.actions.group.hearing_own_hold import hear_own_hold
from prepboard.store.file.faults import NotSaved
from prepboard.store.file.who import Did, Refused
from prepboard.store.group.heard import HeardTo, heard_to, keep_heard
from prepboard.store.kitchen_file import KitchenFile

AT_ONCE, MANY = 100, 5000
"""News that come at once, and of a file that has to wait."""

KINDS: Mapping[str, Callable[[KitchenFile, Mapping[str, Any]], Did]] = {
    "sent": acts.hear_sent,
    "back": acts.hear_back,
    "got": hearing_own.hear_got_of_lost,
    "settled": acts.hear_settled,
    "hold": acts.hear_hold,
    "lifted": acts.hear_lifted,
    "seen": acts.hear_seen,
    "order": acts.hear_order,
    "answer": acts.hear_answer,
    "book": hear_book,
    "own sent": hearing_own.hear_own_sent,
    "own back": hearing_own.hear_own_taken_back,
    "own got": hearing_own.hear_own_got,
    "own settled": acts.hear_settled,
    "own hold": hear_own_hold,
    "lost sent": hearing_lost.hear_lost_sent,
    "lost back": hearing_lost.hear_lost_back,
    "lost got": hearing_lost.hear_lost_got,
    "lost settled": hearing_lost.hear_lost_settled,
    "lost hold": hear_own_hold,
}
"""What the group tells -> the action that takes it in."""


class Heard(Struct, frozen=True):
    taken_in: int
    refused: Mapping[int, str]
    """The number of the news -> why it could not be taken in."""


async def hear(file: KitchenFile, line: Line) -> Heard:
    """Takes in all news after what this file has heard. What could not be saved is not acknowledged and comes again:
    NotSaved."""
    taken_in, refused = 0, dict[int, str]()
    while True:
        to = heard_to(file)
        news = await line.ask("hear", AT_ONCE, to.number, to.token)
        if not news:  # none; or the group was set back, which the next round finds
            return Heard(taken_in, refused)
        now_refused = {number: why for number, kind, _about, word, _token in news if (why := take_in(file, kind, word))}
        refused |= now_refused
        taken_in += len(news) - len(now_refused)
        # Told first, so that what was refused is listed there, whatever happens in between.
        await line.ask("heard", to.number, news[-1][0], {str(number): why for number, why in now_refused.items()})
        keep_heard(file, HeardTo(news[-1][0], news[-1][4]))


async def hear_again(file: KitchenFile, line: Line) -> Heard:
    """What this file had to refuse may be possible by now: what it is about was not known, the book did not have it, or
    the program was too old."""
    taken_in, refused = 0, dict[int, str]()
    for number, kind, _about, word, _token in await line.ask("hear_again"):
        why = take_in(file, kind, word)
        if why:
            refused[number] = why
        else:
            taken_in += 1
            await line.ask("heard", number - 1, number, {})
    return Heard(taken_in, refused)


async def hear_holds(file: KitchenFile, line: Line) -> Heard:
    """Only what is held back elsewhere, for a file that stands otherwise than the group knows it: nothing is
    acknowledged, and all of it comes again once that is settled."""
    to = heard_to(file)
    news = await line.ask("hear", MANY, to.number, to.token) or []
    whys = [take_in(file, kind, word) for _n, kind, _about, word, _token in news if kind in ("hold", "lifted")]
    return Heard(whys.count(""), {})


def take_in(file: KitchenFile, kind: str, word: Mapping[str, Any]) -> str:
    """Why one item could not be taken in; "" when it was."""
    act = KINDS.get(kind)
    if act is None:
        return f"unknown: {kind}"
    try:
        act(file, word)
    except NotSaved:
        raise
    except Refused as refused:
        return str(refused) or type(refused).__name__
    except Exception as fault:  # whatever it is: what comes after it must not wait for it
        return f"{type(fault).__name__}: {fault}"
    return ""
