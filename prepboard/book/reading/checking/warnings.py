"""What a book may say and hardly means: it is read all the same, and each is named with its file and line.

A fault stops a book, a warning does not. Every warning says what follows from it, since the book is right as it is
written.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from fractions import Fraction

from prepboard.book.book import Book, Life, Prep
from prepboard.book.names import every
from prepboard.book.reading.checking.preps import eaten_cold, takes_raw
from prepboard.book.reading.faults import Findings, KeyPath
from prepboard.book.reading.rulebooks import most_days
from prepboard.book.safety.allergens import group
from prepboard.book.safety.life import bears_no_mark, is_hot, steps_before_day_one
from prepboard.book.safety.unshown import unshown
from prepboard.book.saying import say_duration
from prepboard.texts import _, is_known, languages, some

_DAY = 24 * 60
NAMED = 5
"""So many preps are named of those that have the same said of them."""


def warn(book: Book, findings: Findings, unsaid: Collection[str] = ()) -> None:
    """Adds all that a chef should look at once more; `unsaid` are preps of which nobody wrote whether they are eaten as
    they are."""
    _unused(book, findings)
    _names(book, findings)
    _dish_ids(book, findings)
    for prep in book.preps.values():
        _life(prep, book, findings)
    _times(book, findings)
    _fresh(book, findings)
    _counts(book, findings)
    plated, users = {item for dish in book.dishes.values() for item in dish.plate}, _users(book)
    for id_ in unsaid:
        if id_ not in plated:
            _perhaps_raw(book.preps[id_], users.get(id_, []), book, findings)
    for section, id_, said in unshown(book):
        findings.add((section, id_), said)
    _languages(book, findings)


def _languages(book: Book, findings: Findings) -> None:
    """Languages that nobody has written texts in."""
    asked: dict[KeyPath, str] = {("language",): book.kitchen.language}
    asked |= {("stations", one.id, "language"): one.language for one in book.stations.values()}
    asked |= {("people", id_, "language"): one.language for id_, one in book.people.items()}
    for key, language in asked.items():
        if language and not is_known(language):
            said = _("no texts in this language yet; boards and paper speak English (there is {known})")
            findings.add(key, said.format(known=", ".join(languages())))


def _unused(book: Book, findings: Findings) -> None:
    """Preps and goods that no plate and no recipe takes, and dishes that nobody is expected to take."""
    taken = {item for dish in book.dishes.values() for item in dish.plate}
    for prep in book.preps.values():
        taken.update(prep.may_take)
    sends = any(van.comes_from == book.kitchen.member for van in book.vans.values())
    for id_, prep in book.preps.items():
        comes_along = id_ not in prep.made_by
        if id_ not in taken and prep.par is None and not comes_along and not sends:
            findings.add(("preps", id_), _("nothing takes it: no dish, no recipe, no `par`; it is never planned"))
    for id_ in book.goods:
        if id_ not in taken:
            findings.add(("goods", id_), _("nothing takes it: no dish and no recipe"))


def _names(book: Book, findings: Findings) -> None:
    for section, table in (("preps", book.preps), ("dishes", book.dishes), ("goods", book.goods)):
        by_name: dict[str, list[str]] = defaultdict(list)
        for id_, entry in table.items():
            for name in dict.fromkeys(one.casefold() for one in every(entry.called)):
                by_name[name].append(id_)
        known: set[str] = set()
        for first, *others in by_name.values():
            for id_ in (one for one in others if one not in known):
                known.add(id_)
                said = _("has the name of '{other}' too; on boards nobody can tell them apart")
                findings.add((section, id_, "name"), said.format(other=first))


def _dish_ids(book: Book, findings: Findings) -> None:
    for id_ in book.dishes:
        if id_ in book.preps and book.preps[id_].name.casefold() != book.dishes[id_].name.casefold():
            said = _("'{id}' is a prep too, called {name}; lists may show one by the name of the other")
            findings.add(("dishes", id_), said.format(id=id_, name=book.preps[id_].name))


def _life(prep: Prep, book: Book, findings: Findings) -> None:
    """What the rule book makes of a life, and what it leaves."""
    life, path = prep.keeps[prep.store], ("preps", prep.id, "keeps")
    _left_when_ready(prep, book, findings)
    thawed = prep.keeps.get("chilled")
    days_thawed = thawed.days if thawed and thawed.days else 1
    if "frozen" in prep.keeps and prep.thaw > days_thawed * _DAY and (thawed is None or thawed.days is not None):
        said = _("it takes {time} to thaw, and is good for {days} then: nobody can use it; say `keeps` chilled too")
        good = some("{n} day", "{n} days", days_thawed)
        findings.add(path, said.format(time=say_duration(prep.thaw), days=good))
    whole = sum(step.hands_minutes(Fraction(1)) + step.wait for step in prep.steps)
    if life.minutes is not None and life.minutes < _DAY and whole >= _DAY:
        said = _("its steps take {time}, and then it keeps {life}: hours count from when it is ready")
        findings.add(path, said.format(time=say_duration(whole), life=say_duration(life.minutes)))
    free = bears_no_mark(prep)
    hours = book.kitchen.rules.rules.get("time_control")
    if hours is not None and prep.store == "ambient" and not free and _minutes(life) > hours.value:
        said = _(
            'at room temperature {rules} gives it {time}; longer with `stable`, as in stable = "bread", or with'
            " `exempt` and its figures"
        )
        findings.add(path, said.format(rules=book.kitchen.rules.named, time=hours.said))
    chilled = prep.store == "chilled" and prep.ready_to_eat and not free
    no_days = book.kitchen.rules.days("date_mark") is None and book.kitchen.approved_plan is None
    if chilled and no_days and _longer(life, most_days()):
        said = _(
            "{rules} names no days, and no rule book gives such food more than {days}: name your own `approved_plan`"
        )
        findings.add(path, said.format(rules=book.kitchen.rules.named, days=most_days()))


def _left_when_ready(prep: Prep, book: Book, findings: Findings) -> None:
    """What is left of a life of days, as written or as the rule book cuts it, once its own steps are over: up to half a
    day of them fits into the day in which they begin."""
    life, path = prep.keeps[prep.store], ("preps", prep.id, "keeps")
    marked = book.kitchen.rules.days("date_mark")
    chilled = prep.store == "chilled" and prep.ready_to_eat and not bears_no_mark(prep)
    cut = bool(chilled and marked and _longer(life, marked))
    counted, days = _counted(prep, book), marked if cut else life.days
    if days is not None and (counted + _DAY // 2) // _DAY >= days:
        said = _(
            "day 1 is the day of step {n}, and the steps from there on take {time}: of {days} hardly any of it is left"
            " when it is done; count from when it is ready, or say more"
        )
        if cut:
            said = _(
                "day 1 is the day of step {n}, and the steps from there on take {time}: of the {days} that the rule"
                " book {rules} leaves it hardly any is left when it is done; longer with `exempt` and its figures"
            )
        n, of = max(steps_before_day_one(prep, book.kitchen), 1), some("{n} day", "{n} days", days)
        findings.add(path, said.format(n=n, time=say_duration(counted), days=of, rules=book.kitchen.rules.id))
    elif cut:
        said = _(
            "the rule book {rules} cuts it to {days} days, with day 1 counted; longer with `exempt` and its figures"
        )
        findings.add(path, said.format(rules=book.kitchen.rules.id, days=marked))


def warn_of_warm_goods(book: Book, findings: Findings, unsaid: Iterable[str]) -> None:
    """Goods of milk or fish of which nobody wrote how they are kept, once for all: they count as kept warm, so nobody
    asks for a delivery's degrees, for fish frozen against parasites, or for the days of an open pack."""
    of_animals = {"milk", "fish", "crustaceans", "molluscs"}
    warm = [
        id_ for id_ in unsaid if not book.goods[id_].stable and of_animals & set(map(group, book.goods[id_].allergens))
    ]
    if warm:
        said = _('no `store`: it counts as kept at room temperature; write store = "chilled" or `stable` ({goods})')
        findings.add(("goods", warm[0]), said.format(goods=_some_named(warm)))


def _some_named(ids: list[str]) -> str:
    more = [some("{n} more", "{n} more", len(ids) - NAMED)] if len(ids) > NAMED else []
    return ", ".join([*ids[:NAMED], *more])


def _users(book: Book) -> dict[str, list[Prep]]:
    """The preps that take each item, in book order."""
    found: dict[str, list[Prep]] = {}
    for prep in book.preps.values():
        for item in {use.item for use in (*prep.uses, *prep.takes_if_there)}:
            found.setdefault(item, []).append(prep)
    return found


def _perhaps_raw(prep: Prep, users: list[Prep], book: Book, findings: Findings) -> None:
    """Food on no plate of which nothing says that it is eaten as it is, and nothing that it is raw: it counts as eaten
    so, and its day 1 goes on into what cooks it."""
    makers = [book.preps[one] for one in prep.made_by if one in book.preps]
    heated = any(is_hot(step, book.kitchen.rules) for maker in makers for step in maker.steps)
    cold = any(eaten_cold(use.item, book.preps, book.goods) for maker in makers for use in maker.uses)
    life = prep.keeps.get("chilled")
    cooked = users and not any(takes_raw(user, prep.id, book.kitchen.rules) for user in users)
    if heated or cold or not cooked or bears_no_mark(prep) or life is None or (life.days or 0) < 2:
        return
    said = _(
        "{user} loses up to {days} by it: is {prep} eaten as it is? Nothing says so, and so it counts;"
        " write `ready_to_eat`"
    )
    days = some("{n} day", "{n} days", (life.days or 0) - 1)
    findings.add(("preps", prep.id), said.format(user=users[0].name, days=days, prep=prep.name))


def _fresh(book: Book, findings: Findings) -> None:
    plated = {item for dish in book.dishes.values() for item in dish.plate}
    for prep in book.preps.values():
        if prep.fresh_for and prep.id not in plated:
            findings.add(("preps", prep.id, "fresh_for"), _("is about plates, and it stands on none"))


def _times(book: Book, findings: Findings) -> None:
    """Recipes of no time, once for all of them, and those that the plan may begin when nobody is there."""
    made = [prep for prep in book.preps.values() if prep.outputs]
    without = [prep for prep in made if not prep.steps]
    if without:
        said = _("no step: planned as if it took no time ({preps})")
        findings.add(("preps", without[0].id), said.format(preps=_some_named([prep.id for prep in without])))
    for prep in made:
        first = prep.steps[0] if prep.steps else None
        station = book.stations.get(first.station) if first else None
        if first and first.wait and not (first.hands_on or first.hands_on_each) and station and station.hours:
            said = _("step 1 has no `hands_on`: it is planned to begin by itself, also when nobody is there")
            findings.add(("preps", prep.id, "steps"), said)


def _minutes(life: Life) -> int:
    return life.minutes if life.minutes is not None else (life.days or 0) * _DAY


def _longer(life: Life, days: int) -> bool:
    return life.days > days if life.days is not None else (life.minutes or 0) > days * _DAY


def _counted(prep: Prep, book: Book) -> int:
    """Minutes between the beginning of day 1 and ready, at the least."""
    rest = prep.steps[steps_before_day_one(prep, book.kitchen) :]
    return sum(step.hands_minutes(Fraction(1)) + step.wait for step in rest)


def _counts(book: Book, findings: Findings) -> None:
    """Dishes counted at a function that is not among the services that they name."""
    for id_, service in book.services.items():
        for dish in service.counts or {}:
            named = book.dishes[dish].services
            if id_ not in named and _says_services(named, book):
                said = _("'{dish}' names its own services and not this one; it is made for the count all the same")
                findings.add(("services", id_, "counts", dish), said.format(dish=dish))


def _says_services(named: Iterable[str], book: Book) -> bool:
    """Whether a dish said its services: unsaid, they are all that are no functions."""
    usual: Collection[str] = [one for one, service in book.services.items() if service.on is None]
    return set(named) != set(usual)
