"""What an action names: a sitting, a dish, a prep, goods, a station; refused in words where the book has none."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, time
from typing import TypeVar

from prepboard.book.book import Dish, Equipment, Goods, Prep, Station, Task
from prepboard.book.saying import nearest
from prepboard.plan.given.state import Sitting
from prepboard.store.file.who import Refused
from prepboard.store.transaction.doing import Doing
from prepboard.texts import _

T = TypeVar("T")


def sitting_key(sitting: Sitting) -> tuple[str, str]:
    """(day, service) as the file's rows begin."""
    return sitting[1].isoformat(), sitting[0]


def check_sitting(doing: Doing, sitting: Sitting) -> None:
    """Refused for a service that the book does not have."""
    if sitting[0] not in doing.book.services:
        raise Refused(
            _("no service is called {service}").format(service=sitting[0]) + _like(sitting[0], doing.book.services)
        )


def span(doing: Doing, sitting: Sitting, moved_to: str | None) -> tuple[datetime, datetime]:
    """When a sitting begins and ends; moved, its guests come as much later, or earlier, as it begins."""
    days, service = doing.book.kitchen.days, doing.book.services[sitting[0]]
    starts, ends = days.span(sitting[1], service.starts, service.ends)
    if moved_to is None:
        return starts, ends
    later = days.in_day(sitting[1], time.fromisoformat(moved_to)) - starts
    return starts + later, ends + later


def dish_of(doing: Doing, dish: str) -> Dish:
    return _known(doing.book.dishes, dish, _("no dish is called {word}"))


def prep_of(doing: Doing, prep: str) -> Prep:
    return _known(doing.book.preps, prep, _("no prep is called {word}"))


def goods_of(doing: Doing, goods: str) -> Goods:
    if goods in doing.book.preps:
        raise Refused(
            _("nothing bought is called {word}; {prep} is made here").format(word=goods, prep=doing.book.name(goods))
        )
    return _known(doing.book.goods, goods, _("nothing bought is called {word}"))


def station_of(doing: Doing, station: str) -> Station:
    return _known(doing.book.stations, station, _("no station is called {word}"))


def equipment_of(doing: Doing, equipment: str) -> Equipment:
    return _known(doing.book.equipment, equipment, _("no equipment is called {word}"))


def task_of(doing: Doing, task: str) -> Task:
    return _known(doing.book.tasks, task, _("no task is called {word}"))


def _known(table: Mapping[str, T], word: str, said: str) -> T:
    if word not in table:
        raise Refused(said.format(word=word) + _like(word, table))
    return table[word]


def _like(word: str, words: Iterable[str]) -> str:
    close = nearest(word, words)
    return _("; did you mean {word}?").format(word=close) if close else ""
