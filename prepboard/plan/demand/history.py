"""History: what a dish sold per cover lately, adjusted for the weekday, and a margin as large as its recent misses.

The state of a dish is a few numbers (`Learned`); `outlook` says what a sitting will ask of it, `learn` what a closed
sitting teaches. Chosen on open demand data; how it fares on demand whose truth is known is printed by
tests/benchmarks/history.py. It foresees no shift, holiday or weather.
"""

from __future__ import annotations

from datetime import date
from math import sqrt

from msgspec import Struct
from msgspec.structs import replace

from prepboard.plan.demand.portions import beyond, covering
from prepboard.plan.given.learned import CoversError, Evening, Learned
from prepboard.plan.shown.lines import Stage

FROM_HISTORY, MEASURED = 8, 26
"""Services learned until a par is the history's, and until it counts as measured."""

_FIRST = 20.0
"""Portions that a guess weighs as much as."""
_FADE, _FADE_SCATTER, _FADE_WEEKDAY = 0.95, 0.98, 0.97
_MISSES, _HITS, _EVENINGS = 6, 60, 12


def guess(share: float) -> Learned:
    """What is known of a dish before its first service: its share of the covers."""
    return Learned(_FIRST, _FIRST / max(share, 0.001))


def weekday_key(service: str, day: date) -> str:
    return f"{service} {day.weekday()}"


class Outlook(Struct, frozen=True):
    """What one sitting is expected to ask of a dish."""

    mean: float
    """Portions."""
    scatter: float
    """Variance over the mean by the dish's own misses alone."""
    unsure: float
    """How much larger it is because level and weekday are not known better."""
    weekday: float
    """Of this weekday and sitting, against the level."""
    ratio: float
    """Variance over the mean, all in all."""

    def par(self, level: float) -> int:
        """Whole portions that cover the sitting with at least this chance."""
        return covering(self.mean, self.ratio, level)


def outlook(learned: Learned, key: str, covers: float, covers_error: float = 0.0) -> Outlook:
    """The outlook for so many covers on a weekday; `covers_error` is their usual relative error."""
    scatter = _scatter(learned)
    level, prior = learned.sold / learned.covers, 10 * scatter
    sold, expected = learned.weekdays.get(key, (0.0, 0.0))
    weekday = (sold + prior) / (expected + prior)
    mean = max(0.05, level * covers * weekday)
    unsure = 1 + weekday * covers / learned.covers + mean / (expected + prior)
    return Outlook(mean, scatter, unsure, weekday, scatter * unsure + mean * covers_error**2)


def _scatter(learned: Learned) -> float:
    return max(0.5, (learned.squares + 12) / (learned.weight + 6))


def learn(learned: Learned, evening: Evening, covers: float, *, hit: bool | None = None) -> Learned:
    """What one closed sitting teaches, with the guests who really came. `hit` is whether the promise was kept; None
    leaves it open. Of a dish that ran out the plates are only the least that was asked for: their expectation
    beyond that is learned (dropping such evenings, or taking them as they are, makes pars shrink)."""
    key = weekday_key(evening.service, evening.day)
    seen = outlook(learned, key, covers)
    asked, square = float(evening.plates), (evening.plates - seen.mean) ** 2
    if evening.ran_out:
        asked, square = beyond(seen.mean, seen.ratio, evening.plates)
    level = learned.sold / learned.covers
    sold = _FADE * learned.sold + asked
    counted = _FADE * learned.covers + covers * seen.weekday
    of_weekday, expected = learned.weekdays.get(key, (0.0, 0.0))
    now = (
        _FADE_WEEKDAY * of_weekday + asked,
        _FADE_WEEKDAY * expected + covers * (level + sold / counted) / 2,
    )
    return Learned(
        sold,
        counted,
        _FADE_SCATTER * learned.squares + min(square / (seen.mean * seen.unsure), 6 * seen.scatter),
        _FADE_SCATTER * learned.weight + 1,
        {**learned.weekdays, key: now},
        learned.count + 1,
        (*learned.misses, (asked - seen.mean, seen.mean * seen.ratio))[-_MISSES:],
        (learned.hits + ("" if hit is None else str(int(hit))))[-_HITS:],
        (*learned.evenings, evening)[-_EVENINGS:],
    )


def renew(learned: Learned) -> Learned:
    """A new menu or recipe: what is known of the level weighs less; the misses were the old recipe's."""
    keeps = min(1.0, 10 * _scatter(learned) / learned.sold)
    return replace(learned, sold=learned.sold * keeps, covers=learned.covers * keeps, misses=())


def stage(learned: Learned | None) -> Stage:
    if learned is None or learned.count < FROM_HISTORY:
        return "guess"
    return "learning" if learned.count < MEASURED else "measured"


def has_changed(learned: Learned) -> bool:
    """Whether the last misses add up to more than chance would: more than 3 standard errors."""
    if len(learned.misses) < _MISSES:
        return False
    missed = sum(miss for miss, _variance in learned.misses)
    return abs(missed) > 3 * sqrt(sum(variance for _miss, variance in learned.misses))


def learn_covers(error: CoversError, booked: int, came: int) -> CoversError:
    """How far the booked covers of one sitting were from those who came."""
    if booked <= 0:
        return error
    away = (came - booked) / booked
    return CoversError(_FADE * error.squares + away**2, _FADE * error.weight + 1, error.count + 1)


def usual_error(error: CoversError) -> float:
    """The usual relative error of booked covers; 0 until it is known from as many sittings as a par needs."""
    return sqrt(error.squares / error.weight) if error.count >= FROM_HISTORY else 0.0
