"""Ten years of history cost nothing: a snapshot goes by the indexes of what is live, under way or recent."""

from __future__ import annotations

import pytest

from prepboard.store.food.taking import LIVE
from prepboard.store.read.live_batches import LIVE_BATCHES, live_of
from prepboard.store.read.snapshot import LINES_RUN, PLATES, RUNS_UNDER_WAY
from prepboard.store.read.what_changed import SINCE


@pytest.mark.parametrize(
    ("sql", "values", "index"),
    [
        (LIVE_BATCHES, [], "batches_live"),
        (live_of(2), ["K7F", "Q9T"], "autoindex_batches"),
        (SINCE, [1000], "changes_of_action"),
        (LIVE, ["lamb-jus"], "batches_live"),
        (RUNS_UNDER_WAY, [], "runs_under_way"),
        (LINES_RUN, ["2026-10-17"], "runs_by_day"),
        (PLATES, ["2026-10-29"], "plates_of_day"),
    ],
)
def test_what_is_read_at_every_change_is_found_by_its_index(kitchen, sql, values, index):
    steps = [str(row[3]) for row in kitchen.select(f"EXPLAIN QUERY PLAN {sql}", *values)]
    assert any(index in step for step in steps), steps
    scans = [step for step in steps if step.startswith("SCAN ") and "SUBQUERY" not in step]
    whole = [step for step in scans if not step.endswith(("batches_live", "runs_under_way"))]
    assert whole == [], "nothing is read from end to end but the indexes that hold live rows alone"
