"""Amounts, sizes and durations as a cook would say them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepboard.book import saying
from prepboard.book.amounts import MILLION, Measure, read_amount
from prepboard.book.saying import nearest, say_amount, say_duration, say_size
from prepboard.texts import speaking

MASS, VOLUME, COUNT = Measure("mass", "kg"), Measure("volume", "l"), Measure("count", "each")
JUS = Measure("volume", "l", containers={"deep sixth": 2_200 * MILLION, "jar": 300 * MILLION})


@pytest.mark.parametrize(
    ("measure", "written", "said"),
    [
        (MASS, "1.2 kg", "1.2 kg"),
        (MASS, "850 g", "850 g"),
        (MASS, "999.6 g", "1 kg"),
        (MASS, "1234 g", "1.23 kg"),
        (MASS, "12345 g", "12.3 kg"),
        (MASS, "1234.5678 kg", "1235 kg"),
        (MASS, "4.3333 g", "4.33 g"),
        (MASS, "0 g", "0 g"),
        (MASS, "0.0004 g", "0.0004 g"),
        (VOLUME, "2.5 l", "2.5 l"),
        (VOLUME, "45 ml", "45 ml"),
        (COUNT, "24 each", "24"),
        (COUNT, "13.5 each", "13½"),
        (COUNT, "40/3 each", "13⅓"),
        (COUNT, "1/4 each", "¼"),
        (COUNT, "13.37 each", "13"),
        (COUNT, "1234 each", "1234"),
        (JUS, "4.4 l", "2 deep sixths (4.4 l)"),
        (JUS, "3.3 l", "1½ deep sixths (3.3 l)"),
        (JUS, "300 ml", "1 jar (300 ml)"),
        (JUS, "1 l", "1 l"),
    ],
)
def test_amounts_read_as_a_cook_says_them(measure, written, said):
    assert say_amount(measure, measure.millionths(read_amount(written))) == said


@pytest.mark.parametrize(
    ("measure", "written", "said"),
    [
        (MASS, "1 lb", "1 lb"),
        (MASS, "2 lb", "2 lb"),
        (MASS, "2.25 lb", "2 lb 4 oz"),
        (MASS, "4½ oz", "4½ oz"),
        (MASS, "27.2 lb", "27.2 lb"),
        (VOLUME, "1 quart", "1 quart"),
        (VOLUME, "2½ quart", "2½ quarts"),
        (VOLUME, "1½ cup", "1½ cups"),
        (VOLUME, "½ cup", "½ cup"),
        (VOLUME, "2 tbsp", "2 tbsp"),
        (VOLUME, "¾ tsp", "¾ tsp"),
        (VOLUME, "3 gal", "3 gal"),
        (COUNT, "13.5 each", "13½"),
    ],
)
def test_us_units(measure, written, said):
    assert say_amount(measure, measure.millionths(read_amount(written)), "us") == said


@given(st.integers(1, 10**15), st.sampled_from([MASS, VOLUME, COUNT, JUS]), st.sampled_from(["metric", "us"]))
def test_something_is_never_said_to_be_nothing(millionths, measure, units):
    said = say_amount(measure, millionths, units)
    assert any(figure in said for figure in "123456789½⅓⅔¼¾")


@given(st.integers(10**6, 10**15), st.sampled_from([MASS, VOLUME, COUNT]))
def test_what_is_said_is_the_amount_to_about_three_figures(millionths, measure):
    """Read back, it is the same to half a percent."""
    read = measure.millionths(read_amount(say_amount(measure, millionths)))
    nearest = MILLION / 2 if measure is COUNT else 0  # pieces are whole ones
    assert abs(read - millionths) <= max(nearest, millionths / 200)


def test_a_difference_below_nothing_keeps_its_sign():
    assert say_amount(MASS, -1_200 * MILLION) == "-1.2 kg"


@pytest.mark.parametrize(
    ("size", "said"),
    [("1", "1 recipe"), ("1/2", "½ recipe"), ("3/2", "1½ recipes"), ("2", "2 recipes"), ("0.7", "0.7 recipe")],
)
def test_sizes_are_said_in_recipes(size, said):
    assert say_size(Fraction(size)) == said


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0, "0 min"),
        (45, "45 min"),
        (120, "2 h"),
        (125, "2 h 05"),
        (1560, "26 h"),
        (2880, "2 days"),
        (4500, "3 days 3 h"),
    ],
)
def test_durations(minutes, said):
    assert say_duration(minutes) == said


def test_the_nearest_known_word():
    assert nearest("Soubisse", ["soubise", "stock"]) == "soubise"
    assert nearest("zzz", ["soubise", "stock"]) is None


def test_what_was_said_is_not_worked_out_again_and_each_language_has_its_own_sign(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A board says the same amounts minute after minute, and its readers take turns."""
    worked_out = []
    decimal = saying.decimal
    monkeypatch.setattr(saying, "decimal", lambda number: (worked_out.append(number), decimal(number))[1])
    amount = 8_765_432 * MILLION
    for language in ("en", "es", "en", "es"):
        with speaking(language):
            assert say_amount(MASS, amount) == "8765 kg"
            assert say_amount(MASS, amount // 3000) == ("2,92 kg" if language == "es" else "2.92 kg")
    assert worked_out.count("2.92") == 2, "once in each language"
