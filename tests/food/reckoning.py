"""A small reckoning of food, written from the sentences of the codes and sharing nothing with what it checks.

Moments are whole minutes from a Monday's midnight in a zone without clock changes; temperatures are degrees C. What is
known of one food is a few facts, each from a moment on; what is made of it has what was so when it went in.

FDA Food Code 2022 by its sections. UK: Food Safety (Temperature Control) Regulations 1995 and SI 2013/2996 Schedule 4;
its cooling times are guidance and block nothing. Ireland: FSAI Guidance Note 15. FSANZ Standard 3.2.2 clause 7(3) and
the 2 hour / 4 hour guidance. Where a sentence leaves a choice the shorter life is taken.
"""

from __future__ import annotations

from dataclasses import dataclass

from tests.food.reckoned_control import out_facts, place_facts, reheat_facts
from tests.food.reckoned_cooling import cooling_facts, ways_of
from tests.food.reckoned_dates import date_facts
from tests.food.reckoned_facts import Fact, Kitchen, corrected, readings, stood


def facts(kitchen: Kitchen, name: str, now: int, seen: dict[str, list[Fact]] | None = None) -> list[Fact]:
    """All that is known of a batch by `now`, each from a moment on."""
    seen = {} if seen is None else seen
    if name in seen:
        return seen[name]
    batch = kitchen.batches[name]
    found: list[Fact] = []
    for run, at in batch.made:
        found += _of_run(kitchen, run, at, now, seen)
    ways, own = ways_of(kitchen, batch, now), readings(kitchen, batch)
    mine = cooling_facts(kitchen, name, ways, own, corrected(kitchen, batch))
    mine += [*reheat_facts(kitchen, name, batch), *out_facts(kitchen, name, batch, ways)]
    mine += place_facts(kitchen, name, batch, ways)
    if batch.whole is not None:
        # Its own record has all of the whole's up to then; what was read of the whole later reaches back to it too.
        whole, at = batch.whole
        known = {(one.row, one.since) for one in mine}
        known |= {(3, due) for way in ways for due, state in way.limits if state == "missed"}
        for one in facts(kitchen, whole, now, seen):
            again = one.of == whole and (one.row == 4 or (one.row, one.since) in known or one.what == "taste block")
            if one.since <= at and (one.over is None or one.over > at) and not again:
                found.append(Fact(one.row, at, one.until, one.what, one.of))
    if batch.blocked:
        found.append(Fact(2, batch.ready, what=f"{batch.blocked} block", of=name))
    stays = stood(kitchen, batch)
    for place, begin in kitchen.blocked.items():
        for index, (since, stands) in enumerate(stays):
            left = stays[index + 1][0] if index + 1 < len(stays) else None
            if stands == place and (left is None or left > begin):
                found.append(Fact(2, max(since, begin), what=f"place {place}", of=place))
    for of_batch, goods, lot in kitchen.withdrawn:
        same = bool(lot) and bool(batch.lot) and same_lot(lot, batch.lot)
        unknown = goods == batch.pack and (not lot or not batch.lot)
        if of_batch == name or (batch.pack and not of_batch and (same or unknown)):
            found.append(Fact(2, batch.ready, what="withdrawn", of=name))
    found += mine
    seen[name] = found
    return found


def same_lot(one: str, other: str) -> bool:
    return one.replace(" ", "").lower() == other.replace(" ", "").lower()


def _of_run(kitchen: Kitchen, name: str, at: int, now: int, seen: dict[str, list[Fact]]) -> list[Fact]:
    """What went into a run by `at`: all that was so when it went in."""
    run, found = kitchen.runs[name], list[Fact]()
    for code, moment in run.took:
        if moment > at:
            continue
        for one in [*facts(kitchen, code, now, seen), *date_facts(kitchen, kitchen.batches[code], moment)]:
            over = one.since > moment or (one.over is not None and one.over <= moment) or "taste" in one.what
            if over or one.row not in (2, 3, 4, 6, 7, 8, 9):
                continue
            if one.row in (2, 3, 4, 6) or (one.until is not None and one.until <= moment):
                found.append(Fact(one.row, at, one.until, one.what, one.of))
    for of_batch, goods, _lot in kitchen.withdrawn:
        if not of_batch and any(goods == one and moment <= at for one, moment in run.unopened):
            found.append(Fact(2, at, what="unknown lot", of=name))
    return found


@dataclass(frozen=True)
class Answer:
    may: bool
    until: int | None
    row: int
    what: str = ""


def may_use(kitchen: Kitchen, name: str, at: int, seen: dict[str, list[Fact]] | None = None) -> Answer:
    """Whether a batch may be used at a moment, and until when; `seen` keeps what was worked out for that moment."""
    known = [one for one in facts(kitchen, name, at, seen) if one.since <= at]
    ends = [one for one in known if one.until is not None and one.row == 6 and (one.over is None or one.over > at)]
    ends += date_facts(kitchen, kitchen.batches[name], at)
    ends += [one for one in known if one.until is not None and one.row in (7, 8, 9)]
    first = min(ends, key=lambda one: (one.until, one.row), default=None)
    until = first.until if first else None
    for row in (2, 3, 4):
        refused = next((one for one in known if one.row == row), None)
        if refused is not None:
            return Answer(False, until, row, refused.what)
    return Answer(until is None or at < until, until, first.row if first else 9)
