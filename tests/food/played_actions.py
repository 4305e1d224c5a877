"""What the dice may do with food: each does it in the kitchen and, if that was not refused, tells the reckoning."""

from __future__ import annotations

import copy
import pickle
from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from functools import partial

from prepboard.store.actions import undoing
from prepboard.store.actions.food import holding, making, opened, places, probes, readings, stock, withdrawing
from prepboard.store.actions.loading import load_texts
from prepboard.store.actions.night import service
from prepboard.store.file.who import Did
from prepboard.store.food.ending import How
from tests.food import reckoned_dates, reckoned_facts
from tests.food.played_asking import NothingToDo, Play, moment, pick
from tests.food.played_kitchen import LITRE, NAMES, PLACES, WARMTH, WHO


def start(play: Play, a: int, b: int) -> None:
    dish = pick(NAMES, a)
    before = play.there()
    run = making.start(play.file, WHO, play.id_of(dish), Fraction(1), sure=True).run
    play.told.runs[run] = reckoned_facts.Run(dish, play.minute)
    play.taken(run, before)
    play.tell(f"start {dish} {run} takes {play.told.runs[run].took}")


def step(play: Play, a: int, b: int) -> None:
    run = pick([one for one in play.under_way() if play.told.dishes[play.told.runs[one].dish].hot], a)
    making.step(play.file, WHO, run, sure=True)
    play.told.runs[run].pressed = play.minute
    play.tell(f"step {run}")


def done(play: Play, a: int, b: int) -> None:
    run = pick(play.under_way(), a)
    _done(play, run, 4 if b % 3 == 0 else 0, more=b % 3 == 0)


def top_up(play: Play, a: int, b: int) -> None:
    run = pick(play.under_way(), a)
    onto = pick([one for one in play.live() if one[1] == play.told.runs[run].dish], b)
    _done(play, run, 3 if b % 2 else 0, more=bool(b % 2), onto=onto[0])


def _done(play: Play, run: str, litres: int, *, more: bool, onto: str = "") -> None:
    found = play.told.runs[run]
    name = play.id_of(found.dish)
    gave = {name: litres * LITRE} if litres else None
    did = making.done(play.file, WHO, run=run, outputs=gave, how=How(onto=onto, more=more), sure=True)
    if not more:
        found.ended = play.minute
    play.taken(run, {})
    _gave(play, did, run, onto)
    play.tell(f"done {run} -> {did.batches} more={more} onto={onto}")


def _gave(play: Play, did: Did, run: str, onto: str = "") -> None:
    found = play.told.runs[run]
    if onto:
        play.told.batches[onto].made.append((run, play.minute))
        return
    (code,) = did.batches
    place = play.told.dishes[found.dish].place
    play.told.batches[code] = reckoned_facts.Batch(
        found.dish, play.minute, made=[(run, play.minute)], stood=[(play.minute, place)]
    )


def done_unseen(play: Play, a: int, b: int) -> None:
    dish = pick(NAMES, a)
    instead = {}
    if dish == "stew" and b % 3 == 0:
        instead = {play.id_of("soup"): "salad"}
    before = play.there()
    did = making.done(play.file, WHO, prep=play.id_of(dish), how=How(instead=instead), sure=True)
    with play.file.looking() as db:
        (run,) = db.execute("SELECT run FROM batches WHERE code = ?", [did.batches[0]]).fetchone()
    play.told.runs[run] = reckoned_facts.Run(dish, play.minute, seen=False, ended=play.minute)
    play.taken(run, {**before, "instead": 1} if instead else before)
    _gave(play, did, run)
    play.tell(f"done {dish} unseen {run} -> {did.batches} instead {instead}")


def split(play: Play, a: int, b: int) -> None:
    code, _dish, left = play.a_batch(a)
    if play.told.batches[code].pack or left < 2:
        raise NothingToDo
    did = places.split(play.file, WHO, code, [left // 2 * 1_000_000])
    _part(play, code, did.batches[0])
    play.tell(f"split {code} -> {did.batches}")


def _part(play: Play, whole: str, part: str) -> None:
    if part != whole:
        of = play.told.batches[whole]
        play.told.batches[part] = reckoned_facts.Batch(
            of.dish, of.ready, whole=(whole, play.minute), blocked=of.blocked, pack=of.pack, lot=of.lot,
            safety=of.safety, first_day=of.first_day,
        )  # fmt: skip


def move(play: Play, a: int, b: int) -> None:
    code, _dish, left = play.a_batch(a)
    place = pick(PLACES, b)
    amount = left // 2 * 1_000_000 if b >= 2 * len(PLACES) and left > 2 and not play.told.batches[code].pack else None
    did = places.move_to(play.file, WHO, code, place, amount)
    _part(play, code, did.batches[0])
    play.told.batches[did.batches[0]].stood.append((play.minute, place))
    play.tell(f"move {code} -> {place} {did.batches}")


def freeze(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    places.freeze(play.file, WHO, code)
    play.told.batches[code].stood.append((play.minute, "freezer"))
    play.tell(f"freeze {code}")


def thaw(play: Play, a: int, b: int) -> None:
    frozen = [
        one for one in play.live() if reckoned_facts.stood(play.told, play.told.batches[one[0]])[-1][1] == "freezer"
    ]
    code, _dish, _left = pick(frozen, a)
    places.thaw(play.file, WHO, code, place="walk-in")
    play.told.batches[code].stood.append((play.minute, "walk-in"))
    play.tell(f"thaw {code}")


def use(play: Play, a: int, b: int) -> None:
    code, _dish, left = play.a_batch(a)
    stock.use(play.file, WHO, code, max(1, left // 3) * 1_000_000, "staff")
    play.tell(f"use {code}")


def plate_out(play: Play, a: int, b: int) -> None:
    day = date(2026, 11, 2) + timedelta(days=reckoned_facts.business_day(play.minute))
    service.plate(play.file, WHO, ("dinner", day), "bowl", 1 + b % 3, sure=True)
    play.tell("plate")


def discard(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    stock.discard(play.file, WHO, code, None, "spoiled")
    play.tell(f"discard {code}")


def read_batch(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    degrees = pick(WARMTH, b)
    readings.read(play.file, WHO, "batch", code, Fraction(degrees), "C", sure=True)
    play.told.batches[code].readings.append(reckoned_facts.Read(play.minute, degrees))
    play.tell(f"read {code} {degrees}")


def probe_read(play: Play, a: int, b: int) -> None:
    """With the one probe that has a name: of a batch, a run or a place."""
    what = (read_batch, read_batch, read_run, read_place, read_exposed, read_reheat)[b % 6]
    with_probe(play, what, a, b // 6)


def with_probe(play: Play, what: Callable[[Play, int, int], None], a: int, b: int) -> None:
    plain = readings.read
    readings.read = partial(plain, probe="Blue")  # type: ignore[assignment]
    try:
        what(play, a, b)
    finally:
        readings.read = plain  # type: ignore[assignment]
    for one in _every_reading(play):
        one.probe = one.probe or one.at == play.minute  # Nothing else is done in the same minute.
    play.tell("with the probe")


def _every_reading(play: Play) -> list[reckoned_facts.Read]:
    told = play.told
    every = [one.readings for one in (*told.batches.values(), *told.runs.values())]
    return [one for found in (*every, *told.places.values()) for one in found]


def probe_checked(play: Play, a: int, b: int) -> None:
    ok = b % 2 == 0
    probes.check_probe(play.file, WHO, "Blue", "ice", Fraction(0 if ok else 3), "C")
    play.told.checks.append((play.minute, ok))
    play.tell(f"probe checked: {'good' if ok else 'OUT'}")


def read_late(play: Play, a: int, b: int) -> None:
    """Typed 20 minutes late: it improves nothing."""
    code, _dish, _left = play.a_batch(a)
    degrees, at = pick(WARMTH, b), play.minute - 20
    if at <= play.told.batches[code].ready or any(one[0] == at for one in play.told.batches[code].stood):
        raise NothingToDo
    readings.read(play.file, WHO, "batch", code, Fraction(degrees), "C", sure=True, at=moment(at))
    play.told.batches[code].readings.append(reckoned_facts.Read(at, degrees, late=True))
    play.tell(f"read {code} {degrees} at {at}, typed late")


def read_reheat(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    degrees = pick((30, 60, 64, 74, 80), b)
    readings.read(play.file, WHO, "batch", code, Fraction(degrees), "C", reheat=True, sure=True)
    play.told.batches[code].readings.append(reckoned_facts.Read(play.minute, degrees, reheat=True))
    play.tell(f"reheat {code} {degrees}")


def read_exposed(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    degrees = pick(WARMTH[:10], b)
    place = reckoned_facts.stood(play.told, play.told.batches[code])[-1][1]
    readings.read(play.file, WHO, "batch", code, Fraction(degrees), "C", most_exposed=True, sure=True)
    play.told.batches[code].readings.append(reckoned_facts.Read(play.minute, degrees))
    play.told.places.setdefault(place, []).append(reckoned_facts.Read(play.minute, degrees, exposed=True))
    play.tell(f"read {code} {degrees}, most exposed in {place}")


def read_run(play: Play, a: int, b: int) -> None:
    run = pick(play.under_way(), a)
    degrees = pick(WARMTH, b)
    readings.read(play.file, WHO, "run", run, Fraction(degrees), "C", sure=True)
    play.told.runs[run].readings.append(reckoned_facts.Read(play.minute, degrees))
    play.tell(f"read run {run} {degrees}")


def read_place(play: Play, a: int, b: int) -> None:
    place = pick(("walk-in", "walk-in", "blast-chiller", "hot-cupboard", "cold-table", "freezer"), a)
    degrees = pick((-18, -2, 1, 4, 9), b) if place == "freezer" else pick((2, 3, 4, 5, 8, 9, 18, 22, 58, 64), b)
    readings.read(play.file, WHO, "place", place, Fraction(degrees), "C")
    play.told.places.setdefault(place, []).append(reckoned_facts.Read(play.minute, degrees))
    play.tell(f"read {place} {degrees}")


def block(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    holding.block(play.file, WHO, code, "smells odd", for_taste=b % 3 == 0)
    play.told.batches[code].blocked = "taste" if b % 3 == 0 else "unsafe"
    play.tell(f"block {code} {play.told.batches[code].blocked}")


def unblock(play: Play, a: int, b: int) -> None:
    code, _dish, _left = pick([one for one in play.live() if play.told.batches[one[0]].blocked], a)
    if any(one[0] == code for one in play.told.withdrawn):
        raise NothingToDo
    holding.unblock(play.file, WHO, code, "tasted")
    play.told.batches[code].blocked = ""
    play.tell(f"unblock {code}")


def block_place(play: Play, a: int, b: int) -> None:
    place = pick(("walk-in", "blast-chiller", "bench"), a)
    if place in play.told.blocked:
        holding.unblock(play.file, WHO, place, "mended")
        del play.told.blocked[place]
    else:
        holding.block(play.file, WHO, place, "broken")
        play.told.blocked[place] = play.minute
    play.tell(f"block or unblock {place}")


def withdraw(play: Play, a: int, b: int) -> None:
    if b % 3:
        lot = pick(("l 1", "L2", ""), b)
        withdrawing.withdraw(play.file, WHO, play.id_of("cream"), "recalled", lot=lot, sure=True)
        play.told.withdrawn.append(("", "cream", lot))
        play.tell(f"withdraw cream {lot!r}")
        return
    code, _dish, _left = play.a_batch(a)
    withdrawing.withdraw(play.file, WHO, code, "recalled", sure=True)
    whole = code
    while play.told.batches[whole].whole:
        whole = play.told.batches[whole].whole[0]
    play.told.withdrawn.append((whole, "", ""))
    play.tell(f"withdraw {whole}")


def lift(play: Play, a: int, b: int) -> None:
    of_batch, goods, _lot = pick(play.told.withdrawn, a)
    holding.unblock(play.file, WHO, of_batch or play.id_of(goods), "the maker's word")
    play.told.withdrawn = [one for one in play.told.withdrawn if (one[0] != of_batch if of_batch else one[1] != goods)]
    play.tell(f"lift {of_batch or goods}")


def open_pack(play: Play, a: int, b: int) -> None:
    lot = pick(("L1", "L2", "L3", ""), a)
    safety = reckoned_facts.business_day(play.minute) + b % 4 if b % 3 else None
    last = date(2026, 11, 2) + timedelta(days=safety) if safety is not None else None
    (code,) = opened.open_goods(play.file, WHO, play.id_of("cream"), lot, last).batches
    play.told.batches[code] = reckoned_facts.Batch(
        "cream", play.minute, stood=[(play.minute, "walk-in")], pack="cream", lot=lot, safety=safety
    )
    play.tell(f"open cream {lot!r} {safety} -> {code}")


def count(play: Play, a: int, b: int) -> None:
    dish = pick(NAMES, a)
    stock.count(play.file, WHO, play.id_of(dish), (b % 12) * LITRE)
    play.tell(f"count {dish} {b % 12} l")


def put_right(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    readings.corrected(play.file, WHO, code, "reheated, cooled on ice")
    play.told.batches[code].corrected.append(play.minute)
    play.tell(f"corrected {code}")


def relabel(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    batch = play.told.batches[code]
    day = reckoned_facts.business_day(batch.ready) - b % 3
    before = copy.copy(batch)
    holding.correct(play.file, WHO, code, holding.Right(first_day=date(2026, 11, 2) + timedelta(days=day)), "misread")
    batch.first_day, batch.righted = day, play.minute
    for one in play.told.batches.values():  # Its parts have labels of their own.
        if one.whole and one.whole[0] == code and one.first_day is None:
            one.first_day, one.righted = reckoned_dates.own_day(play.told, before, one.whole[1]), one.whole[1]
    play.tell(f"relabel {code} day {day}")


def undo(play: Play, a: int, b: int) -> None:
    if not play.before:
        raise NothingToDo
    undoing.undo(play.file, WHO)
    play.told = pickle.loads(play.before.pop())
    play.tell("undo")


def rename(play: Play, a: int, b: int) -> None:
    play.renamed = not play.renamed
    load_texts(play.file, WHO, *play.ready.books[1 if play.renamed else 0])
    play.before.clear()
    play.tell("rename")


ACTIONS: tuple[tuple[str, Callable[[Play, int, int], None]], ...] = (
    ("start", start), ("start", start), ("start", start), ("step", step), ("step", step), ("done", done),
    ("done", done), ("done", done), ("onto", top_up), ("onto", top_up), ("onto", top_up), ("unseen", done_unseen),
    ("unseen", done_unseen), ("split", split), ("split", split), ("move", move), ("move", move), ("move", move),
    ("move", move), ("freeze", freeze), ("freeze", freeze), ("thaw", thaw), ("thaw", thaw), ("thaw", thaw),
    ("use", use), ("plate", plate_out), ("discard", discard), ("read", read_batch), ("read", read_batch),
    ("read", read_batch), ("read", read_batch), ("read", read_batch), ("late", read_late), ("reheat", read_reheat),
    ("exposed", read_exposed), ("read run", read_run), ("read run", read_run), ("read place", read_place),
    ("read place", read_place), ("read place", read_place), ("block", block), ("unblock", unblock),
    ("block place", block_place), ("withdraw", withdraw), ("lift", lift), ("open", open_pack), ("count", count),
    ("corrected", put_right), ("corrected", put_right), ("relabel", relabel), ("undo", undo), ("rename", rename),
    ("probe", probe_read), ("probe", probe_read), ("probe", probe_read), ("check", probe_checked),
)  # fmt: skip
