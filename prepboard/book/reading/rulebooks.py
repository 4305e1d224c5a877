"""Reads the rule books that travel with prepboard, and a kitchen's own rules on top of one.

A kitchen may tighten any limit. Loosening one needs the kitchen's own approved plan, named in its book.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

import tomli
from msgspec.structs import replace

from prepboard.book import durations, values
from prepboard.book.reading.faults import Findings
from prepboard.book.rules import Allowed, Figures, NoControl, Rule, RuleBook, is_heat
from prepboard.book.safety.checked import CHECKED
from prepboard.resources import config_folder
from prepboard.texts import _

_VALUE = re.compile(r"(-?\d+(?:\.\d+)?) (C|F|seconds|minutes|hours|days)\Z")
_SECONDS = {"seconds": 1, "minutes": 60, "hours": 3600, "days": 86400}
_OF_THE_HOUSE = "rule of the house"


def rule_books() -> tuple[str, ...]:
    """The ids of the rule books that a kitchen can name."""
    return tuple(sorted(path.stem for path in _folder().glob("*.toml")))


def _folder() -> Path:
    return config_folder() / "rules"


@lru_cache(maxsize=16)
def rule_book(name: str) -> RuleBook:
    """One rule book; KeyError when there is none of this name."""
    if name not in rule_books():
        raise KeyError(name)
    table = tomli.loads((_folder() / f"{name}.toml").read_text("utf-8"))
    rules = {key: _rule(key, written) for key, written in table["rules"].items()}
    allowed = {key: Allowed(**written) for key, written in table.get("allowed", {}).items()}
    return RuleBook(name, table["title"], table["caution"], table["source"], rules, allowed, _no_control(table))


def _no_control(table: Mapping[str, Any]) -> NoControl:
    written = table["no_control"]
    figures = tuple(Figures(**{key: Fraction(value) for key, value in one.items()}) for one in written["figures"])
    return NoControl(**{**written, "figures": figures, "goods": tuple(written.get("goods", ()))})


def _value(text: str) -> tuple[Fraction, str]:
    found = _VALUE.match(text)
    if not found:
        raise ValueError(f"a rule's value reads like '57 C' or '7 days', not '{text}'")
    return Fraction(found[1]), found[2]


def _other_scale(degrees: Fraction, unit: str) -> tuple[Fraction, str] | None:
    """The same temperature on the other scale, exactly; None for a time."""
    if unit == "C":
        return degrees * 9 / 5 + 32, "F"
    return ((degrees - 32) * 5 / 9, "C") if unit == "F" else None


def _rule(key: str, written: Mapping[str, str]) -> Rule:
    """One rule. A code that prints a temperature on one scale only gets the exact other figure."""
    value, unit = _value(written["value"])
    also = _value(written["also"]) if "also" in written else _other_scale(value, unit)
    return Rule(
        key=key,
        value=value,
        unit=unit,
        section=written["section"],
        title=written["title"],
        source=written["source"],
        status=written["status"],
        also=also,
        note=written.get("note", ""),
    )


@lru_cache(maxsize=1)
def _units_of_all_keys() -> Mapping[str, str]:
    """Every key of every rule book, with its unit."""
    return {key: rule.unit for name in rule_books() for key, rule in rule_book(name).rules.items()}


@lru_cache(maxsize=1)
def most_days() -> int:
    """The longest count of days that any rule book gives food that is eaten as it is."""
    return max(rule_book(name).days("date_mark") or 0 for name in rule_books())


def more_is_stricter(key: str, unit: str) -> bool:
    """Whether a higher figure is the safer one: hot temperatures, and times that heat must last (`…_for`)."""
    if unit in {"C", "F"}:
        return is_heat(key)
    return key.endswith("_for")


def with_house_rules(book: RuleBook, house: Mapping[str, object], approved: bool, findings: Findings) -> RuleBook:
    """The rule book as this kitchen keeps it; loosened limits without an approved plan are findings."""
    rules = dict(book.rules)
    for key, written in house.items():
        path = ("rules_of_the_house", key)
        unit = rules[key].unit if key in rules else _units_of_all_keys().get(key)
        if unit is None:
            findings.unknown(path, _("no rule book has such a limit"), key, CHECKED)
            continue
        if key not in CHECKED:
            findings.add(path, _("prepboard holds nothing to this limit: here it would change nothing; leave it out"))
            continue
        try:
            value, unit = _house_value(written, unit)
        except ValueError as fault:
            findings.add(path, str(fault))
            continue
        old = rules.get(key)
        if old and value == _in_unit(old, unit):
            continue
        if old is None and not approved and _looser_than_any(key, value, unit):
            said = _("{title} names no such limit, and no rule book allows so much; name your own `approved_plan`")
            findings.add(path, said.format(title=book.named))
            continue
        looser = old is not None and _loosens(old, value, unit)
        if old and looser and not approved:
            findings.add(path, _loosened(book, old, unit))
            continue
        rules[key] = _house_rule(key, value, unit, old, looser)
    return replace(book, rules=rules)


def _looser_than_any(key: str, value: Fraction, unit: str) -> bool:
    """Whether a limit that the kitchen's book lacks is looser than that of every other book that has it."""
    known = [rule_book(name).rules[key] for name in rule_books() if key in rule_book(name).rules]
    return all(_loosens(rule, value, unit) for rule in known)


def _house_value(written: object, unit: str) -> tuple[Fraction, str]:
    """A house rule's figure; a bare number has the rule book's own unit."""
    if unit in {"C", "F"}:
        temperature = values.read_temperature(written)
        return temperature.degrees, temperature.unit
    if isinstance(written, str):
        value = durations.read_seconds(written) / _SECONDS[unit]
    elif isinstance(written, int | Decimal):
        value = values.read_fraction(written)
    else:
        raise ValueError(_('expected a duration like "5 days" or "90 min"'))
    if value < 0 or (unit == "days" and (value < 1 or value % 1)):
        raise ValueError(_("expected whole days, at least 1") if unit == "days" else _("is less than zero"))
    return value, unit


def _in_unit(rule: Rule, unit: str) -> Fraction | None:
    if rule.unit == unit:
        return rule.value
    return rule.also[0] if rule.also and rule.also[1] == unit else None


def _loosens(old: Rule, value: Fraction, unit: str) -> bool:
    limit = _in_unit(old, unit)
    if limit is None:
        return True
    return value < limit if more_is_stricter(old.key, unit) else value > limit


def _loosened(book: RuleBook, old: Rule, unit: str) -> str:
    limit = _in_unit(old, unit)
    return _(
        "looser than {title}, section {section} ({limit} {unit}); a kitchen may tighten a limit, to loosen one it "
        "must name its own `approved_plan`"
    ).format(
        title=book.named,
        section=old.place,
        limit=float(limit) if limit is not None and limit % 1 else limit,
        unit=unit,
    )


def _house_rule(key: str, value: Fraction, unit: str, old: Rule | None, looser: bool) -> Rule:
    return Rule(
        key=key,
        value=value,
        unit=unit,
        section=old.section if old else "",
        title=old.title if old else _OF_THE_HOUSE,
        source=_OF_THE_HOUSE,
        status=_OF_THE_HOUSE,
        also=_other_scale(value, unit),
        note=old.note if old else "",
        loosened_from=(old.value, old.unit) if old and looser else None,
    )
