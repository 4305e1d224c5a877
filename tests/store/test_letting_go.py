"""The rows that only undo needs go once nothing of them can be undone, and nothing else goes with them."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest

from prepboard.store.actions.food.making import done, start
from prepboard.store.actions.handover import note
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.undoing import last, undo
from prepboard.store.file.who import Refused
from prepboard.store.health.health import check
from prepboard.store.health.letting_go import let_go
from prepboard.store.past.batch_story import story_of


@pytest.fixture
def aged(kitchen):
    """A jus that took a stock, eight days ago; a note of today."""
    done(kitchen.file, kitchen.lm, prep="brown-stock")
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    kitchen.later(days=8)
    note(kitchen.file, kitchen.lm, "the walk-in is warm")
    return kitchen


def test_what_is_older_than_a_week_goes_and_the_record_stays(aged):
    before = aged.size_of_tables()
    (jus,) = (code for code, prep in aged.select("SELECT code, prep FROM batches") if prep == "lamb-jus")
    story = story_of(aged.file, jus)
    assert story.made_from
    assert let_go(aged.file, breath=0) > 0
    after = aged.size_of_tables()
    assert aged.select("SELECT DISTINCT action FROM changes") == aged.select(
        "SELECT id FROM actions WHERE did = 'note'"
    )
    assert {name: after[name] for name in after if name not in ("changes", "settings")} == {
        name: before[name] for name in before if name not in ("changes", "settings")
    }
    assert story_of(aged.file, jus) == story
    assert check(aged.file) == []


def test_what_went_is_not_undone_and_what_stands_is(aged):
    assert last(aged.file, aged.jp) is not None
    let_go(aged.file, breath=0)
    assert last(aged.file, aged.jp) is None
    left = aged.left("lamb-jus")
    with pytest.raises(Refused, match=r"that was Sat 31 Oct 14:00: too long ago to be undone; change it instead"):
        undo(aged.file, aged.jp)
    assert aged.left("lamb-jus") == left
    undo(aged.file, aged.lm)
    assert aged.state.notes == ()


def test_it_goes_little_by_little_and_only_what_is_old(kitchen, monkeypatch):
    monkeypatch.setattr("prepboard.store.health.letting_go.AT_ONCE", 3)
    for _day in range(10):
        start(kitchen.file, kitchen.jp, "onion-crisp", Fraction(1))
        plate(kitchen.file, kitchen.lm, kitchen.dinner, "lamb-toast", 1)
        kitchen.later(days=1)
    let_go(kitchen.file, breath=0)
    kept = kitchen.select("SELECT min(actions.at) FROM changes JOIN actions ON actions.id = changes.action")[0][0]
    assert kept == f"{kitchen.clock.at - timedelta(days=7):%Y-%m-%dT%H:%M:%SZ}"
    assert let_go(kitchen.file, breath=0) == 0
