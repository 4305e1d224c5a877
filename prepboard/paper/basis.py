"""What a par rests on, and how far it is to be trusted, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from prepboard.paper.saying import Voice, listed
from prepboard.plan.lines import DishSales, ParLine
from prepboard.texts import _

_SOURCES: Mapping[str, Callable[[], str]] = {
    "mix": lambda: _("mix"),
    "history": lambda: _("history"),
    "money": lambda: _("money"),
    "count": lambda: _("count"),
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


def asides(pars: Iterable[ParLine], voice: Voice) -> list[str]:
    """What is to be known beside the pars of a sitting: shifts, a special day, what history cannot do."""
    pars = list(pars)
    dishes = {sales.dish: sales for par in pars for sales in par.dishes}
    by_history = [sales for sales in dishes.values() if sales.expected is not None]
    return [
        *_covered([sales for sales in by_history if sales.out_of], voice),
        *(_changed(sales, voice) for sales in by_history if sales.changed),
        *([_("A special day: history has no promise for it.")] if any(par.special for par in pars) else []),
        *_last_year([sales for sales in dishes.values() if sales.last_year is not None], voice),
        *(
            [_("History foresees no shift, holiday or weather.")]
            if any(par.source == "history" for par in pars)
            else []
        ),
    ]


def _covered(dishes: list[DishSales], voice: Voice) -> list[str]:
    one = _("{dish} {kept} of the last {n}")
    kept = "; ".join(one.format(dish=voice.name(sales.dish), kept=sales.covered, n=sales.out_of) for sales in dishes)
    return [_("Covered by history's pars: {kept}.").format(kept=kept)] if dishes else []


def _changed(sales: DishSales, voice: Voice) -> str:
    said = _("{dish}: its last services were off by more than chance. Has something changed?")
    return said.format(dish=voice.name(sales.dish))


def _last_year(dishes: list[DishSales], voice: Voice) -> list[str]:
    plates = listed(f"{voice.name(sales.dish)} {sales.last_year}" for sales in dishes)
    return [_("Plates a year before: {plates}.").format(plates=plates)] if dishes else []
