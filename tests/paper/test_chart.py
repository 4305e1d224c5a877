"""The last services of a dish as lines of text."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from msgspec.structs import replace

from prepboard.paper.sentences.basis import why
from prepboard.paper.sentences.chart import chart, signs
from prepboard.paper.text.plain import wide
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.plan.given.learned import ClosedEvening, Learned
from prepboard.plan.shown.lines import DishSales


@pytest.mark.parametrize(
    ("plates", "par", "drawn"),
    [
        (5, 7, "=====  |"),
        (7, 7, "=======|"),
        (9, 7, "=======|=="),
        (0, 3, "   |"),
        (0, 0, "|"),
        (2, 0, "|=="),
    ],
)
def test_plates_and_par_are_drawn_sign_by_sign(plates, par, drawn):
    assert signs(plates, par, 1.0) == drawn


def test_a_par_that_was_too_small_is_seen_at_any_scale():
    assert signs(401, 400, 0.1).endswith("|=")
    assert signs(400, 401, 0.1).endswith("=|")


def evenings() -> tuple[ClosedEvening, ...]:
    day = date(2026, 10, 1)
    plates = ((12, 18, False), (18, 18, True), (21, 18, False), (480, 500, False))
    return tuple(
        ClosedEvening("dinner", day + timedelta(days=n), sold, par, out) for n, (sold, par, out) in enumerate(plates)
    )


@pytest.mark.parametrize("width", [44, 80, 120])
def test_every_line_fits(voice: Voice, width: int):
    learned = Learned(20.0, 100.0, count=4, hits="1001", evenings=evenings())
    lines = chart(learned, voice, "lamb", width)
    assert max(map(wide, lines)) <= width
    text = " ".join(" ".join(lines).split())
    for words in ("12 of 18", "ran out", "par too small", "4 services learned (guess).", "Covered 2 of the last 4."):
        assert words in text


def test_without_a_service_it_says_so(voice: Voice):
    assert "No service of it has been learned yet." in " ".join(chart(None, voice, "lamb", 80))


def sales(**more: object) -> DishSales:
    """Lamb, usually 31.2 on a Saturday, 36.6 tonight with 18 covers more than usual."""
    known = {"usual": 31.2, "covers_above": 18, "covers_shown": True}
    return DishSales("lamb", "measured", 40, 36, 40, False, 36.6, **{**known, **more})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({}, "usually 31 on a Saturday, raised to 37 by 18 covers above usual, as they did before;"),
        ({"covers_shown": False}, "raised to 37 by 18 covers above usual, in proportion until we know better;"),
        ({"covers_above": -18, "usual": 44.0}, "lowered to 37 by 18 covers below usual, as they did before;"),
        (
            {"covers_above": -18, "usual": 44.0, "covers_shown": False},
            "below usual, in proportion until we know better;",
        ),
        ({"usual": 36.6}, "Pressed lamb: usually 37 on a Saturday; on top a margin as large as our misses."),
        ({"clipped": (date(2026, 10, 24), date(2026, 10, 3))}, "Odd, and counted in part only: Sat 24, Sat 3."),
    ],
)
def test_where_a_number_comes_from_is_said_as_a_chef_would(voice: Voice, more, said):
    whole = why(sales(**more), voice, date(2026, 10, 31))
    assert said in whole
    assert "on top a margin as large as our misses." in whole
    assert why(sales(usual=None), voice, date(2026, 10, 31)) == ""


def test_the_chart_says_where_the_number_of_a_sitting_ahead_comes_from_what_is_usual_and_which_evenings_were_odd(
    voice: Voice, board: Board
):
    """By weekday: Saturdays sold 60 where 33 were expected, scatter 2: (33/53)² of .669 - 2/33 on top of .02 twice is
    .1156, so k = 17.3 and 20·77.3/50.3 = 30.7."""
    clipped = tuple(replace(one, clipped=one.plates == 480) for one in evenings())
    learned = Learned(
        20.0, 1.0, count=30, hits="1" * 29, evenings=clipped, weekdays={"dinner 5": (60.0, 33.0, 0.0, 3.0)}
    )
    par = replace(board.pars[0], dishes=(sales(),))
    text = " ".join(" ".join(chart(learned, voice, "lamb", 90, [par])).split())
    assert "Dinner: Pressed lamb: usually 31 on a Saturday, raised to 37 by 18 covers above usual" in text
    assert "Usual, Dinner: Sat 31." in text
    assert "480 of 500 odd, counts in part" in text
    assert "A short evening widens our margins by about a tenth, a covered one narrows them by a hundredth;" in text
