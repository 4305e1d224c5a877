"""Worked dates of food authorities as whole closes: made, closed night after night, discarded on the day they say.

Until the last good day the batch is on no discard list; from that midnight on it is, its station cannot sign before
it is thrown away, and what was thrown away is the waste of that day.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest
from conftest import kitchen_file

from prepboard.plan.board import plan
from prepboard.plan.shown.closing_lines import Closing
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.stock import count, discard_batches
from prepboard.store.actions.handover import sign
from prepboard.store.file.who import Refused, Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.waste import past_waste

BOOK = """
name = "Dates"
time_zone = "UTC"
day_starts = "04:00"
rules = "food-code-2022"

[stations.cold]
name = "Cold"

[places.counter]
name = "Counter"
store = "time"

[services.lunch]
days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
starts = "12:00"
ends = "15:00"
covers = 20

[dishes.plate]
name = "Plate"
services = ["lunch"]
share = 0.5
plate = { salad = "50 g", both = "50 g" }

[preps.salad]
name = "Potato salad"
keeps = "30 days"
ready_to_eat = true
makes = "2 kg"

[preps.chicken]
name = "Chicken"
keeps = "30 days"
ready_to_eat = true
makes = "2 kg"

[preps.shrimp]
name = "Shrimp"
keeps = "30 days"
ready_to_eat = true
makes = "2 kg"

[preps.both]
name = "Gumbo"
keeps = "30 days"
ready_to_eat = true
makes = "2 kg"
uses = { chicken = "1 kg", shrimp = "1 kg" }

[preps.buffet]
name = "Cut melon"
store = "time"
keeps = "12 h"
ready_to_eat = true
makes = "2 kg"
"""

COOK = Who("LM", "cold")


@pytest.fixture
def file(tmp_path: Path) -> Iterator[KitchenFile]:
    opened = kitchen_file(tmp_path, datetime(2026, 1, 1, 10, 0, tzinfo=UTC), COOK, kitchen=BOOK)
    yield opened
    opened.close()


def at(file: KitchenFile, day: date, hour: int, minute: int = 0) -> None:
    file.clock.at = datetime.combine(day, time(hour, minute), UTC)


def close(file: KitchenFile) -> Closing:
    return plan(file.read(), file.clock.now()).closing


def last_close_it_passes(file: KitchenFile, code: str, day: date) -> None:
    """At 23:59 of its last day it may be kept, and the station signs without touching it."""
    at(file, day, 23, 59)
    closing = close(file)
    assert code in [line.batch.code for line in (*closing.decide, *closing.carry_over)]
    assert code not in [line.batch.code for line in closing.discard]
    sign(file, COOK, "cold", day)


def thrown_away_from(file: KitchenFile, code: str, moment: datetime) -> None:
    """From this moment it is to be discarded, is not counted away, and holds up the signature until it is gone."""
    file.clock.at = moment
    (line,) = [line for line in close(file).discard if line.batch.code == code]
    assert line.reason == "past-use-by"
    with pytest.raises(Refused, match="discarded instead"):
        count(file, COOK, code, 0)
    day = file.read().book.kitchen.days.business_day(moment)
    if (day, "cold") not in file.read().signed:
        with pytest.raises(Refused, match="still to be discarded"):
            sign(file, COOK, "cold", day)
    discard_batches(file, COOK, [code], line.reason)
    assert close(file).discard == ()
    (gone,) = past_waste(file, moment, moment + timedelta(seconds=1)).gone
    assert (gone.batch, gone.reason, gone.amount) == (code, "past-use-by", line.batch.left)


@pytest.mark.parametrize(
    ("made_on", "last_good"),
    [
        # University of New Hampshire Extension, The importance of date marking: opened 19 October, discard 25 October.
        (date(2026, 10, 19), date(2026, 10, 25)),
        # City of Dubuque, date marking: 1 July to 7 July.
        (date(2026, 7, 1), date(2026, 7, 7)),
        # Brazos County Health District, date marking class: Monday to Sunday.
        (date(2026, 11, 2), date(2026, 11, 8)),
    ],
)
def test_seven_days_with_the_day_of_preparation_as_day_one(file, made_on, last_good):
    """FDA Food Code 2022, 3-501.17(A) and 3-501.18 (disposition)."""
    at(file, made_on, 10)
    (code,) = done(file, COOK, prep="salad").batches
    for night in range((last_good - made_on).days):
        at(file, made_on + timedelta(days=night), 23, 59)
        assert close(file).discard == ()
    last_close_it_passes(file, code, last_good)
    thrown_away_from(file, code, datetime.combine(last_good + timedelta(days=1), time(), UTC))


def test_combined_food_goes_with_its_earliest_ingredient(file):
    """FDA Food Code 2022, 3-501.17(C). University of New Hampshire Extension: chicken of 21 October and shrimp of 20
    October combined are good through 26 October."""
    at(file, date(2026, 10, 20), 10)
    done(file, COOK, prep="shrimp")
    at(file, date(2026, 10, 21), 10)
    done(file, COOK, prep="chicken")
    at(file, date(2026, 10, 21), 12)
    (code,) = done(file, COOK, prep="both").batches
    last_close_it_passes(file, code, date(2026, 10, 26))
    midnight = datetime(2026, 10, 27, tzinfo=UTC)
    file.clock.at = midnight
    others = [line.batch.code for line in close(file).discard if line.batch.code != code]
    assert len(others) == 1, "what is left of the shrimp of the 20th; the chicken has its own day more"
    discard_batches(file, COOK, others, "past-use-by")
    file.clock.at = midnight + timedelta(minutes=1)
    thrown_away_from(file, code, midnight + timedelta(minutes=1))


def test_time_as_a_control_ends_at_four_hours_and_not_a_minute_later(file):
    """FDA Food Code 2022, 3-501.19(B): discarded within four hours of leaving temperature control. FSANZ, 2-hour/
    4-hour guidance: four hours or more, throw away; where the pages differ the shorter reading is taken."""
    at(file, date(2026, 10, 31), 10)
    (code,) = done(file, COOK, prep="buffet").batches
    at(file, date(2026, 10, 31), 13, 59)
    assert close(file).discard == ()
    thrown_away_from(file, code, datetime(2026, 10, 31, 14, 0, tzinfo=UTC))
