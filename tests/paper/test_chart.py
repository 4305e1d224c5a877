"""The last services of a dish as lines of text."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from prepboard.paper.text.chart import chart, signs
from prepboard.paper.text.plain import wide
from prepboard.paper.text.saying import Voice
from prepboard.plan.given.learned import Evening, Learned


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


def evenings() -> tuple[Evening, ...]:
    day = date(2026, 10, 1)
    plates = ((12, 18, False), (18, 18, True), (21, 18, False), (480, 500, False))
    return tuple(
        Evening("dinner", day + timedelta(days=n), sold, par, out) for n, (sold, par, out) in enumerate(plates)
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
