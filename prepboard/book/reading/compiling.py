"""Turns a written book into a Book: checks it, fills in every default, and puts the preps in planning order."""

from __future__ import annotations

import zoneinfo
from collections.abc import Mapping
from datetime import time
from typing import TypeVar

from prepboard.book import durations, values
from prepboard.book.book import (
    Book,
    Dish,
    Equipment,
    Kitchen,
    Menu,
    Person,
    Place,
    Service,
    Station,
    Store,
    Task,
    Weekly,
)
from prepboard.book.days import Days
from prepboard.book.evidence import Plan
from prepboard.book.reading.checking.kitchen import DEFAULT_STATION, check_kitchen, default_places, station_ids, weekly
from prepboard.book.reading.checking.lasting import lasting, plan_of
from prepboard.book.reading.checking.preps import (
    check_cores,
    check_life_starts,
    check_packed_fish,
    check_preps,
    check_raw,
    names_of,
    recipes_of,
)
from prepboard.book.reading.checking.services import check_services, evening, offered_in
from prepboard.book.reading.checking.together import groups_of, planning_order
from prepboard.book.reading.compiling_preps import compile_goods, compile_preps, in_words
from prepboard.book.reading.faults import Findings
from prepboard.book.reading.group import as_made_here, check_group, compile_kitchens, compile_vans, with_vans
from prepboard.book.reading.larder import Larder
from prepboard.book.reading.rulebooks import rule_book, rule_books, with_house_rules
from prepboard.book.reading.written import BookWritten
from prepboard.book.reading.written_values import WeekdayOrElse
from prepboard.book.rules import RuleBook
from prepboard.texts import catalogue, later

T = TypeVar("T")

_DEFAULT_RULES = "food-code-2022"


def compile_book(written: BookWritten, digest: str, findings: Findings, *, accepted: bool = False) -> Book | None:
    """The Book, or None when there are findings, of this step or an earlier one. One that was `accepted` once is made
    all the same: what a later program finds in it is said when it is loaded anew, and locks nobody out of the file."""
    check_kitchen(written, findings)
    check_group(written, findings)
    written = as_made_here(written)
    plan = plan_of(written.approved_plan, findings)
    rules = _rules(written, plan, findings, accepted=accepted)
    check_services(written, findings)
    check_preps(written, findings)
    larder = Larder(written, names_of(written), findings)
    preps, goods = compile_preps(written, larder), compile_goods(written, larder)
    preps, goods = lasting(preps, goods, written, rules, findings)
    for prep in preps.values():
        check_life_starts(prep, rules, findings)
        check_cores(prep, rules, findings)
    check_packed_fish(preps, goods, rules, findings)
    check_raw(preps, goods, written, rules, findings)
    dishes = _dishes(written, larder)
    if findings.elsewhere or (findings and not accepted):
        return None
    recipes = recipes_of(written)
    return Book(
        digest=digest,
        kitchen=_kitchen(written, rules, plan),
        stations=_stations(written),
        equipment=_equipment(written),
        places=_places(written),
        services=with_vans(_services(written), written),
        dishes=dishes,
        menus=_menus(written),
        preps=preps,
        goods=goods,
        tasks=_tasks(written),
        people={
            id_: Person(id_, person.name or id_.upper(), person.role, person.language)
            for id_, person in written.people.items()
        },
        kitchens=compile_kitchens(written),
        vans=compile_vans(written),
        together=planning_order(groups_of(preps, recipes), recipes),
    )


def _rules(written: BookWritten, plan: Plan | None, findings: Findings, *, accepted: bool) -> RuleBook:
    """What a plan that cannot be read would loosen is no second fault; a book that was accepted once is held to the
    code all the same."""
    known = written.rules in rule_books()
    book = rule_book(written.rules if known else _DEFAULT_RULES)
    approved = plan is not None or (not accepted and not findings.sound(("approved_plan",)))
    return with_house_rules(book, written.rules_of_the_house, approved, findings)


def _kitchen(written: BookWritten, rules: RuleBook, plan: Plan | None) -> Kitchen:
    return Kitchen(
        name=written.name,
        days=Days(zoneinfo.ZoneInfo(written.time_zone), written.day_starts),
        rules=rules,
        service_level=float(written.service_level),
        enough=float(written.enough),
        spread=float(written.spread),
        plan_ahead=durations.whole_minutes(written.plan_ahead),
        units=written.units,
        clock=12 if written.clock == 12 else 24,
        language=written.language,
        allergens=written.allergens,
        bell=written.bell,
        approved_plan=plan,
        runs_over=durations.whole_minutes(written.runs_over),
        unread_cooling=written.unread_cooling,
        altitude=written.altitude,
        copies_kept=written.copies_kept,
        copies_also_to=written.copies_also_to,
        member=written.this_kitchen,
    )


def _week(table: Mapping[WeekdayOrElse, T] | None, missing: T) -> Weekly[T]:
    return Weekly(weekly(table, missing))


def _own(written: BookWritten, name: str) -> str:
    """A name that the book does not give, in its own language: the same for whoever reads it in."""
    return catalogue(written.language).gettext(name)


def _stations(written: BookWritten) -> dict[str, Station]:
    if not written.stations:
        return {DEFAULT_STATION: Station(DEFAULT_STATION, _own(written, later("Kitchen")), 0, _week(None, 1))}
    return {
        id_: Station(
            id=id_,
            called=station.name or in_words(id_),
            order=order,
            cooks=_week(station.cooks, 1),
            hours=None if station.hours is None else _week(station.hours, ()),
            language=station.language,
        )
        for order, (id_, station) in enumerate(written.stations.items())
    }


def _equipment(written: BookWritten) -> dict[str, Equipment]:
    return {
        id_: Equipment(
            id_, one.name or in_words(id_), one.places, one.racks, heats_up=durations.whole_minutes(one.heats_up)
        )
        for id_, one in written.equipment.items()
    }


def _places(written: BookWritten) -> dict[str, Place]:
    """The places of the book, and one for each storage that has none there."""
    places = {
        id_: Place(id_, place.name or in_words(id_), place.store or "chilled", place.temperature, place.note)
        for id_, place in written.places.items()
    }
    names: dict[Store, str] = {
        "chilled": later("Fridge"),
        "frozen": later("Freezer"),
        "ambient": later("Dry store"),
        "hot": later("Hot holding"),
        "time": later("Out of temperature control"),
    }
    for id_, store in default_places(written).items():
        places[id_] = Place(id_, _own(written, names[store]), store)
    return places


def _services(written: BookWritten) -> dict[str, Service]:
    services = {}
    for order, (id_, service) in enumerate(written.services.items()):
        starts = service.starts or time()
        days = values.WEEKDAYS if service.days is None else service.days
        services[id_] = Service(
            id=id_,
            called=service.name or in_words(id_),
            order=order,
            starts=starts,
            ends=service.ends or time(),
            set_by=service.set_by or starts,
            weekdays=frozenset(() if service.on else (values.WEEKDAYS.index(day) for day in days)),
            not_on=frozenset(service.not_on or ()),
            on=service.on,
            covers=Weekly(weekly(service.covers, None)),
            arrivals=evening(service.arrivals or {}, starts),
            counts=service.counts,
            over=service.over,
            courses=service.courses or {},
            plate_up=durations.whole_minutes(service.plate_up),
        )
    return services


def _dishes(written: BookWritten, larder: Larder) -> dict[str, Dish]:
    return {
        id_: Dish(
            id=id_,
            called=dish.name or in_words(id_),
            order=order,
            services=offered_in(written, dish.services),
            course=dish.course,
            share=dish.share,
            price=dish.price,
            first_day=dish.first_day,
            last_day=dish.last_day,
            finish=dish.finish,
            plate={
                item: larder.amount(("dishes", id_, "plate", item), item, amount) for item, amount in dish.plate.items()
            },
            use_covers=dish.use_covers,
            was=dish.was or "",
        )
        for order, (id_, dish) in enumerate(written.dishes.items())
    }


def _menus(written: BookWritten) -> dict[str, Menu]:
    return {
        id_: Menu(id_, menu.name or in_words(id_), offered_in(written, menu.services), menu.share, tuple(menu.dishes))
        for id_, menu in written.menus.items()
    }


def _tasks(written: BookWritten) -> dict[str, Task]:
    tasks = {}
    for id_, task in written.tasks.items():
        days = values.WEEKDAYS if task.days is None else task.days
        tasks[id_] = Task(
            id=id_,
            called=task.name or in_words(id_),
            station=task.station or next(iter(station_ids(written))),
            when="open" if task.when == "open" else "close" if task.when == "close" else values.read_clock(task.when),
            weekdays=frozenset(values.WEEKDAYS.index(day) for day in days),
            hands_on=durations.whole_minutes(task.hands_on),
            reads=task.reads or (("F" if written.units == "us" else "C") if task.place else None),
            place=task.place or "",
        )
    return tasks
