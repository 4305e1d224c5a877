"""What is on a van on its way here: it counts from when the van arrives, unless it is held back already."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from prepboard.book.vans import trip_on
from prepboard.plan.given.group import Transfer
from prepboard.plan.given.state import State

STILL_COMES = timedelta(hours=12)
"""So long after its van was to arrive a box that nobody took in counts no more (common practice, no source)."""


def on_vans(state: State, now: datetime) -> Iterator[tuple[Transfer, datetime]]:
    """What is coming, each with when it is there. Without a van nobody knows when, and it counts once it came."""
    here = state.book.kitchen.member
    for one in state.transfers:
        van = state.book.vans.get(one.van)
        if one.receiver != here or one.state != "on the van" or one.held or van is None or one.day is None:
            continue
        if one.prep not in state.book.preps or (one.use_by is not None and one.use_by <= now):
            continue
        trip = trip_on(state.book, van, one.day)
        if trip is not None and trip.arrives > now - STILL_COMES:
            yield one, max(trip.arrives, now)
