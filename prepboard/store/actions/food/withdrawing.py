"""Withdrawing: what a lot, goods or a batch reached is held back, on a sous chef's word.

Only the source is kept: what came of it follows, whether it was made before or comes later, and is free again when the
source is lifted.
"""

from __future__ import annotations

import json
from collections import Counter
from datetime import datetime

from msgspec import Struct

from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused, Unsure, Who
from prepboard.store.food.taking import name_of, say
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.reach import STANDS, Reach, Row
from prepboard.store.transaction.doing import Doing, act, action
from prepboard.store.transaction.marks import WITHDRAWN, every_id, same_lot
from prepboard.texts import _, some

MARKED = """
    SELECT kind, code, json_extract(mark.value, '$.since') AS since FROM food, json_each(food.marks) AS mark
    WHERE json_extract(mark.value, '$.key') = ? AND json_extract(mark.value, '$.why') LIKE ? || '%'
    ORDER BY since, kind, code"""

PLATED = f"""
    SELECT plates.dish, plates.service, plates.day, sum(plates.n - plates.back) AS n FROM plates
    WHERE plates.n > plates.back AND plates.number IN (
        SELECT moves.plate FROM moves WHERE moves.batch = ? AND moves.kind = 'plated' AND moves.gives_back IS NULL
        AND moves.at >= ? AND {STANDS})
    GROUP BY plates.dish, plates.service, plates.day"""


class Reached(Struct, frozen=True):
    """Every batch, those with nothing left too, the runs that took of them, and plates by (dish, service, day)."""

    batches: list[Row]
    runs: list[Row]
    plates: Counter[tuple[str, str, str]]


def withdraw(
    file: KitchenFile,
    who: Who,
    target: str,
    why: str = "",
    *,
    lot: str = "",
    sure: bool = False,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """Holds back all that a batch, or goods of a lot, or goods of every lot, reached: batches, their parts, what runs
    under way will give, and runs that took such goods of a lot that nobody wrote down. Unsure, with what that is in
    words, until a sous chef says `sure`."""

    def body(doing: Doing) -> Did:
        return _withdraw(doing, target, lot.strip(), why.strip(), sure)

    return act(file, who, "withdraw" if sure else "withdraw?", body, action=action, at=at)


@action("correct")
def lot_of(doing: Doing, run: str, goods: str, lot: str, why: str, *, action: str | None = None) -> Did:
    """Types the lot of goods that went into a run without a pack on record, read from the pack."""
    found = doing.row("runs", code=run.upper())
    if found is None:
        raise Refused(_("there is no run {run}").format(run=run))
    if goods not in doing.book.goods or not lot.strip():
        raise Refused(_("say it as GOODS=LOT, with goods of the book"))
    doing.put("run_lots", {"run": found["code"], "goods": goods, "lot": lot.strip()})
    names = {"goods": doing.book.name(goods), "lot": lot.strip(), "run": found["code"]}
    doing.log("lot typed", prep=goods, after=lot.strip(), why=f"{found['code']}: {why}")
    return doing.answer(_("{goods} in run {run} was lot {lot}").format(**names))


def lift(doing: Doing, target: str, why: str) -> Did | None:
    """Lifts the withdrawals of a batch, of goods or of a lot; None when there are none of it."""
    named = [one for one in _in_force(doing) if _is_of(one, target)]
    # The same withdrawal stands once under each id that the goods have had.
    words = {(one["at"], one["why"], one["lot"]) for one in named if one["goods"]}
    found = [one for one in _in_force(doing) if one in named or (one["at"], one["why"], one["lot"]) in words]
    if others := [one for one in found if one["hold"]]:
        raise Refused(_("{why}; only they let it go").format(why=others[0]["why"]))
    for one in found:
        now = instant_text(doing.now)
        lifted = {"number": one["number"], "lifted_at": now, "lifted_by": doing.who.by, "lifted_why": why}
        doing.put("withdrawals", lifted)
        doing.log("unblocked", batch=one["batch"], prep=one["goods"], before=one["why"], after=one["lot"], why=why)
    if not found:
        return None
    doing.mark()
    return doing.answer(_("{target} is no longer withdrawn; what came of it may be used as its own dates say").format(
        target=target))  # fmt: skip


def _in_force(doing: Doing) -> list[Row]:
    return doing.rows("SELECT * FROM withdrawals WHERE lifted_at IS NULL ORDER BY number")


def _is_of(one: Row, target: str) -> bool:
    if one["batch"]:
        return bool(one["batch"] == target.upper())
    return one["goods"] == target or (bool(one["lot"]) and same_lot(one["lot"]) == same_lot(target))


def why_withdrawn(doing: Doing, goods: str, lot: str) -> str:
    """Why a lot was withdrawn, whatever goods it is called by; empty when it was not."""
    for one in _in_force(doing):
        whole = one["goods"] == goods and not one["lot"]
        if not one["batch"] and (whole or (lot and one["lot"] and same_lot(one["lot"]) == same_lot(lot))):
            return str(one["why"])
    return ""


def _withdraw(doing: Doing, target: str, lot: str, why: str, sure: bool) -> Did:
    named = f"{doing.book.name(target)} {lot}".strip() if target in doing.book.goods else target
    reason = _("withdrawn: {why}").format(why=why or named)
    for batch, goods, of_lot in _sources(doing, target, lot):
        number = doing.rows("SELECT coalesce(max(number), 0) + 1 AS number FROM withdrawals")[0]["number"]
        row = {"number": number, "at": instant_text(doing.now), "by": doing.who.by, "batch": batch}
        doing.put("withdrawals", {**row, "goods": goods, "lot": of_lot, "why": reason})
    doing.mark()
    reached = _reached(doing, reason)
    said = _said(doing, reached)
    if not sure:
        raise Unsure(_("withdrawing {target} holds back {reached}").format(target=named, reached=said))
    for one in reached.batches:
        left = say(doing, one, one["left"])
        doing.log("withdrawn", batch=one["code"], prep=one["prep"], after=left, why=reason)
    for run in reached.runs:
        if run["state"] == "under way":
            doing.log("withdrawn", prep=run["prep"], after=run["code"], why=reason)
    codes = tuple(str(one["code"]) for one in reached.batches)
    return doing.answer(_("{target} withdrawn: {reached}").format(target=named, reached=said), batches=codes)


def _sources(doing: Doing, target: str, lot: str) -> list[tuple[str, str, str]]:
    """What is withdrawn, as (batch, goods, lot): a batch as the whole that it is a part of; goods, of a lot or of all;
    a lot of whatever goods have it."""
    reach = Reach(doing.db)
    if reach.batch(target.upper()) and not lot:
        return [(reach.whole(target.upper()), "", "")]
    if target in doing.book.goods:
        return [("", item, lot) for item in every_id(doing.files, target)]
    packs = doing.rows("SELECT DISTINCT prep, lot FROM batches WHERE lot != '' AND state != 'undone'")
    goods = sorted({pack["prep"] for pack in packs if same_lot(pack["lot"]) == same_lot(target)})
    typed = doing.rows("SELECT DISTINCT goods, lot FROM run_lots")
    came = [pair for row in doing.rows("SELECT lots FROM received_as") for pair in json.loads(row["lots"])]
    goods += sorted({item for item, its in came if same_lot(its) == same_lot(target)} - set(goods))
    goods += sorted({one["goods"] for one in typed if same_lot(one["lot"]) == same_lot(target)} - set(goods))
    if not goods:
        said = _("there is no batch, no goods and no lot {target} on record; name the goods and --lot")
        raise Refused(said.format(target=target))
    return [("", item, target) for item in goods]


def _reached(doing: Doing, reason: str) -> Reached:
    reach = Reach(doing.db)
    since: dict[tuple[str, str], datetime] = {}
    for row in doing.rows(MARKED, WITHDRAWN, reason):
        since.setdefault((row["kind"], row["code"]), datetime.fromisoformat(row["since"]))
    plates: Counter[tuple[str, str, str]] = Counter()
    batches: list[Row] = []
    runs: list[Row] = []
    for (kind, code), at in since.items():
        if kind == "run":
            runs.append(reach.run(code))
        elif found := reach.batch(code):
            batches.append(found)
            for row in doing.rows(PLATED, code, instant_text(at)):
                key = row["dish"], row["service"], row["day"]
                # A plate may have several of them on it: at most so many as any one of them went out on is certain.
                plates[key] = max(plates[key], row["n"])
    return Reached(batches, runs, plates)


def _said(doing: Doing, reached: Reached) -> str:
    held = [batch for batch in reached.batches if batch["state"] == "live"]
    names = ", ".join(f"{name_of(doing, one)} {one['code']} ({say(doing, one, one['left'])})" for one in held)
    parts = [some("{n} batch", "{n} batches", len(held)) + (f": {names}" if names else "")]
    under_way = [run for run in reached.runs if run["state"] == "under way"]
    if under_way:
        runs = ", ".join(f"{doing.book.name(run['prep'])} {run['code']}" for run in under_way)
        parts.append(_("under way: {runs}").format(runs=runs))
    unknown = [run for run in reached.runs if _took_unknown(doing, run)]
    if unknown:
        runs = ", ".join(f"{doing.book.name(run['prep'])} {run['code']}" for run in unknown)
        parts.append(
            _("of a lot that nobody wrote down: {runs}; `correct RUN --lot GOODS=LOT` says it").format(runs=runs)
        )
    for (dish, service, day), n in sorted(reached.plates.items()):
        named = doing.book.services[service].name if service in doing.book.services else service
        said = _("gone out: {n} or more of {dish}, {service} {day}")
        parts.append(said.format(n=n, dish=doing.book.name(dish), service=named, day=day))
    return "; ".join(parts)


def _took_unknown(doing: Doing, run: Row) -> bool:
    marks = doing.rows("SELECT marks FROM food WHERE kind = 'run' AND code = ?", run["code"])
    return any(mark["source"] == run["code"] and mark["key"] == WITHDRAWN for mark in json.loads(marks[0]["marks"]))
