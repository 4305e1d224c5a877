"""Which food needs temperature control: all that is neither stable, sealed nor exempt from cold; raw food too."""

from __future__ import annotations

from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.book.rules import RuleBook
from prepboard.book.safety.life import is_hot


def needs_control(book: Book, item: str, *, pack: bool = False) -> bool:
    """Of a prep, or of goods once opened; what the book does not know needs it."""
    if not pack and item in book.preps:
        prep = book.preps[item]
        return not prep.stable and not prep.exempt
    if item in book.goods:
        goods = book.goods[item]
        return goods.stable in ("", "sealed") and not (goods.exempt is not None and goods.exempt.cold)
    return True


def opened_as_taken(book: Book, item: str) -> bool:
    """Goods of which no open pack is on record count as opened when a run takes them, where an open pack would hand on
    its day 1: FDA Food Code 2022, 3-501.17(B) and (C)."""
    goods = book.goods.get(item)
    return goods is not None and goods.ready_to_eat and needs_control(book, item, pack=True)


def rules_for(book: Book, item: str) -> RuleBook:
    """The rule book as it holds for one food: what a recipe heats may have a colder limit of its own once it is cold
    (Ireland: Guidance Note 15, 3 °C for cook-chill)."""
    rules = book.kitchen.rules
    cooked, prep = rules.rules.get("cold_holding_cooked"), book.preps.get(item)
    if cooked is None or prep is None:
        return rules
    makers = [book.preps[maker] for maker in prep.made_by if maker in book.preps]
    # Whether another kitchen cooked it nobody here knows: the colder limit.
    if not prep.comes_from and not any(is_hot(step, rules) for maker in makers for step in maker.steps):
        return rules
    whole, own = rules.degrees("cold_holding", "C"), rules.degrees("cold_holding_cooked", "C")
    if whole is not None and own is not None and whole <= own:
        return rules
    return replace(rules, rules={**rules.rules, "cold_holding": cooked})
