"""Amounts: read as cooks write them, exact inside, rounded once."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepboard.book.amounts import MILLION, UNITS, Amount, AmountFault, Measure, read_amount, to_millionths

MASS = Measure("mass", "kg")
EACH = Measure("count", "each", each=Fraction(60), each_kind="mass")


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("1.2 kg", "1.2", "kg"),
        ("850g", "850", "g"),
        ("1½ l", "1.5", "l"),
        ("1 1/2 cup", "1.5", "cup"),
        ("3/4 cup", "0.75", "cup"),
        ("¾ cup", "0.75", "cup"),
        (".5 kg", "0.5", "kg"),
        ("13.5", "13.5", ""),
        ("2 deep  sixth", "2", "deep sixth"),
    ],
)
def test_amounts_are_read_as_cooks_write_them(text, number, unit):
    assert read_amount(text) == Amount(Fraction(number), unit)


@pytest.mark.parametrize(
    "text", ["", "kg", "-1 kg", "1,5 kg", "1/0 kg", "9" * 30 + " kg", "1 kg" + " " * 90, "some kg"]
)
def test_what_is_no_amount_is_refused_in_words(text):
    with pytest.raises(AmountFault) as caught:
        read_amount(text)
    assert str(caught.value)


def test_a_wrong_amount_is_shown_without_its_escape_codes():
    with pytest.raises(AmountFault) as caught:
        read_amount("\x1b[31mkg")
    assert "\x1b" not in str(caught.value)


def test_ten_times_a_tenth_of_a_kilo_is_a_kilo():
    """Binary fractions give 0.9999999999999999."""
    assert sum(MASS.millionths(read_amount("0.1 kg")) for _time in range(10)) == MASS.millionths(read_amount("1 kg"))


@given(st.integers(0, 10**6 - 1), st.integers(0, 999), st.sampled_from(["g", "kg", "mg"]))
def test_decimals_of_grams_and_kilos_are_exact(whole, thousandths, unit):
    found = MASS.millionths(read_amount(f"{whole}.{thousandths:03d} {unit}"))
    assert Fraction(found, MILLION) == (whole + Fraction(thousandths, 1000)) * UNITS[unit].size


@given(st.fractions(0, 10**5, max_denominator=999), st.sampled_from(sorted(UNITS)))
def test_rounding_happens_once_and_by_less_than_a_millionth(number, unit):
    own = Measure(UNITS[unit].kind, unit)
    exact = number * UNITS[unit].size * MILLION
    found = own.millionths(Amount(number, unit))
    assert abs(found - exact) <= Fraction(1, 2)
    assert found == round(exact)


@given(st.fractions(-(10**6), 10**6))
def test_millionths_round_half_to_even_like_python(number):
    assert to_millionths(number) == round(number * MILLION)


@given(st.integers(1, 10**6), st.fractions(Fraction(1, 10), 10, max_denominator=100))
def test_across_kinds_and_back_is_the_same_amount(grams, density):
    mass, volume = Measure("mass", "g", density=density), Measure("volume", "ml", density=density)
    millilitres = volume.millionths(Amount(Fraction(grams), "g"))
    back = mass.millionths(Amount(Fraction(millilitres, MILLION), "ml"))
    assert abs(back - grams * MILLION) <= density + 1


def test_pieces_and_weights_cross_by_each():
    assert EACH.millionths(read_amount("300 g")) == 5 * MILLION
    weighed = Measure("mass", "g", each=Fraction(60), each_kind="mass")
    assert weighed.millionths(read_amount("13½ each")) == 810 * MILLION


def test_pieces_and_volumes_cross_by_each_and_density():
    pieces = Measure("count", "each", density=Fraction(1, 2), each=Fraction(60), each_kind="mass")
    assert pieces.millionths(read_amount("240 ml")) == 2 * MILLION


@pytest.mark.parametrize(
    ("measure", "text", "said"),
    [
        (MASS, "1 l", "`density`"),
        (MASS, "3 each", '`each`, such as each = "60 g"'),
        (EACH, "1 l", "`density` beside `each`"),
        (MASS, "1 stone", "'stone' is no unit"),
    ],
)
def test_what_does_not_cross_says_what_to_add(measure, text, said):
    with pytest.raises(AmountFault) as caught:
        measure.millionths(read_amount(text))
    assert said in str(caught.value)
