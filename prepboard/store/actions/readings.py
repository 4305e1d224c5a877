"""Readings: what was measured, what it is held to, and the code's corrective action once a limit was missed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from msgspec import Struct

from prepboard.book.rules import RuleBook
from prepboard.book.safety.holding import held_at
from prepboard.book.safety.judging import NOT_REHEATED, OUT_TOO_LONG, Judged
from prepboard.book.safety.temperatures import COLDEST, HOTTEST, Kind, Reading, Unit, is_heat, on_scale, within
from prepboard.store.act.doing import Doing, Row, act
from prepboard.store.act.kept_cold import look_again
from prepboard.store.act.refused import judged
from prepboard.store.act.running import recipe_of, under_way
from prepboard.store.act.taking import name_of
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused, Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.measured import of_batch, start_of
from prepboard.texts import _


class _Verdict(Struct, frozen=True):
    """What a reading was judged as, what it is held to in words, and whether it keeps that (None: no limit)."""

    meant: str = ""
    held_to: str = ""
    ok: bool | None = None


def read(
    file: KitchenFile,
    who: Who,
    kind: Kind,
    of: str,
    degrees: Fraction,
    unit: Unit,
    *,
    reheat: bool = False,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """A temperature of a batch, a run under way, a place or a good, in the unit that was measured.

    `reheat`: the batch is being heated for hot holding. Refused for what is not there, or beyond any probe.
    """
    return act(file, who, "read", lambda doing: _read(doing, kind, of, degrees, unit, reheat), action=action, at=at)


def corrected(
    file: KitchenFile, who: Who, batch: str, how: str, *, action: str | None = None, at: datetime | None = None
) -> Did:
    """The code's corrective action was done on a batch that missed a limit; from now on it may be used again.

    Refused when nothing was missed, when the code allows only to discard it, or when no reading shows that it was
    heated as far, and as soon, as the code asks.
    """
    return act(file, who, "corrected", lambda doing: _corrected(doing, batch, how), action=action, at=at)


def _read(doing: Doing, kind: Kind, of: str, degrees: Fraction, unit: Unit, reheat: bool) -> Did:
    if not COLDEST <= on_scale(degrees, unit, "C") <= HOTTEST:
        raise Refused(_("no probe shows {degrees} °{unit}").format(degrees=f"{float(degrees):g}", unit=unit))
    reading = Reading(of, kind, doing.now, degrees, unit, doing.who.by, "reheat" if reheat else "")
    if kind == "batch":
        batch = _batch(doing, of)
        name, prep = f"{name_of(doing, batch)} {batch['code']}", batch["prep"]
        verdict = _of_batch(doing, batch, reading)
    elif kind == "run":
        run = under_way(doing, of)
        name, prep = f"{doing.book.name(run['prep'])} {run['code']}", run["prep"]
        verdict = _of_run(doing, run, reading)
    else:
        table = doing.book.places if kind == "place" else doing.book.goods
        if of not in table:
            raise Refused(_("the book has no {thing}").format(thing=of))
        name, prep = table[of].name, of
        verdict = _held(doing, held_at(table[of].store), reading)
    _keep(doing, reading, verdict)
    look_again(doing, of)
    missed = verdict.held_to if verdict.ok is False else ""
    code = of if kind in ("batch", "run") else ""
    doing.log("read", batch=code, prep=prep, after=f"{float(degrees):g} °{unit}", why=missed)
    return doing.answer(_said(doing, name, reading, verdict), run=of if kind == "run" else "")


def _keep(doing: Doing, reading: Reading, verdict: _Verdict) -> None:
    doing.db.execute(
        "INSERT INTO readings (action, at, by, station, of, kind, degrees, unit, meant, held_to, ok)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [
            doing.id, instant_text(doing.now), doing.who.by, doing.who.station, reading.of, reading.kind,
            f"{float(reading.degrees):g}", reading.unit, verdict.meant, verdict.held_to,
            None if verdict.ok is None else int(verdict.ok),
        ],
    )  # fmt: skip


def _batch(doing: Doing, code: str) -> Row:
    batch = doing.row("batches", code=code)
    if batch is None or batch["state"] == "undone":
        raise Refused(_("there is no batch {batch}").format(batch=code))
    if batch["state"] == "closed":
        raise Refused(_("nothing is left of batch {batch}").format(batch=code))
    return batch


def _of_batch(doing: Doing, batch: Row, reading: Reading) -> _Verdict:
    if reading.meant == "reheat":
        return _held(doing, "reheat", reading)
    found = judged(doing, batch, reading)
    way = found.cooling if found and batch["store"] != "hot" else None
    rules = doing.book.kitchen.rules
    if way and reading in way.readings and not _is_down(rules, way.readings, reading):
        return _cooling(doing, found)
    if batch["store"] != "hot" and within(rules, "hot_holding", reading):
        return _Verdict("cooling")
    return _held(doing, held_at(batch["store"]), reading)


def _is_down(rules: RuleBook, readings: Sequence[Reading], now: Reading) -> bool:
    """Whether food was cold before this reading: what is read then is how it is kept."""
    return any(within(rules, "cooling_to", one) for one in readings if one != now and one.at <= now.at)


def _of_run(doing: Doing, run: Row, reading: Reading) -> _Verdict:
    _book, recipe = recipe_of(doing, run)
    step = recipe.steps[run["step"]] if recipe.steps else None
    if step and step.core:
        reached = on_scale(reading.degrees, reading.unit, step.core.unit) >= step.core.degrees
        held_to = _("core {degrees} °{unit} or above").format(
            degrees=f"{float(step.core.degrees):g}", unit=step.core.unit
        )
        return _Verdict("core", held_to, reached)
    start = start_of(doing.db, run["code"], lambda version: doing.file.book(doing.db, version))
    if start is None:
        return _Verdict()
    return _cooling(doing, judged(doing, run, reading))


def _cooling(doing: Doing, found: Judged | None) -> _Verdict:
    """Held to the limit that was missed, else to the next, else to the last."""
    way = found.cooling if found else None
    if way is None:
        return _Verdict("cooling")
    limit = way.broken[0] if way.broken else way.next or way.limits[-1]
    rules = doing.book.kitchen.rules.rules
    held_to = _("{limit} by {time}").format(limit=rules[limit.to].said, time=doing.time(limit.due))
    return _Verdict("cooling", held_to, not way.broken)


def _held(doing: Doing, key: str, reading: Reading) -> _Verdict:
    rules = doing.book.kitchen.rules
    if key not in rules.rules:
        return _Verdict()
    said = _("{limit} or above") if is_heat(key) else _("{limit} or less")
    return _Verdict(key, said.format(limit=rules.rules[key].said), within(rules, key, reading))


def _said(doing: Doing, name: str, reading: Reading, verdict: _Verdict) -> str:
    if verdict.ok is None:
        return _("{name}: {degrees}").format(name=name, degrees=reading.said)
    if verdict.ok:
        said = _("{name}: {degrees}; must be {limit}")
        return said.format(name=name, degrees=reading.said, limit=verdict.held_to)
    said = _("{name}: {degrees} is out of range: {limit}. {next}")
    return said.format(name=name, degrees=reading.said, limit=verdict.held_to, next=_next(doing, reading, verdict))


def _next(doing: Doing, reading: Reading, verdict: _Verdict) -> str:
    """What the code allows now."""
    if verdict.meant == "core":
        return _("Not there yet: go on cooking.")
    rules = doing.book.kitchen.rules
    if verdict.meant != "cooling":
        return rules.allows_next(verdict.meant)
    row = doing.row("batches" if reading.kind == "batch" else "runs", code=reading.of)
    found = judged(doing, row) if row else None
    return " ".join(dict.fromkeys(rules.allows_next(key) for key in found.broken)) if found else ""


def _corrected(doing: Doing, code: str, how: str) -> Did:
    if not how.strip():
        raise Refused(_("say how it was put right"))
    batch = _batch(doing, code)
    name = f"{name_of(doing, batch)} {batch['code']}"
    found = judged(doing, batch)
    if found is None or not found.held:
        raise Refused(_("{name} missed no limit").format(name=name))
    _check_allowed(doing, name, batch, found)
    doing.db.execute(
        "INSERT INTO corrections (action, at, by, station, batch, what, how) VALUES (?, ?, ?, ?, ?, ?, ?)",
        [
            doing.id, instant_text(doing.now), doing.who.by, doing.who.station, batch["code"],
            " ".join(found.broken), how,
        ],
    )  # fmt: skip
    section = doing.book.kitchen.rules.allowed[found.broken[0]].section
    doing.log("corrected", batch=batch["code"], prep=batch["prep"], before=_(found.held), after=how, why=section)
    return doing.answer(_("{name}: put right, {how}").format(name=name, how=how), batches=(batch["code"],))


def _check_allowed(doing: Doing, name: str, batch: Row, found: Judged) -> None:
    """Refused unless the code lets this miss be put right, and a reading shows that it was."""
    rules = doing.book.kitchen.rules
    for key in found.broken:
        allowed = rules.allowed.get(key)
        if allowed is None or allowed.may == "discard" or found.held in (OUT_TOO_LONG, NOT_REHEATED):
            said = _("{name}: {why}; the code ({section}) lets it only be discarded")
            section = allowed.section if allowed else rules.rules[key].section
            raise Refused(said.format(name=name, why=_(found.held), section=section))
    since, time = found.since or doing.now, rules.rules.get("reheat_within")
    until = since + timedelta(minutes=int(time.value)) if time else doing.now
    heated = [
        reading
        for reading in of_batch(doing.db, batch["code"], batch["run"])
        if since <= reading.at <= until and within(rules, "reheat", reading)
    ]
    if not heated:
        said = _("{name}: no reading at {limit} or above from {since} to {until}; heat it and read it, or discard it")
        raise Refused(
            said.format(name=name, limit=rules.rules["reheat"].said, since=doing.time(since), until=doing.time(until))
        )
