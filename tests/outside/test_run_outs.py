"""Run-out times against simulated evenings: guests come by the arrival curve (inverse transform), and choose by chance.

The simulation knows nothing of the plan. With 10,000 evenings it prints its figures: tests/benchmarks/run_outs.py.
"""

from __future__ import annotations

from statistics import mean, median

import pytest
from benchmarks import run_outs
from benchmarks.run_outs import ENDS, Look, errors, looks

from prepboard.plan.service import counts

AT_HALF_PAST_EIGHT = 150


@pytest.fixture(scope="module")
def found() -> list[Look]:
    """Evenings on which the share is off by a factor of e^N(0, 0.3), seen every half hour."""
    return list(looks(120, 11, 0.3, plates=20))


def test_the_moment_is_neither_early_nor_late_in_the_middle_of_the_evenings(found: list[Look]):
    late = errors(found, lambda look: 90 <= look.at <= AT_HALF_PAST_EIGHT)
    assert len(late) > 200
    assert abs(median(late)) <= 5


def test_the_nearer_the_end_the_smaller_the_error(found: list[Look]):
    early, middle, end = (
        mean(map(abs, errors(found, lambda look, span=span: look.at in span)))  # type: ignore[misc]
        for span in (range(0, 60), range(90, 180), range(180, ENDS))
    )
    assert early > middle > end


def test_where_the_book_is_far_off_what_went_out_so_far_tells_more(monkeypatch: pytest.MonkeyPatch):
    """Twice the guests take the dish: against the same evenings looked at as if the pace were the expected one."""
    monkeypatch.setattr(run_outs.Random, "lognormvariate", lambda *_given: 2.0)
    seen = list(looks(60, 11, 0.0))
    monkeypatch.setattr(counts, "ENOUGH_TO_TELL", float("inf"))
    blind = list(looks(60, 11, 0.0))

    def error(found: list[Look]) -> float:
        return mean(map(abs, errors(found, lambda look: look.at in (90, 120))))

    assert error(seen) < 0.6 * error(blind)


def test_guests_who_come_exactly_by_the_curve_are_foreseen_to_the_minute(monkeypatch: pytest.MonkeyPatch):
    """Guest by guest at the middle of their part of the curve, every fourth takes the dish: 23 of 92, the 21st of them
    finds none."""
    takes = [run_outs._arrival((number + 0.5) / 23) for number in range(23)]
    monkeypatch.setattr(run_outs, "evening", lambda random, off_by: takes)
    for look in looks(1, 1, 0.0):
        assert look.said is not None
        assert look.came == takes[20]
        # Of a pace there is nothing to tell but from whole plates: half a plate is the most that it is off.
        half_a_plate = (takes[21] - takes[19]) / 2
        assert abs(look.said - look.came) <= half_a_plate * 1.5
