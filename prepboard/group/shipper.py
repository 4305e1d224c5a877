"""The one shipper of a kitchen: sends what was done, takes in what others told, sleeps until there is more of either.

It is woken by the file's own watch and by the group's notice. Without a line it goes on trying, more slowly; nothing
in the kitchen waits for it.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import suppress
from hashlib import md5
from random import SystemRandom
from uuid import uuid4

from msgspec import Struct

from prepboard.book.reading.faults import Faults
from prepboard.group.hearing import Heard, hear, hear_again, hear_holds
from prepboard.group.line import Away, Denied, Line
from prepboard.group.shipping import LEASE, Shipped, ship
from prepboard.store.actions.group.books import take_books_due
from prepboard.store.file.faults import NotSaved, PutBack
from prepboard.store.file.who import Refused
from prepboard.store.group.shipping import joined
from prepboard.store.health.book_faults import keep_book_faults
from prepboard.store.health.group_line import keep_group_heard
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.watch import changes
from prepboard.texts import _

LOOK_AGAIN = LEASE / 2
"""Seconds after which the group is asked without a reason: it keeps the lease, and says that the line lives."""

AGAIN = 3600.0
"""Seconds after which what had to be refused is tried once more; also when a shipper begins."""

PATIENCE = (1.0, 2.0, 5.0, 15.0, 30.0)
"""Seconds between tries while there is no line."""

_jitter = SystemRandom()


class Round(Struct, frozen=True):
    """What one round came to. `away` says why there is no line; "" when there is one."""

    shipped: Shipped | None = None
    heard: Heard | None = None
    away: str = ""


def channel_of(kitchen: str) -> str:
    """Where the group says that there is news for a kitchen."""
    return f"prepboard_{md5(kitchen.encode(), usedforsecurity=False).hexdigest()}"


async def one_round(file: KitchenFile, line: Line, shipper: str) -> Round:
    """Ships, hears, and ships what came of hearing. Never raises for the line's sake. Where a copy is put in the file's
    place meanwhile it begins anew."""
    while True:
        try:
            with file.until_restored():
                return await _round(file, line, shipper)
        except PutBack:
            continue


async def _round(file: KitchenFile, line: Line, shipper: str) -> Round:
    us = joined(file)
    if us is None:
        return Round(away=_("this kitchen is in no group: prepboard group join"))
    try:
        shipped = await ship(file, line, shipper, us)
        if shipped.said == "other":
            return Round(shipped)
        if shipped.said != "in":
            return Round(shipped, await hear_holds(file, line))
        heard = await hear(file, line)
        _take_book(file)
        if heard.taken_in:
            again = await ship(file, line, shipper, us)
            shipped = Shipped(again.said, shipped.actions + again.actions, again.why)
        return Round(shipped, heard)
    except (Away, Denied) as why:
        return Round(away=str(why))
    except PutBack:
        raise
    except NotSaved as why:
        await line.hang_up()
        return Round(away=str(why))


async def _again(file: KitchenFile, line: Line, heard: Heard) -> Heard:
    """What was heard, and what of what was refused earlier could be taken in by now."""
    with suppress(Away, Denied, NotSaved), file.until_restored():
        more = await hear_again(file, line)
        return Heard(heard.taken_in + more.taken_in, heard.refused)
    return heard


def _take_book(file: KitchenFile) -> None:
    """The group's book, on its day. Where it does not go together with this kitchen's own files the old one stays, and
    the sous chef's board says what is wrong."""
    try:
        took = take_books_due(file)
    except Faults as fault:
        keep_book_faults(file, _("the group's book"), list(map(str, fault.faults)))
    except Refused as why:
        keep_book_faults(file, _("the group's book"), [str(why)])
    else:
        if took is not None:
            keep_book_faults(file, "", ())


async def run(file: KitchenFile, line: Line, told: Callable[[Round], None]) -> None:
    """Until it is cancelled; `told` hears of every round."""
    shipper, tries = uuid4().hex, 0
    loop, again = asyncio.get_running_loop(), 0.0
    us = joined(file)
    if us is not None:
        with suppress(Away, Denied):
            await line.listen(channel_of(us.kitchen))
    changed = asyncio.Event()
    watching = asyncio.create_task(_watch(changes(file), changed))
    try:
        while True:
            changed.clear()
            now = await one_round(file, line, shipper)
            if now.heard is not None and loop.time() >= again:
                again = loop.time() + AGAIN
                now = Round(now.shipped, await _again(file, line, now.heard))
            with suppress(NotSaved):
                keep_group_heard(file, not now.away)
            told(now)
            tries = tries + 1 if now.away else 0
            if tries:
                await asyncio.sleep(PATIENCE[min(tries, len(PATIENCE)) - 1] * _jitter.uniform(0.7, 1.3))
            else:
                await _until_there_is_more(line, changed, watching)
    finally:
        watching.cancel()
        await asyncio.gather(watching, return_exceptions=True)
        await line.hang_up()


async def _watch(looks: AsyncIterator[None], changed: asyncio.Event) -> None:
    async for _one in looks:
        changed.set()


async def _until_there_is_more(line: Line, changed: asyncio.Event, watching: asyncio.Task[None]) -> None:
    waits = [asyncio.create_task(changed.wait()), asyncio.create_task(line.news())]
    try:
        await asyncio.wait([*waits, watching], timeout=LOOK_AGAIN, return_when=asyncio.FIRST_COMPLETED)
        if watching.done():
            watching.result()  # the file is gone: whoever runs this hears of it
    finally:
        for one in waits:
            one.cancel()
        await asyncio.gather(*waits, return_exceptions=True)
