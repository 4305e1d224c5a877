"""Whether freezing gains anything: days that food still has once it is thawed."""

from __future__ import annotations

from datetime import datetime, timedelta

from msgspec.structs import replace

from prepboard.book.book import Prep
from prepboard.book.days import ONE_DAY
from prepboard.book.safety.life import eaten_frozen, food_of, good_until
from prepboard.book.safety.stays import and_then
from prepboard.plan.given.state import Batch, State

LATER = timedelta(days=7)
"""A thaw so much later shows whether the days stood still meanwhile."""


def gains(state: State, batch: Batch, now: datetime) -> bool:
    """Whether a batch that goes into the freezer now would be good for longer than it is, and for a day at least if it
    is taken out tomorrow. Nothing gains where no place is a freezer, and nothing of which no recipe is known."""
    prep = state.book.preps.get(batch.prep)
    if prep is None or batch.use_by is None or batch.store == "frozen" or batch.blocked or eaten_frozen(prep):
        return False
    if not prep.is_served_from("frozen"):
        return False
    if state.book.places and not any(place.store == "frozen" for place in state.book.places.values()):
        return False
    days = state.book.kitchen.days
    tomorrow = days.opens(days.business_day(now) + ONE_DAY)
    soon, later = _end(state, prep, batch, now, tomorrow), _end(state, prep, batch, now, now + LATER)
    return (soon is None or soon > tomorrow) and (later is None or later > max(batch.use_by, now + LATER))


def _end(state: State, prep: Prep, batch: Batch, frozen: datetime, thawed: datetime) -> datetime | None:
    """Until when it is good if it is frozen from one moment to another."""
    history = batch.history
    stays = and_then(
        and_then(history.stays, "frozen", frozen), "chilled" if prep.store == "frozen" else prep.store, thawed
    )
    limit = good_until(state.book.kitchen, food_of(prep), replace(history, stays=stays))
    return limit.until if limit else None
