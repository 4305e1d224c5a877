"""Readings: what was measured, what it is held to, and the code's corrective action once a limit was missed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.book import Temperature
from prepboard.book.rules import RuleBook, is_heat
from prepboard.book.safety.cooling import Cooling, Limit, guidance
from prepboard.book.safety.holding import held_at, place_limit
from prepboard.book.safety.judging import (
    TOO_SLOW,
    Way,
    judge,
    may_put_right,
    reheated_by,
    window,
)
from prepboard.book.safety.may_use import MISSED, Mark
from prepboard.book.safety.needs_control import rules_for
from prepboard.book.safety.temperatures import COLDEST, HOTTEST, Kind, Reading, Unit, on_scale, within
from prepboard.plan.given.state import Batch
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import RANK, Did, Refused, Unsure, Who, who_may
from prepboard.store.food import freezers
from prepboard.store.food.probes import doubt, probe_name
from prepboard.store.food.running import recipe_of, under_way
from prepboard.store.food.taking import name_of
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.read.measured import TYPED_LATE, of_batch, start_of
from prepboard.store.read.storage import storage_of
from prepboard.store.transaction.doing import Doing, Row, act, action
from prepboard.store.transaction.shown import check_batch
from prepboard.texts import _, decimal

HOTTEST_FOOD = Fraction(105)
"""Degrees C above which food is asked about once more: a Fahrenheit figure typed without its F looks so."""


class _Verdict(Struct, frozen=True):
    """What a reading was judged as, what it is held to in words, and whether it keeps that (None: no limit)."""

    meant: str = ""
    held_to: str = ""
    ok: bool | None = None
    ahead: bool = False
    """The limit is still ahead, and the food is not there yet."""
    slow: bool = False
    """Later than guidance has it, which holds nothing back."""


def read(
    file: KitchenFile,
    who: Who,
    kind: Kind,
    of: str,
    degrees: Fraction,
    unit: Unit,
    *,
    reheat: bool = False,
    record: str = "",
    probe: str = "",
    most_exposed: bool = False,
    sure: bool = False,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """A temperature of a batch, a run under way, a place or a good, in the unit that was measured.

    `reheat`: the batch is being heated for hot holding. `record`: the paper or device that a sous chef types a late
    reading from. `probe`: what it was read with, by its name in the kitchen. `most_exposed`: the batch is the warmest
    in its place, by the reader's word, and speaks for all in
    it. Refused for what is not there, or beyond any probe; Unsure where food would be hotter than food is.
    """
    how = _How(reheat, record.strip(), most_exposed, sure, probe_name(probe))
    return act(file, who, "read", lambda doing: _read(doing, kind, of, degrees, unit, how), action=action, at=at)


@action("corrected")
def corrected(
    doing: Doing, batch: str, how: str,
    *, shown: Batch | None = None, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """The code's corrective action was done on a batch that missed a limit; from now on it may be used again.

    Refused when nothing was missed, when the code allows only to discard it, or when no reading shows that it was
    heated as far, and as soon, as the code asks. Refused for a batch that is no longer as it was `shown`.
    """
    check_batch(doing, shown, all_of_it=False)
    return _corrected(doing, batch, how)


class _How(Struct, frozen=True):
    reheat: bool
    record: str
    most_exposed: bool = False
    sure: bool = False
    probe: str = ""


def _check_how(doing: Doing, kind: Kind, degrees: Fraction, unit: Unit, how: _How) -> None:
    if kind != "place" and not how.sure and on_scale(degrees, unit, "C") > HOTTEST_FOOD:
        said = _("{degrees} °{unit} for food? A figure in °F is typed with F behind it")
        raise Unsure(said.format(degrees=decimal(f"{float(degrees):g}"), unit=unit))
    if how.record and RANK[doing.role] < RANK["sous"]:
        said = _("only a sous chef types a reading from another record{who}")
        raise Refused(said.format(who=who_may(doing.book, "sous")))


def _read(doing: Doing, kind: Kind, of: str, degrees: Fraction, unit: Unit, how: _How) -> Did:
    if not COLDEST <= on_scale(degrees, unit, "C") <= HOTTEST:
        raise Refused(_("no probe shows {degrees} °{unit}").format(degrees=decimal(f"{float(degrees):g}"), unit=unit))
    _check_how(doing, kind, degrees, unit, how)
    late = not how.record and doing.file.clock.now() - doing.now > TYPED_LATE
    doubtful = late or bool(doubt(doing, how.probe))
    reading = Reading(of, kind, doing.now, degrees, unit, doing.who.by, "reheat" if how.reheat else "", doubtful)
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
        verdict = _held(doing, place_limit(table[of].store), reading)
    in_doubt = doubt(doing, how.probe)
    if in_doubt and verdict.ok:
        verdict = replace(verdict, ok=None, ahead=False)  # It shows nothing good.
    _keep(doing, reading, verdict, how)
    if kind == "place":
        freezers.follow(doing, doing.book.places[of], reading)
    if how.most_exposed:
        _speaks_for_its_place(doing, reading, how)
    missed = verdict.held_to if verdict.ok is False else ""
    code = of if kind in ("batch", "run") else ""
    doing.log("read", batch=code, prep=prep, after=f"{float(degrees):g} °{unit}", why=missed)
    said = "; ".join(filter(None, (_said(doing, name, reading, verdict), in_doubt)))
    return doing.answer(said, run=of if kind == "run" else "")


def read_within(doing: Doing, kind: Kind, of: str, temperature: Temperature, probe: str = "") -> str:
    """The reading of a place that a task asked for, or of goods that came, inside that action: kept and judged as any
    other of it. Answers what it says."""
    how = _How(reheat=False, record="", probe=probe_name(probe))
    return _read(doing, kind, of, temperature.degrees, temperature.unit, how).text


def _speaks_for_its_place(doing: Doing, reading: Reading, how: _How) -> None:
    """A reading of what is most exposed in a place speaks for all that is in it."""
    batch = doing.row("batches", code=reading.of) if reading.kind == "batch" else None
    place = doing.book.places.get(batch["place"]) if batch else None
    if place is None:
        raise Refused(_("only a batch that stands in a place of the book speaks for what is in it"))
    of_place = Reading(place.id, "place", reading.at, reading.degrees, reading.unit, reading.by, "exposed")
    verdict = _held(doing, held_at(place.store), of_place)
    _keep(doing, of_place, _Verdict("exposed", verdict.held_to, verdict.ok), how)


def _keep(doing: Doing, reading: Reading, verdict: _Verdict, how: _How) -> None:
    doing.db.execute(
        "INSERT INTO readings (action, at, by, station, of, kind, degrees, unit, meant, held_to, ok, entered,"
        " from_record, probe) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [
            doing.id, instant_text(doing.now), doing.who.by, doing.who.station, reading.of, reading.kind,
            f"{float(reading.degrees):g}", reading.unit, verdict.meant, verdict.held_to,
            None if verdict.ok is None else int(verdict.ok), instant_text(doing.file.clock.now()), how.record,
            how.probe,
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
    found = storage_of(doing.files, batch["code"], reading)
    assert found is not None, batch["code"]
    way = found.judged.cooling if batch["store"] != "hot" else None
    rules = doing.book.kitchen.rules
    if way and reading in way.readings and not _is_down(rules, way, reading):
        return _cooling(doing, way, reading)
    if batch["store"] != "hot" and within(rules, "hot_holding", reading):
        return _Verdict("cooling")
    here = found.held.where(reading.at)
    key = "time_control_cold_limit" if here.place in found.held.six_hours else held_at(batch["store"])
    return _held(doing, key, reading, rules_for(doing.book, batch["prep"]))


def _is_down(rules: RuleBook, way: Cooling, reading: Reading) -> bool:
    """Whether the food was cold before this reading: what is read then is how it is kept. A place meets guidance."""
    if guidance(rules):
        return way.closed(reading.at) and way.down != reading.at
    met = way.limits[-1].met_at
    return met is not None and met < reading.at


def _of_run(doing: Doing, run: Row, reading: Reading) -> _Verdict:
    _book, recipe = recipe_of(doing, run)
    step = recipe.steps[run["step"]] if recipe.steps else None
    if step and step.core:
        reached = on_scale(reading.degrees, reading.unit, step.core.unit) >= step.core.degrees
        held_to = _("core {degrees} °{unit} or above").format(
            degrees=decimal(f"{float(step.core.degrees):g}"), unit=step.core.unit
        )
        return _Verdict("core", held_to, reached)
    start = start_of(doing.db, run["code"], lambda version: doing.file.book(doing.db, version))
    if start is None:
        return _Verdict()
    readings = [*of_batch(doing.db, "", run["code"]), reading]
    way = judge(doing.book.kitchen.rules, [Way(start, readings)], doing.now).cooling
    return _cooling(doing, way, reading) if way and reading in way.readings else _Verdict("cooling")


def _cooling(doing: Doing, way: Cooling, reading: Reading) -> _Verdict:
    """Held to the limit that was missed, else to the next, else to the last. One that nobody showed is neither kept
    nor missed."""
    limit = way.broken[0] if way.broken else way.next or way.limits[-1]
    rules = doing.book.kitchen.rules
    if guidance(rules):
        return _by_guidance(doing, limit)
    held_to = _("{limit} by {time}").format(limit=rules.rules[limit.to].said, time=doing.time(limit.due))
    if way.broken:
        return _Verdict("cooling", held_to, ok=False)
    if limit.state in ("not shown", "not read"):
        return _Verdict("cooling", held_to, None)
    return _Verdict("cooling", held_to, ok=True, ahead=not within(rules, limit.to, reading))


def _by_guidance(doing: Doing, limit: Limit) -> _Verdict:
    """Guidance asks for the cold by a moment, names no temperature and blocks nothing: late is "slow"."""
    held_to = _("in the cold by {time}, by guidance").format(time=doing.time(limit.due))
    if limit.state in ("missed", "not shown", "not read"):
        return _Verdict("cooling", held_to, None, slow=True)
    return _Verdict("cooling", held_to, ok=True, ahead=limit.state == "open")


def _held(doing: Doing, key: str, reading: Reading, own: RuleBook | None = None) -> _Verdict:
    rules = own or doing.book.kitchen.rules
    if key not in rules.rules:
        # Heated on purpose it is not food that was found warm, whether or not this book has a figure for it.
        return _Verdict(key if key == "reheat" else "")
    said = _("{limit} or above") if is_heat(key) else _("{limit} or less")
    return _Verdict(key, said.format(limit=rules.rules[key].said), within(rules, key, reading))


def _said(doing: Doing, name: str, reading: Reading, verdict: _Verdict) -> str:
    if verdict.slow:
        said = _("{name}: {degrees}; slow by guidance ({limit}): a sous chef decides what becomes of it")
        return said.format(name=name, degrees=reading.said, limit=verdict.held_to)
    if verdict.ok is None and verdict.held_to:
        said = _("{name}: {degrees}; {limit} was not shown")
        return said.format(name=name, degrees=reading.said, limit=verdict.held_to)
    if verdict.ok is None:
        return _("{name}: {degrees}").format(name=name, degrees=reading.said)
    if verdict.ahead:
        said = _("{name}: {degrees}; must be {limit}")
        return said.format(name=name, degrees=reading.said, limit=verdict.held_to)
    if verdict.ok:
        said = _("{name}: {degrees}, kept: {limit}")
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
    doing.mark()
    keys = [mark.key for mark in doing.marks(reading.kind, reading.of) if mark.row == MISSED and mark.key]
    return " ".join(dict.fromkeys(rules.allows_next(key) for key in keys))


def _corrected(doing: Doing, code: str, how: str) -> Did:
    if not how.strip():
        raise Refused(_("say what was done about it"))
    batch = _batch(doing, code)
    name = f"{name_of(doing, batch)} {batch['code']}"
    missed = [mark for mark in doing.marks("batch", batch["code"]) if mark.row == MISSED and mark.since <= doing.now]
    own = [mark for mark in missed if mark.source == batch["code"]]
    if not missed:
        raise Refused(_("{name} missed no limit").format(name=name))
    if not own:
        raise Refused(_("{name}: {why}, in {source}, which went into it; the code lets it only be discarded").format(
            name=name, why=_(missed[0].why), source=missed[0].source))  # fmt: skip
    _check_allowed(doing, name, batch, own)
    doing.db.execute(
        "INSERT INTO corrections (action, at, by, station, batch, what, how) VALUES (?, ?, ?, ?, ?, ?, ?)",
        [
            doing.id, instant_text(doing.now), doing.who.by, doing.who.station, batch["code"],
            " ".join(mark.key for mark in own), how,
        ],
    )  # fmt: skip
    section = doing.book.kitchen.rules.allowed[own[0].key].place
    doing.log("corrected", batch=batch["code"], prep=batch["prep"], before=_(own[0].why), after=how, why=section)
    return doing.answer(_("{name}: corrective action: {how}").format(name=name, how=how), batches=(batch["code"],))


def _check_allowed(doing: Doing, name: str, batch: Row, missed: Sequence[Mark]) -> None:
    """Refused unless the code lets this miss be put right, once, and a reading shows that it was."""
    rules, now = doing.book.kitchen.rules, doing.now
    food = storage_of(doing.files, batch["code"])
    assert food is not None, batch["code"]
    ways = [way for way in food.judged.coolings if way.broken]
    for mark in missed:
        if mark.why != TOO_SLOW or not may_put_right(rules, mark.key) or food.corrected or not ways:
            said = _("{name}: {why}; the code ({section}) lets it only be discarded")
            allowed = rules.allowed.get(mark.key)
            section = allowed.place if allowed else rules.rules[mark.key].place
            raise Refused(said.format(name=name, why=_(mark.why), section=section))
    since, until = window(rules, ways[0])
    if not reheated_by(rules, ways[0], food.judged.readings):
        said = _("{name}: no reading at {limit} or above from {since} to {until}; heat it and read it, or discard it")
        if now > until:
            said = _("{name}: no reading at {limit} or above from {since} to {until}; it can only be discarded")
        raise Refused(
            said.format(name=name, limit=rules.rules["reheat"].said, since=doing.time(since), until=doing.time(until))
        )
