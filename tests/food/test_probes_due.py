"""A probe that is due is a line to do before its limit, on the bench, the sous chef's board and the wall; whoever marks
food done that cools is asked how warm it is."""

from __future__ import annotations

import pytest

from prepboard.boards.pars.late_rows import late
from prepboard.boards.rows.due_rows import due_rows
from prepboard.boards.wall.view import sections
from prepboard.plan.board import plan
from prepboard.plan.probes.unread import asks_for_reading
from prepboard.store.actions.food import making
from prepboard.store.file.who import Refused
from prepboard.store.food.ending import How

LIMIT = "16:00"


def board(kitchen, moment):
    return plan(kitchen.go(moment).file.read(), kitchen.clock.at)


def probes(kitchen, moment):
    return [row.words for row in due_rows(board(kitchen, moment), ("kitchen",)) if "probe" in row.words]


def test_food_that_nobody_read_is_to_be_probed_before_each_limit(fda):
    """FDA Food Code 2022, 3-501.14(A): 21 °C within 2 h of 14:00, 5 °C within 6 h."""
    fda.cooked("soup", "13:50", "14:00", "14:10")
    assert probes(fda, "15:39") == []
    (said,) = probes(fda, "15:41")
    assert "probe before 16:00" in said
    assert "21 °C" in said
    assert "ice bath or smaller trays" in said
    assert probes(fda, "16:05") == []
    assert "probe before 20:00" in probes(fda, "19:45")[0]
    assert probes(fda, "20:01") == []


def test_it_stands_on_the_sous_chefs_board_and_the_wall_too(fda):
    fda.cooked("soup", "13:50", "14:00", "14:10")
    seen = board(fda, "15:45")
    (on_the_sous_chefs,) = [row for row in late(seen)[1] if "probe" in row.words]
    assert on_the_sous_chefs.what == "Soup"
    left, _right = sections(seen)
    on_the_wall = [row for part in left for row in part.rows if "probe" in row.words]
    assert [row.what for row in on_the_wall] == ["Soup"]


def test_a_run_whose_heat_is_over_is_probed_too(fda):
    run = fda.start("soup", "13:50")
    fda.step(run, "14:00")
    assert "probe before 16:00" in probes(fda, "15:50")[0]
    fda.temp("run", run, 18, "15:51")
    assert "probe before 20:00" in probes(fda, "19:50")[0]


def test_what_was_read_goes_by_its_readings(fda):
    soup = fda.cooked("soup", "13:50", "14:00", "14:10")
    fda.temp("batch", soup, 4, "15:45")
    assert probes(fda, "15:46") == []


@pytest.mark.parametrize("rules", ["fda", "uk"])
def test_nobody_is_asked_for_what_does_not_cool_by_the_clock(rules, request):
    kitchen = request.getfixturevalue(rules)
    kitchen.made("salad", "13:50")
    assert probes(kitchen, "15:45") == []
    book = kitchen.file.read().book
    assert not asks_for_reading(book, "salad")
    assert asks_for_reading(book, "soup") is (rules == "fda")


def test_food_that_nobody_saw_start_cools_from_when_it_came_off_the_heat_where_that_is_said(fda):
    """Without it no reading shows that it cooled in time: "not read"."""
    codes = {}
    for moment, off_heat in (("12:00", fda.at("11:40")), ("12:01", None)):
        did = making.done(fda.go(moment).file, fda.who, prep="soup", how=How(off_heat=off_heat))
        codes[did.batches[0]] = off_heat
    for degrees, moment in ((20, "13:30"), (5, "17:30")):
        for code in codes:
            fda.temp("batch", code, degrees, moment)
    shown = {one.code for one in fda.file.read().batches if one.not_shown(fda.at("18:30")) is None}
    assert shown == {code for code, off_heat in codes.items() if off_heat}


def test_when_it_came_off_the_heat_is_asked_of_nothing_else(fda):
    run = fda.start("soup", "11:00")
    for more in ({"run": run}, {"prep": "salad"}):
        with pytest.raises(Refused, match="off the heat"):
            making.done(fda.go("12:00").file, fda.who, **more, how=How(off_heat=fda.at("11:40")))
    with pytest.raises(Refused, match="after it was done"):
        making.done(fda.file, fda.who, prep="soup", how=How(off_heat=fda.at("12:40")))
