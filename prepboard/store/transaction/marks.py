"""Marks: what is known of food, worked out again, parents first, whenever something that they came from was touched.

What is downstream is derived: lifting a block, a withdrawal or a reading at its source frees all that followed from it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta

import msgspec

from prepboard.book.checked_json import form
from prepboard.book.safety.holding import out_marks, place_marks, reheat_marks
from prepboard.book.safety.judging import Way, cooling_marks, judge, not_shown_marks
from prepboard.book.safety.life import History, food_of, good_until, opened_food
from prepboard.book.safety.may_use import COUNTED, HELD, MISSED, WITHHELD, Mark, passed_on, together
from prepboard.book.safety.needs_control import rules_for
from prepboard.store.file.times import day_or_none, instant, instant_text
from prepboard.store.read.came import came_with, lots_that_came
from prepboard.store.read.measured import OF_ONE, READ, SHOWS, a_reading, start_of
from prepboard.store.read.snapshot import newest_book
from prepboard.store.read.stays import read_marks, stays_of
from prepboard.store.read.storage import STANDS, Files, Row, Storage, storage_of
from prepboard.store.transaction.lapsing import food_needs_control, unmeasured_mark
from prepboard.texts import _

Code = tuple[str, str]
"""("batch" or "run", its code)."""

FOLDED = "food folded"
"""The setting that says by which way of reading books the marks of this file were worked out: by another one they are
worked out again with the next change."""

TASTE, WITHDRAWN = "taste", "withdrawn"
"""What a block may be for: one for taste stays on its batch; one without a word is for safety."""

ALL_LIVE = """
    SELECT 'batch', code FROM batches WHERE state = 'live'
    UNION SELECT 'run', code FROM runs WHERE state = 'under way'"""

# What an action, or one that it took back, touched.
OF_THE_ACTION = """
    SELECT kind, of, at FROM readings WHERE action = ?1
    UNION SELECT 'batch', batch, '' FROM corrections WHERE action = ?1
    UNION SELECT 'run', run, '' FROM moves WHERE action = ?1 AND run IS NOT NULL"""
THE_ONE_BEFORE = f"""
    SELECT at FROM readings WHERE kind = 'place' AND of = ? AND at < ? AND {SHOWS}
    ORDER BY at DESC LIMIT 1 OFFSET 1"""
READ_WITH = """
    SELECT kind, of, min(at) FROM readings INDEXED BY readings_with WHERE probe != '' AND {which} GROUP BY kind, of"""
TAKEN_BACK = "SELECT id FROM actions WHERE undone_by = ?"

# What is there, or was since a moment; a part has its first place from the whole.
STOOD_THERE = """
    SELECT code FROM batches WHERE state = 'live' AND (parent IS NOT NULL OR place = ?1
      OR code IN (SELECT batch FROM moves WHERE why IN (?1, ?1 || '?') AND why != ''))
    UNION SELECT came.batch FROM moves AS came WHERE came.why IN (?1, ?1 || '?') AND came.why != '' AND came.at >= ?3
      AND EXISTS (SELECT 1 FROM moves AS later WHERE later.batch = came.batch AND later.at >= ?2)
    UNION SELECT code FROM batches WHERE place = ?1 AND made_at >= ?3 AND state != 'undone'
      AND EXISTS (SELECT 1 FROM moves AS later WHERE later.batch = code AND later.at >= ?2)"""
STANDS_AT_MOST = timedelta(days=31)
"""Food of which nothing is left any more did not stand in one place for longer than this."""
RUNS_OF = "SELECT code FROM runs WHERE book = ? AND prep = ? AND state != 'undone'"
WITHHELD_BY_ANY = """SELECT kind, code FROM food WHERE marks LIKE '%"key":"withdrawn"%'"""
MARKED_BY = """SELECT kind, code FROM food WHERE marks LIKE '%"source":"' || ? || '"%'"""

PARTS = "SELECT code FROM batches WHERE parent = ? AND state != 'undone'"
USED_IN = f"SELECT DISTINCT run FROM moves WHERE batch = ? AND kind = 'used' AND run IS NOT NULL AND {STANDS}"
MADE_BY = f"SELECT DISTINCT batch FROM moves WHERE run = ? AND kind = 'made' AND {STANDS}"
TAKEN = f"SELECT batch, at FROM moves WHERE run = ? AND kind = 'used' AND {STANDS} ORDER BY number"
PACKS = "SELECT code FROM batches WHERE pack AND state != 'undone'"

MOST_PASSES = 200
"""Links of food in food below one another; beyond it something is wrong."""


Touched = tuple[str, str]
"""A table, and the key of the row that was changed in it, as JSON."""


def mark_after(files: Files, action: str, did: str, touched: Iterable[Touched]) -> None:
    """Works out again what an action touched; everything that is there after another book."""
    seeds = _seeds(files, action, did, touched)
    if seeds:
        mark_anew(files, seeds)


def _seeds(files: Files, action: str, did: str, touched: Iterable[Touched]) -> set[Code]:
    db = files.db
    known = db.execute("SELECT value FROM settings WHERE name = ?", [FOLDED]).fetchone()
    if not known or known[0] != form() or did in ("load", "group book", "restore", "clock"):
        db.execute("INSERT OR REPLACE INTO settings VALUES (?, ?)", [FOLDED, form()])
        return set(db.execute(ALL_LIVE).fetchall())
    found: set[Code] = set()
    if did in MOVES_ONLY:
        return found
    for table, text in touched:
        key = msgspec.json.decode(text)
        if table in ("batches", "runs"):
            found.add(("batch" if table == "batches" else "run", key["code"]))
        elif table == "received_as":
            found.add(("batch", key["ours"]))
        elif table == "run_lots":
            found.add(("run", key["run"]))
        elif table == "blocked_places":
            found |= in_place(files, key["place"], instant_text(files.now))
            found |= set(db.execute(MARKED_BY, [key["place"]]).fetchall())
        elif table == "withdrawals":
            found |= _withdrawn_seeds(files, int(key["number"]))
        elif table == "probe_checks":
            found |= _read_with(files, int(key["number"]))
    actions = [action, *(row[0] for row in db.execute(TAKEN_BACK, [action]))] if did == "undo" else [action]
    for one in actions:
        for kind, code, at in db.execute(OF_THE_ACTION, [one]).fetchall():
            if kind in ("batch", "run"):
                found.add((kind, code))
            elif kind == "place":
                found |= in_place(files, code, at)
    return found


MOVES_ONLY = frozenset({"plate", "use", "discard", "keep for", "keep", "86", "back"})
"""Actions that take food away and change nothing of what is known of it."""


def in_place(files: Files, place: str, at: str) -> set[Code]:
    """What stood in a place since the reading of it before the last one before a moment: it may reach back so far. What
    is in doubt is passed over."""
    row = files.db.execute(THE_ONE_BEFORE, [place, at]).fetchone()
    since = row[0] if row else instant_text(files.now - STANDS_AT_MOST)
    stood = [place, since, instant_text(instant(since) - STANDS_AT_MOST)]
    return {("batch", batch) for (batch,) in files.db.execute(STOOD_THERE, stood)}


def _read_with(files: Files, number: int) -> set[Code]:
    """What was read with the probe of a check; where the check was taken back, with any probe that has a name."""
    row = files.db.execute("SELECT probe FROM probe_checks WHERE number = ?", [number]).fetchone()
    found: set[Code] = set()
    sql = READ_WITH.format(which="probe = ?" if row else "true")
    for kind, code, at in files.db.execute(sql, [row[0]] if row else []).fetchall():
        if kind == "place":
            found |= in_place(files, code, at)
        elif kind != "goods":
            found.add((kind, code))
    return found


def _withdrawn_seeds(files: Files, number: int) -> set[Code]:
    rows = files.rows("SELECT * FROM withdrawals WHERE number = ?", number)
    if not rows:  # It was taken back: whatever was withheld by any is looked at again.
        return set(files.db.execute(WITHHELD_BY_ANY).fetchall())
    row = rows[0]
    if row["batch"]:
        return {("batch", row["batch"])}
    found: set[Code] = {("batch", code) for (code,) in files.db.execute(PACKS)}
    found |= {("batch", code) for (code,) in files.db.execute("SELECT ours FROM received_as")}
    # A run goes by the recipe that it was started with, under the ids of that book.
    for version, prep in files.db.execute("SELECT DISTINCT book, prep FROM runs WHERE state != 'undone'").fetchall():
        recipe = files.book_of(version).preps[prep]
        used = any(use.item == row["goods"] for use in (*recipe.uses, *recipe.takes_if_there))
        sql = RUNS_OF if used else RUNS_OF + " AND instead != '{}'"
        found |= {("run", code) for (code,) in files.db.execute(sql, [version, prep])}
    return found


def mark_anew(files: Files, seeds: Iterable[Code]) -> None:
    """Works out the marks of some food and of all that came of it, until nothing changes any more."""
    order = _downstream(files, seeds)
    found: dict[Code, tuple[Mark, ...]] = dict.fromkeys(order, ())
    foods: dict[Code, Storage | None] = {
        (kind, code): storage_of(files, code) if kind == "batch" else None for kind, code in order
    }
    touches = _touches(files, foods)
    ahead = set(order)
    for _pass in range(MOST_PASSES):
        for food in order:
            if food not in ahead:
                continue
            ahead.discard(food)
            marks = _of_batch(files, foods[food], found) if food[0] == "batch" else _of_run(files, food[1], found)
            if marks != found[food]:
                found[food] = marks
                ahead.update(touches[food])
        if not ahead:
            break
    for (kind, code), marks in found.items():
        _keep(files, kind, code, marks)


def _downstream(files: Files, seeds: Iterable[Code]) -> list[Code]:
    found: dict[Code, None] = {}
    ahead = list(seeds)
    while ahead:
        kind, code = food = ahead.pop(0)
        if food in found:
            continue
        found[food] = None
        if kind == "batch":
            ahead += [("batch", part) for (part,) in files.db.execute(PARTS, [code])]
            ahead += [("run", run) for (run,) in files.db.execute(USED_IN, [code])]
        else:
            ahead += [("batch", batch) for (batch,) in files.db.execute(MADE_BY, [code])]
    return list(found)


def _touches(files: Files, foods: Mapping[Code, Storage | None]) -> dict[Code, list[Code]]:
    """What is worked out from each of some food, of the same food: only that is looked at again when it changes."""
    found: dict[Code, list[Code]] = {food: [] for food in foods}
    for food, its in foods.items():
        if food[0] == "run":
            sources = {("batch", batch) for (batch, _at) in files.db.execute(TAKEN, [food[1]])}
        else:
            sources = {("run", run) for run, _at in its.made} if its else set()
            sources |= {("batch", its.divided[0])} if its and its.divided else set()
        for one in sources:
            if one in found:
                found[one].append(food)
    return found


def marks_of(files: Files, kind: str, code: str) -> tuple[Mark, ...]:
    """What is known of a batch or a run, as it was last worked out."""
    row = files.db.execute("SELECT marks FROM food WHERE kind = ? AND code = ?", [kind, code]).fetchone()
    return read_marks(row[0]) if row else ()


def _keep(files: Files, kind: str, code: str, marks: tuple[Mark, ...]) -> None:
    if marks:
        text = msgspec.json.encode(marks).decode()
        files.db.execute("INSERT OR REPLACE INTO food VALUES (?, ?, ?)", [kind, code, text])
    else:
        files.db.execute("DELETE FROM food WHERE kind = ? AND code = ?", [kind, code])


def _known(files: Files, food: Code, found: Mapping[Code, tuple[Mark, ...]]) -> tuple[Mark, ...]:
    return found[food] if food in found else marks_of(files, *food)


def _of_batch(files: Files, food: Storage | None, found: Mapping[Code, tuple[Mark, ...]]) -> tuple[Mark, ...]:
    if food is None:
        return ()
    row, marks = food.row, list[Mark]()
    code = row["code"]
    for run, at in food.made:
        # The cooling of its own run is its own: it goes on in it, and is judged there.
        from_run = passed_on(_known(files, ("run", run), found), at)
        its_own = (MISSED, HELD)
        marks += [
            mark for mark in from_run if mark.source != code and (mark.source, mark.row in its_own) != (run, True)
        ]
    marks += _withheld(files, food)
    marks += came_with(files, row)
    if (unmeasured := unmeasured_mark(files, row)) is not None:
        marks.append(unmeasured)
    own: list[Mark] = []
    if food_needs_control(files, row):
        rules = rules_for(files.book, row["prep"])
        hold = files.book.kitchen.unread_cooling == "hold"
        own += cooling_marks(rules, code, food.judged, food.corrected, hold=hold)
        own += [] if hold else not_shown_marks(rules, code, food.judged, food.corrected)
        own += [*reheat_marks(rules, food.held), *out_marks(rules, food.held), *place_marks(rules, food.held)]
    if food.divided is not None:
        whole, at = food.divided
        marks += passed_on(_of_the_whole(food, own, _known(files, ("batch", whole), found)), at)
    return together([*marks, *own])


def _of_the_whole(food: Storage, own: list[Mark], of_whole: Iterable[Mark]) -> list[Mark]:
    """What a part has of the whole that it was divided from: all, but for what its own record, which has all of the
    whole's up to then, says of itself. What a later reading of the whole says of the time before is the part's too."""
    assert food.divided is not None
    whole = food.divided[0]
    judged = {(MISSED, limit.due) for way in food.judged.coolings for limit in way.broken}
    judged |= {(mark.row, mark.since) for mark in own}
    return [mark for mark in of_whole if mark.source != whole or mark.row == WITHHELD or not (
        mark.row == HELD or (mark.row, mark.since) in judged)]  # fmt: skip


def _withheld(files: Files, food: Storage) -> list[Mark]:
    """Row 2: blocked itself or with a place where it stood, or withdrawn."""
    row, found = food.row, list[Mark]()
    code, begin = row["code"], instant(row["made_at"])
    if row["blocked"]:
        found.append(Mark(WITHHELD, begin, row["blocked"], code, flows=row["blocked_for"] != TASTE))
    for block in files.rows("SELECT * FROM blocked_places"):
        at = instant(block["at"])
        for index, stood in enumerate(food.held.stood):
            until = food.held.until(index)
            if stood.place == block["place"] and (until is None or until > at):
                found.append(Mark(WITHHELD, max(stood.since, at), block["why"], block["place"], "place"))
    for one in files.rows("SELECT * FROM withdrawals WHERE lifted_at IS NULL"):
        if one["batch"] == code or (row["pack"] and _is_withdrawn(one, row["prep"], row["lot"])):
            found.append(Mark(WITHHELD, begin, one["why"], code, WITHDRAWN))
        elif one["goods"]:
            found += _lot_that_came(files, code, begin, one)
    return found


def _lot_that_came(files: Files, code: str, begin: datetime, one: Row) -> list[Mark]:
    """Row 2 for what another kitchen made: of the withdrawn goods, of that lot or of one that nobody there wrote
    down."""
    for lots in lots_that_came(files.db, code):
        named = [lot for goods, lot in lots if _is_withdrawn(one, goods, lot)]
        if named:
            unknown = "; " + _("its lot is not known") if one["lot"] and not any(named) else ""
            return [Mark(WITHHELD, begin, one["why"] + unknown, code, WITHDRAWN)]
    return []


def every_id(files: Files, goods: str) -> list[str]:
    """The id of goods, and those that they had before: runs go by the book that they were started with."""
    found = [goods]
    for version in range(newest_book(files.db), 0, -1):
        one = files.book_of(version).goods.get(found[-1])
        if one is not None and one.was and one.was not in found:
            found.append(one.was)
    return found


def same_lot(lot: str) -> str:
    """A lot as it is compared: without case and blanks."""
    return "".join(lot.split()).casefold()


def _is_withdrawn(one: Row, goods: str, lot: str) -> bool:
    """Whether a pack of goods is withdrawn: of its lot, whatever goods it is called; or of these goods and all lots, or
    of a lot that nobody wrote down."""
    if one["batch"]:
        return False
    if one["lot"] and lot:
        return same_lot(one["lot"]) == same_lot(lot)
    return bool(one["goods"] == goods)


def _of_run(files: Files, code: str, found: Mapping[Code, tuple[Mark, ...]]) -> tuple[Mark, ...]:
    rows = files.rows("SELECT * FROM runs WHERE code = ? AND state != 'undone'", code)
    if not rows:
        return ()
    run, marks = rows[0], list[Mark]()
    packs: set[str] = set()
    for batch, at_text in files.db.execute(TAKEN, [code]).fetchall():
        at = instant(at_text)
        marks += passed_on(_known(files, ("batch", batch), found), at)
        (row,) = files.rows("SELECT * FROM batches WHERE code = ?", batch)
        packs |= {row["prep"]} if row["pack"] else set()
        ended = _ended(files, row, at)
        if ended is not None and ended <= at:
            marks.append(Mark(COUNTED, at, "expired food in it", batch, until=ended))
    marks += _unknown_lots(files, run, packs)
    if start := start_of(files.db, code, files.book_of):
        readings = [a_reading(row) for row in files.db.execute(READ + OF_ONE, ["", code])]
        judged = judge(files.book.kitchen.rules, [Way(start, readings)], files.now)
        marks += cooling_marks(
            files.book.kitchen.rules, code, judged, (), hold=files.book.kitchen.unread_cooling == "hold"
        )
    return together(marks)


def _ended(files: Files, batch: Row, at: datetime) -> datetime | None:
    """The end of a batch's label as it was at an instant: what was frozen since then was not."""
    stays = tuple(stay for stay in stays_of(batch["stays"]) if stay.since <= at)
    if batch["store"] != "frozen" or not stays or stays[-1].store == "frozen":
        return instant(batch["use_by"]) if batch["use_by"] else None
    item, book = batch["prep"], files.book
    known = food_of(book.preps[item]) if item in book.preps else None
    if known is None and item in book.goods:
        known = opened_food(book.goods[item], book.kitchen.rules)[0]
    if known is None:
        return None
    history = History(
        date.fromisoformat(batch["first_day"]), instant(batch["made_at"]), stays,
        day_or_none(batch["inherited"]), day_or_none(batch["safety"]),
    )  # fmt: skip
    found = good_until(book.kitchen, known, history)
    return found.until if found else None


def _unknown_lots(files: Files, run: Row, packs: set[str]) -> list[Mark]:
    """Row 2: it took withdrawn goods of which no pack, and so no lot, is on record."""
    held = [one for one in files.rows("SELECT * FROM withdrawals WHERE lifted_at IS NULL") if one["goods"]]
    if not held:
        return []
    recipe = files.book_of(run["book"]).preps[run["prep"]]
    instead = msgspec.json.decode(run["instead"], type=dict[str, str])
    packs = packs | {before for pack in packs for before in every_id(files, pack)}
    used = {instead.get(use.item, use.item) for use in (*recipe.uses, *recipe.takes_if_there)}
    typed = {row["goods"]: row["lot"] for row in files.rows("SELECT * FROM run_lots WHERE run = ?", run["code"])}
    found: list[Mark] = []
    at: datetime = instant(run["started"])
    for one in held:
        goods = one["goods"]
        if goods not in used or (goods in packs and goods not in typed):
            continue
        if _is_withdrawn(one, goods, typed.get(goods, "")):
            # After what was said of the lot, by which it is found.
            unknown = "" if goods in typed or not one["lot"] else "; " + _("its lot is not known")
            why = one["why"] + unknown
            found.append(Mark(WITHHELD, at, why, run["code"], WITHDRAWN))
    return found
