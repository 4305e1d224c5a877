"""Rule books: the numbers of a food code, each with its section, title and source.

A rule book helps a kitchen keep a code; it is not the law of the place. The local code and authority, and the
kitchen's own licensed plan, come first.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from msgspec import Struct, field

from prepboard.book.saying import say_duration
from prepboard.texts import _, some


class Rule(Struct, frozen=True):
    """One number of a code. `status` says how it was checked: read, quoted, or from memory."""

    key: str
    value: Fraction
    unit: str
    """C, F, seconds, minutes, hours or days."""
    section: str
    title: str
    source: str
    status: str
    also: tuple[Fraction, str] | None = None
    """The code's own figure in the other unit (135 F beside 57 C); compare in the unit that was measured."""
    note: str = ""
    """What else the section says that matters here."""
    loosened_from: tuple[Fraction, str] | None = None
    """The code's own figure, where the kitchen's approved plan is looser than it."""

    @property
    def said(self) -> str:
        """The figure as people read it, in both units where the code has both: "57 °C (135 °F)", "2 h", "7 days"."""
        if self.unit in _MINUTES:
            return say_duration(int(self.value * _MINUTES[self.unit]))
        if self.unit == "seconds":
            return _("{n} s").format(n=self.value)
        if self.unit == "days":
            return some("{n} day", "{n} days", int(self.value))
        also = f" ({said_degrees(*self.also)})" if self.also else ""
        return said_degrees(self.value, self.unit) + also


_MINUTES = {"minutes": 1, "hours": 60}


def said_degrees(degrees: Fraction, unit: str) -> str:
    """ "57 °C", "134.6 °F": exact to a tenth, which is all that a probe shows."""
    return f"{float(round(degrees, 1)):g} °{unit}"


def is_heat(key: str) -> bool:
    """Whether a limit is a least temperature: hot holding, cooking, reheating; cook-chill storage is not."""
    return key.split("_")[0] in {"hot", "cook", "reheat", "roast"} and not key.startswith("cook_chill")


class Allowed(Struct, frozen=True):
    """What a code allows once one of its limits was missed. `may` is "reheat" (reheat and cool again), "return" (back
    into range, while the time lasts) or "discard"."""

    may: str
    text: str
    """A sentence with `{key}` where a figure of the rule book stands."""
    section: str
    source: str
    status: str
    within: str = ""
    """The key of the time by which food must be back in range; without one there is no such time."""
    adds_up: bool = False
    """Whether all times out of range add up."""


class RuleBook(Struct, frozen=True):
    id: str
    title: str
    caution: str
    source: str
    rules: Mapping[str, Rule] = field(default_factory=dict)
    allowed: Mapping[str, Allowed] = field(default_factory=dict)
    """By the key of the limit that was missed."""

    @property
    def loosened(self) -> tuple[Rule, ...]:
        """The limits that this kitchen's approved plan has looser than the code."""
        return tuple(rule for rule in self.rules.values() if rule.loosened_from)

    def allows_next(self, key: str) -> str:
        """What the code allows once this limit was missed, in words; discarding where it says nothing."""
        found = self.allowed.get(key)
        if found is None:
            return _("Discard it.")
        return found.text.format(**{name: rule.said for name, rule in self.rules.items()})

    def days(self, key: str) -> int | None:
        """A count of calendar days, day 1 counted; None where this code has no such limit."""
        rule = self.rules.get(key)
        return int(rule.value) if rule else None

    def degrees(self, key: str, unit: str) -> Fraction | None:
        """A limit in the unit that was measured, "C" or "F", as the code prints it."""
        rule = self.rules.get(key)
        if rule is None:
            return None
        if rule.unit == unit:
            return rule.value
        return rule.also[0] if rule.also and rule.also[1] == unit else None
