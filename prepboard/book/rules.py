"""Rule books: the numbers of a food code, each with its section, title and source.

A rule book helps a kitchen keep a code; it is not the law of the place. The local code and authority, and the
kitchen's own licensed plan, come first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Rule:
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


@dataclass(frozen=True, slots=True)
class RuleBook:
    id: str
    title: str
    caution: str
    source: str
    rules: Mapping[str, Rule] = field(default_factory=dict)

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
