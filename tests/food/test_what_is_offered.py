"""What a board offers to do with food: nothing that makes food of what is to be thrown away."""

from __future__ import annotations

from prepboard.boards.acts.places import wishes
from prepboard.plan.board import plan


def offered(kitchen, code, moment):
    board = plan(kitchen.go(moment).file.read(), kitchen.clock.at)
    (batch,) = [one for one in board.state.batches if one.code == code]
    return [key for key, _words in wishes(board, batch) if key not in ("move", "block", "open")]


def test_good_food_is_frozen_or_reheated(fda):
    assert offered(fda, fda.made("salad", "08:00"), "09:00") == ["freeze", "heat"]


def test_a_missed_first_limit_is_put_right_in_its_time_and_thrown_away_after_it(fda):
    """FDA Food Code 2022, 3-501.14 with 3-403.11: reheated and cooled again within the six hours."""
    soup = fda.cooked("soup", "13:50", "14:00", "14:05")
    fda.temp("batch", soup, 30, "16:10")
    assert offered(fda, soup, "16:15") == ["put right", "bin", "heat"]
    assert offered(fda, soup, "20:30") == ["bin"]


def test_food_too_warm_at_the_last_limit_expired_or_held_back_is_neither_frozen_nor_reheated(fda):
    soup = fda.cooked("soup", "09:50", "10:00", "10:05")
    fda.temp("batch", soup, 20, "11:00")
    fda.temp("batch", soup, 9, "16:10")
    assert offered(fda, soup, "16:15") == ["bin"]
    salad = fda.made("salad", "16:20")
    fda.block(salad, "16:30")
    assert offered(fda, salad, "16:31") == ["bin", "unblock"]
    fda.unblock(salad, "16:32")
    assert offered(fda, salad, "+tue 00:30") == ["bin"]


def test_food_whose_place_was_out_is_to_be_read(fda):
    salad = fda.made("salad", "08:00")
    fda.temp("place", "walk-in", 12, "12:30")
    assert offered(fda, salad, "12:40") == ["read", "bin"]
