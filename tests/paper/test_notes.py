"""Every kind of note of the plan has a wording of its own; one that has none is shown, not hidden."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

from prepboard.book.amounts import MILLION
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.saying import Voice
from prepboard.plan.shown.lines import Note

AT = datetime(2026, 10, 31, 21, 30, tzinfo=UTC)
EARLIER = datetime(2026, 10, 31, 13, 30, tzinfo=UTC)
SUNDAY = datetime(2026, 11, 2, tzinfo=UTC)
TWO_LITRES = 2000 * MILLION

WORDINGS = [
    (Note("make again by", {"at": AT}), "make again by 21:30"),
    (Note("over", {"item": "crisp", "amount": 14 * MILLION}), "14 spare: nothing planned needs it"),
    (
        Note("nothing makes", {"item": "wine", "amount": TWO_LITRES}),
        "short 2 l of Wine: no recipe makes it",
    ),
    (
        Note("comes with", {"item": "lamb-fat", "maker": "lamb-jus", "amount": 50 * MILLION, "size": Fraction(1, 2)}),
        "short 50 g of Lamb fat: ½ recipe of Lamb jus covers it",
    ),
    (
        Note("a little short", {"item": "brown-stock", "amount": 20 * MILLION, "of": 1620 * MILLION}),
        "20 ml short of 1.62 l Brown stock: it will do",
    ),
    (Note("cannot fit", {"why": "hours"}), "does not fit into this bench's hours"),
    (Note("cannot fit", {"why": "life"}), "keeps too short a time to be made early enough"),
    (Note("cannot fit", {"why": "for", "item": "crisp"}), "only for Rye crisp, which cannot be made"),
    (Note("long wait", {"step": "Chill", "minutes": 125, "least": 60}), "Chill waits 2 h 05 instead of 1 h"),
    (Note("not good long enough", {"until": AT}), "ends 21:30, before it is all used"),
    (
        Note("ends before", {"item": "brown-stock", "until": AT}),
        "Brown stock ends 21:30, before it is used",
    ),
    (Note("too late", {"at": AT}), "ready 21:30, too late for what it is for"),
    (Note("waits for", {"item": "brown-stock", "at": AT}), "waits for Brown stock, due 21:30"),
    (
        Note("moved", {"since": AT, "did": "started", "item": "brown-stock", "minutes": 20}),
        "moved from 21:30: Brown stock began late",
    ),
    (
        Note("moved", {"since": AT, "did": "covers", "item": "", "minutes": 0}),
        "moved from 21:30: other numbers",
    ),
    (Note("waits for", {"item": "brown-stock", "at": None}), "waits for Brown stock, nobody knows until when"),
    (
        Note("make more now", {"item": "crisp", "amount": 14 * MILLION, "size": Fraction(1, 2), "at": AT}),
        "make more now: ½ recipe, 14 Rye crisp, ready 21:30",
    ),
    (Note("late by", {"minutes": 75, "at": AT}), "ready 21:30, 1 h 15 late"),
    (
        Note("in time", {"item": "crisp", "amount": 14 * MILLION, "par": 40 * MILLION, "at": AT}),
        "14 of 40 ready for service, the rest 21:30",
    ),
    (
        Note("smaller in time", {"size": Fraction(1, 2), "item": "crisp", "amount": 14 * MILLION}),
        "½ recipe (14): ready in time if nothing else goes first",
    ),
    (Note("could give way", {"item": "brown-stock", "at": AT}), "Brown stock, not needed before 21:30, could give way"),
    (Note("off until", {"dishes": ("crisp",), "at": AT}), "86 until 21:30: Rye crisp"),
    (Note("off until", {"dishes": ("crisp",), "at": None}), "86 for this service: Rye crisp"),
    (Note("past use-by", {"at": EARLIER, "store": "hot"}), "expired 13:30, kept hot"),
    (Note("older food", {"until": EARLIER}), "use by 13:30: older stock in it"),
    (Note("blocked", {"why": "not cold in time"}), "blocked: not cold in time"),
    (
        Note("next needed", {"until": SUNDAY, "at": SUNDAY + timedelta(hours=10)}),
        "good to Sun; next needed Mon 10:00",
    ),
    (
        Note("fresh no more", {"until": SUNDAY, "fresh": SUNDAY - timedelta(hours=4)}),
        "good to Sun; fresh for plates to Sun 20:00",
    ),
    (Note("next needed", {"until": SUNDAY, "at": None}), "good to Sun; nothing needs it before then"),
]


def test_a_note_is_a_short_plain_sentence(voice: Voice) -> None:
    assert [note_text(note, voice) for note, _said in WORDINGS] == [said for _note, said in WORDINGS]


def test_an_unknown_kind_is_shown_as_it_is_and_without_escape_codes(voice: Voice) -> None:
    assert note_text(Note("odd", {"what": "\x1b[31mx"}), voice) == "odd: what x"


def test_a_missing_fact_is_no_fault(voice: Voice) -> None:
    for note, _said in WORDINGS:
        assert note_text(Note(note.kind), voice)


def test_a_length_of_time_may_be_a_timedelta(voice: Voice) -> None:
    note = Note("long wait", {"step": "Chill", "minutes": timedelta(minutes=90), "least": timedelta(minutes=60)})
    assert note_text(note, voice) == "Chill waits 1 h 30 instead of 1 h"
