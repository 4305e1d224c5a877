"""Checks of preps: who makes them, what they take, their steps, and rings among them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from fractions import Fraction
from itertools import chain

from msgspec import Struct

from prepboard.book import values
from prepboard.book.book import Goods, Prep
from prepboard.book.reading.checking.kitchen import default_places, station_ids
from prepboard.book.reading.checking.together import Recipe, groups_of, rings
from prepboard.book.reading.checking.unknown_names import ids_by_name, refer, refer_to_item
from prepboard.book.reading.faults import Findings, KeyPath
from prepboard.book.reading.written import BookWritten, PrepWritten, StepWritten
from prepboard.book.rules import RuleBook
from prepboard.book.safety.allergens import carried_by, group
from prepboard.book.safety.life import cooking_key, is_hot, is_kill_step
from prepboard.texts import _

_OF_A_RECIPE = ("also_makes", "driven_by", "sizes", "uses", "takes_if_there", "instead", "steps")


class Names(Struct, frozen=True):
    """Every id that a prep may speak of, gathered once."""

    items: frozenset[str]
    stations: Collection[str]
    places: Collection[str]
    makers: Mapping[str, list[str]]
    """For each prep the owners of the recipes that give it, in book order."""
    plated: frozenset[str]
    """What stands on plates."""
    named: Mapping[str, str]
    """Ids by the names that people read."""


def names_of(book: BookWritten) -> Names:
    makers: dict[str, list[str]] = {}
    for id_, prep in book.preps.items():
        if prep.comes_from not in (None, book.this_kitchen):
            continue
        for given in chain((id_,) if prep.makes is not None else (), prep.also_makes):
            makers.setdefault(given, []).append(id_)
    return Names(
        frozenset(book.preps) | frozenset(book.goods),
        station_ids(book),
        {*book.places, *default_places(book)},
        makers,
        frozenset(item for dish in book.dishes.values() for item in dish.plate),
        ids_by_name(book),
    )


def recipes_of(book: BookWritten) -> dict[str, Recipe]:
    """The recipes of the book by their owners; ids that do not exist are left out."""
    return {
        id_: Recipe(
            (id_, *(given for given in prep.also_makes if given in book.preps and given != id_)), tuple(prep.uses)
        )
        for id_, prep in book.preps.items()
        if prep.makes is not None or prep.also_makes or prep.uses
    }


def check_preps(book: BookWritten, findings: Findings) -> None:
    """Preps one by one, then rings among all of them."""
    names = names_of(book)
    for id_, prep in book.preps.items():
        path = ("preps", id_)
        _needed_keys(path, prep, names, findings)
        _references(path, prep, book, names, findings)
        _numbers(path, prep, findings)
        if prep.fresh_for == 0:
            findings.add((*path, "fresh_for"), _("nothing is fresh for no time; leave it out, or say how long"))
        for number, step in enumerate(prep.steps):
            _step((*path, "steps", number), step, book, names, findings)
            _step_uses((*path, "steps", number), step, prep, findings)
    recipes = recipes_of(book)
    for ring in rings(groups_of(book.preps, recipes), recipes):
        findings.add(
            ("preps", ring.owner, "uses", ring.item),
            _("these preps need each other in a ring: {ring}; `takes_if_there` breaks it").format(ring=ring.told),
        )


def _needed_keys(path: KeyPath, prep: PrepWritten, names: Names, findings: Findings) -> None:
    if prep.name is None:
        findings.missing(path, "name", _("a prep needs a `name`"))
    if prep.keeps is None:
        findings.missing(path, "keeps", _('a prep needs `keeps`, like "5 days" or "36 h"'))
    if prep.makes is not None or findings.known_bad((*path, "makes")):
        return
    if str(path[1]) not in names.makers:
        if findings.incomplete:
            return
        findings.missing(
            path, "makes", _("nothing makes it: say what one recipe `makes`, or name it in another prep's `also_makes`")
        )
        return
    for key in _OF_A_RECIPE:
        if getattr(prep, key):
            findings.add(
                (*path, key), _("`{key}` belongs to a recipe; say what one full recipe `makes`").format(key=key)
            )


def _references(path: KeyPath, prep: PrepWritten, book: BookWritten, names: Names, findings: Findings) -> None:
    refer(findings, (*path, "station"), prep.station, names.stations, "station")
    for key in ("uses", "takes_if_there"):
        for item in getattr(prep, key):
            refer_to_item(findings, (*path, key, item), item, names.items, names.named)
    for item in prep.takes_if_there:
        if item in prep.uses:
            findings.add((*path, "takes_if_there", item), _("'{item}' stands in `uses` too").format(item=item))
    for item, other in prep.instead.items():
        at = (*path, "instead", item)
        if item not in prep.uses and findings.sound((*path, "uses")):
            said = _("{word} is not in this recipe's `uses`").format(word=values.shown(item))
            findings.unknown(at, said, item, list(prep.uses))
        if other in (item, path[1]):
            findings.add(at, _("is no other food"))
        else:
            refer(findings, at, other, names.items, "item")
    for item in prep.also_makes:
        at = (*path, "also_makes", item)
        if item == path[1]:
            findings.add(at, _("this is the prep itself; say it with `makes`"))
        elif item in book.goods and item not in book.preps:
            findings.add(at, _("'{item}' is bought in; a run gives preps only").format(item=item))
        else:
            refer(findings, at, item, book.preps, "prep")
    given = {path[1], *prep.also_makes}
    if prep.driven_by is not None and not prep.driven_by and findings.sound((*path, "driven_by")):
        findings.add((*path, "driven_by"), _("names no prep"))
    for number, item in enumerate(prep.driven_by or ()):
        if item not in given and findings.sound((*path, "also_makes")):
            findings.unknown(
                (*path, "driven_by", number),
                _("{word} is not given by this recipe").format(word=values.shown(item)),
                item,
                [str(one) for one in given],
            )


def _numbers(path: KeyPath, prep: PrepWritten, findings: Findings) -> None:
    for one, other in (("cost_short", "cost_over"), ("cost_over", "cost_short")):
        if getattr(prep, one) is not None and getattr(prep, other) is None and findings.sound((*path, other)):
            findings.add((*path, one), _("goes together with `{other}`").format(other=other))
    if prep.cost_short is not None and prep.cost_over is not None and prep.cost_short + prep.cost_over == 0:
        findings.add((*path, "cost_short"), _("`cost_short` and `cost_over` are both nothing"))
    if prep.sizes:
        _sizes((*path, "sizes"), *allowed_sizes(prep), findings)


def allowed_sizes(prep: PrepWritten) -> tuple[Fraction, Fraction, Fraction | None]:
    """Smallest, step and largest size in recipes, defaults filled in: whole recipes unless said."""
    sizes = prep.sizes
    smallest = sizes.smallest if sizes else None
    step = sizes.step if sizes else None
    largest = sizes.largest if sizes else None
    if smallest is None:
        smallest = min(Fraction(1), *(number for number in (step, largest) if number is not None), Fraction(1))
    if step is None:
        step = min(smallest, Fraction(1))
    return smallest, step, largest


def _sizes(path: KeyPath, smallest: Fraction, step: Fraction, largest: Fraction | None, findings: Findings) -> None:
    if largest is None or not findings.sound(path):
        return
    if largest < smallest:
        findings.add((*path, "largest"), _("is below the smallest size"))
    elif (largest - smallest) % step:
        findings.add(
            (*path, "largest"),
            _("from {smallest} by steps of {step} no run comes to exactly {largest}").format(
                smallest=float(smallest), step=float(step), largest=float(largest)
            ),
        )


def _step(path: KeyPath, step: StepWritten, book: BookWritten, names: Names, findings: Findings) -> None:
    if step.do is None:
        findings.missing(path, "do", _("a step needs `do`, what is to be done"))
    refer(findings, (*path, "station"), step.station, names.stations, "station")
    refer(findings, (*path, "equipment"), step.equipment, book.equipment, "equipment")
    refer(findings, (*path, "or_in"), step.or_in, book.equipment, "equipment")
    refer(findings, (*path, "place"), step.place, names.places, "place")
    for key in ("or_in", "racks", "holds"):
        if getattr(step, key) is not None and step.equipment is None and not findings.known_bad((*path, "equipment")):
            findings.add((*path, key), _("needs `equipment`"))
    if step.wait_up_to is not None and step.wait_up_to < step.wait and not findings.known_bad((*path, "wait")):
        findings.add((*path, "wait_up_to"), _("is shorter than `wait`"))


def _step_uses(path: KeyPath, step: StepWritten, prep: PrepWritten, findings: Findings) -> None:
    for item in step.uses:
        if item not in prep.uses and item not in prep.takes_if_there and findings.sound((*path[:2], "uses")):
            findings.unknown(
                (*path, "uses", item),
                _("{word} is not in this recipe's `uses`").format(word=values.shown(item)),
                item,
                [*prep.uses, *prep.takes_if_there],
            )


def check_life_starts(prep: Prep, rules: RuleBook, findings: Findings) -> None:
    """Day 1 may be set earlier than the rules put it, never later."""
    path = ("preps", prep.id, "steps")
    hot = next((number for number, step in enumerate(prep.steps) if is_hot(step, rules)), None)
    marked = [number for number, step in enumerate(prep.steps) if step.life_starts]
    for number in marked[1:]:
        findings.add((*path, number, "life_starts"), _("a recipe has one such step"))
    if not marked:
        return
    at = (*path, marked[0], "life_starts")
    if hot is None and marked[0] > 0:
        findings.add(at, _("would start the life late: with no hot step it starts with the run"))
    elif hot is not None and marked[0] >= hot:
        findings.add(
            at,
            _("would start the life late; only a step before step {hot}, the first hot one, may be named").format(
                hot=hot + 1
            ),
        )


def check_raw(
    preps: Mapping[str, Prep], goods: Mapping[str, Goods], book: BookWritten, rules: RuleBook, findings: Findings
) -> None:
    """`ready_to_eat = false` excuses from the date mark only what is raw and cooked later: refused on what a recipe
    heats, or what takes ready-to-eat food that needs cold, where a plate takes it or a run that takes it never cooks
    it."""
    plated = {item for dish in book.dishes.values() for item in dish.plate}
    for id_, prep in preps.items():
        if prep.ready_to_eat:
            continue
        makers = [preps[one] for one in prep.made_by if one in preps]
        heated = any(is_hot(step, rules) for maker in makers for step in maker.steps)
        taken = [use.item for maker in makers for use in maker.uses]
        if not heated and not any(eaten_cold(item, preps, goods) for item in taken):
            continue
        why = _("it is heated") if heated else _("ready-to-eat food goes into it")
        uncooked = [user.name for user in preps.values() if takes_raw(user, id_, rules)]
        if id_ in plated or uncooked:
            where = _("a plate takes it") if id_ in plated else _("{name} never cooks it").format(name=uncooked[0])
            said = _("is not raw: {why}, and {where}; leave `ready_to_eat` out")
            findings.add(("preps", id_, "ready_to_eat"), said.format(why=why, where=where))


def eaten_cold(item: str, preps: Mapping[str, Prep], goods: Mapping[str, Goods]) -> bool:
    if item in preps:
        return preps[item].ready_to_eat and not preps[item].stable and not preps[item].exempt
    found = goods.get(item)
    return found is not None and found.ready_to_eat and found.store in ("chilled", "frozen") and not found.stable


def takes_raw(user: Prep, item: str, rules: RuleBook) -> bool:
    """Whether a recipe takes something, or may, and has no step that cooks it when or after it does."""
    for use in (*user.uses, *user.takes_if_there):
        if item in (use.item, user.instead.get(use.item)) and not any(
            is_kill_step(step, rules) for step in user.steps[use.step or 0 :]
        ):
            return True
    return False


def check_packed_fish(
    preps: Mapping[str, Prep], goods: Mapping[str, Goods], rules: RuleBook, findings: Findings
) -> None:
    """Raw fish that is packed without oxygen stays frozen before, while and after it is packed: FDA Food Code 2022,
    3-502.12(C). Cooked in its bag it is cook-chill food, (D)."""
    if "reduced_oxygen" not in rules.rules:
        return  # Only this code says so.
    water = {"fish", "crustaceans", "molluscs"}
    for prep in preps.values():
        makers = [preps[one] for one in prep.made_by if one in preps]
        cooked = any(is_kill_step(step, rules) for maker in makers for step in maker.steps)
        thawed = set(prep.keeps) - {"frozen"} or prep.store != "frozen"
        if prep.packed and not cooked and thawed and water & set(map(group, carried_by(preps, goods, prep.id))):
            said = _(
                "raw fish that is packed without oxygen stays frozen until it is taken out (3-502.12(C)): say only "
                '`store = "frozen"`'
            )
            findings.add(("preps", prep.id, "packed"), said)


def check_cores(prep: Prep, rules: RuleBook, findings: Findings) -> None:
    """A `core` below the code's figure for such food is a fault. FDA Food Code 2022, 3-401.11 and 3-403.11."""
    for number, step in enumerate(prep.steps):
        if step.core is None or step.cools or not (key := cooking_key(rules, step.cook_as)):
            continue
        limit = rules.degrees(key, step.core.unit)
        if limit is not None and step.core.degrees < limit:
            rule = rules.rules[key]
            said = _("is below the {limit} of {section}; say `cook_as` where a lower figure is this food's")
            if step.cook_as:
                said = _(
                    'is below the {limit} of {section}, the figure here of cook_as = "{cook_as}"; food that is meant to'
                    ' be served less done says cook_as = "undercooked"'
                )
            said = said.format(limit=rule.said, section=rule.place, cook_as=step.cook_as)
            findings.add(("preps", prep.id, "steps", number, "core"), said)
