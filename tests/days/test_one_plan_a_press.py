"""A press costs one plan: what the action kept, the board that pressed shows, and anybody would plan the same."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from days.obedient import COOK, MINUTE, Obedient, opened
from msgspec.structs import replace
from random_kitchens import NOW, text_of

from prepboard.plan import memory, planner
from prepboard.plan.board import Board, plan
from prepboard.store.actions.food.making import start
from prepboard.store.actions.food.stock import count
from prepboard.store.actions.night.today import hands


@pytest.fixture
def file(tmp_path):
    file = opened(tmp_path, text_of(11, 8, tight=True), NOW)
    yield file
    file.close()


@pytest.fixture
def planned(monkeypatch):
    """The moments for which somebody planned."""
    moments = []
    outline = planner.outline

    def counted(state, now, *more):
        moments.append(now)
        return outline(state, now, *more)

    monkeypatch.setattr(planner, "outline", counted)
    return moments


def test_a_press_is_planned_once_and_the_board_that_pressed_takes_that_plan(file, planned):
    board = file.planner.board(file.read(), NOW)
    line = next(line for line in board.make if line.steps)
    planned.clear()
    start(file, COOK, line.prep, line.size, line.line)
    assert len(planned) == 1
    shown = file.planner.board(file.read(), NOW + MINUTE / 2)
    assert len(planned) == 1
    assert line.line not in {one.line for one in shown.make}
    assert shown.state.version == file.read().version


def test_a_count_is_planned_once_it_is_known_when_that_was(file, planned):
    """What guests are expected to have had since is taken off what was counted."""
    prep = next(iter(file.read().book.preps))
    count(file, COOK, prep, 10**9, made_at=NOW)
    assert file.read().counted_at == {prep: NOW}
    planned.clear()
    file.planner.board(file.read(), NOW)
    assert planned == []


@pytest.mark.parametrize("moved", ["the minute", "a fact", "what is kept"])
def test_a_plan_is_made_again_once_what_it_follows_from_is_another(file, planned, moved):
    state = file.read()
    file.planner.board(state, NOW)
    planned.clear()
    if moved == "the minute":
        file.planner.board(state, NOW + MINUTE)
    elif moved == "a fact":
        file.planner.board(replace(state, missing={"flour": None}), NOW)
    else:
        gone = dict(state.placements)
        gone.pop(next(iter(gone)))
        file.planner.board(replace(state, placements=gone), NOW)
    assert len(planned) == 1


def test_what_is_taken_is_what_a_new_plan_would_be(tmp_path):
    """From the small hours to dinner, while the day's lines are begun and gone on with."""
    file = opened(tmp_path, text_of(12, 6, tight=True), NOW + timedelta(hours=18))
    taken, day = 0, Obedient(file)
    while file.clock.at < NOW + timedelta(hours=32):
        day.work(file.clock.at + MINUTE)
        state = file.read()
        seen = file.planner.board(state, file.clock.at)
        if seen.now == file.clock.at:
            memory.forget()
            assert differing(seen, plan(state, file.clock.at)) == []
            taken += 1
        file.clock.at += timedelta(minutes=75)
    hands(file, COOK, date(2026, 10, 31), next(iter(file.read().book.stations)), 0)
    seen = file.planner.board(file.read(), file.clock.at)
    memory.forget()
    assert differing(seen, plan(file.read(), file.clock.at)) == []
    file.close()
    assert taken > 3
    assert day.found.lines >= 3


def differing(one: Board, other: Board) -> list[str]:
    """The names of what two boards say differently."""
    return [name for name in Board.__struct_fields__ if getattr(one, name) != getattr(other, name)]
