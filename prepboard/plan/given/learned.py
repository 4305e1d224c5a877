"""Learned: what the closed services have taught, as it is kept."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from msgspec import Struct, field


class Evening(Struct, frozen=True):
    """One closed sitting of a dish: the plates that went out, and the par in portions that history had for it."""

    service: str
    day: date
    plates: int
    par: int
    ran_out: bool


class Learned(Struct, frozen=True):
    """What the closed services have taught about one dish. Counts fade, so that lately weighs more than long ago."""

    sold: float
    """Portions; over `covers` it is the level, portions a cover."""
    covers: float
    squares: float = 0.0
    """Own misses, squared and measured by what was expected; over `weight` it is the scatter."""
    weight: float = 0.0
    weekdays: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Service and weekday, Monday 0, as "dinner 5" -> (sold, expected by the level alone)."""
    count: int = 0
    """Services learned."""
    misses: tuple[tuple[float, float], ...] = ()
    """The last misses: (portions asked for beyond the mean, the variance that was expected)."""
    hits: str = ""
    """The last services, oldest first: "1" where the promise was kept."""
    evenings: tuple[Evening, ...] = ()


class CoversError(Struct, frozen=True):
    """How far booked covers were from the real ones: the relative error, squared, fading as the rest does."""

    squares: float = 0.0
    weight: float = 0.0
    count: int = 0
