"""Runs: how one begins, what it takes of what is on hand, and who has it already.

A run keeps the recipe of the book version it was started with. Its ingredients are taken when the step that names
them begins, those that no step names when it starts; goods are not stocked and are not taken.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.amounts import MILLION
from prepboard.book.book import Book, Prep, Use
from prepboard.book.freshness import is_still_frozen
from prepboard.book.otherwise import Otherwise, places_of
from prepboard.book.safety.needs_control import opened_as_taken
from prepboard.book.saying import say_amount, say_not_there
from prepboard.plan.given.state import Line
from prepboard.store.file.times import day_or_none, day_text, instant, instant_text
from prepboard.store.file.who import Refused, Unsure
from prepboard.store.food.taking import Cause, ask_or_take, good, name_packs, say, take
from prepboard.store.food.use_by import HandedOn, handed_on
from prepboard.store.read.stays import stays_of
from prepboard.store.transaction.doing import Doing, Row
from prepboard.store.transaction.shown import refuse_moved
from prepboard.texts import _


class Lacking(NamedTuple):
    """Of something that was to go in, how much was not there, 0 of goods, or was taken `frozen`."""

    item: str
    amount: int
    frozen: bool = False


LARGEST = 1000
"""Recipes in one run; more is a slip of the finger."""


def recipe_for(doing: Doing, prep: str) -> Prep:
    """The recipe whose runs give a prep: its own, else the first that makes it along. Refused when nothing does."""
    found = doing.book.preps.get(prep)
    if found is None:
        raise Refused(_("no prep is called {prep}").format(prep=prep))
    if found.outputs:
        return found
    if not found.made_by:
        raise Refused(_("nothing in the book makes {name}").format(name=found.name))
    return doing.book.preps[found.made_by[0]]


def begin(doing: Doing, recipe: Prep, size: Fraction, line: Line | None, *, recorded: bool) -> Row:
    """Adds a run. `recorded`: its start was seen; without that it is only known that it is over now."""
    if not 0 < size <= LARGEST:
        raise Refused(_("a run of {size} recipes cannot be").format(size=size))
    if line is not None:
        check_free(doing, line)
    now = instant_text(doing.now)
    row: Row = {
        "code": doing.new_code(),
        "prep": recipe.id,
        "size": str(size),
        "line": str(line) if line else None,
        "need": line.need if line else "",
        "n": line.n if line else 0,
        "need_day": need_day(doing, line).isoformat(),
        "book": doing.version,
        "state": "under way",
        "started": now,
        "recorded": int(recorded),
        "step": 0 if recipe.steps else -1,
        "step_began": now,
        "outputs": json.dumps({item: round(amount * size) for item, amount in recipe.outputs.items()}),
        "by": doing.who.by,
        "station": bench_of(doing, recipe),
    }
    doing.put("runs", row)
    return run_row(doing, row["code"])


def bench_of(doing: Doing, recipe: Prep) -> str:
    """The bench that a run belongs to, whoever starts it: the one that the prep was given to today, else its
    recipe's."""
    today = doing.book.kitchen.days.business_day(doing.now)
    row = doing.row("given", day=today.isoformat(), prep=recipe.id)
    station = str(row["station"]) if row else recipe.station
    return station if station in doing.book.stations else doing.who.station


def need_day(doing: Doing, line: Line | None) -> date:
    """The business day of the service at the end of a line's chain; today where it names none."""
    day = _end_of_chain(line)[1] if line is not None else None
    return day or doing.book.kitchen.days.business_day(doing.now)


def _end_of_chain(line: Line) -> tuple[str, date | None]:
    """The service, or "open" or "run", that a line is for in the end, and the day that this names."""
    what, _dot, day = line.need.rpartition("@")[2].rpartition(".")
    try:
        return what, date.fromisoformat(day)
    except ValueError:
        return what, None


def what_for(doing: Doing, line: Line) -> str:
    """What a line is for, as answers name it: "Lunch Sun", "Sorrel sauce, Lunch Sun", "run K7F"."""
    what, day = _end_of_chain(line)
    if day is None:
        return _("run {run}").format(run=line.need.rpartition(".")[2])
    service, on = doing.book.services.get(what), doing.day(day)
    said = f"{service.name} {on}" if service else on
    try:
        return f"{doing.book.name(Line.read(line.need).prep)}, {said}"
    except ValueError:
        return said


def is_not_next_today(doing: Doing, line: Line, going: Iterable[Row]) -> bool:
    """Whether a line is another day's, or another sitting's than those of its prep that are `going` on: whoever named
    the prep alone would not think of it."""
    if need_day(doing, line) > doing.book.kitchen.days.business_day(doing.now):
        return True
    return any(run["need"] != line.need for run in going)


def run_row(doing: Doing, code: str) -> Row:
    found = doing.row("runs", code=code.upper())
    if found is None:
        raise Refused(_("there is no run {run}").format(run=code))
    return found


def under_way(doing: Doing, code: str) -> Row:
    """The run, if it still goes on; else Refused with who ended it."""
    run = run_row(doing, code)
    if run["state"] != "under way":
        raise Refused(_who_has_it(doing, run))
    if instant_text(doing.now) < run["step_began"]:
        began = doing.time(instant(run["step_began"]))
        raise Refused(_("run {run} was not that far then; it got there at {time}").format(run=run["code"], time=began))
    return run


class Shown(Struct, frozen=True):
    """How far a run was on the screen of whoever acts on it: its step, and what it is still to give."""

    step: int
    outputs: Mapping[str, int]


def check_shown(doing: Doing, run: Row, shown: Shown | None) -> None:
    """Refused with who did what and when, when a run has gone on since it was shown."""
    if shown is None or (run["step"], json.loads(run["outputs"])) == (shown.step, dict(shown.outputs)):
        return
    refuse_moved(doing, "runs", code=run["code"])


def check_free(doing: Doing, line: Line) -> None:
    """Refused with who, when and where, when the line has been started or done already."""
    run = doing.first("SELECT * FROM runs WHERE line = ? AND state != 'undone'", str(line))
    if run is not None:
        raise Refused(_who_has_it(doing, run))


def _who_has_it(doing: Doing, run: Row) -> str:
    name = doing.book.name(run["prep"])
    if run["state"] == "undone":
        return _("run {run} of {name} was undone").format(run=run["code"], name=name)
    if run["state"] == "under way":
        return _("{name} was started at {time} by {by} at {station}: run {run}").format(
            name=name,
            time=doing.time(instant(run["started"])),
            by=run["by"],
            station=station_name(doing, run["station"]),
            run=run["code"],
        )
    codes = [row["code"] for row in doing.rows("SELECT code FROM batches WHERE run = ? ORDER BY rowid", run["code"])]
    said = _("{name} was done at {time} by {by} at {station}: batch {batches}")
    if run["state"] == "lost":
        said = _("{name} was lost at {time}, said {by} at {station}")
    return said.format(
        name=name,
        time=doing.time(instant(run["ended"])),
        by=run["ended_by"],
        station=station_name(doing, run["ended_at_station"]),
        batches=", ".join(codes),
    )


def station_name(doing: Doing, station: str) -> str:
    found = doing.book.stations.get(station)
    return found.name if found else station


def recipe_of(doing: Doing, run: Row) -> tuple[Book, Prep]:
    """The book and the recipe that a run was started with."""
    book = doing.file.book(doing.db, run["book"])
    return book, book.preps[run["prep"]]


def take_for(
    doing: Doing, run: Row, recipe: Prep, *, step: int | None, sure: bool, lacks: list[Lacking] | None = None
) -> Row:
    """Takes what a step names as it begins, with the first step what none names, or, with None, all that has not been
    taken yet.

    What is not there is taken as far as it goes, the log says what was missing, and so does `lacks`; what is there and
    may not be used is asked about. Answers the changed run.
    """
    taken: list[int] = json.loads(run["taken"])
    handed = HandedOn(day_or_none(run["first_day"]), day_or_none(run["first_safety"]))
    instead: dict[str, str] = json.loads(run["instead"])
    for place, use in enumerate((*recipe.uses, *recipe.takes_if_there)):
        if place in taken or (step is not None and (use.step or 0) != step):
            continue
        taken.append(place)
        use = replace(use, item=instead.get(use.item, use.item))
        wanted = place < len(recipe.uses)
        parts, short = _take_one(doing, run, use, wanted=wanted, sure=sure)
        took = [batch for batch, _part in parts]
        if lacks is not None and wanted and (short > 0 or doing.row("missing", goods=use.item)):
            lacks.append(Lacking(use.item, short))
        ice = sum(part for batch, part in parts if _is_still_frozen(doing, batch))
        if lacks is not None and ice:
            lacks.append(Lacking(use.item, ice, frozen=True))
        for batch in took:
            handed = handed.and_of(handed_on(doing, batch))
        if not took and opened_as_taken(doing.book, use.item):
            handed = handed.and_of(HandedOn(doing.book.kitchen.days.business_day(doing.now)))
    days = {"first_day": day_text(handed.first_day), "first_safety": day_text(handed.safety)}
    doing.put("runs", {"code": run["code"], "taken": json.dumps(taken), **days})
    return run_row(doing, run["code"])


def put_otherwise(doing: Doing, run: Row, recipe: Prep, how: Otherwise) -> Row:
    """A run that begins is made otherwise than its recipe says. Refused where the book does not say that it may stand
    there, and where `put_instead` is."""
    for equipment, other in how.places.items():
        names = {one: doing.book.equipment[one].name for one in (equipment, other) if one in doing.book.equipment}
        if equipment not in names or places_of(recipe, other).get(equipment) != other:
            said = _("{recipe} is not made in {equipment}: the book says by `or_in` where it may be")
            raise Refused(said.format(recipe=recipe.name, equipment=names.get(other, other)))
        doing.log("instead", prep=recipe.id, before=names[equipment], after=names[other], why=run["code"])
    if how.places:
        doing.put("runs", {"code": run["code"], "other_places": json.dumps(dict(how.places))})
    return put_instead(doing, run, recipe, how.instead) if how.instead else run_row(doing, run["code"])


def put_instead(doing: Doing, run: Row, recipe: Prep, instead: Mapping[str, str]) -> Row:
    """Something else goes into a run than its recipe says: trace and allergens of what it gives go with it.

    Refused for what the recipe does not use, for a prep that was taken already, and where amounts cannot be compared.
    """
    every = (*recipe.uses, *recipe.takes_if_there)
    taken: list[int] = json.loads(run["taken"])
    for item, other in instead.items():
        names = {"item": doing.book.name(item), "other": doing.book.name(other), "recipe": recipe.name}
        at = [place for place, use in enumerate(every) if use.item == item]
        if not at:
            raise Refused(_("{recipe} uses no {item}").format(**names))
        if other not in doing.book.preps and other not in doing.book.goods:
            raise Refused(_("the book knows no {other}").format(**names))
        if item in doing.book.preps and any(place in taken for place in at):
            raise Refused(_("{item} was taken for it already").format(**names))
        if other in doing.book.preps and doing.book.measure(other).kind != doing.book.measure(item).kind:
            raise Refused(_("{item} and {other} are not measured alike; give the amount by `use`").format(**names))
        doing.log("instead", prep=recipe.id, before=names["item"], after=names["other"], why=run["code"])
    known: dict[str, str] = json.loads(run["instead"])
    doing.put("runs", {"code": run["code"], "instead": json.dumps({**known, **instead})})
    return run_row(doing, run["code"])


def _take_one(doing: Doing, run: Row, use: Use, *, wanted: bool, sure: bool) -> tuple[list[tuple[Row, int]], int]:
    """Answers what it took of which, and how much was not there; goods are not counted."""
    cause = Cause("used", run=run["code"])
    if use.item not in doing.book.preps:
        return [(pack, 0) for pack in name_packs(doing, use.item, cause, sure=sure)], 0
    amount = round(use.amount * Fraction(run["size"]))
    parts = take(doing, good(doing, use.item), amount, cause)
    if wanted:
        parts += ask_or_take(doing, use.item, amount - sum(part for _batch, part in parts), cause, sure=sure)
    for batch, part in parts:
        doing.log(
            "used",
            batch=batch["code"],
            prep=use.item,
            before=say(doing, batch, batch["left"]),
            after=say(doing, batch, batch["left"] - part),
            why=_("for {name}, run {run}").format(name=doing.book.name(run["prep"]), run=run["code"]),
        )
    short = amount - sum(part for _batch, part in parts)
    if short > 0 and wanted:
        measure = doing.book.measure(use.item)
        missing = say_amount(measure, short, doing.book.kitchen.units)
        doing.log("missing", prep=use.item, after=missing, why=_("not on hand for run {run}").format(run=run["code"]))
    return parts, short


def _is_still_frozen(doing: Doing, batch: Row) -> bool:
    prep = doing.book.preps.get(batch["prep"])
    return is_still_frozen(prep, batch["store"], stays_of(batch["stays"]), doing.now)


def not_there(doing: Doing, lacks: Iterable[Lacking]) -> str:
    """What was not there, or frozen, as the line said before it was started; else empty."""
    units, measure, name = doing.book.kitchen.units, doing.book.measure, doing.book.name
    missing: list[tuple[str, str]] = []
    frozen: list[tuple[str, str]] = []
    for one in lacks:
        amount = say_amount(measure(one.item), one.amount, units) if one.amount else ""
        (frozen if one.frozen else missing).append((name(one.item), amount))
    return say_not_there(missing, frozen)


def amounts_of(
    doing: Doing, planned: Mapping[str, int], given: Mapping[str, int] | None, *, sure: bool
) -> dict[str, int]:
    """What a run really gave: what was not said comes in proportion to the first that was.

    Unsure above three times the plan; Refused for what the run does not give, or when nothing came of it.
    """
    given = dict(given or {})
    kitchen = doing.book.kitchen
    for item, amount in given.items():
        if item not in planned:
            raise Refused(_("this run gives no {name}").format(name=doing.book.name(item)))
        if amount < 0:
            raise Refused(_("an amount is never less than zero"))
        if amount > 3 * planned[item] and not sure:
            measure = doing.book.measure(item)
            raise Unsure(
                _("{amount} of {name} is more than three times the {planned} that were planned").format(
                    amount=say_amount(measure, amount, kitchen.units),
                    name=doing.book.name(item),
                    planned=say_amount(measure, planned[item], kitchen.units),
                )
            )
    first = next((item for item in planned if item in given and planned[item]), None)
    share = Fraction(given[first], planned[first]) if first else Fraction(1)
    came = {item: given.get(item, round(amount * share)) for item, amount in planned.items()}
    if not any(amount * 1000 >= MILLION for amount in came.values()):
        raise Refused(_("nothing came of it; say that the run was lost, and why"))
    return came
