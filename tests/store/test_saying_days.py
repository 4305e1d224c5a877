"""How an answer names a day that is near, further off, or of another year."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from prepboard.store.transaction.saying import clock_time, day_of


@pytest.mark.parametrize(
    ("away", "said"), [(0, "Sat"), (6, "Fri"), (7, "Sat 7 Nov"), (299, "Thu 26 Aug"), (364, "Sat 30 Oct 2027")]
)
def test_a_day_far_away_has_its_year(kitchen, away, said):
    now = kitchen.clock.at
    at: datetime = now + timedelta(days=away)
    assert day_of(kitchen.state.book.kitchen, at.date(), now) == said
    assert clock_time(kitchen.state.book.kitchen, at, now).startswith(said if away else "14:00")
