"""Ids of actions: short, growing with time, never the same."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from prepboard.store.file.ids import new_id

NOW = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)


def test_ids_grow_with_time_and_are_not_drawn_twice():
    ids = [new_id(NOW + timedelta(seconds=n)) for n in range(2000)]
    assert ids == sorted(ids)
    assert {len(one) for one in ids} == {13}
    assert len({new_id(NOW) for _time in range(2000)}) == 2000


def test_clocks_that_are_far_off_have_ids_too():
    for far in (datetime(1970, 1, 1, tzinfo=UTC), datetime(1, 1, 2, tzinfo=UTC), datetime(9999, 12, 31, tzinfo=UTC)):
        assert len(new_id(far)) == 13
