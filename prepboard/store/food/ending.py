"""Ending: what a run gave becomes batches, or tops one up; a part may be ready while the run goes on."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction

from msgspec import Struct, field
from msgspec.structs import replace

from prepboard.book.amounts import DUST
from prepboard.book.book import Prep
from prepboard.book.days import ONE_DAY
from prepboard.book.safety.allergens import carried
from prepboard.book.safety.life import History, day_one, is_hot
from prepboard.book.safety.may_use import HELD, MISSED, WITHHELD
from prepboard.book.safety.stays import Stay, days_frozen
from prepboard.book.saying import say_amount
from prepboard.store.file.times import day_or_none, instant, instant_text
from prepboard.store.file.who import Did, Refused, Unsure
from prepboard.store.food.cooked import makers_date
from prepboard.store.food.parts import check_not_past, live_batch
from prepboard.store.food.refused import stands
from prepboard.store.food.running import amounts_of, put_instead, recipe_of, take_for
from prepboard.store.food.taking import (
    Cause,
    NewBatch,
    add_batch,
    move,
    name_of,
    place_for,
    place_sure,
    unit_of,
    why_blocked,
)
from prepboard.store.food.use_by import earliest, history_of, life_columns
from prepboard.store.past.reach import Reach
from prepboard.store.transaction.doing import Doing, Row
from prepboard.texts import _


class How(Struct, frozen=True):
    """What is out of the ordinary as a run ends: `onto` a batch that it tops up, `more` to come after this part, and
    what was used `instead` of what the recipe says (ids of goods or preps). `off_heat`: of a run that nobody saw start,
    when its last hot step ended."""

    onto: str = ""
    more: bool = False
    instead: Mapping[str, str] = field(default_factory=dict)
    off_heat: datetime | None = None


def as_batches(doing: Doing, run: Row, outputs: Mapping[str, int] | None, how: How, *, sure: bool) -> Did:
    """What a run gave, or a part of it, is there now."""
    _book, recipe = recipe_of(doing, run)
    planned: dict[str, int] = json.loads(run["outputs"])
    came = amounts_of(doing, planned, outputs, sure=sure)
    if how.instead:
        run = put_instead(doing, run, recipe, how.instead)
    if how.off_heat is not None:
        run = _off_the_heat(doing, run, recipe, how.off_heat)
    target = _topped_up(doing, how.onto, came) if how.onto else None
    run = take_for(doing, run, recipe, step=None, sure=sure)
    if target:
        _ask_before_topping_up(doing, run, target, sure=sure)
    if how.more:
        _goes_on(doing, run, recipe, planned, came)
    else:
        end(doing, run, "done")
    codes, said = [], []
    for item, amount in came.items():
        if amount >= DUST:
            onto = target if target and target["prep"] == item else None
            code, sentence = _batch_of(doing, run, recipe, item, amount, onto)
            codes.append(code)
            said.append(sentence)
    return doing.answer("; ".join(said), run=run["code"], batches=tuple(codes))


def _off_the_heat(doing: Doing, run: Row, recipe: Prep, at: datetime) -> Row:
    """When the last hot step of a run ended that nobody saw start: its cooling runs from then."""
    hot = [index for index, step in enumerate(recipe.steps) if is_hot(step, doing.book.kitchen.rules)]
    if run["recorded"] or not hot:
        raise Refused(_("{name}: when it came off the heat is known, or it was never hot").format(name=recipe.name))
    if at > doing.now:
        raise Refused(_("it cannot have come off the heat after it was done"))
    ends = json.dumps({**json.loads(run["step_ends"]), str(hot[-1]): instant_text(at)})
    doing.put("runs", {"code": run["code"], "step_ends": ends})
    return {**run, "step_ends": ends}


def end(doing: Doing, run: Row, state: str) -> None:
    """A run is over; `state` is "done" or "lost"."""
    doing.put(
        "runs",
        {
            "code": run["code"],
            "state": state,
            "ended": instant_text(doing.now),
            "ended_by": doing.who.by,
            "ended_at_station": doing.who.station,
        },
    )


def _goes_on(doing: Doing, run: Row, recipe: Prep, planned: Mapping[str, int], came: Mapping[str, int]) -> None:
    rest = {item: max(0, amount - came.get(item, 0)) for item, amount in planned.items()}
    if rest.get(recipe.id, 0) < DUST:
        raise Refused(_("that is all of it; mark it done"))
    doing.put("runs", {"code": run["code"], "outputs": json.dumps(rest)})


def _topped_up(doing: Doing, code: str, came: Mapping[str, int]) -> Row:
    """The batch that is topped up; Refused when it is not of this run's food, not good, or kept elsewhere."""
    batch = live_batch(doing, code)
    name = f"{name_of(doing, batch)} {batch['code']}"
    if batch["prep"] not in came or batch["prep"] not in doing.book.preps:
        raise Refused(_("this run gives no {name}").format(name=name_of(doing, batch)))
    check_not_past(doing, batch)
    if held := why_blocked(doing, batch):
        raise Refused(_("{name} is held back: {why}").format(name=name, why=_(held)))
    if batch["store"] != doing.book.preps[batch["prep"]].store:
        raise Refused(
            _("{name} is kept {store}; fresh food does not go onto it").format(name=name, store=_(batch["store"]))
        )
    return batch


def _ask_before_topping_up(doing: Doing, run: Row, target: Row, *, sure: bool) -> None:
    """What is put onto a batch is one food with it: a run whose food may not be used makes all of it so."""
    doing.mark()
    marks = [mark for mark in doing.marks("run", run["code"]) if mark.row in (WITHHELD, MISSED, HELD)]
    if marks and not sure:
        said = _("what goes into it may not be used ({why}); onto {name} {batch} all of that may not be used either")
        raise Unsure(said.format(why=_(marks[0].why), name=name_of(doing, target), batch=target["code"]))


def _batch_of(doing: Doing, run: Row, recipe: Prep, item: str, amount: int, onto: Row | None) -> tuple[str, str]:
    """One output becomes a batch, or tops one up; answers its code and a sentence."""
    book = doing.book if item in doing.book.preps else recipe_of(doing, run)[0]
    prep, kitchen = book.preps[item], book.kitchen
    own = day_one(
        recipe,
        Fraction(run["size"]),
        kitchen,
        started=instant(run["started"]) if run["recorded"] else None,
        ready=doing.now,
        step_ends={int(index): instant(at) for index, at in json.loads(run["step_ends"]).items()},
    )
    new = NewBatch(
        prep=item,
        amount=amount,
        unit=unit_of(prep),
        made_at=doing.now,
        first_day=own,
        inherited=day_or_none(run["first_day"]),
        safety=makers_date(doing, run),
        store=prep.store,
        place=place_for(doing, prep.store, item, recipe),
        place_sure=place_sure(doing, prep.store, item, recipe),
        station=prep.station,
        run=run["code"],
        allergens=_allergens(doing, run, recipe, prep),
    )
    code = _onto(doing, onto, new) if onto else add_batch(doing, new, "made")
    said = say_amount(prep.measure, amount, kitchen.units)
    doing.log("made", batch=code, prep=item, after=said, why=run["code"])
    text = _("{name}: {amount}, batch {batch}, {good}")
    if onto:
        text = _("{name}: {amount} onto batch {batch}, {good}")
    doing.mark()
    batch = doing.row("batches", code=code)
    assert batch is not None, code
    good = stands(doing, batch)
    return code, text.format(name=prep.name, amount=said, batch=code, good=good)


def _onto(doing: Doing, batch: Row, new: NewBatch) -> str:
    """The earliest of both counts and dates stands for all of it."""
    old, fresh = history_of(batch), History(new.first_day, new.made_at, (Stay(new.store, new.made_at),), new.inherited)
    # The days that the old one lay frozen stand still for it alone: what is new is counted back by them.
    before = days_frozen(old.stays, doing.book.kitchen.days) * ONE_DAY
    merged = replace(
        old,
        first_day=min(old.first_day, fresh.first_day - before),
        inherited=earliest((old.inherited, fresh.inherited - before if fresh.inherited else None)),
        safety=earliest((old.safety, new.safety)),
    )
    own = life_columns(doing.book, new.prep, replace(fresh, safety=new.safety))
    change = life_columns(doing.book, new.prep, merged)
    ends = [(row["use_by"], row["why"]) for row in (batch, own, change) if row["use_by"]]
    if ends:
        change["use_by"], change["why"] = min(ends)
    known = json.loads(new.allergens or "[]")
    known += json.loads(batch["allergens"]) if batch["allergens"] else carried(doing.book, new.prep)
    change["allergens"] = json.dumps(sorted({*known}))
    move(doing, batch["code"], new.amount, Cause("made", run=new.run))
    doing.put("batches", {"code": batch["code"], **change})
    return str(batch["code"])


def _allergens(doing: Doing, run: Row, recipe: Prep, prep: Prep) -> str:
    """What a batch holds, as JSON: what its run's recipe says as it was then, and what the batches held that went in.
    A later edit of the book changes it no more."""
    instead: dict[str, str] = json.loads(run["instead"])
    book, _recipe = recipe_of(doing, run)
    reach = Reach(doing.db)
    taken = [row for row in (reach.batch(code) for code, _amount in reach.used_by(run["code"])) if row]
    found = {*prep.allergens, *recipe.allergens}
    for use in (*recipe.uses, *recipe.takes_if_there):
        item = instead.get(use.item, use.item)
        of_item = [row for row in taken if row["prep"] == item]
        as_written = not of_item or any(row["allergens"] is None for row in of_item)
        found |= (
            set(carried(book if item in book.preps or item in book.goods else doing.book, item))
            if as_written
            else set()
        )
        for row in of_item:
            found |= set(json.loads(row["allergens"] or "[]"))
    return json.dumps(sorted(found))
