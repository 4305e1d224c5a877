"""Choosing: what one guest takes of a prep, by menu or by the mix of each course."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction

from prepboard.plan.demand.chances import GuestUse
from prepboard.plan.demand.occasions import Table


def guest_use(offered: Table, plates: dict[str, int], counted: frozenset[str] = frozenset()) -> GuestUse:
    """What one guest takes of a prep, by chance: of each course at most one dish, or a menu with each of its
    dishes. `plates` is dish -> amount; dishes in `counted` are known and take no part. Empty when nobody does."""
    chosen = {dish: amount for dish, amount in plates.items() if dish not in counted}
    total = _with_menus(offered, chosen) if offered.menus else _choices(offered, chosen)
    use = tuple(sorted((amount, chance) for amount, chance in total.items() if chance))
    return use if any(amount for amount, _ in use) else ()


def _with_menus(offered: Table, chosen: dict[str, int]) -> dict[int, Fraction]:
    """What a guest takes of these dishes by a menu, or by free choice without one."""
    total: dict[int, Fraction] = defaultdict(Fraction)
    others = 1 - sum((menu.share for menu in offered.menus), Fraction(0))
    for menu in (*offered.menus, None):
        weight = menu.share if menu else others
        if not weight:
            continue
        sure = sum(chosen[dish] for dish in menu.dishes if dish in chosen) if menu else 0
        free = {dish: amount for dish, amount in chosen.items() if not (menu and offered.bound(menu, dish))}
        for amount, chance in _choices(offered, free).items():
            total[amount + sure] += weight * chance
    return total


def _choices(offered: Table, plates: dict[str, int]) -> dict[int, Fraction]:
    """What a guest takes of these dishes by free choice."""
    by_course: dict[str, dict[int, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    for dish, amount in plates.items():
        course, share = offered.dishes[dish].course, offered.own_share[dish]
        if course is None:
            whole = share.numerator // share.denominator
            by_course[f" {dish}"][(whole + 1) * amount] += share - whole
            by_course[f" {dish}"][whole * amount] += 1 - (share - whole)
        else:
            by_course[course][amount] += share
    use = {0: Fraction(1)}
    for course, choices in by_course.items():
        if not course.startswith(" "):
            choices[0] += 1 - sum(choices.values())
        if len(use) == 1 and 0 in use:
            use = choices  # of the courses before he takes nothing for certain
            continue
        both: dict[int, Fraction] = defaultdict(Fraction)
        for one, chance in use.items():
            for other, of_other in choices.items():
                both[one + other] += chance * of_other
        use = both
    return use
