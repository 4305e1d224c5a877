"""What a book must say beyond its keys: ids that exist, times that follow each other, shares that add up.

Every check adds what it finds and goes on, so that a chef reads all faults at once. Nothing here converts amounts;
that is `../compiling_preps.py`.
"""

from __future__ import annotations

import zoneinfo
from collections.abc import Collection, Iterable, Mapping
from datetime import time
from itertools import pairwise
from pathlib import Path
from typing import Any, TypeVar, get_args, overload

from prepboard.book import values
from prepboard.book.book import Store
from prepboard.book.reading.checking.unknown_names import refer
from prepboard.book.reading.faults import Findings, KeyPath
from prepboard.book.reading.rulebooks import rule_books
from prepboard.book.reading.written import SECTIONS, BookWritten, GoodsWritten, StationWritten, TaskWritten
from prepboard.book.reading.written_values import WeekdayOrElse
from prepboard.book.safety import allergens, stable
from prepboard.texts import _

T = TypeVar("T")

DEFAULT_STATION = "kitchen"


def station_ids(book: BookWritten) -> Collection[str]:
    """The stations of the book, or the one that there is without any."""
    return book.stations or (DEFAULT_STATION,)


def default_places(book: BookWritten) -> dict[str, Store]:
    """The ids of the places that stand in for storages of which the book names no place."""
    taken = {place.store or "chilled" for place in book.places.values()}
    return {
        f"{store}-store" if store in book.places else store: store for store in get_args(Store) if store not in taken
    }


def minutes_into_day(clock: time, day_starts: time) -> int:
    """Where in its business day a wall-clock time stands."""
    return ((clock.hour - day_starts.hour) * 60 + clock.minute - day_starts.minute) % 1440


def check_kitchen(book: BookWritten, findings: Findings) -> None:
    """Ids, the kitchen's own keys, stations, tasks and allergens."""
    _ids(book, findings)
    _renamed(book, findings)
    _time_zone(book, findings)
    if book.rules not in rule_books():
        known = rule_books()
        findings.unknown(
            ("rules",),
            _("no rule book is called {word}; there are {known}").format(
                word=values.shown(book.rules), known=", ".join(known)
            ),
            book.rules,
            known,
        )
    if not 0 < book.plan_ahead <= 60 * 86400:
        findings.add(("plan_ahead",), _("expected more than nothing and at most 60 days"))
    if not 0 <= book.ready_before <= 12 * 3600:
        findings.add(("ready_before",), _("expected at most 12 hours"))
    if not 0 <= book.runs_over <= 12 * 3600:
        findings.add(("runs_over",), _("expected at most 12 hours"))
    if not 2 <= book.copies_kept <= 1000:
        findings.add(("copies_kept",), _("expected 2 to 1000"))
    if book.copies_also_to and not Path(book.copies_also_to).is_absolute():
        findings.add(("copies_also_to",), _('expected a whole path, like "/media/stick/kitchen"'))
    if book.clock not in (12, 24):
        findings.add(("clock",), _("expected 12 or 24"))
    _language(("language",), book.language, findings)
    for section in ("stations", "people"):
        for id_, one in getattr(book, section).items():
            if one.language:
                _language((section, id_, "language"), one.language, findings)
    for id_, station in book.stations.items():
        _hours(("stations", id_), station, book.day_starts, findings)
    for id_, task in book.tasks.items():
        _task(("tasks", id_), task, book, findings)
    for section in ("preps", "goods"):
        for id_, item in getattr(book, section).items():
            _allergens((section, id_), item.allergens or (), findings)
            _stable((section, id_), item.stable, findings)
    for id_, goods in book.goods.items():
        _species(("goods", id_), goods, findings)
    if not book.preps and not findings.incomplete and findings.sound(("preps",)):
        findings.add((), _("the book has no prep; write at least one, like [preps.soubise]"))


def _language(key: KeyPath, said: str, findings: Findings) -> None:
    if not said.isascii() or not said.replace("-", "").replace("_", "").isalpha():
        findings.add(key, _('expected a language like "en"'))


def _species(path: KeyPath, goods: GoodsWritten, findings: Findings) -> None:
    named = {allergens.named(word) for word in goods.allergens or ()}
    if goods.species and not named & set(allergens.OF_A_SPECIES):
        findings.add((*path, "species"), _("is of fish, crustaceans or molluscs: say that in `allergens`"))


def _stable(path: KeyPath, word: str | None, findings: Findings) -> None:
    known = stable.GOODS if path[0] == "goods" else stable.PREPS
    if word is not None and word not in known:
        said = _("{word} is not on the list of what needs no cold: {known}")
        findings.unknown((*path, "stable"), said.format(word=values.shown(word), known=", ".join(known)), word, known)


def _ids(book: BookWritten, findings: Findings) -> None:
    for section in SECTIONS:
        # A container has no id: it is what an amount is typed in.
        for id_ in getattr(book, section) if section != "containers" else ():
            fault = values.id_fault(id_)
            if fault:
                findings.add((section, id_), f"{values.shown(id_)}: {fault}")
    for id_ in book.goods:
        if id_ in book.preps:
            findings.add(
                ("goods", id_), _("'{id}' is a prep already; an id is a prep or a good, never both").format(id=id_)
            )


def _renamed(book: BookWritten, findings: Findings) -> None:
    """What something was called is no id of the book any more, and was one thing only."""
    for sections in (("preps", "goods"), ("dishes",)):
        now = {id_ for section in sections for id_ in getattr(book, section)}
        heirs: dict[str, str] = {}
        for section in sections:
            for id_, entry in getattr(book, section).items():
                if entry.was is None:
                    continue
                if entry.was in now:
                    said = _("'{was}' is still in the book; `was` names an id that is gone")
                    findings.add((section, id_, "was"), said.format(was=entry.was))
                elif entry.was in heirs:
                    said = _("'{was}' became '{other}' already")
                    findings.add((section, id_, "was"), said.format(was=entry.was, other=heirs[entry.was]))
                heirs.setdefault(entry.was, id_)


def _time_zone(book: BookWritten, findings: Findings) -> None:
    try:
        zoneinfo.ZoneInfo(book.time_zone)
    except (KeyError, ValueError, OSError):
        findings.unknown(
            ("time_zone",),
            _('no time zone is called {word}; write one like "Europe/Dublin"').format(
                word=values.shown(book.time_zone)
            ),
            book.time_zone,
            zoneinfo.available_timezones(),
        )


def _hours(path: KeyPath, station: StationWritten, day_starts: time, findings: Findings) -> None:
    """Windows of a day follow each other; only the last may reach into the next morning."""
    for day, windows in (station.hours or {}).items():
        spans = []
        for starts, ends in windows:
            begins = minutes_into_day(starts, day_starts)
            length = (minutes_into_day(ends, starts)) or 1440
            spans.append((begins, begins + length))
        if any(earlier[1] > later[0] for earlier, later in pairwise(spans)):
            findings.add(
                (*path, "hours", day),
                _("the windows overlap or are out of order; a day begins at {clock}").format(
                    clock=day_starts.strftime("%H:%M")
                ),
            )


def _task(path: KeyPath, task: TaskWritten, book: BookWritten, findings: Findings) -> None:
    refer(findings, (*path, "station"), task.station, station_ids(book), "station")
    refer(findings, (*path, "place"), task.place, {*book.places, *default_places(book)}, "place")
    if task.when is None:
        findings.missing(path, "when", _('needs `when`: "open", "close" or a time like "15:00"'))
        return
    if task.when not in ("open", "close"):
        try:
            values.read_clock(task.when)
        except ValueError:
            findings.unknown(
                (*path, "when"),
                _('expected "open", "close" or a time like "15:00", not {value}').format(value=values.shown(task.when)),
                task.when,
                ("open", "close"),
            )


def _allergens(path: KeyPath, names: Iterable[str], findings: Findings) -> None:
    for number, name in enumerate(names):
        at = (*path, "allergens", number)
        if name.lower() in allergens.OTHER_WORDS:
            word = _(" or ").join(allergens.OTHER_WORDS[name.lower()].split(" or "))
            findings.add(at, _("here it is called {word}").format(word=word))
        elif allergens.named(name) is None:
            near = findings.near(name, allergens.KNOWN)
            said = _("no allergen is called {word}; did you mean '{near}'?")
            if near is None:
                said = _("no allergen is called {word}; known are {known}")
            known = ", ".join(allergens.KNOWN)
            findings.add(at, said.format(word=values.shown(name), near=near, known=known))


@overload
def weekly(table: Mapping[WeekdayOrElse, T] | None, missing: None) -> tuple[T | None, ...]: ...
@overload
def weekly(table: Mapping[WeekdayOrElse, T] | None, missing: T) -> tuple[T, ...]: ...
def weekly(table: Mapping[WeekdayOrElse, Any] | None, missing: Any) -> tuple[Any, ...]:
    """The seven days of a week table, Monday first."""
    table = table or {}
    return tuple(table.get(day, table.get("else", missing)) for day in values.WEEKDAYS)
