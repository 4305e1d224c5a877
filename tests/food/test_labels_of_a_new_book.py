"""A book that gives food a shorter life: the shorter date counts at once, and boards, close and paper say what the
label on the box says until somebody labelled it anew. Common practice, no source."""

from __future__ import annotations

import pytest

from prepboard.boards.closing.rows import find, sections
from prepboard.boards.rows.lists import goes_off
from prepboard.paper.lists.closing import closing as on_paper
from prepboard.plan.board import plan
from prepboard.store.actions.food.holding import Right, correct, relabelled
from prepboard.store.actions.loading import load_book
from prepboard.store.file.who import Refused
from prepboard.store.health.health import check
from tests.food.conftest import new_kitchen

SAYS = "label says Sun, good to Wed: relabel"


@pytest.fixture
def shorter(tmp_path):
    """Salad for seven days, in a kitchen whose book says three from Monday noon on; Tuesday, 09:00."""
    kitchen = new_kitchen(tmp_path / "kitchen")
    salad = kitchen.made("salad", "09:00")
    folder = tmp_path / "kitchen" / "book"
    text = (folder / "kitchen.toml").read_text(encoding="utf-8")
    before, after = text.split("[preps.salad]")
    book = before + "[preps.salad]" + after.replace('keeps = "7 days"', 'keeps = "3 days"', 1)
    (folder / "kitchen.toml").write_text(book, encoding="utf-8")
    load_book(kitchen.go("12:00").file, kitchen.who, folder)
    kitchen.go("tue 09:00")
    yield kitchen, salad
    kitchen.file.close()


def board(kitchen):
    return plan(kitchen.file.read(), kitchen.clock.at)


def test_the_shorter_date_counts_at_once(shorter):
    kitchen, salad = shorter
    assert kitchen.ends(salad) == kitchen.at("thu 00:00")
    assert check(kitchen.file) == []


def test_bench_close_and_paper_say_what_the_label_says_until_it_is_labelled_anew(shorter):
    kitchen, salad = shorter
    seen = board(kitchen)
    assert [SAYS in row.words for row in goes_off(seen, ("kitchen",))] == [True]
    walk = next(one for one in sections(seen, (), ()) if one.name == "count")
    assert [SAYS in row.words for row in walk.rows] == [True]
    assert find(seen, (), "count", salad).batch.to_relabel
    assert any("label says Sun" in line for line in map(str, on_paper(seen.closing, seen, 100)))
    assert "good to Wed" in relabelled(kitchen.file, kitchen.who, salad).text
    assert not any("label says" in row.words for row in goes_off(board(kitchen), ("kitchen",)))
    with pytest.raises(Refused, match="says what is so"):
        relabelled(kitchen.file, kitchen.who, salad)
    assert kitchen.ends(salad) == kitchen.at("thu 00:00")


def test_a_part_has_the_old_label_too_and_a_label_put_right_is_a_new_one(shorter):
    kitchen, salad = shorter
    part = kitchen.split(salad, 2, "tue 09:05")
    correct(kitchen.file, kitchen.who, salad, Right(lot="L1"), "lot forgotten")
    batches = {batch.code: batch for batch in kitchen.file.read().batches}
    assert (batches[part].to_relabel, batches[salad].to_relabel) == (True, False)
