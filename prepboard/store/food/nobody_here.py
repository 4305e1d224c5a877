"""Food that still cools when everybody has gone: who reads it is named before a close is signed."""

from __future__ import annotations

from prepboard.book.hands import last_hands
from prepboard.book.safety.cooling import Limit, guidance
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Refused
from prepboard.store.food.taking import name_of
from prepboard.store.read.measured import COOLS_AT_MOST
from prepboard.store.read.storage import storage_of
from prepboard.store.transaction.doing import Doing, Row
from prepboard.texts import _


def still_cooling(doing: Doing, station: str) -> list[tuple[Row, Limit]]:
    """The station's batches that cool, each with its next limit, where that comes after the last hands have gone."""
    gone = last_hands(doing.book, doing.now)
    if gone is None or guidance(doing.book.kitchen.rules):
        return []
    since = instant_text(doing.now - COOLS_AT_MOST)
    sql = (
        "SELECT * FROM batches WHERE state = 'live' AND station = ? AND made_at >= ?"
        " AND store IN ('chilled', 'frozen') ORDER BY code"
    )
    found: list[tuple[Row, Limit]] = []
    for batch in doing.rows(sql, station, since):
        food = storage_of(doing.files, batch["code"])
        limits = [way.next for way in food.judged.coolings if way.next] if food else []
        found += [(batch, limit) for limit in limits[:1] if limit.due > gone]
    return found


def check_read(doing: Doing, station: str, reads: str) -> None:
    """Refused while something cools with its next limit after the last hands, unless somebody is named who reads it."""
    lines = still_cooling(doing, station)
    if not lines:
        return
    rules = doing.book.kitchen.rules.rules
    if not reads:
        named = "; ".join(
            _("{name} {batch}: {to} by {time}, nobody here").format(
                name=name_of(doing, batch), batch=batch["code"], to=rules[limit.to].said, time=doing.time(limit.due)
            )
            for batch, limit in lines[:3]
        )
        said = _("{batches}: ice it and read it, name who reads it (`sign --reads NAME`), or bin it")
        raise Refused(said.format(batches=named))
    for batch, limit in lines:
        after = _("{to} by {time}").format(to=rules[limit.to].said, time=doing.time(limit.due))
        doing.log("is to read", batch=batch["code"], prep=batch["prep"], after=after, why=reads)
