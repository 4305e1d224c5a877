"""Where runs lie changes in the transaction of a person's action, and undo gives back exactly the plan from before."""

from __future__ import annotations

from datetime import date

from days.obedient import COOK, MINUTE, opened
from random_kitchens import NOW, text_of

from prepboard.plan import memory
from prepboard.plan.board import plan
from prepboard.store.actions.food.making import start
from prepboard.store.actions.night.today import hands
from prepboard.store.actions.undoing import undo


def test_undo_gives_back_exactly_the_plan_from_before_also_later_and_with_boards_open(tmp_path):
    file = opened(tmp_path, text_of(11, 8, tight=True), NOW)
    try:
        before = file.read()
        board = plan(before, NOW)
        assert before.placements
        assert board.placing.digest == before.placed_for
        line = next(line for line in board.make if line.steps)
        for change in (
            lambda: hands(file, COOK, date(2026, 10, 31), next(iter(before.book.stations)), 0),
            lambda: start(file, COOK, line.prep, line.size, line.line),
        ):
            change()
            assert file.read().placements != before.placements
            plan(file.read(), NOW + MINUTE)  # a board looks
            undo(file, COOK)
            after = file.read()
            assert (after.placements, after.placed_for) == (before.placements, before.placed_for)
            memory.forget()
            assert plan(after, NOW).make == board.make
    finally:
        file.close()


def test_looking_at_a_board_keeps_nothing(tmp_path):
    file = opened(tmp_path, text_of(11, 8, tight=True), NOW)
    try:
        before = file.read()
        for minutes in (1, 90, 700):
            file.clock.at = NOW + minutes * MINUTE
            plan(file.read(), file.clock.at)
        assert file.read().version == before.version
        assert file.read().placements == before.placements
    finally:
        file.close()
