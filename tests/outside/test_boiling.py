"""At how many degrees water boils, by height: against the printed values of its two sources, from memory.

ISO 2533:1975 (the ICAO standard atmosphere), table of pressures; IAPWS R7-97(2012), table 36, and the boiling point at
standard pressure, 373.124 K; Denver (5,280 ft) 202 to 203 °F and Mount Everest near 70 °C in handbooks.
"""

from __future__ import annotations

import pytest

from prepboard.book.safety.boiling import boiling, boils_at, pressure_at


@pytest.mark.parametrize(
    ("metres", "pascal"), [(0, 101_325), (500, 95_461), (1000, 89_875), (2000, 79_495), (3000, 70_109), (5000, 54_020)]
)
def test_the_pressure_of_the_standard_atmosphere(metres, pascal):
    assert pressure_at(metres) == pytest.approx(pascal, abs=4)


@pytest.mark.parametrize(
    ("pascal", "kelvin"), [(1e5, 372.755919), (1e6, 453.035632), (1e7, 584.149488), (101_325, 373.1243)]
)
def test_the_saturation_temperature_of_the_steam_tables(pascal, kelvin):
    assert boils_at(pascal) == pytest.approx(kelvin, abs=1e-4)


@pytest.mark.parametrize(("metres", "degrees"), [(None, 100), (0, 100), (1609, 94.7), (8848, 70)])
def test_water_boils_as_high_up(metres, degrees):
    assert float(boiling(metres)) == pytest.approx(degrees, abs={1609: 0.3, 8848: 0.8}.get(metres or 0, 0.05))
