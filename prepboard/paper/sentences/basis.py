"""What a par rests on, and how far it is to be trusted, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date

from prepboard.paper.text.saying import Voice, listed, whole_weekday
from prepboard.paper.text.saying import day as day_name
from prepboard.plan.shown.lines import DishSales, ParLine
from prepboard.texts import _, decimal, meant

_SOURCES: Mapping[str, Callable[[], str]] = {
    "mix": lambda: _("mix"),
    "history": lambda: _("history"),
    "money": lambda: _("money"),
    "count": lambda: meant("of a par", "count"),
    "standing": lambda: _("standing"),
    "by hand": lambda: _("by hand"),
}
_STAGES: Mapping[str, Callable[[], str]] = {
    "guess": lambda: _("guess"),
    "learning": lambda: _("learning"),
    "measured": lambda: _("measured"),
}


def basis(par: ParLine) -> list[str]:
    """What a par rests on, and from how much: "history", "learning"."""
    words = [_SOURCES[par.source]()]
    if par.stage:
        words.append(_STAGES[par.stage]())
    if par.special and par.stage:
        words.append(_("no promise"))
    return words


def said_beside(pars: Iterable[ParLine], voice: Voice) -> list[str]:
    """What is to be known beside pars of one sitting: what changed, a special day."""
    pars = list(pars)
    dishes = dishes_of(pars)
    return [
        *(_changed(sales, voice) for sales in dishes if sales.changed and sales.expected is not None),
        *([_("A special day: history has no promise for it.")] if any(par.special for par in pars) else []),
        *_last_year([sales for sales in dishes if sales.last_year is not None], voice),
    ]


def dishes_of(pars: Iterable[ParLine]) -> list[DishSales]:
    """The dishes that history says something of, each once."""
    return list({sales.dish: sales for par in pars for sales in par.dishes}.values())


def covered(sales: DishSales) -> str:
    """The promises that were kept: "covered 57 of the last 60"; empty where none was made yet."""
    if not sales.out_of:
        return ""
    return _("covered {kept} of the last {n}").format(kept=sales.covered, n=sales.out_of)


def why(sales: DishSales, voice: Voice, day: date) -> str:
    """Where a dish's number comes from, in a chef's words: "Hake: usually 31 on a Saturday, raised to 37 by 18 covers
    above usual, as they did before; on top a margin as large as our misses. Odd, and counted in part only: Sat 24.";
    empty before history has one."""
    if sales.expected is None or sales.usual is None:
        return ""
    usual, expected = _plates(sales.usual), _plates(sales.expected)
    facts = {
        "dish": voice.name(sales.dish),
        "usual": usual,
        "weekday": whole_weekday(day),
        "expected": expected,
        "covers": abs(sales.covers_above),
    }
    moved = bool(sales.covers_above) and expected != usual
    said = (
        _MOVED[sales.covers_above > 0, sales.covers_shown]() if moved else _("{dish}: usually {usual} on a {weekday};")
    )
    odd = listed(day_name(one) for one in sales.clipped)
    parts = [said.format(**facts) + " " + _("on top a margin as large as our misses.")]
    if odd:
        parts.append(_("Odd, and counted in part only: {days}.").format(days=odd))
    return " ".join(parts)


_MOVED: Mapping[tuple[bool, bool], Callable[[], str]] = {
    (True, True): lambda: _(
        "{dish}: usually {usual} on a {weekday}, raised to {expected} by {covers} covers above usual, as they did"
        " before;"
    ),
    (True, False): lambda: _(
        "{dish}: usually {usual} on a {weekday}, raised to {expected} by {covers} covers above usual, in proportion"
        " until we know better;"
    ),
    (False, True): lambda: _(
        "{dish}: usually {usual} on a {weekday}, lowered to {expected} by {covers} covers below usual, as they did"
        " before;"
    ),
    (False, False): lambda: _(
        "{dish}: usually {usual} on a {weekday}, lowered to {expected} by {covers} covers below usual, in proportion"
        " until we know better;"
    ),
}
"""By whether covers are above usual, and whether it was seen how a dish follows them."""


def ahead(pars: Iterable[ParLine], dish: str, voice: Voice) -> list[str]:
    """Of each sitting ahead, where the number of a dish comes from."""
    found: dict[tuple[str, date], str] = {}
    for par in pars:
        for sales in par.dishes:
            if sales.dish == dish and (said := why(sales, voice, par.day)):
                found.setdefault((par.service, par.day), f"{voice.service(par.service, par.day)}: {said}")
    return list(found.values())


def _plates(portions: float) -> str:
    return f"{portions:.0f}" if portions >= 3 else decimal(f"{portions:.1f}".removesuffix(".0"))


def stage_name(stage: str) -> str:
    return _STAGES[stage]()


def what_history_cannot() -> str:
    return _("History foresees no shift, holiday or weather.")


def _changed(sales: DishSales, voice: Voice) -> str:
    said = _("{dish}: its last services were off by more than chance. Has something changed?")
    return said.format(dish=voice.name(sales.dish))


def _last_year(dishes: list[DishSales], voice: Voice) -> list[str]:
    plates = listed(f"{voice.name(sales.dish)} {sales.last_year}" for sales in dishes)
    return [_("Plates a year before: {plates}.").format(plates=plates)] if dishes else []
