"""Drawn ways down in every rule book, against a reckoning of its own from the code's sentences.

The same by the thousand: `tests/benchmarks/cooling_curves.py`.
"""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction
from random import Random

import pytest

from prepboard.book.reading.rulebooks import rule_book
from prepboard.book.safety.cooling import Start
from prepboard.book.safety.judging import Way, cooling_marks, judge
from prepboard.book.safety.temperatures import Reading
from tests.food.drawn_coolings import BY_THE_CODE, OFF_THE_HEAT, drawn, reckoned

HISTORIES = 100


@pytest.mark.parametrize("book", BY_THE_CODE)
def test_drawn_ways_down_are_judged_as_the_sentences_say(book):
    rules = rule_book(book)
    for seed in range(HISTORIES):
        random = Random(f"{book} {seed}")
        way = drawn(random)
        now = way[-1][0] + random.choice((0, 1, 60, 600))
        moments = [OFF_THE_HEAT + timedelta(minutes=at) for at, _degrees in way]
        read = [
            Reading("K7F", "batch", moment, Fraction(str(degrees)), "C")
            for moment, (_at, degrees) in zip(moments, way, strict=True)
        ]
        at = OFF_THE_HEAT + timedelta(minutes=now)
        found = judge(rules, [Way(Start(OFF_THE_HEAT, True), read)], at)
        said = [limit.state for limit in found.coolings[-1].limits]
        assert said == reckoned(book, way, now), (seed, way, now)
        marks = cooling_marks(rules, "K7F", found, (), hold=False)
        refused = any(mark.since <= at for mark in marks)
        assert refused is ("missed" in said), (seed, way, now)


def test_guidance_never_blocks():
    rules = rule_book("uk")
    for seed in range(HISTORIES):
        random = Random(seed)
        read = [
            Reading("K7F", "batch", OFF_THE_HEAT + timedelta(minutes=at), Fraction(str(degrees)), "C")
            for at, degrees in drawn(random)
        ]
        found = judge(rules, [Way(Start(OFF_THE_HEAT, True), read)], OFF_THE_HEAT + timedelta(days=1))
        assert cooling_marks(rules, "K7F", found, (), hold=True) == []


def test_a_reading_on_the_way_up_begins_no_reheating():
    """FDA Food Code 2022, 3-403.11(D): 74 °C within 2 h. 3.6 °C, 104 minutes later 52.5, and 79 after 217: too slow."""
    way = ((2, 64.7), (11, 41.9), (19, 5.2), (135, 3.6), (239, 52.5), (352, 79.3))
    read = [
        Reading("K7F", "batch", OFF_THE_HEAT + timedelta(minutes=at), Fraction(str(degrees)), "C")
        for at, degrees in way
    ]
    found = judge(rule_book("food-code-2022"), [Way(Start(OFF_THE_HEAT, True), read)], read[-1].at)
    assert len(found.coolings) == 1
