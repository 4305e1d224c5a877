"""Learned: what the closed services have taught, as it is kept."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from msgspec import Struct, field


class ClosedEvening(Struct, frozen=True):
    """One closed sitting of a dish: the plates that went out, and the par in portions that history had for it."""

    service: str
    day: date
    plates: int
    par: int
    ran_out: bool
    clipped: bool = False
    """It was so odd that it was learned in part only."""


OfWeekday = tuple[float, float, float, float]
"""(sold, expected by the level alone, squared misses, their weight)"""


class Learned(Struct, frozen=True):
    """What the closed services have taught about one dish. Counts fade, so that lately weighs more than long ago."""

    sold: float
    """Portions; over `usual` it is the level, portions on a usual evening."""
    usual: float
    """Usual evenings."""
    squares: float = 0.0
    """Own misses, squared and measured by what was expected; over `weight` it is the scatter."""
    weight: float = 0.0
    weekdays: Mapping[str, OfWeekday] = field(default_factory=dict)
    """By service and weekday, Monday 0, as "dinner 5"."""
    covers_seen: float = 0.0
    """How far bookings were from usual, squared."""
    covers_with: float = 0.0
    """How far sales went with them; over `covers_seen` it is how much a dish follows its covers."""
    last_z: float = 0.0
    """The last miss, in standard deviations."""
    count: int = 0
    """Services learned."""
    misses: tuple[tuple[float, float], ...] = ()
    """The last misses: (portions asked for beyond the mean, the variance that was expected)."""
    hits: str = ""
    """The last services, oldest first: "1" where the promise was kept."""
    evenings: tuple[ClosedEvening, ...] = ()
    asked: date | None = None
    """When it was last asked whether something has changed."""


class Common(Struct, frozen=True):
    """What the closed services have taught about the kitchen as a whole."""

    margin: float = 0.0
    """Logarithm of the factor by which its margins are wider than each dish's own misses make them."""
    bookings: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Service -> (booked covers, usual sittings); one over the other is the usual booking."""
    weekdays: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Service and weekday, as "dinner 5" -> (booked covers, those expected by the usual booking alone)."""
    booked_above: tuple[float, float] = (0.0, 0.0)
    """How far bookings are from usual, squared, and how many; both fading."""
    differ: tuple[float, float] = (0.0, 0.0)
    """How much its weekdays differ: what is beyond chance, relative and squared, and its weight; both fading."""
    scatter: tuple[float, float] = (0.0, 0.0)
    """Misses of all its dishes, squared and measured by what was expected, and their weight; both fading."""
