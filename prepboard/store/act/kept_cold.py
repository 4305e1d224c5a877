"""Kept cold: food out of temperature control has six hours instead of four where its place says that it is that cold
and readings show it. FDA Food Code 2022, 3-501.19(C): cold food only, never above 21 °C (70 °F)."""

from __future__ import annotations

from msgspec.structs import replace

from prepboard.book.safety.temperatures import Reading, within
from prepboard.store.act.doing import Doing, Row
from prepboard.store.act.use_by import history_of, life_columns
from prepboard.store.read.measured import of_batch, of_place

LIMIT = "time_control_cold_limit"


def look_again(doing: Doing, of: str) -> None:
    """Works out anew how long food out of temperature control is good, after a reading of it or of its place."""
    out = "SELECT * FROM batches WHERE state = 'live' AND store = 'time' AND (code = ? OR place = ?)"
    rows = doing.rows(out, of, of)
    for batch in rows:
        history = history_of(batch)
        cold = _is_cold(doing, batch)
        if cold != history.cold:
            change = life_columns(doing.book, batch["prep"], replace(history, cold=cold))
            doing.put("batches", {"code": batch["code"], **change})


def _is_cold(doing: Doing, batch: Row) -> bool:
    rules, place = doing.book.kitchen.rules, doing.book.places.get(batch["place"])
    stays = history_of(batch).stays
    if LIMIT not in rules.rules or place is None or place.temperature is None or batch["prep"] not in doing.book.preps:
        return False
    came_cold = len(stays) > 1 and stays[-2].store == "chilled"
    said = Reading(place.id, "place", stays[-1].since, place.temperature.degrees, place.temperature.unit)
    read = [*of_batch(doing.db, batch["code"], None), *of_place(doing.db, place.id)]
    since = [one for one in read if one.at >= stays[-1].since]
    return came_cold and within(rules, LIMIT, said) and bool(since) and all(within(rules, LIMIT, one) for one in since)
