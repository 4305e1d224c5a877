"""Units against what defines them and against pint.

US customary units: NIST Handbook 44, appendix C: 1 gallon = 231 cubic inches, 1 inch = 2.54 cm exactly, 1 avoirdupois
pound = 453.592 37 g exactly.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lately import pint

from prepboard.book.amounts import BASE, MILLION, UNITS, Amount, Measure

EXACT = {
    "lb": "453.59237",
    "oz": "28.349523125",
    "gal": "3785.411784",
    "quart": "946.352946",
    "pint": "473.176473",
    "cup": "236.5882365",
    "fl-oz": "29.5735295625",
    "tbsp": "14.78676478125",
    "tsp": "4.92892159375",
    "kg": "1000",
    "mg": "0.001",
    "l": "1000",
}
"""Grams and millilitres, exact by definition (NIST Handbook 44, appendix C; SI Brochure, 9th edition, for metric)."""


@cache
def registry(**how: type) -> Any:
    """pint's, made once: it takes a quarter of a second."""
    return pint.UnitRegistry(**how)


IN_PINT = {
    "fl-oz": "fluid_ounce",
    "gal": "gallon",
    "tsp": "teaspoon",
    "tbsp": "tablespoon",
    "l": "liter",
    "ml": "milliliter",
    "oz": "avoirdupois_ounce",
    "lb": "avoirdupois_pound",
}


@pytest.mark.parametrize("unit", EXACT)
def test_units_are_exact(unit):
    assert UNITS[unit].size == Fraction(EXACT[unit])


def test_a_gallon_is_231_cubic_inches():
    """NIST Handbook 44, appendix C."""
    assert UNITS["gal"].size == 231 * Fraction("2.54") ** 3


@pytest.mark.parametrize(
    ("unit", "rounded"), [("tsp", 4.9), ("tbsp", 15), ("fl-oz", 30), ("cup", 237), ("pint", 473), ("quart", 946)]
)
def test_the_kitchen_table_of_nist(unit, rounded):
    """NIST SP 430, Household Weights and Measures: the rounded millilitres that a kitchen reads."""
    assert round(float(UNITS[unit].size), 1 if unit == "tsp" else 0) == rounded


@pytest.mark.parametrize("unit", [unit for unit in UNITS if UNITS[unit].kind != "count"])
def test_units_are_pints_to_twelve_digits(unit):
    """pint, a units library for any field; its volumes come by way of inches, hence twelve digits."""
    theirs = (
        registry(non_int_type=Decimal)
        .Quantity(Decimal(1), IN_PINT.get(unit, unit))
        .to({"mass": "gram", "volume": "milliliter"}[UNITS[unit].kind])
    )
    assert float(UNITS[unit].size) == pytest.approx(float(theirs.magnitude), rel=1e-12)


PAIRS = st.sampled_from(
    [(a, b) for a in UNITS for b in UNITS if UNITS[a].kind == UNITS[b].kind and UNITS[a].kind != "count"]
)


@given(PAIRS, st.integers(1, 100_000))
def test_conversions_are_pints(pair, hundredths):
    """From any unit into any other of its kind, to a millionth of a gram or millilitre."""
    written, own = pair
    number = Fraction(hundredths, 100)
    found = Measure(UNITS[own].kind, own).millionths(Amount(number, written))
    base = {"g": "gram", "ml": "milliliter"}[BASE[UNITS[own].kind]]
    theirs = registry().Quantity(float(number), IN_PINT.get(written, written)).to(base).magnitude
    assert found / MILLION == pytest.approx(theirs, rel=1e-9, abs=1e-6)
