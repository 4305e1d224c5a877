"""History: what a dish sold lately, adjusted for the weekday and for covers above or below the usual; on top comes a
margin as large as our own recent misses. A short evening widens all margins by about a tenth, a covered one narrows
them by a hundredth; one odd evening is clipped, two on the same side count in full. A weekday counts as far as
weekdays are seen to differ; the more the last six evenings lean to one side, the faster the level follows.

The state of a dish is a few numbers (`Learned`), that of the kitchen fewer (`Common`); `outlook` says what a sitting
will ask of a dish, `learn` what a closed sitting teaches. Chosen on open demand data; how it fares on demand whose
truth is known is printed by tests/benchmarks/history.py. It foresees no shift, holiday or weather.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from math import exp, log, sqrt

from msgspec import Struct
from msgspec.structs import replace

from prepboard.plan.demand.portions import beyond, covering, covering_and_promise, short_beyond
from prepboard.plan.demand.weekdays import differ, evidence
from prepboard.plan.given.learned import ClosedEvening, Common, Learned
from prepboard.plan.shown.lines import Stage

FROM_HISTORY, MEASURED = 8, 26
"""Services learned until a par is the history's, and until it counts as measured."""

_FIRST = 20.0
"""Portions that a guess weighs as much as."""
_FADE_SCATTER, _FADE_WEEKDAY, _FADE_COVERS, _FADE_KITCHEN = 0.98, 0.97, 0.98, 0.98
_SLOWEST, _FASTEST, _LEANS_FROM, _LEANS_MOST = 0.98, 0.75, 1.1, 2.6
_DIFFER, _DIFFER_WEIGHS, _KITCHEN_WEIGHS = 0.02, 3.0, 2.0
_SCATTER, _SCATTER_WEIGHS, _OF_KITCHEN, _OF_DISH = 2.0, 6.0, 20.0, 40.0
"""The scatter of a kitchen of which nothing is known, and the misses that it, the kitchen's and the dish's count as."""
_MISSES, _HITS, _EVENINGS = 6, 60, 12
_CLIPS_AT, _SAME_SIDE = 2.5, 1.25
_LEAST_MARGIN, _MOST_MARGIN, _MARGIN_STEP = log(0.4), 1.0, 0.1
ASKS_AGAIN = timedelta(days=14)
"""Whether something has changed is asked of a dish no more often than this."""


def guess(portions: float) -> Learned:
    """What is known of a dish before its first service: so many portions on a usual evening, by the mix."""
    return Learned(_FIRST, _FIRST / max(portions, 0.001))


class Outlook(Struct, frozen=True):
    """What one sitting is expected to ask of a dish."""

    mean: float
    """Portions."""
    usual: float
    """Portions on a usual evening of that weekday."""
    follows: float
    """By what covers above or below the usual multiply it."""
    weekday: float
    """Of this weekday and sitting, against the level."""
    scatter: float
    """Variance over the mean by the dish's own misses alone."""
    on_weekday: float
    """The same, of this weekday."""
    unsure: float
    """How much larger it is because level and weekday are not known better."""
    ratio: float
    """Variance over the mean, all in all."""

    def par(self, level: float) -> int:
        """Whole portions that cover the sitting with at least this chance."""
        return covering(self.mean, self.ratio, level)

    @property
    def variance(self) -> float:
        """As the dish's own misses make it, without the kitchen's margin."""
        return self.mean * self.on_weekday * self.unsure


_COVERS_PRIOR = 0.3
"""What counts for covers at first: that a dish follows them in proportion."""


def covers_shown(learned: Learned) -> bool:
    """Whether what was seen of how a dish follows its covers weighs more than what is taken for granted."""
    return learned.covers_seen >= _COVERS_PRIOR


def follows_covers(learned: Learned) -> float:
    """How much the sales of a dish follow its covers: 1 at first, 0 not at all."""
    return max(0.0, min(1.2, (learned.covers_with + _COVERS_PRIOR) / (learned.covers_seen + _COVERS_PRIOR)))


NOTHING_LEARNED = Common()


def outlook(learned: Learned, key: str, above: float = 0.0, common: Common = NOTHING_LEARNED) -> Outlook:
    """The outlook for a weekday. `above` is how far covers are from usual (a logarithm, `bookings.above_usual`), 0 for
    a dish that does not go by them; `common` is what the kitchen learned."""
    scatter = _scatter(learned, common)
    level, prior = learned.sold / learned.usual, scatter / _weekdays_differ(learned, scatter, common)
    sold, expected, squares, weight = learned.weekdays.get(key, (0.0, 0.0, 0.0, 0.0))
    on_weekday = max(0.5, (squares + _OF_DISH * scatter) / (weight + _OF_DISH))
    weekday = (sold + prior) / (expected + prior)
    follows = exp(follows_covers(learned) * above) if above else 1.0
    mean = max(0.05, level * follows * weekday)
    unsure = 1 + weekday * follows / learned.usual + mean / (expected + prior)
    ratio = on_weekday * unsure * exp(2 * common.margin)
    return Outlook(mean, level * weekday, follows, weekday, scatter, on_weekday, unsure, ratio)


def _scatter(learned: Learned, common: Common) -> float:
    """Variance over the mean: by the dish's own misses, on top of the kitchen's."""
    squares, weight = common.scatter
    of_kitchen = max(0.5, (squares + _SCATTER_WEIGHS * _SCATTER) / (weight + _SCATTER_WEIGHS))
    return max(0.5, (learned.squares + _OF_KITCHEN * of_kitchen) / (learned.weight + _OF_KITCHEN))


def _weekdays_differ(learned: Learned, scatter: float, common: Common) -> float:
    """How much the weekdays of a dish differ, by its own on top of what the kitchen's do."""
    of_kitchen = differ(common.differ, _DIFFER, _DIFFER_WEIGHS)
    own = evidence(((sold, expected) for sold, expected, _squares, _weight in learned.weekdays.values()), scatter)
    return differ(own, of_kitchen, _KITCHEN_WEIGHS)


def _fade(misses: tuple[tuple[float, float], ...]) -> float:
    """How much of the level stays: less, the more standard errors the last misses together lie to one side."""
    leaning = _standard_errors(misses) if len(misses) == _MISSES else 0.0
    fast = max(0.0, min(1.0, (leaning - _LEANS_FROM) / (_LEANS_MOST - _LEANS_FROM)))
    return _SLOWEST - (_SLOWEST - _FASTEST) * fast


def learn(
    learned: Learned, evening: ClosedEvening, key: str, seen: Outlook, above: float = 0.0, *, hit: bool | None = None
) -> Learned:
    """What one closed sitting teaches, `seen` being what was expected of it. `hit` is whether the promise was kept;
    None leaves it open. Of a dish that ran out the plates are only the least that was asked for: their expectation
    beyond that is learned (dropping such evenings, or taking them as they are, makes pars shrink)."""
    asked, square = float(evening.plates), (evening.plates - seen.mean) ** 2
    if evening.ran_out:
        asked, square = beyond(seen.mean, seen.ratio, evening.plates)
    deviation = sqrt(seen.variance)
    z = (asked - seen.mean) / deviation
    in_full = abs(z) <= _CLIPS_AT or learned.last_z * (1 if z > 0 else -1) >= _SAME_SIDE
    counted = asked if in_full else seen.mean + (_CLIPS_AT if z > 0 else -_CLIPS_AT) * deviation
    if not in_full:
        evening = replace(evening, clipped=True)
    misses = (*learned.misses, (asked - seen.mean, seen.mean * seen.ratio))[-_MISSES:]
    level, fade = learned.sold / learned.usual, _fade(misses)
    sold = fade * learned.sold + counted
    usual = fade * learned.usual + seen.follows * seen.weekday
    missed = min(square / (seen.mean * seen.unsure), 6 * seen.scatter)
    of_weekday, expected, squares, weight = learned.weekdays.get(key, (0.0, 0.0, 0.0, 0.0))
    now = (
        _FADE_WEEKDAY * of_weekday + counted,
        _FADE_WEEKDAY * expected + seen.follows * (level + sold / usual) / 2,
        _FADE_WEEKDAY * squares + missed,
        _FADE_WEEKDAY * weight + 1,
    )
    went_with = max(-1.0, min(1.0, asked / seen.mean - 1)) + follows_covers(learned) * above
    return Learned(
        sold,
        usual,
        _FADE_SCATTER * learned.squares + missed,
        _FADE_SCATTER * learned.weight + 1,
        {**learned.weekdays, key: now},
        _FADE_COVERS * learned.covers_seen + above * above,
        _FADE_COVERS * learned.covers_with + above * went_with,
        z,
        learned.count + 1,
        misses,
        (learned.hits + ("" if hit is None else str(int(hit))))[-_HITS:],
        (*learned.evenings, evening)[-_EVENINGS:],
        evening.day if _off_by_more_than_chance(misses) and _may_ask(learned, evening) else learned.asked,
    )


def surprise(seen: Outlook, evening: ClosedEvening, level: float) -> tuple[int, float]:
    """The par that was computed for a sitting, and by how much it was short beyond what it promised: 1 or 0, less the
    chance of that. Of a dish that ran out below its par, short is the chance that more than the par was asked for."""
    par, promise = covering_and_promise(seen.mean, seen.ratio, level)
    short = float(evening.plates > par)
    if evening.ran_out and not short:
        short = short_beyond(seen.mean, seen.ratio, evening.plates, par)
    return par, short - (1 - promise)


def learn_margin(common: Common, surprises: list[float]) -> Common:
    """What one closed sitting teaches about the kitchen's margin: the surprises of its dishes planned by history."""
    if not surprises:
        return common
    moved = common.margin + _MARGIN_STEP * sum(surprises) / len(surprises)
    return replace(common, margin=max(_LEAST_MARGIN, min(_MOST_MARGIN, moved)))


def learn_kitchen(common: Common, key: str, dishes: Iterable[tuple[Learned, Learned]]) -> Common:
    """What one closed sitting, of whose dishes these are known before and after it, teaches about the kitchen: how much
    its weekdays differ, and the scatter of its dishes."""
    beyond, sure = (_FADE_KITCHEN * part for part in common.differ)
    squares, weight = (_FADE_KITCHEN * part for part in common.scatter)
    for before, after in dishes:
        more = evidence((after.weekdays[key][:2],), _scatter(after, common))
        beyond, sure = beyond + more[0], sure + more[1]
        squares, weight = squares + after.squares - _FADE_SCATTER * before.squares, weight + 1
    return replace(common, differ=(beyond, sure), scatter=(squares, weight))


def renew(learned: Learned, common: Common = NOTHING_LEARNED) -> Learned:
    """A new menu or recipe: what is known of the level weighs less; the misses were the old recipe's."""
    keeps = min(1.0, 10 * _scatter(learned, common) / learned.sold)
    return replace(learned, sold=learned.sold * keeps, usual=learned.usual * keeps, misses=(), last_z=0.0)


def stage(learned: Learned | None) -> Stage:
    if learned is None or learned.count < FROM_HISTORY:
        return "guess"
    return "learning" if learned.count < MEASURED else "measured"


def has_changed(learned: Learned) -> bool:
    """Whether to ask if something has changed: the last misses added up to more than chance would, more than 3
    standard errors, and it was not asked in the fortnight before."""
    return learned.asked is not None and bool(learned.misses) and learned.evenings[-1].day == learned.asked


def _may_ask(learned: Learned, evening: ClosedEvening) -> bool:
    return learned.asked is None or evening.day - learned.asked >= ASKS_AGAIN


def _off_by_more_than_chance(misses: tuple[tuple[float, float], ...]) -> bool:
    if len(misses) < _MISSES:
        return False
    return _standard_errors(misses) > 3


def _standard_errors(misses: tuple[tuple[float, float], ...]) -> float:
    """How far misses together are off, on whichever side."""
    return abs(sum(miss for miss, _variance in misses)) / sqrt(sum(variance for _miss, variance in misses))
