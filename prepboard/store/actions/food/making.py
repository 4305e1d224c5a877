"""Making: a run starts, goes on step by step, and ends as batches, or is lost."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction

from msgspec.structs import replace

from prepboard.book.amounts import DUST
from prepboard.book.otherwise import AS_WRITTEN, Otherwise
from prepboard.book.saying import say_amount, say_size
from prepboard.plan.given.state import Line
from prepboard.store.actions.food.unknown import made
from prepboard.store.file.times import instant_text
from prepboard.store.file.who import Did, Refused, Who
from prepboard.store.food.ending import How, as_batches, end
from prepboard.store.food.running import (
    Lacking,
    Shown,
    begin,
    check_shown,
    is_not_next_today,
    not_there,
    put_otherwise,
    recipe_for,
    recipe_of,
    station_name,
    take_for,
    under_way,
    what_for,
)
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.transaction.doing import Doing, Row, act, action
from prepboard.texts import _

__all__ = ["How", "done", "lost", "made", "start", "step"]


_UNDER_WAY = "SELECT code, need FROM runs WHERE state = 'under way' AND prep = ? ORDER BY started, code"


@action("start")
def start(
    doing: Doing,
    prep: str,
    size: Fraction,
    line: Line | None = None,
    *,
    how: Otherwise = AS_WRITTEN,
    sure: bool = False,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """A run of `size` recipes starts, made `how`. With the plan's `line` it is Refused once somebody has that line;
    Unsure where it would take what may not be used; what is not there is said."""
    recipe = recipe_for(doing, prep)
    going = doing.rows(_UNDER_WAY, recipe.id)
    run = begin(doing, recipe, size, line, recorded=True)
    doing.log("started", prep=recipe.id, after=say_size(size), why=run["code"])
    if how != AS_WRITTEN:
        run = put_otherwise(doing, run, recipe, how)
    lacks: list[Lacking] = []
    take_for(doing, run, recipe, step=0, sure=sure, lacks=lacks)
    text, others = _("{name} started: {size}, run {run}"), ", ".join(one["code"] for one in going)
    if others and not line:
        text = _("{name} started: {size}, run {run}: one more beside {others}, and the plan asks for none")
    named = what_for(doing, line) if line and is_not_next_today(doing, line, going) else ""
    if named:
        text = _("{name} started: {size}, run {run}, for {named}")
    said = text.format(name=recipe.name, size=say_size(size), run=run["code"], others=others, named=named)
    return doing.answer(_and_not_there(doing, said, lacks), run=run["code"])


def _and_not_there(doing: Doing, said: str, lacks: list[Lacking]) -> str:
    """An answer, with what was not there."""
    return "; ".join(filter(None, (said, not_there(doing, lacks))))


@action("step")
def step(
    doing: Doing,
    run: str,
    *,
    shown: Shown | None = None,
    sure: bool = False,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """The next step of a run begins. Refused at the last one, since what comes next then is done, and when the run is
    no longer as it was `shown`."""
    return _step(doing, run, shown, sure)


def done(
    file: KitchenFile,
    who: Who,
    *,
    run: str | None = None,
    prep: str | None = None,
    size: Fraction = Fraction(1),
    line: Line | None = None,
    outputs: Mapping[str, int] | None = None,
    how: How | None = None,
    shown: Shown | None = None,
    sure: bool = False,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """A run ends as batches: the `run` given, or one of `prep` that nobody started.

    `outputs` are the real amounts by prep, in millionths; what is not given comes in proportion, and without any
    it is what was planned. Unsure above three times the plan, until `sure`. `how` says what is out of the ordinary.
    Refused when the run is no longer as it was `shown`.
    """
    how = how or How()

    def body(doing: Doing) -> Did:
        did = as_batches(doing, _ending(doing, run, prep, size, line, shown), outputs, how, sure=sure)
        if run or line is None or not is_not_next_today(doing, line, ()):
            return did
        return replace(did, text=_("{said}; it was for {named}").format(said=did.text, named=what_for(doing, line)))

    return act(file, who, "done", body, action=action, at=at)


def end_as_planned(
    doing: Doing, run: str | None, prep: str | None, size: Fraction, line: Line | None, shown: Shown | None
) -> Did:
    """As `done`, inside an action that does more: the run ends as the batches that were planned."""
    return as_batches(doing, _ending(doing, run, prep, size, line, shown), None, How(), sure=True)


@action("lost")
def lost(
    doing: Doing,
    run: str,
    why: str,
    amount: int | None = None,
    *,
    shown: Shown | None = None,
    action: str | None = None,
    at: datetime | None = None,
) -> Did:
    """A run is burnt or failed: what it uses stays used, and the plan makes it again.

    With an `amount`, in millionths of its prep, only that much is lost and the run goes on for the rest. Refused when
    the run is no longer as it was `shown`.
    """
    return _lost(doing, run, why, amount, shown)


def _step(doing: Doing, code: str, shown: Shown | None, sure: bool) -> Did:
    run = under_way(doing, code)
    check_shown(doing, run, shown)
    _book, recipe = recipe_of(doing, run)
    following = run["step"] + 1
    if following >= len(recipe.steps):
        raise Refused(_("{name} is at its last step; done is next").format(name=recipe.name))
    now = instant_text(doing.now)
    ends = {**json.loads(run["step_ends"]), str(run["step"]): now}
    doing.put(
        "runs",
        {"code": run["code"], "step": following, "step_began": now, "step_ends": json.dumps(ends)},
    )
    begun = recipe.steps[following].do
    doing.log("step", prep=recipe.id, before=recipe.steps[following - 1].do, after=begun, why=run["code"])
    lacks: list[Lacking] = []
    take_for(doing, run, recipe, step=following, sure=sure, lacks=lacks)
    said = _("{name}: {step}").format(name=recipe.name, step=begun)
    return doing.answer(_and_not_there(doing, said, lacks), run=run["code"])


def _ending(
    doing: Doing, code: str | None, prep: str | None, size: Fraction, line: Line | None, shown: Shown | None
) -> Row:
    if code is not None:
        run = under_way(doing, code)
        check_shown(doing, run, shown)
        return run
    if prep is not None:
        return begin(doing, recipe_for(doing, prep), size, line, recorded=False)
    raise Refused(_("done of what? name a run or a prep"))


def _lost(doing: Doing, code: str, why: str, amount: int | None, shown: Shown | None) -> Did:
    if not why.strip():
        raise Refused(_("say why it was lost"))
    run = under_way(doing, code)
    check_shown(doing, run, shown)
    _book, recipe = recipe_of(doing, run)
    planned: dict[str, int] = json.loads(run["outputs"])
    rest = planned.get(recipe.id, 0) - (amount or 0)
    if amount is not None and amount <= 0:
        raise Refused(_("nothing was lost then"))
    if amount is not None and rest >= DUST:
        doing.put("runs", {"code": run["code"], "outputs": json.dumps({**planned, recipe.id: rest})})
        units = doing.book.kitchen.units
        gone, left = (say_amount(recipe.measure, part, units) for part in (amount, rest))
        doing.log("lost", prep=recipe.id, before=gone, after=left, why=why)
        text = _("{name}: {amount} lost, {rest} to come").format(name=recipe.name, amount=gone, rest=left)
        return doing.answer(text, run=run["code"])
    take_for(doing, run, recipe, step=None, sure=True)
    end(doing, run, "lost")
    doing.log("lost", prep=recipe.id, before=say_size(Fraction(run["size"])), why=why)
    station = station_name(doing, run["station"])
    text = _("{name} lost at {station}; the plan makes it again where it is needed").format(
        name=recipe.name, station=station
    )
    return doing.answer(text, run=run["code"])
