"""Labels: what stands on them and in which order, at two widths, drawn, and read again by somebody else's reader."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from lately import numpy, zxingcpp

from prepboard.book.safety.may_use import OUT, Mark
from prepboard.book.safety.stays import Stay
from prepboard.paper.records.label import QUIET, WIDTHS, as_page, as_svg, as_text, labels, square
from prepboard.paper.text.plain import wide
from prepboard.paper.text.saying import Voice
from prepboard.store.file.codes import DIGITS, LETTERS

BOOK = """
[stations.sauce]
name = "Sauce"
[places.walk-in]
name = "Walk-in"
store = "chilled"
[goods.cream]
name = "Cream"
unit = "l"
allergens = ["milk"]
[preps.jus]
name = "Lamb jus"
station = "sauce"
store = "chilled"
keeps = "9 days"
ready_to_eat = true
makes = "5 l"
held_in = { "deep sixth" = "2.2 l" }
uses = { cream = "1 l" }
allergens = ["celery", "barley"]
par = "1 l"
[preps.crisp]
name = "<b>Crisp</b> & salt"
station = "sauce"
store = "ambient"
keeps = "8 h"
makes = "40 each"
par = "1 each"
[preps.pie]
name = "Pie"
station = "sauce"
store = "chilled"
keeps = "7 days"
makes = "1 kg"
par = "1 kg"
uses = { flour = "100 g" }
[goods.flour]
name = "Flour"
[preps.pickle]
name = "Pickled onion"
station = "sauce"
store = "chilled"
keeps = "30 days"
exempt = { why = "acid", measured = "pH 3.6", on = "2026-09-02", by = "LM" }
makes = "1 kg"
par = "1 kg"
"""

PLAN = 'approved_plan = { number = "Plan 7", by = "City food office", on = "2026-03-01" }\n'


@pytest.fixture
def boxes(kitchen, moment):
    """Batches in a walk-in, and the voice of 14:22 on Saturday 31 October 2026."""
    made = kitchen(BOOK)
    made.on_hand("jus", "5 l", "2026-11-06 00:00", place="walk-in", why="date mark", code="K7F")
    made.on_hand("crisp", "40 each", "2026-10-31 21:30", code="M2R")
    made.on_hand("pickle", "1 kg", None, place="walk-in", code="Q9T", why="exempt")
    voice = Voice(made.book, moment("2026-10-31 14:22"))
    return {batch.code: batch for batch in made.batches}, voice


def text(boxes, code, width=48):
    batches, voice = boxes
    (label,) = labels(batches[code], voice)
    return as_text(label, width).splitlines()


def test_a_label_says_name_use_by_made_and_code_first_with_the_weekday_in_words(boxes):
    assert text(boxes, "K7F") == [
        "Lamb jus",
        "Use by Thursday 5 November, to midnight",
        "Made Friday 30 October 12:00",
        "Batch K7F",
        "5 l",
        "Sauce, LM",
        "Allergens: barley, milk, celery",
        "Keep chilled, 5 °C (41 °F) or less, Walk-in",
        "Why: date mark: 7 days, 3-501.17(A)",
        "By FDA Food Code 2022; a help, not the law of",
        "the place",
    ]


def test_a_life_in_hours_ends_at_a_minute(boxes):
    assert text(boxes, "M2R")[:2] == ["<b>Crisp</b> & salt", "Use by Saturday 31 October 21:30"]
    assert "Allergens: none stated" in text(boxes, "M2R")


def test_what_carries_no_date_says_why(boxes):
    assert text(boxes, "Q9T")[1] == "No date mark"
    assert "Exempt: acid: pH 3.6, measured 2 Sep 2026 by LM" in " ".join(text(boxes, "Q9T"))


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_is_wider_than_the_label_and_no_word_is_lost(boxes, width):
    lines = text(boxes, "K7F", width)
    assert max(map(wide, lines)) <= width
    assert " ".join(lines) == " ".join(text(boxes, "K7F", 200))


def test_what_may_not_be_used_says_so_above_all(boxes, moment):
    batches, voice = boxes
    batches["K7F"].blocked = "cooled too slowly"
    assert text(boxes, "K7F")[0] == "DO NOT USE: cooled too slowly"
    late = Voice(voice.book, moment("2026-10-31 21:30"))
    assert labels(batches["M2R"], late)[0].warning == "DO NOT USE: expired"
    assert labels(batches["M2R"], voice)[0].warning == ""


def test_what_no_recipe_knows_has_its_allergens_not_stated(boxes):
    batches, voice = boxes
    batch = batches["M2R"]
    batch.prep, batch.called, batch.unit, batch.why = "", "Tried broth", "ml", "no recipe"
    said = as_text(labels(batch, voice)[0], 48)
    assert said.startswith("Tried broth\n")
    assert "Allergens: not stated" in said


def test_one_label_for_each_container(boxes):
    batches, voice = boxes
    each = labels(batches["K7F"], voice, each=True)
    assert [label.lines[2] for label in each] == [
        "1 deep sixth (2.2 l), 1 of 3",
        "1 deep sixth (2.2 l), 2 of 3",
        "600 ml, 3 of 3",
    ]
    with pytest.raises(ValueError, match="names no container"):
        labels(batches["M2R"], voice, each=True)


def test_a_looser_limit_stands_on_the_label(kitchen, moment):
    made = kitchen(BOOK, PLAN + '[rules_of_the_house]\ncold_holding = "7 C"\n')
    batch = made.on_hand("jus", "5 l", place="walk-in")
    said = as_text(labels(batch, Voice(made.book, moment("2026-10-31 14:22")))[0], 48)
    assert "by this kitchen's own plan (Plan 7, approved 1 Mar 2026 by City food office)" in " ".join(said.split())


def test_names_are_text_in_a_drawing_and_a_page(boxes):
    batches, voice = boxes
    drawn = as_svg(labels(batches["M2R"], voice)[0])
    assert "".join(ElementTree.fromstring(drawn).itertext()).startswith("<b>Crisp</b> & salt")
    page = as_page(labels(batches["M2R"], voice), "A & B")
    assert "<b>" not in page
    assert "http" not in page.replace("http://www.w3.org/2000/svg", "")


@pytest.mark.parametrize("code", ["K7F", f"{LETTERS[:4]}{DIGITS[:4]}", f"{LETTERS[-1]}{DIGITS}"])
def test_the_square_is_read_as_the_code_by_another_reader(code):
    """ISO/IEC 18004, as zxing-cpp reads it; the square is drawn here, cell by cell, from what the label draws."""
    path = square(code, 0, 0)
    cells = [tuple(map(int, found)) for found in re.findall(r"M(\d+) (\d+)h1v1h-1z", path)]
    side = max(max(cell) for cell in cells) + 1 + QUIET
    picture = numpy.full((side, side), 255, dtype=numpy.uint8)
    for column, row in cells:
        picture[row, column] = 0
    (read,) = zxingcpp.read_barcodes(picture.repeat(4, axis=0).repeat(4, axis=1))
    assert read.text == code


@pytest.mark.parametrize(
    ("why", "house", "by"),
    [
        ("date mark", "", "By FDA Food Code 2022;"),
        ("inherited", "", "By FDA Food Code 2022;"),
        ("keeps", "", "By the kitchen's own recipe;"),
        ("maker's date", "", "By the maker's date;"),
        ("thawed", "", "By common practice;"),
        ("no recipe", "", "By common practice;"),
        ("date mark", '[rules_of_the_house]\ndate_mark = "5 days"\n', "By this kitchen's own rule, within FDA"),
        (
            "date mark",
            PLAN + '[rules_of_the_house]\ndate_mark = "9 days"\n',
            "By this kitchen's own plan, looser than FDA",
        ),
    ],
)
def test_a_code_is_named_only_where_its_number_decided(kitchen, moment, why, house, by):
    made = kitchen(BOOK, house)
    batch = made.on_hand("jus", "5 l", "2026-11-06 00:00", place="walk-in", why=why)
    said = as_text(labels(batch, Voice(made.book, moment("2026-10-31 14:22")))[0], 200)
    assert by in said


def test_the_code_stands_in_the_middle_under_its_square(boxes):
    batches, voice = boxes
    drawn = ElementTree.fromstring(as_svg(labels(batches["M2R"], voice)[0]))
    code = next(one for one in drawn.iter() if one.text == "M2R")
    path = next(one for one in drawn.iter() if one.tag.endswith("path"))
    (left,) = map(float, re.findall(r"translate\(([\d.]+)", path.get("transform")))
    side = float(drawn.get("width")) - left - 12
    assert code.get("text-anchor") == "middle"
    assert float(code.get("x")) == left + side / 2


def test_a_frozen_label_has_the_day_of_freezing_and_the_days_left(kitchen, moment):
    """FDA Food Code 2022, 3-501.17 and 3-501.18(A)(1): made on day 1, frozen on day 2, five of seven days are left."""
    made = kitchen(BOOK)
    at = moment("2026-10-30 12:00")
    batch = made.on_hand("pie", "1 kg", None, store="frozen", made_at=at, day_one=at.date(), why="")
    batch.stays = (Stay("chilled", at), Stay("frozen", moment("2026-10-31 09:00")))
    said = as_text(labels(batch, Voice(made.book, moment("2026-11-20 14:22")))[0], 200)
    assert "Frozen: its date stands still" in said
    assert "Frozen Saturday 31 October 2026; 5 days once thawed" in said


def test_a_label_says_when_it_left_temperature_control_and_when_that_ends(kitchen, moment):
    """FDA Food Code 2022, 3-501.19(B) and (C): both are marked."""
    made = kitchen(BOOK)
    left, end = moment("2026-10-31 12:00"), moment("2026-10-31 16:00")
    batch = made.on_hand("pie", "1 kg", "2026-10-31 16:00", why="time control")
    batch.marks = (Mark(OUT, left, "time control", "K7F", "time_control", end),)
    said = as_text(labels(batch, Voice(made.book, moment("2026-10-31 14:22")))[0], 200)
    assert "Use by Saturday 31 October 16:00" in said
    assert "Out of temperature control since Saturday 31 October 12:00" in said
    assert "Why: out of temperature control: 4 h, 3-501.19(B)" in said


def test_a_label_says_of_what_nothing_is_stated(kitchen, moment):
    made = kitchen(BOOK)
    batch = made.on_hand("pie", "1 kg", "2026-11-02 00:00")
    said = as_text(labels(batch, Voice(made.book, moment("2026-10-31 14:22")))[0], 200)
    assert "Allergens: none stated; nothing stated of Flour" in said


@pytest.mark.parametrize(("use_by", "year"), [("2027-01-25 00:00", False), ("2027-06-01 00:00", True)])
def test_what_keeps_over_three_months_carries_its_year(kitchen, moment, use_by, year):
    """Regulation (EU) No 1169/2011, Annex X, 1(c), from memory: day and month are enough for what keeps no longer."""
    made = kitchen(BOOK)
    batch = made.on_hand("pickle", "1 kg", use_by, made_at=moment("2026-10-30 12:00"))
    (label,) = labels(batch, Voice.of(made.plan("2026-10-31 10:00")))
    assert label.use_by.startswith("Use by ")
    assert ("2027" in label.use_by, "2026" in label.lines[0]) == (year, year)
