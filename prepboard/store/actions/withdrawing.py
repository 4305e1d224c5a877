"""Withdrawing: all that a lot or a batch reached is held back, on a sous chef's word."""

from __future__ import annotations

from collections import Counter
from datetime import datetime

from msgspec import Struct

from prepboard.store.act.doing import Doing, act
from prepboard.store.act.taking import name_of, say
from prepboard.store.act.withdrawn import WITHDRAWN
from prepboard.store.file.who import Did, Refused, Unsure, Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.reach import Reach, Row
from prepboard.texts import _, some


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
    sure: bool = False,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """Holds back all that a batch, or goods of a lot, reached: batches, their parts, and what runs under way will
    give. Unsure, with what that is in words, until a sous chef says `sure`."""

    def body(doing: Doing) -> Did:
        return _withdraw(doing, target, why.strip(), sure)

    return act(file, who, "withdraw" if sure else "withdraw?", body, action=action, at=at)


def _withdraw(doing: Doing, target: str, why: str, sure: bool) -> Did:
    reached = _reached(doing, target)
    said = _said(doing, reached)
    if not sure:
        raise Unsure(_("withdrawing {target} holds back {reached}").format(target=target, reached=said))
    reason = _("withdrawn: {why}").format(why=why or target)
    for batch in reached.batches:
        doing.put("batches", {"code": batch["code"], "blocked": reason, "blocked_for": WITHDRAWN})
        left = say(doing, batch, batch["left"])
        doing.log("withdrawn", batch=batch["code"], prep=batch["prep"], before=batch["blocked"], after=left, why=reason)
    for run in reached.runs:
        if run["state"] == "under way":
            doing.log("withdrawn", prep=run["prep"], after=run["code"], why=reason)
    codes = tuple(str(batch["code"]) for batch in reached.batches)
    return doing.answer(_("{target} withdrawn: {reached}").format(target=target, reached=said), batches=codes)


def _reached(doing: Doing, target: str) -> Reached:
    reach = Reach(doing.db)
    seeds = [target.upper()] if reach.batch(target.upper()) else []
    lots = doing.rows(
        "SELECT code FROM batches WHERE lot = ? COLLATE NOCASE AND lot != '' AND state != 'undone'", target
    )
    seeds += [row["code"] for row in lots]
    if not seeds:
        raise Refused(_("there is no batch and no lot {target}").format(target=target))
    codes, runs = reach.all_from(seeds)
    plates: Counter[tuple[str, str, str]] = Counter()
    for code in codes:
        for row in reach.plated(code):
            key = row["dish"], row["service"], row["day"]
            # A plate may have several of them on it: at most so many as any one of them went out on is certain.
            plates[key] = max(plates[key], row["n"])
    batches = [row for row in map(reach.batch, codes) if row]
    return Reached(batches, [reach.run(run) for run in runs], plates)


def _said(doing: Doing, reached: Reached) -> str:
    held = [batch for batch in reached.batches if batch["state"] == "live"]
    names = ", ".join(f"{name_of(doing, one)} {one['code']} ({say(doing, one, one['left'])})" for one in held)
    parts = [some("{n} batch", "{n} batches", len(held)) + (f": {names}" if names else "")]
    under_way = [run for run in reached.runs if run["state"] == "under way"]
    if under_way:
        runs = ", ".join(f"{doing.book.name(run['prep'])} {run['code']}" for run in under_way)
        parts.append(_("under way: {runs}").format(runs=runs))
    for (dish, service, day), n in sorted(reached.plates.items()):
        named = doing.book.services[service].name if service in doing.book.services else service
        said = _("gone out: {n} or more of {dish}, {service} {day}")
        parts.append(said.format(n=n, dish=doing.book.name(dish), service=named, day=day))
    return "; ".join(parts)
