"""Rule books: the numbers of a food code, each with its section, title and source.

A rule book helps a kitchen keep a code; it is not the law of the place. The local code and authority, and the
kitchen's own licensed plan, come first.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from msgspec import Struct, field

from prepboard.book.saying import say_duration
from prepboard.texts import _, decimal, some


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
    def place(self) -> str:
        """Where in the code it stands, in the reader's language."""
        return _(self.section)

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
    return f"{decimal(f'{float(round(degrees, 1)):g}')} °{unit}"


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

    @property
    def place(self) -> str:
        return _(self.section)


class Figures(Struct, frozen=True):
    """What a code takes as needing no temperature control. `_below` is less than, `_to` at most; what is None may be
    anything. All of one must hold."""

    ph_below: Fraction | None = None
    ph_to: Fraction | None = None
    aw_below: Fraction | None = None
    aw_to: Fraction | None = None

    def hold(self, ph: Fraction | None, aw: Fraction | None) -> bool:
        """Whether a measured acidity (pH) and water activity (aw) are within; what was not measured never is."""
        asked = ((self.ph_below, ph, True), (self.ph_to, ph, False), (self.aw_below, aw, True), (self.aw_to, aw, False))
        return all(
            limit is None or (found is not None and (found < limit or (found == limit and not below)))
            for limit, found, below in asked
        )

    @property
    def said(self) -> str:
        """ "pH below 4.2", "pH 4.6 or less with aw 0.92 or less"."""
        ph = [_("pH below {n}").format(n=decimal(f"{float(self.ph_below):g}"))] if self.ph_below is not None else []
        ph += [_("pH {n} or less").format(n=decimal(f"{float(self.ph_to):g}"))] if self.ph_to is not None else []
        aw = [_("aw below {n}").format(n=decimal(f"{float(self.aw_below):g}"))] if self.aw_below is not None else []
        aw += [_("aw {n} or less").format(n=decimal(f"{float(self.aw_to):g}"))] if self.aw_to is not None else []
        return _("{ph} with {aw}").format(ph=ph[0], aw=aw[0]) if ph and aw else (ph or aw)[0]


class NoControl(Struct, frozen=True):
    """Which figures lift a code's cold, any one of `figures`; and which bought goods it asks no date mark of."""

    section: str
    source: str
    status: str
    figures: tuple[Figures, ...]
    goods: tuple[str, ...] = ()
    goods_section: str = ""
    shell_eggs: bool = False
    """Whether shell eggs may stand at room temperature."""

    @property
    def place(self) -> str:
        return _(self.section)

    def lifts_cold(self, ph: Fraction | None, aw: Fraction | None) -> bool:
        return any(one.hold(ph, aw) for one in self.figures)

    @property
    def said(self) -> str:
        return _(", or ").join(one.said for one in self.figures)


NOTHING_LIFTS = NoControl("", "", "", ())


class RuleBook(Struct, frozen=True):
    id: str
    title: str
    caution: str
    source: str
    rules: Mapping[str, Rule] = field(default_factory=dict)
    allowed: Mapping[str, Allowed] = field(default_factory=dict)
    """By the key of the limit that was missed."""
    no_control: NoControl = NOTHING_LIFTS

    @property
    def loosened(self) -> tuple[Rule, ...]:
        """The limits that this kitchen's approved plan has looser than the code."""
        return tuple(rule for rule in self.rules.values() if rule.loosened_from)

    @property
    def named(self) -> str:
        """Its title, in the reader's language."""
        return _(self.title)

    @property
    def says(self) -> str:
        """Its caution, in the reader's language."""
        return _(" ".join(self.caution.split()))

    def allows_next(self, key: str) -> str:
        """What the code allows once this limit was missed, in words; discarding where it says nothing."""
        found = self.allowed.get(key)
        if found is None:
            return _("Discard it.")
        return _(found.text).format(**{name: rule.said for name, rule in self.rules.items()})

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
