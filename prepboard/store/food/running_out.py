"""Dishes of which nothing is left, noted as plates go out: the evening's plates are the least that was asked for."""

from __future__ import annotations

from collections.abc import Iterable

from prepboard.book.book import Dish
from prepboard.plan.given.state import Sitting
from prepboard.store.file.times import instant_text
from prepboard.store.food.taking import good
from prepboard.store.transaction.doing import Doing
from prepboard.store.transaction.named import sitting_key


def note_run_outs(doing: Doing, sitting: Sitting, preps: Iterable[str]) -> None:
    """Notes every dish on offer that has too little of one of these preps for another plate."""
    day, service = sitting_key(sitting)
    left = {prep: sum(batch["left"] for batch in good(doing, prep, set_aside_for=f"{service}.{day}")) for prep in preps}
    rows = doing.rows("SELECT dish, prep, amount FROM portions WHERE day = ?", day)
    today = {(row["dish"], row["prep"]): row["amount"] for row in rows}
    for dish in doing.book.dishes.values():
        needs = {prep: today.get((dish.id, prep), dish.plate[prep]) for prep in left if prep in dish.plate}
        key = {"day": day, "service": service, "dish": dish.id}
        short = service in dish.services and any(left[prep] < portion for prep, portion in needs.items())
        if short and doing.row("ran_out", **key) is None:
            doing.put("ran_out", {**key, "at": instant_text(doing.now)})


def note_went_on(doing: Doing, sitting: Sitting, dish: Dish) -> None:
    """A plate went out though the book says that nothing was there: it had not run out."""
    day, service = sitting_key(sitting)
    doing.put("ran_out", {"day": day, "service": service, "dish": dish.id, "at": instant_text(doing.now), "went_on": 1})


def forget_run_outs(doing: Doing, sitting: Sitting, preps: Iterable[str]) -> None:
    """Plates were taken back: what they had used up had not run out."""
    day, service = sitting_key(sitting)
    for row in doing.rows("SELECT dish FROM ran_out WHERE day = ? AND service = ? AND went_on = 0", day, service):
        dish = doing.book.dishes.get(row["dish"])
        if dish and any(prep in dish.plate for prep in preps):
            doing.drop("ran_out", day=day, service=service, dish=row["dish"])
