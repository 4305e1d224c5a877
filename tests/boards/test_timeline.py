"""The timeline: what lies where in time, drawn cell by cell, and its screen."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, time, timedelta
from fractions import Fraction
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from boards.at_a_station import ANOTHER
from conftest import drawn_of
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from rich.cells import cell_len

from prepboard.boards.timeline.screen import TimelineScreen
from prepboard.boards.timeline.view import (
    Bar,
    Lane,
    Scale,
    Served,
    Span,
    legend,
    legend_lines,
    named_hours,
    names_wide,
    scale,
    timeline,
)
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.book.days import Days
from prepboard.store.actions.food import making
from prepboard.store.kitchen_file import KitchenFile

DAYS = Days(ZoneInfo("UTC"), time(4))
NOON = datetime(2026, 10, 31, 12, 0, tzinfo=UTC)


def at(clock: str) -> datetime:
    hour, minute = clock.split(":")
    return NOON.replace(hour=int(hour), minute=int(minute))


def drawn(*bars: Bar, now: str = "23:59", services: tuple[Served, ...] = ()) -> list[str]:
    """An hour a cell, from noon for twelve hours, names left out."""
    width = names_wide(80) + 1 + 12
    page = Scale(NOON, NOON + timedelta(hours=12), 12)
    lines = timeline([Lane("SAUCE", bars, "Nothing.")], services, at(now), page, DAYS, width)
    return ["".join(text for text, _tone in line)[names_wide(width) + 1 :] for line in lines]


def test_hands_on_is_solid_and_a_wait_is_thin() -> None:
    bar = Bar("Jus", (Span(at("13:00"), at("15:00"), at("18:00")),))
    assert drawn(bar)[-1].startswith("·██───")


def test_what_is_shorter_than_a_cell_still_takes_one() -> None:
    bar = Bar("Crisp", (Span(at("14:20"), at("14:25"), at("14:25")),))
    assert drawn(bar)[-1][:4] == "· █ "


def test_a_row_that_goes_on_beyond_the_page_says_so_at_both_ends() -> None:
    bar = Bar("Trout", (Span(at("9:00"), at("9:10"), at("23:59") + timedelta(hours=9)),))
    assert drawn(bar)[-1] == "‹──────────›"


def test_now_goes_through_everything_but_solid_work() -> None:
    waiting, working = (
        Bar("A", (Span(at("13:00"), at("13:00"), at("18:00")),)),
        Bar("B", (Span(at("13:00"), at("18:00"), at("18:00")),)),
    )
    _hours, heading, first, second = drawn(waiting, working, now="15:30")
    assert (heading[3], first[3], second[3]) == ("┃", "┃", "█")


def test_a_service_lies_over_its_hours() -> None:
    assert drawn(services=(Served("dinner", at("18:00"), at("23:00")),))[1][6:11] == "├din┤"


def test_a_place_that_is_taken_has_its_temperature_written_into_it() -> None:
    bar = Bar("place 1", (Span(at("12:00"), at("12:00"), at("22:00"), "175 C", holds=True),))
    assert drawn(bar)[-1][:10] == "▓▒175 C▒▒▒"


def test_what_is_in_a_place_stands_beside_it_or_below_where_it_has_no_room_inside() -> None:
    jus = Span(at("13:00"), at("13:00"), at("15:00"), "jus", holds=True)
    rolls = Span(at("15:00"), at("15:00"), at("17:00"), "rolls, 230 C", holds=True)
    assert drawn(Bar("place 1", (jus,)))[-1] == "·▓▒ jus    ┃"
    place, below, further_below = drawn(Bar("place 1", (jus, rolls)))[-3:]
    assert place[:5] == "·▓▒▓▒"
    assert "13:00 jus" in below
    assert "olls, 230 C" in further_below, "its first letter stands under the names"


def test_two_labels_below_a_bar_do_not_read_as_one() -> None:
    wide, page = names_wide(80) + 1 + 60, Scale(NOON, NOON + timedelta(hours=12), 60)
    first = Span(at("12:00"), at("12:00"), at("13:00"), "jus, 98 C", holds=True)
    second = Span(at("15:24"), at("15:24"), at("16:00"), "fumet, 92 C", holds=True)
    third = Span(at("16:00"), at("16:00"), at("17:00"), "new potatoes", holds=True)
    bar = Bar("place 1", (first, replace(first, begins=at("13:00"), ends=at("14:00")), second, third))
    lines = timeline([Lane("RANGE", (bar,), "Nothing.")], (), at("23:59"), page, DAYS, wide)
    for line in lines:
        said = "".join(text for text, _tone in line)
        assert not re.search(r"[a-zC] {1,2}\d\d:\d\d [a-z]", said), said


def test_when_nobody_is_there_is_drawn_beside_the_benchs_name() -> None:
    page = Scale(NOON, NOON + timedelta(hours=12), 72)
    gone = Span(at("15:00"), at("15:00"), at("17:30"), "nobody until 17:30", brief="to 17:30")
    lines = timeline([Lane("SAUCE", (), "Nothing.", (gone,))], (), NOON, page, DAYS, names_wide(103) + 1 + 72)
    heading = "".join(text for text, _tone in lines[1])
    assert heading.strip() == "SAUCE".ljust(names_wide(103)) + "┃" + " " * 17 + "░░ to 17:30 ░░░"


def test_a_bench_with_nothing_to_do_says_so() -> None:
    page = scale(NOON, NOON + timedelta(hours=12), 80)
    lines = timeline([Lane("ROAST", (), "Nothing to do on this page.")], (), NOON, page, DAYS, 80)
    assert "Nothing to do on this page." in "".join(text for text, _tone in lines[-1])


@pytest.mark.parametrize("width", [44, 80, 120, 200])
def test_named_hours_never_touch(width: int) -> None:
    page = scale(NOON, NOON + timedelta(hours=24), width)
    cells = [page.cell(hour) for hour in named_hours(page, DAYS)]
    assert len(cells) >= 2
    assert min(after - before for before, after in pairwise(cells)) >= len("12:00 ")


moments = st.integers(-600, 2000).map(lambda minutes: NOON + timedelta(minutes=minutes))
spans = st.tuples(moments, st.integers(0, 300), st.integers(0, 2000), st.text(max_size=12)).map(
    lambda one: Span(one[0], one[0] + timedelta(minutes=one[1]), one[0] + timedelta(minutes=one[1] + one[2]), one[3])
)


@given(st.lists(spans, max_size=5), st.integers(24, 220), moments, st.sampled_from([4, 12, 48]))
@settings(max_examples=drawn_of(80), deadline=None)
def test_every_line_is_as_wide_as_the_screen(found: list[Span], width: int, now: datetime, hours: int) -> None:
    page = scale(NOON, NOON + timedelta(hours=hours), width)
    lanes = [Lane("SAUCE", (Bar("[red]Jus[/red] \u202e", tuple(found)),), "")]
    for line in timeline(lanes, [Served("dinner", now, now + timedelta(hours=5))], now, page, DAYS, width):
        assert cell_len("".join(text for text, _tone in line)) == width


words = st.text("abcdefgh ", min_size=1, max_size=30).map(lambda text: f"x{text}y")
held = st.tuples(moments, st.integers(1, 900), words).map(
    lambda one: Span(one[0], one[0], one[0] + timedelta(minutes=one[1]), one[2], holds=True)
)


@given(st.lists(held, max_size=5), st.sampled_from([44, 80, 120, 200]), moments)
@settings(max_examples=drawn_of(150), deadline=None)
def test_what_is_in_a_place_is_always_named_and_nothing_overprints_it(
    found: list[Span], width: int, now: datetime
) -> None:
    page = scale(NOON, NOON + timedelta(hours=12), width)
    found = [span for span in found if span.ends > page.since and span.begins < page.until]
    rows: list[Span] = []
    for span in sorted(found, key=lambda span: span.begins):
        if not rows or rows[-1].ends <= span.begins:
            rows.append(span)
    lines = timeline([Lane("OVEN", (Bar("place 1", tuple(rows)),), "")], (), now, page, DAYS, width)
    text = "\n".join("".join(part for part, _tone in line) for line in lines)
    for span in rows:
        assert span.label in text


async def test_e_opens_it_for_the_boards_benches_and_escape_goes_back(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.choose("e")
        assert isinstance(it.app.screen, TimelineScreen)
        picture = it.app.screen.query_one("#timeline", PlainLine)
        await it.until(it.pilot, lambda: "Chive oil" in picture.text)
        assert "SAUCE" in picture.text
        assert "ROAST" not in picture.text
        before = picture.text
        await it.press("right")
        assert picture.text != before
        await it.press("home")
        assert picture.text == before
        await it.press("minus")
        assert picture.text != before
        await it.choose("escape")
        assert it.app.screen is it.board


async def test_what_another_station_starts_comes_into_the_picture(
    desk: Callable[..., Any], another: KitchenFile
) -> None:
    async with desk() as it:
        await it.choose("e")
        picture = it.app.screen.query_one("#timeline", PlainLine)
        await it.until(it.pilot, lambda: "Chive oil" in picture.text)
        before = picture.text
        making.start(another, ANOTHER, "oil", Fraction(1))
        await it.until(it.pilot, lambda: picture.text != before)


def test_the_legend_is_whole_at_every_width():
    for width in (44, 80, 120):
        lines = legend_lines(width)
        assert max(map(len, lines)) <= width
        assert "   ".join(line.strip() for line in lines) == legend(), "nothing cut, no sign apart from its word"
    assert len(legend_lines(120)) == 1


@pytest.mark.parametrize(("width", "rows"), [(44, 2), (80, 2), (120, 1)])
def test_how_late_a_row_is_takes_nothing_of_its_name(width: int, rows: int) -> None:
    """Where both have no room side by side the word stands below."""
    bar = Bar("Guinea jus", (Span(at("13:00"), at("15:00"), at("18:00")),), "late", "3 h 26 late")
    page = scale(NOON, NOON + timedelta(hours=12), width)
    lines = timeline([Lane("SAUCE", (bar,), "")], (), at("14:00"), page, DAYS, width)
    said = ["".join(text for text, _tone in line)[: names_wide(width)].strip() for line in lines[-rows:]]
    assert " ".join(said).split() == ["Guinea", "jus", "3", "h", "26", "late"]
    assert {cell_len("".join(text for text, _tone in line)) for line in lines} == {width}
