"""At how many degrees water boils in a kitchen: the air's pressure by its height, and the steam tables at that.

ISO 2533:1975, the standard atmosphere: below 11 km the air gets colder by 6.5 K a kilometre, from 288.15 K and
101,325 Pa at sea level. IAPWS R7-97(2012), section 8.2: the saturation temperature by pressure, from 611 Pa on; both
from memory, checked against their printed values. Weather moves a boiling point by some half degree C to either side.
"""

from __future__ import annotations

from fractions import Fraction
from math import sqrt

SEA_LEVEL, LAPSE, GRAVITY, GAS, PRESSURE = 288.15, 0.0065, 9.80665, 287.05287, 101_325.0
"""K, K/m, m/s², J/(kg K), Pa."""

N = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
    0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip
"""The coefficients n1 to n10 of equation 31."""


def pressure_at(metres: float) -> float:
    """The standard atmosphere's pressure in Pa, at a height above the sea."""
    thinner: float = (1 - LAPSE * metres / SEA_LEVEL) ** (GRAVITY / (GAS * LAPSE))
    return PRESSURE * thinner


def boils_at(pascal: float) -> float:
    """The temperature in K at which water boils under a pressure."""
    beta: float = (pascal / 1e6) ** 0.25
    e = beta**2 + N[2] * beta + N[5]
    f = N[0] * beta**2 + N[3] * beta + N[6]
    g = N[1] * beta**2 + N[4] * beta + N[7]
    d = 2 * g / (-f - sqrt(f**2 - 4 * e * g))
    root = sqrt((N[9] + d) ** 2 - 4 * (N[8] + N[9] * d))
    return (N[9] + d - root) / 2


def boiling(metres: int | None) -> Fraction:
    """Degrees C, to a tenth, at which water boils so high above the sea; 100 where nobody says how high."""
    return Fraction(100) if metres is None else Fraction(round(10 * (boils_at(pressure_at(metres)) - 273.15)), 10)
