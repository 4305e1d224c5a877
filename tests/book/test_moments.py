"""Moments as a cook writes them down afterwards."""

from __future__ import annotations

from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

import pytest

from prepboard.book.days import Days
from prepboard.book.moments import read_past

BERLIN = Days(ZoneInfo("Europe/Berlin"), time(4))
NOW = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)
"""15:00 on the kitchen's clock."""


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("14:10", datetime(2026, 10, 31, 13, 10, tzinfo=UTC)),
        ("2:10 pm", datetime(2026, 10, 31, 13, 10, tzinfo=UTC)),
        ("12:05 pm", datetime(2026, 10, 31, 11, 5, tzinfo=UTC)),
        ("20", datetime(2026, 10, 31, 13, 40, tzinfo=UTC)),
        ("20 min", datetime(2026, 10, 31, 13, 40, tzinfo=UTC)),
        ("yesterday 15:30", datetime(2026, 10, 30, 14, 30, tzinfo=UTC)),
    ],
)
def test_a_moment_is_on_the_kitchens_clock(text: str, at: datetime) -> None:
    assert read_past(BERLIN, NOW, text) == at


def test_after_midnight_the_evening_before_is_still_today() -> None:
    late = datetime(2026, 10, 31, 0, 30, tzinfo=UTC)
    assert read_past(BERLIN, late, "23:50") == datetime(2026, 10, 30, 22, 50, tzinfo=UTC)


@pytest.mark.parametrize("text", ["", "15:01", "25:00", "14:60", "0:10 pm", "soon", "tomorrow 10:00", "-5"])
def test_what_is_no_past_moment_is_refused_in_words(text: str) -> None:
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        read_past(BERLIN, NOW, text)
