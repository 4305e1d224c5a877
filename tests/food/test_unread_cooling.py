"""Food that nobody showed cooling in time counts until the close: there one sous chef's initials for the list let it
count on; without them it counts, and stands on every later close. Prepboard's own rule: no code names one."""

from __future__ import annotations

from fractions import Fraction

import pytest

from prepboard.boards.closing.rows import find, sections
from prepboard.boards.closing.signing import unread
from prepboard.plan.board import plan
from prepboard.store.actions.food.holding import count_on
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused, Who
from prepboard.store.health.health import check
from prepboard.store.past.record import record
from tests.food.conftest import new_kitchen

SOUS, COOK = Who("mr", "kitchen"), Who("lm", "kitchen")


def board(kitchen, moment):
    return plan(kitchen.go(moment).file.read(), kitchen.clock.at)


def waiting(kitchen, moment):
    found = unread(board(kitchen, moment), ())
    return [batch.code for batch in found.batches] if found else []


def test_it_stands_on_every_close_until_a_sous_chef_answers(fda):
    """FDA Food Code 2022, 3-501.14(A): limits at 16:00 and 20:00."""
    soup = fda.cooked("soup", "13:50", "14:00", "14:10")
    shown = fda.cooked("bisque", "14:10", "14:20", "14:30")
    fda.temp("batch", shown, 20, "15:50")
    assert waiting(fda, "15:55") == []
    assert waiting(fda, "16:05") == [soup]
    fda.temp("batch", shown, 4, "19:50")
    assert waiting(fda, "22:00") == waiting(fda, "tue 22:00") == [soup]
    assert fda.asks(soup).may
    row = next(one for one in sections(board(fda, "tue 22:01"), (), ()) if one.name == "sign").rows[0]
    assert (row.key, row.amount, row.extra) == ("cooling not shown", "1", f"Soup {soup}")
    line = find(board(fda, "tue 22:01"), (), "sign", row.key)
    assert count_on(fda.file, SOUS, [one.code for one in line.batches]).text == f"counts on, mr: Soup {soup}"
    assert waiting(fda, "tue 22:02") == waiting(fda, "wed 22:00") == []
    (line,) = [one for one in record(fda.file, since=fda.at("08:00")).lines if one.did == "counts on"]
    assert (line.by, line.batch, line.value) == ("mr", soup, "mr")
    assert check(fda.file) == []
    undo(fda.file, SOUS)
    assert waiting(fda, "wed 22:01") == [soup]


def test_answered_between_two_limits_it_is_asked_for_the_second_too(fda):
    soup = fda.cooked("soup", "13:50", "14:00", "14:10")
    count_on(fda.go("16:05").file, SOUS, [soup])
    assert waiting(fda, "19:59") == []
    assert waiting(fda, "20:01") == [soup]


def test_another_record_releases_it_and_what_is_held_needs_no_initials(fda, tmp_path):
    soup = fda.cooked("soup", "13:50", "14:00", "14:10")
    with pytest.raises(Refused, match="nothing of that waits"):
        count_on(fda.go("15:00").file, SOUS, [soup])
    fda.go("20:30")
    for degrees, moment in ((20, "15:50"), (4, "19:50")):
        read(fda.file, SOUS, "batch", soup, Fraction(degrees), "C", at=fda.at(moment), record="paper chart 3")
    assert waiting(fda, "20:31") == []
    holding = new_kitchen(tmp_path / "hold", more='unread_cooling = "hold"')
    held = holding.cooked("soup", "13:50", "14:00", "14:10")
    assert waiting(holding, "22:00") == []
    assert not holding.asks(held).may
    holding.file.close()


def test_only_a_sous_chef_answers(tmp_path):
    people = '[people.mr]\nrole = "sous"\n[people.lm]\nrole = "cook"\n'
    kitchen = new_kitchen(tmp_path / "staffed")
    folder = tmp_path / "staffed" / "book"
    (folder / "people.toml").write_text(people, encoding="utf-8")
    load_book(kitchen.file, SOUS, folder)
    soup = kitchen.cooked("soup", "13:50", "14:00", "14:10")
    with pytest.raises(Refused, match="sous chef"):
        count_on(kitchen.go("22:00").file, COOK, [soup])
    with pytest.raises(Refused, match=r"sous chef|initials"):
        count_on(kitchen.file, Who("", "kitchen"), [soup])
    assert waiting(kitchen, "22:01") == [soup]
    kitchen.file.close()
