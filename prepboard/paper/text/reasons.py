"""Why food is good no longer than it is, in words: what set the use-by, and the rule book's figure and section."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from prepboard.book.rules import RuleBook
from prepboard.book.saying import say_duration
from prepboard.paper.text.plain import plain
from prepboard.texts import _


def why_text(why: str, rules: RuleBook) -> str:
    """What set a use-by, as people read it; "" where nothing did. A word of no wording is shown as it is."""
    wording = _WORDINGS.get(why)
    return wording(rules) if wording else plain(why)


def is_cut(why: str) -> bool:
    """Whether something else than its own life ended it."""
    return why not in ("", "keeps", "opened")


def _days(rules: RuleBook, key: str) -> str:
    rule = rules.rules.get(key)
    return _("{n} days, {section}").format(n=int(rule.value), section=rule.section) if rule else ""


def _date_mark(rules: RuleBook) -> str:
    return _("date mark: {days}").format(days=_days(rules, "date_mark"))


def _inherited(rules: RuleBook) -> str:
    return _("made of older food, whose count goes on: {days}").format(days=_days(rules, "date_mark"))


def _packed(rules: RuleBook) -> str:
    return _("packed without oxygen: {days}").format(days=_days(rules, "reduced_oxygen_cook_chill"))


def _packed_short(rules: RuleBook) -> str:
    rule = rules.rules.get("reduced_oxygen_short")
    said = _("packed without oxygen, and no approved plan")
    return _("{said}: {time}, {section}").format(said=said, time=rule.said, section=rule.section) if rule else said


def _time_control(rules: RuleBook, key: str = "time_control") -> str:
    rule = rules.rules.get(key)
    said = _("out of temperature control")
    if rule is None:
        return said
    return _("{said}: {time}, {section}").format(said=said, time=say_duration(int(rule.value)), section=rule.section)


_WORDINGS: Mapping[str, Callable[[RuleBook], str]] = {
    "keeps": lambda _rules: _("its own life"),
    "opened": lambda _rules: _("its life once opened"),
    "date mark": _date_mark,
    "inherited": _inherited,
    "packed": _packed,
    "packed without a plan": _packed_short,
    "time control": _time_control,
    "time control, cold": lambda rules: _time_control(rules, "time_control_cold"),
    "thawed": lambda _rules: _("a day from its thaw: the book names no other life"),
    "maker's date": lambda _rules: _("the maker's date"),
    "no recipe": lambda _rules: _("no recipe knows it"),
}
