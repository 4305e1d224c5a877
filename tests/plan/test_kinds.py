"""Kinds of notes and of numbers are tagged in one place each, and whatever speaks of them has a row for every one."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import get_args

import pytest
from conftest import any_plan
from random_kitchens import kitchen

from prepboard.paper.sentences.notes import WORDINGS
from prepboard.plan.board import plan
from prepboard.plan.changing.drafts import set_to
from prepboard.plan.given.numbers import Number, NumberKind
from prepboard.plan.shown.lines import FACTS, NoteKind
from prepboard.store.actions.night.number_kinds import COLUMNS, SETTERS

NOW = datetime(2026, 10, 31, 14, tzinfo=UTC)
DINNER = ("dinner", date(2026, 10, 31))
OF_A_SITTING = {"covers", "percent", "mix", "count", "par", "cancelled", "off"}


def test_every_kind_of_note_has_its_facts_and_its_words():
    assert set(get_args(NoteKind)) == set(FACTS) == set(WORDINGS)


@any_plan()
def test_the_notes_of_drawn_kitchens_have_the_facts_of_their_kind_and_no_others():
    seen = set()
    for seed in range(8):
        for line in plan(kitchen(seed, 14, tight=True), NOW).make:
            for note in line.notes:
                seen.add(note.kind)
                assert set(note.facts) <= set(FACTS[note.kind]), note
    assert len(seen) > 5, "the kitchens say enough to be judged by"


def test_every_kind_of_number_has_its_place_in_the_file_and_is_set_somewhere():
    """Shares of one sitting are set together, so they have no setter of their own."""
    assert set(get_args(NumberKind)) == set(COLUMNS) == {*SETTERS, "mix"}


@pytest.mark.parametrize("kind", get_args(NumberKind))
def test_every_kind_of_number_is_found_in_a_state(kind):
    sitting = DINNER if kind in OF_A_SITTING else None
    number = Number(kind, sitting, "nothing", None if sitting else DINNER[1], "5")
    assert set_to(kitchen(0, 4), number) in (None, 0)
