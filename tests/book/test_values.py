"""Durations, lives and temperatures as chefs write them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepboard.book.book import Life
from prepboard.book.durations import read_life, read_seconds
from prepboard.book.reading.schema import schema
from prepboard.book.reading.written import SECTIONS, BookWritten, StepWritten, keys_of
from prepboard.book.safety.allergens import BEYOND, EU, GROUPS, KNOWN, US, listed
from prepboard.book.values import read_clock, read_hours, read_temperature


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("30 s", 30),
        ("45 min", 2700),
        ("1 h 30 min", 5400),
        ("1½ h", 5400),
        ("0.5 h", 1800),
        ("2 days", 172800),
        ("1 week", 604800),
        ("PT6H", 21600),
        ("PT1H30M", 5400),
        ("P1DT12H", 129600),
    ],
)
def test_durations_are_read_as_they_are_written(text, seconds):
    assert read_seconds(text) == seconds


@pytest.mark.parametrize(
    "text", ["", "3", "h", "3 fortnights", "-3 h", "3 h 20", "PT", "P", "3 h, 20 min", "1e3 h", 3, None, []]
)
def test_what_is_no_duration_is_refused(text):
    with pytest.raises(ValueError, match="expected a duration"):
        read_seconds(text)


@given(st.integers(0, 300), st.integers(0, 23), st.integers(0, 59))
def test_days_hours_and_minutes_add_up(days, hours, minutes):
    assert read_seconds(f"{days} days {hours} h {minutes} min") == days * 86400 + hours * 3600 + minutes * 60


@pytest.mark.parametrize(
    ("text", "life"),
    [
        ("5 days", Life(days=5)),
        ("1 day", Life(days=1)),
        ("2 weeks", Life(days=14)),
        ("P5D", Life(days=5)),
        ("36 h", Life(minutes=2160)),
        ("48 h", Life(minutes=2880)),
        ("1 day 12 h", Life(minutes=2160)),
        ("PT36H", Life(minutes=2160)),
    ],
)
def test_days_are_counted_by_the_calendar_and_hours_by_the_clock(text, life):
    assert read_life(text) == life


@pytest.mark.parametrize(
    ("text", "degrees"), [("160 C", 160), ("-18 C", -18), ("320F", 320), ("3.5 °C", Fraction(7, 2))]
)
def test_temperatures_keep_the_scale_that_was_written(text, degrees):
    assert read_temperature(text).degrees == degrees
    assert read_temperature(text).unit == text[-1]


def test_midnight_may_be_written_as_24():
    assert read_hours("16:00-24:00")[0][1] == read_clock("00:00")


def test_the_eu_list_has_its_fourteen_names_and_the_us_list_its_nine():
    """Regulation (EU) 1169/2011, Annex II; the US list with sesame by the FASTER Act of 2021."""
    assert len(EU) == 14
    assert len(US) == 9
    assert set(US) - {"wheat"} <= set(EU)
    assert set(KNOWN) == {*EU, *GROUPS, *BEYOND}


def test_a_label_lists_either_set():
    written = ["rye", "celery", "hazelnuts", "milk"]
    assert listed(written, "eu") == ("rye", "milk", "hazelnuts", "celery")
    assert listed(written, "us") == ("milk", "hazelnuts", "celery", "rye")


def test_gluten_without_its_cereal_is_listed_as_wheat_in_the_us():
    assert listed(["gluten"], "us") == ("wheat",)


def test_the_schema_describes_every_key_and_allows_no_other():
    found = schema()
    assert set(found["properties"]) == set(keys_of(BookWritten))
    for model in (*SECTIONS.values(), StepWritten):
        table = found["$defs"][model.__name__]
        assert set(table["properties"]) == set(keys_of(model))
        assert table["additionalProperties"] is False


def test_the_schema_offers_nothing_that_toml_or_a_chef_cannot_write():
    text = str(schema())
    assert "'null'" not in text
    assert "'own'" not in text
