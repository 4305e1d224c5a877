"""The check that the file is given once a day by itself: what it finds, what it passes over, and where it is said."""

from __future__ import annotations

import sqlite3
from datetime import timedelta

import pytest

from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.stock import count, use
from prepboard.store.actions.handover import note
from prepboard.store.actions.undoing import undo
from prepboard.store.health import upkeep
from prepboard.store.health.about_the_file import about
from prepboard.store.health.health import check, faults_in
from prepboard.store.health.upkeep import check_if_due, check_now, last_checked, tend

from .test_copies import WallClock

LITRE = 10**9


@pytest.fixture
def live(kitchen, monkeypatch):
    """A kitchen on the wall's clock, whose file is large enough to be checked from the last checked line on."""
    monkeypatch.setattr(upkeep, "SMALL", 0)
    kitchen.file.clock = WallClock(kitchen.clock.at)
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    return kitchen


def tomorrow(kitchen):
    kitchen.file.clock.at += timedelta(days=1)


def by_hand(kitchen, sql: str, *values: object) -> None:
    """Somebody changes the file with a program of their own, past the triggers that forbid it."""
    with sqlite3.connect(kitchen.file.path, isolation_level=None) as raw:
        for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            raw.execute(f'DROP TRIGGER "{name}"')
        raw.execute(sql, values)
    raw.close()


def test_once_a_business_day_and_by_one_station(live):
    first = check_if_due(live.file)
    assert first is not None
    assert (first.whole, first.faults) == (True, ())
    assert check_if_due(live.file) is None
    tomorrow(live)
    done(live.file, live.lm, prep="onion-crisp")
    second = check_if_due(live.file)
    assert second is not None
    assert (second.whole, second.faults) == (False, ())
    assert second.since.line > first.since.line
    assert check_if_due(live.file) is None


def test_a_check_that_was_killed_is_made_again(live, monkeypatch):
    monkeypatch.setattr(upkeep, "checked", lambda *_words, **_named: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        check_if_due(live.file)
    monkeypatch.undo()
    assert check_if_due(live.file) is None
    live.file.clock.at += timedelta(minutes=61)
    assert check_if_due(live.file) is not None


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE moves SET amount = amount - 5 WHERE number = (SELECT max(number) FROM moves)",
        "UPDATE batches SET use_by = '2027-01-01T00:00:00Z' WHERE prep = 'onion-crisp'",
        "UPDATE log SET after = 'nothing' WHERE number = (SELECT max(number) FROM log)",
        "DELETE FROM log WHERE number = (SELECT max(number) FROM log)",
        "UPDATE actions SET answer = '{}' WHERE number = (SELECT max(number) FROM actions)",
        "UPDATE actions SET undone_by = NULL WHERE undone_by IS NOT NULL",
        "UPDATE notes SET text = 'something else'",
    ],
)
def test_what_came_since_the_last_check_is_gone_through(live, sql):
    count(live.file, live.jp, "lamb-jus", LITRE)
    check_if_due(live.file)
    tomorrow(live)
    done(live.file, live.lm, prep="onion-crisp")
    note(live.file, live.lm, "the walk-in is warm")
    undo(live.file, live.jp)
    by_hand(live, sql)
    found = check_if_due(live.file)
    assert found is not None
    assert not found.whole
    assert found.faults
    assert check(live.file) != []


def test_what_is_older_is_passed_over_until_all_is_checked(live):
    """The reason for the whole check: it alone finds what was changed in what was checked before."""
    note(live.file, live.jp, "a note of old")
    check_if_due(live.file)
    by_hand(live, "UPDATE notes SET text = 'something else'")
    tomorrow(live)
    done(live.file, live.lm, prep="onion-crisp")
    found = check_if_due(live.file)
    assert found is not None
    assert (found.whole, found.faults) == (False, ())
    assert "is not as it was left" in check(live.file)[0]


def test_food_that_only_lost_some_since_is_held_all_the_same(live):
    """A batch that is there is held by its line, however old that is and whatever was plated of it since."""
    check_if_due(live.file)
    live.file.clock.at += timedelta(hours=14)
    use(live.file, live.lm, "lamb-jus", LITRE // 10, "staff")
    by_hand(live, "UPDATE batches SET use_by = '2027-01-01T00:00:00Z' WHERE prep = 'lamb-jus' AND state = 'live'")
    found = check_if_due(live.file)
    assert found is not None
    assert not found.whole
    assert "is not as it was left" in found.faults[0]


def test_a_chain_that_was_written_anew_below_the_mark_is_found(live):
    check_if_due(live.file)
    by_hand(live, "UPDATE log SET chain = 'x' WHERE number = (SELECT max(number) FROM log)")
    tomorrow(live)
    found = check_if_due(live.file)
    assert found is not None
    assert "is not the line that was checked before" in found.faults[0]


def test_what_was_found_is_found_every_day_until_it_is_seen_to(live):
    check_if_due(live.file)
    for _day in range(2):
        tomorrow(live)
        done(live.file, live.lm, prep="onion-crisp")
        by_hand(live, "UPDATE batches SET left = left + 1 WHERE prep = 'onion-crisp' AND state = 'live'")
        found = check_if_due(live.file)
        assert found is not None
        assert "its moves add up to" in found.faults[0]
        (wrong,) = about(live.file).wrong[-1:]
        assert "found" in wrong
        assert "its moves add up to" in wrong


def test_a_small_file_is_checked_whole_every_day(live, monkeypatch):
    monkeypatch.setattr(upkeep, "SMALL", 5_000)
    for _day in range(2):
        found = check_if_due(live.file)
        assert found is not None
        assert found.whole
        tomorrow(live)


def test_a_drill_is_left_alone_and_a_file_that_cannot_be_read_stops_nobody(kitchen, live):
    live.file.path.rename(live.file.path.with_name("away.db"))
    tend(live.file)
    live.file.path.with_name("away.db").rename(live.file.path)
    kitchen.file.clock = kitchen.clock
    tend(kitchen.file)
    with kitchen.file.looking() as db:
        assert last_checked(db) is None
        assert faults_in(db) == []


def test_the_first_check_of_a_file_of_years_begins_where_it_stands(live, monkeypatch):
    """All of it is for whoever asks; what comes from then on is gone through every day."""
    monkeypatch.setattr(upkeep, "LARGE", 0)
    first = check_if_due(live.file)
    assert first is not None
    assert (first.whole, first.faults) == (False, ())
    (fact,) = (fact for fact in about(live.file).facts if fact.key == "checked")
    assert "`prepboard check` goes through all" in fact.said
    assert check_now(live.file) == []
    tomorrow(live)
    done(live.file, live.lm, prep="onion-crisp")
    by_hand(live, "UPDATE moves SET amount = amount - 5 WHERE number = (SELECT max(number) FROM moves)")
    second = check_if_due(live.file)
    assert second is not None
    assert second.faults
