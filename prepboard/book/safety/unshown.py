"""What a book leaves unshown: raw food that guests get uncooked, fish against parasites, cooking that nobody is asked
to read. Nothing is held back for it; `load`, `show rules` and the record say it, so that nobody takes it for checked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from prepboard.book.book import Book, Goods, Prep
from prepboard.book.rules import RuleBook
from prepboard.book.safety.life import is_kill_step
from prepboard.texts import _

FROZEN_FISH = ("parasites_frozen_to", "parasites_frozen_for")
"""The keys of a rule book for fish that is eaten raw: how cold, and how long."""


def unshown(book: Book) -> list[tuple[str, str, str]]:
    """(section of the book, id, sentence) for all that it leaves open, goods first."""
    found: list[tuple[str, str, str]] = []
    rules = book.kitchen.rules
    for goods in book.goods.values():
        if not _raw_animal(goods):
            continue
        fish = "fish" in goods.allergens and all(key in rules.rules for key in FROZEN_FISH)
        eaten = list(dict.fromkeys(_eaten_raw(book, goods.id, fish=fish)))
        if eaten and fish and goods.parasites is None:
            found.append(("goods", goods.id, _parasites(rules, goods, eaten[0])))
        elif eaten and not fish and not goods.ready_to_eat:
            said = _("{goods} goes uncooked into {food}: guests are told (3-603.11, from memory)")
            found.append(("goods", goods.id, said.format(goods=goods.name, food=eaten[0])))
        found += [("preps", prep.id, _core(goods, prep)) for prep in _unread(book, goods)]
    for prep in book.preps.values():
        if any(step.cook_as == "undercooked" for step in prep.steps):
            said = _("{food} is cooked less than the code asks: guests are told (3-603.11, from memory)")
            found.append(("preps", prep.id, said.format(food=prep.name)))
    return found


def _raw_animal(goods: Goods) -> bool:
    """Raw, or fish that its book says nothing of; what is stable or sealed is neither."""
    cold = goods.store in ("chilled", "frozen") and not goods.stable
    return cold and (not goods.ready_to_eat or "fish" in goods.allergens)


def _parasites(rules: RuleBook, goods: Goods, food: str) -> str:
    to, time = (rules.rules[key] for key in FROZEN_FISH)
    said = _(
        "no step cooks {goods} before {food}: where guests get it raw, nothing shows that it was frozen against"
        " parasites ({to} for {time}, {section}); say with `parasites` why it need not be asked"
    )
    return said.format(goods=goods.name, food=food, to=to.said, time=time.said, section=to.section)


def _core(goods: Goods, prep: Prep) -> str:
    said = _("{food} cooks {goods} without a `core`: nobody is asked to show that it was hot enough")
    return said.format(food=prep.name, goods=goods.name)


def _eaten_raw(book: Book, item: str, *, fish: bool, seen: frozenset[str] = frozenset()) -> Iterator[str]:
    """The names of dishes that it reaches without a step that cooks it. What a dish's finish does nobody knows: of fish
    it is asked about, of meat and eggs it is taken for cooking."""
    yield from (dish.name for dish in book.dishes.values() if item in dish.plate and (fish or not dish.finish))
    for user, step in _users(book.preps, item):
        if user.id in seen or any(is_kill_step(one, book.kitchen.rules) for one in user.steps[step:]):
            continue
        for given in user.outputs:
            yield from _eaten_raw(book, given, fish=fish, seen=seen | {user.id})


def _users(preps: Mapping[str, Prep], item: str) -> Iterator[tuple[Prep, int]]:
    for user in preps.values():
        for use in (*user.uses, *user.takes_if_there):
            if item in (use.item, user.instead.get(use.item)):
                yield user, use.step or 0


def _unread(book: Book, goods: Goods) -> Iterator[Prep]:
    """Recipes that cook it, none of whose steps from then on asks for a core."""
    if goods.ready_to_eat:
        return
    for user, step in _users(book.preps, goods.id):
        later = user.steps[step:]
        if any(is_kill_step(one, book.kitchen.rules) for one in later) and all(one.core is None for one in later):
            yield user
