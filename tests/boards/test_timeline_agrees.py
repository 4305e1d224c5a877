"""The timeline and the lists never disagree: of drawn kitchens each line is on both, at one moment, as late."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache

import pytest
from conftest import Kitchen, drawn_of
from random_kitchens import kitchen

from prepboard.boards.rows.lists import lines_to_make, make_row, voice_of
from prepboard.boards.rows.not_for import not_for
from prepboard.boards.timeline.rows import lanes_of
from prepboard.boards.timeline.view import scale
from prepboard.book.saying import say_duration
from prepboard.plan.board import Board, plan
from prepboard.plan.stretches import stretches

NOW = datetime(2026, 10, 31, 15, 0, tzinfo=UTC)


@cache
def drawn_board(seed: int) -> Board:
    return plan(kitchen(seed, 10, tight=seed % 2 == 0), NOW)


@pytest.mark.parametrize("seed", range(drawn_of(6)))
def test_every_line_stands_at_the_same_moment_on_both(seed: int) -> None:
    board = drawn_board(seed)
    voice = voice_of(board)
    drawn = {key: [one for one in stretches(board) if one.key == key] for key in {one.key for one in stretches(board)}}
    for station in board.state.book.stations:
        for line in (*lines_to_make(board, (station,)), *not_for(board, (station,))):
            steps, row = drawn.pop(str(line.line)), make_row(board, line, (station,))
            assert row.when == voice.time(steps[0].begins)
            assert steps[-1].ends == line.ready_at
            assert (row.tone == "late") == (steps[0].late_minutes > 0)
    assert not drawn, "nothing is drawn that no list has"


@pytest.mark.parametrize("seed", range(drawn_of(6)))
def test_what_is_late_is_late_by_as_much_in_the_picture(seed: int) -> None:
    board = drawn_board(seed)
    page = scale(NOW - timedelta(hours=1), NOW + timedelta(days=3), 200)
    words = {
        (bar.name, bar.word)
        for lane in lanes_of(board, tuple(board.state.book.stations), page)
        for bar in lane.bars
        if bar.word
    }
    late = [line for line in board.make if line.late_minutes]
    said = {(voice_of(board).name(line.prep), f"{say_duration(line.late_minutes)} late") for line in late}
    assert words == said


def test_what_is_overdue_says_so_and_keeps_its_place_until_somebody_goes_on() -> None:
    text = (
        '[stations.hot]\nname = "Hot"\n[equipment.oven]\nname = "Oven"\n[preps.jus]\nname = "Jus"\nstation = "hot"\n'
        'keeps = "3 days"\nmakes = "2 l"\n'
        'steps = [{ do = "Roast", hands_on = "5 min", wait = "1 h", equipment = "oven", at = "200 C" },'
        ' { do = "Pass", hands_on = "5 min" }]'
    )
    kept = Kitchen(text)
    kept.under_way("jus", started="2026-10-31 13:00")
    board = kept.plan("2026-10-31 14:30")
    roast = stretches(board)[0]
    assert roast.overdue_minutes == 25
    assert roast.holds_until >= board.now
    page = scale(NOW - timedelta(hours=3), NOW + timedelta(hours=3), 120)
    bench, oven = lanes_of(board, ("hot",), page)
    assert [bar.word for bar in bench.bars] == ["overdue 25 min"]
    assert oven.bars[0].spans[0].label == "Jus, 200 °C"


def test_a_benchs_ovens_show_what_others_have_in_them_and_at_what_heat() -> None:
    """Meringues dry in the deck oven to 16:05: Roast, which bakes in it, sees them there, and whose they are."""
    text = (
        '[stations.roast]\nname = "Roast"\n[stations.pastry]\nname = "Pastry"\n[equipment.oven]\nname = "Deck oven"\n'
        '[preps.skin]\nname = "Skin"\nstation = "roast"\nkeeps = "3 days"\nmakes = "2 kg"\n'
        'steps = [{ do = "Bake", hands_on = "5 min", wait = "40 min", equipment = "oven", at = "180 C" }]\n'
        '[preps.meringue]\nname = "Meringues"\nstation = "pastry"\nkeeps = "3 days"\nmakes = "2 kg"\n'
        'steps = [{ do = "Dry", hands_on = "5 min", wait = "3 h", equipment = "oven", at = "95 C" }]'
    )
    kept = Kitchen(text)
    kept.under_way("meringue", started="2026-10-31 13:00")
    page = scale(NOW - timedelta(hours=3), NOW + timedelta(hours=3), 120)
    _bench, oven = lanes_of(kept.plan("2026-10-31 15:00"), ("roast",), page)
    (span,) = oven.bars[0].spans
    assert span.label == "Meringues, 95 °C, Pastry"
    assert span.ends == NOW + timedelta(minutes=65)
