"""Temperatures on a board: rows that say what is late in a word, and open lines with the readings and the curve."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest
from msgspec.structs import replace

from prepboard.boards.rows import temperature_rows as watched
from prepboard.boards.rows.find import find
from prepboard.boards.rows.line_page import detail
from prepboard.boards.rows.station_view import view
from prepboard.boards.wall.view import sections
from prepboard.boards.widgets.row import draw, measure
from prepboard.book.safety.cooling import Start
from prepboard.book.safety.judging import Way, cooling_marks, judge
from prepboard.book.safety.temperatures import Reading
from prepboard.plan.probes.forecast import CoolingLine

BOOK = """
[stations.sauce]
name = "Sauce"
[stations.roast]
name = "Roast"
[places.walk-in]
name = "Walk-in"
store = "chilled"
temperature = "3 C"
[preps.stock]
name = "Brown stock"
station = "sauce"
store = "chilled"
keeps = "4 days"
ready_to_eat = true
makes = "8 l"
par = "4 l"
steps = [{ do = "Simmer", wait = "6 h", at = "95 C" }, { do = "Chill", wait = "90 min", cools = true }]
"""
NOW = "2026-10-31 15:00"


@pytest.fixture
def cooling(kitchen, moment):
    """A batch of stock off the heat at 14:00, and a way to read it."""

    def make(*readings: tuple[str, str], place: str = "", now: str = NOW):
        made = kitchen(BOOK)
        batch = made.on_hand("stock", "8 l", place="walk-in", run="R1")
        read = [
            Reading(batch.code, "batch", moment(clock), Fraction(degrees), "C", "LM") for clock, degrees in readings
        ]
        if place:
            read.append(Reading("walk-in", "place", moment("14:55"), Fraction(place), "C", "LM"))
        start = Start(moment("14:00"), True)
        found = judge(made.book.kitchen.rules, [Way(start, read)], moment(now[-5:]))
        marks = cooling_marks(made.book.kitchen.rules, batch.code, found, (), hold=False)
        made.batches[0] = replace(batch, marks=tuple(marks), made_at=moment("14:00"))
        made.more = {
            "readings": tuple(read),
            "cooling_from": {"R1": start},
        }
        return made.plan(now)

    return make


def test_what_will_be_late_says_so_first_and_what_helps(cooling):
    """50 °C at 14:20, 45 °C at 14:50: in a walk-in at 3 °C 21 °C is far off, and due by 16:00."""
    (row,) = watched.temperatures(cooling(("14:20", "50"), ("14:50", "45")), ("sauce",))
    assert (row.when, row.tone, row.key) == ("late", "late", "B0")
    assert row.words.startswith("B0  ")
    assert row.words.endswith("min late, ice bath")


def test_the_word_of_what_is_late_is_seen_at_any_width(cooling):
    rows = watched.temperatures(cooling(("14:20", "50"), ("14:50", "45"), place="9"), ("sauce",))
    for width in (30, 44, 80, 120):
        drawn = ["".join(text for text, _tone in draw(row, measure(rows), width)) for row in rows]
        assert {line.split()[0] for line in drawn} == {"late", "too"}


@pytest.mark.parametrize(
    ("readings", "verdict", "words"),
    [
        ((("14:30", "40"),), "one reading", "21 °C due by 16:00: read it once more"),
        ((("14:20", "50"), ("14:50", "20")), None, None),
        ((("14:20", "45"), ("14:50", "30")), "in time", "21 °C about 15:"),
        ((("14:20", "50"), ("14:50", "50")), "not cooling", "ice bath or smaller trays now"),
        ((("14:20", "50"), ("14:50", "45")), "too late", "min too late: ice bath or smaller trays now"),
        ((("14:50", "40"), ("14:55", "38")), "may be late", "due by 16:00: help it, and read it again"),
    ],
)
def test_what_the_readings_promise(cooling, readings, verdict, words):
    from prepboard.boards.rows.lists import voice_of
    from prepboard.paper.sentences.temperatures import cooling_text

    board = cooling(*readings)
    lines = {line.limit.key: line for line in board.watch.cooling}
    if verdict is None:
        assert set(lines) == {"cooling_total"}
    else:
        line: CoolingLine = lines["cooling_first"]
        assert line.verdict == verdict
        assert words in cooling_text(line, voice_of(board))


def test_a_forecast_says_how_late_to_the_minute(cooling):
    """The analytic solution: T - 3 falls from 47 to 42 in 30 min, to 18 after 30·ln(47/18)/ln(47/42) = 256 min."""
    board = cooling(("14:20", "50"), ("14:50", "45"))
    (line,) = board.watch.cooling
    at = line.cooling.readings[0].at + timedelta(minutes=256)
    assert abs(line.forecast.at - at) < timedelta(minutes=1)
    assert line.late_minutes in (156, 157)


def test_a_batch_that_missed_a_limit_is_blocked_on_the_board(cooling):
    board = cooling(("14:20", "50"), ("16:00", "30"), now="2026-10-31 16:05")
    (row,) = watched.temperatures(board, ("sauce",))
    assert (row.when, row.words, row.tone) == ("blocked", "B0  do not use: cooled too slowly", "discard")
    section = next(one for one in view(board, ("sauce",)).sections if one.name == "goes-off")
    assert [one.key for one in section.rows] == ["B0"]


def test_an_open_batch_shows_its_readings_and_the_curve_with_its_limits(cooling):
    board = cooling(("14:20", "50"), ("14:50", "45"))
    title, blocks = detail(board, find(board, "B0"))
    assert title.startswith("Brown stock")
    said = dict(blocks)
    assert said["TEMPERATURE"][1:] == ["14:20  50 °C  LM", "14:50  45 °C  LM"]
    plot = said["COOLING"]
    assert [line.split("│")[0].strip() for line in plot[:-1] if not line.startswith("      ")] == [
        "57 °C",
        "21 °C",
        "5 °C",
    ]
    assert sum(line.count("●") for line in plot) == 2
    assert plot[-1].split() == ["└14:00", "16:00", "20:00"]
    assert max(map(len, plot)) <= watched.PLOT[0]


def test_a_place_out_of_range_is_on_the_boards_of_those_whose_food_is_in_it(cooling):
    board = cooling(place="9")
    (row,) = watched.temperatures(board, ("sauce",))
    assert (row.when, row.what, row.amount, row.words) == ("too warm", "Walk-in", "9 °C", "at 14:55")
    assert watched.temperatures(board, ("roast",)) == ()
    title, blocks = detail(board, find(board, row.key))
    assert title == "Walk-in   9 °C"
    said = dict(blocks)
    assert "out of range: 5 °C or less; back by 18:55, and read again." in said[""][0]
    assert said["IN IT"] == ["B0  Brown stock"]


def test_the_wall_shows_what_is_late_to_be_cold_and_no_more(cooling):
    def on_the_wall(board):
        wall = [section for column in sections(board) for section in column]
        return [row.key for section in wall if section.name == "goes-off" for row in section.rows]

    assert on_the_wall(cooling(("14:20", "50"), ("14:50", "45"))) == ["B0"]
    assert on_the_wall(cooling(("14:20", "45"), ("14:50", "30"))) == []
    assert on_the_wall(cooling(place="9")) == ["out of range place walk-in"]
