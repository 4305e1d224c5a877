"""What a press moves, of what lay on boards: lines that came late since, and never a run that is under way."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

from prepboard.plan.given.state import Placed, Placement
from prepboard.store.transaction.keeping_placements import _moved_for

NOW = datetime(2026, 10, 31, 17, 20, tzinfo=UTC)


def late() -> Placement:
    """An hour late."""
    return Placement(Fraction(1), NOW, None, (Placed(0, NOW, NOW, NOW + timedelta(hours=1)),))


def test_a_line_that_came_late_lies_nowhere_at_the_next_press_and_a_run_where_it_is(kitchen) -> None:
    shown = {"lamb-jus#0@dinner.2026-10-31": late(), "run.A2W": late()}
    moved = _moved_for(shown, {"soup#0@dinner.2026-10-31": late()}, kitchen.state)
    assert moved["lamb-jus#0@dinner.2026-10-31"].steps == ()
    assert moved["run.A2W"] == shown["run.A2W"], "hands and food are in it: no press lifts it"
    assert _moved_for(shown, shown, kitchen.state) == shown, "what was kept as late has moved for it already"


def test_where_nothing_was_kept_all_stays_where_it_was_seen(kitchen) -> None:
    shown = {"lamb-jus#0@dinner.2026-10-31": late(), "run.A2W": late()}
    assert _moved_for(shown, {}, kitchen.state) == shown
