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


BY_THE_CODE: Mapping[str, str] = {
    "date mark": "date_mark",
    "inherited": "date_mark",
    "packed": "reduced_oxygen_cook_chill",
    "packed without a plan": "reduced_oxygen_short",
    "time control": "time_control",
    "time control, cold": "time_control_cold",
    "out of control": "time_control",
    "frozen before its date": "thawed_goods",
}
"""What ends a life by a number of the rule book, and that number's key."""


def decided_by(why: str, rules: RuleBook) -> str:
    """Whose number set an end, in words: the code's only where it did, not where the kitchen made it shorter or longer,
    a maker's date came first, or the recipe itself."""
    rule = rules.rules.get(BY_THE_CODE.get(why, ""))
    if rule is not None:
        title = plain(rules.named)
        if rule.loosened_from is not None:
            return _("By this kitchen's own plan, looser than {rules}").format(rules=title)
        if rule.source == rule.status:
            return _("By this kitchen's own rule, within {rules}").format(rules=title)
        return _("By {rules}").format(rules=title)
    if why == "maker's date":
        return _("By the maker's date")
    if why == "its label":
        return _("By the label that it came with")
    return _("By common practice") if why in ("thawed", "no recipe") else _("By the kitchen's own recipe")


def _days(rules: RuleBook, key: str) -> str:
    rule = rules.rules.get(key)
    return _("{n} days, {section}").format(n=int(rule.value), section=rule.place) if rule else ""


def _date_mark(rules: RuleBook) -> str:
    return _("date mark: {days}").format(days=_days(rules, "date_mark"))


def _inherited(rules: RuleBook) -> str:
    return _("made of older food, whose count goes on: {days}").format(days=_days(rules, "date_mark"))


def _packed(rules: RuleBook) -> str:
    return _("packed without oxygen: {days}").format(days=_days(rules, "reduced_oxygen_cook_chill"))


def _packed_short(rules: RuleBook) -> str:
    rule = rules.rules.get("reduced_oxygen_short")
    said = _("packed without oxygen, and no approved plan")
    return _("{said}: {time}, {section}").format(said=said, time=rule.said, section=rule.place) if rule else said


def _time_control(rules: RuleBook, key: str = "time_control") -> str:
    rule = rules.rules.get(key)
    said = _("out of temperature control")
    if rule is None:
        return said
    return _("{said}: {time}, {section}").format(said=said, time=say_duration(int(rule.value)), section=rule.place)


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
    "frozen before its date": lambda rules: _("{time} from its thaw: frozen before its date").format(
        time=rules.rules["thawed_goods"].said if "thawed_goods" in rules.rules else ""
    ),
    "no recipe": lambda _rules: _("no recipe knows it"),
    "its label": lambda _rules: _("the label that it came with"),
}
