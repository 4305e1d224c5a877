"""How far a weekday's own figures count: as far as weekdays are seen to differ (empirical Bayes by moments: Efron and
Morris, Data analysis using Stein's estimator and its generalizations, JASA 70, 1975).

What was found on a weekday strays from what the level alone makes expect by chance (its scatter over what was
expected) and by what is the weekday's own. The second, squared and relative, is how much weekdays differ; where they
do not, what a weekday's chance made of it is left alone.
"""

from __future__ import annotations

from collections.abc import Iterable

_SURE = 10.0
"""A weekday counts for half of itself when it expected ten times its scatter."""
_LEAST = 0.001


def evidence(found: Iterable[tuple[float, float]], scatter: float) -> tuple[float, float]:
    """What weekdays (what was found, what the level alone made expect; both fading) say of how much they differ: the
    sum of what is beyond chance, relative and squared, and its weight."""
    beyond = weight = 0.0
    for one, expected in found:
        sure = expected / (expected + _SURE * scatter)
        beyond += sure * sure * ((one / expected - 1) ** 2 - scatter / expected)
        weight += sure * sure
    return beyond, weight


def differ(seen: tuple[float, float], before: float, weighs: float) -> float:
    """How much weekdays differ, squared and relative, by evidence on top of what was known `before`, which counts as
    much as so many weekdays."""
    beyond, weight = seen
    return max(_LEAST, (beyond + weighs * before) / (weight + weighs))
