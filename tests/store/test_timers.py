"""Timers of a bench: set, seen by all its boards, stopped once, and taken back."""

from __future__ import annotations

from datetime import timedelta

import pytest

from prepboard.store.actions.night.timers import set_timer, stop_timer
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused


def test_a_timer_stands_until_somebody_stops_it(kitchen):
    set_timer(kitchen.file, kitchen.jp, "sauce", 10, "Lamb jus")
    set_timer(kitchen.file, kitchen.lm, "roast", 3)
    now = kitchen.clock.at
    assert [(one.station, one.ends - now, one.text) for one in kitchen.state.timers] == [
        ("roast", timedelta(minutes=3), ""),
        ("sauce", timedelta(minutes=10), "Lamb jus"),
    ]
    kitchen.later(minutes=30)
    number = kitchen.state.timers[1].number
    stop_timer(kitchen.file, kitchen.jp, number)
    assert [one.station for one in kitchen.state.timers] == ["roast"]
    with pytest.raises(Refused, match="stopped already"):
        stop_timer(kitchen.file, kitchen.jp, number)
    undo(kitchen.file, kitchen.jp)
    assert len(kitchen.state.timers) == 2


def test_a_timer_of_no_time_or_of_days_cannot_be(kitchen):
    for minutes in (0, -5, 2000):
        with pytest.raises(Refused, match="cannot be"):
            set_timer(kitchen.file, kitchen.jp, "sauce", minutes)
    assert kitchen.state.timers == ()
