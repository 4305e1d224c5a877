"""The group of kitchens, as a book has it: which kitchens there are, and which vans go between them.

At the kitchen that a van leaves from it is a service like any other, with nobody to plate for: what the other kitchens
order by it are its pars, so that all of them together are one need with one moment.
"""

from __future__ import annotations

from datetime import time

from prepboard.book import values
from prepboard.book.book import Member, Service, Van
from prepboard.book.reading.checking.unknown_names import refer
from prepboard.book.reading.compiling_preps import in_words
from prepboard.book.reading.faults import Findings
from prepboard.book.reading.written import BookWritten
from prepboard.texts import _


def check_group(book: BookWritten, findings: Findings) -> None:
    """Kitchens with their letters, vans, and what comes from other kitchens."""
    if book.kitchens and not book.this_kitchen and findings.sound(("this_kitchen",)):
        findings.add(("kitchens",), _("say which of them this is: `this_kitchen`"))
    if book.this_kitchen:
        refer(findings, ("this_kitchen",), book.this_kitchen, book.kitchens, "kitchen")
    _letters(book, findings)
    _vans(book, findings)
    for id_, prep in book.preps.items():
        if prep.comes_from is None:
            continue
        refer(findings, ("preps", id_, "comes_from"), prep.comes_from, book.kitchens, "kitchen")


def _letters(book: BookWritten, findings: Findings) -> None:
    taken: dict[str, str] = {}
    for id_, kitchen in book.kitchens.items():
        path = ("kitchens", id_, "letter")
        letter = kitchen.letter
        if letter is None:
            if findings.sound(path):
                findings.missing(("kitchens", id_), "letter", _('a kitchen of a group needs a `letter`, like "C"'))
        elif len(letter) not in (1, 2) or not all("A" <= one <= "Z" for one in letter):
            findings.add(path, _('expected one capital letter or two, like "C"'))
        elif letter in taken:
            findings.add(path, _("'{letter}' is the letter of {other} already").format(
                letter=letter, other=taken[letter]))  # fmt: skip
        else:
            taken[letter] = id_


def _vans(book: BookWritten, findings: Findings) -> None:
    for id_, van in book.vans.items():
        path = ("vans", id_)
        for key, name in (("from", van.comes_from), ("to", van.to), ("leaves", van.leaves)):
            if not name and findings.sound((*path, key)):
                findings.missing(path, key, _("a van needs `{key}`").format(key=key))
        refer(findings, (*path, "from"), van.comes_from, book.kitchens, "kitchen")
        for number, kitchen in enumerate(van.to or ()):
            refer(findings, (*path, "to", number), kitchen, book.kitchens, "kitchen")
            if kitchen == van.comes_from:
                findings.add((*path, "to", number), _("is where it leaves from"))
        if id_ in book.services:
            findings.add(path, _("'{id}' is a service already; a van is one of its own").format(id=id_))


def as_made_here(book: BookWritten) -> BookWritten:
    """The book as it is in this kitchen: what another one makes has no recipe here. What its recipe says of allergens
    stays; its stations and ovens are not this kitchen's."""
    if not any(prep.comes_from not in (None, book.this_kitchen) for prep in book.preps.values()):
        return book
    preps = {
        id_: prep
        if prep.comes_from in (None, book.this_kitchen)
        else prep.model_copy(
            update={**_NO_RECIPE, "station": _here(prep.station, book), "allergens": _allergens(id_, book)}
        )
        for id_, prep in book.preps.items()
    }
    return book.model_copy(update={"preps": preps})


_NO_RECIPE: dict[str, object] = {
    "also_makes": {}, "driven_by": None, "sizes": None, "uses": {}, "takes_if_there": {}, "steps": [],
}  # fmt: skip


def _here(station: str | None, book: BookWritten) -> str | None:
    return station if station in book.stations else None


def _allergens(id_: str, book: BookWritten) -> list[str]:
    """All that a prep's own recipe brings into it, however far down."""
    found: dict[str, None] = {}
    ahead, seen = [id_], set[str]()
    while ahead:
        item = ahead.pop(0)
        if item in seen:
            continue
        seen.add(item)
        prep, goods = book.preps.get(item), book.goods.get(item)
        for word in (prep.allergens if prep else goods.allergens if goods else None) or ():
            found[word] = None
        ahead += [*prep.uses, *prep.takes_if_there] if prep else []
        ahead += [maker for maker, one in book.preps.items() if item in one.also_makes]
    return list(found)


def compile_kitchens(book: BookWritten) -> dict[str, Member]:
    """The kitchens of the group by their ids."""
    return {id_: Member(id_, one.name or in_words(id_), one.letter or "") for id_, one in book.kitchens.items()}


def compile_vans(book: BookWritten) -> dict[str, Van]:
    """The vans by their ids, each with all its defaults."""
    found = {}
    for order, (id_, van) in enumerate(book.vans.items()):
        if van.leaves is None:
            continue
        days = values.WEEKDAYS if van.days is None else van.days
        found[id_] = Van(
            id=id_,
            called=van.name or in_words(id_),
            order=order,
            comes_from=van.comes_from or "",
            to=tuple(dict.fromkeys(van.to or ())),
            weekdays=frozenset(values.WEEKDAYS.index(day) for day in days),
            closes=van.closes or van.leaves,
            leaves=van.leaves,
            arrives=van.arrives or van.leaves,
        )
    return found


def with_vans(services: dict[str, Service], book: BookWritten) -> dict[str, Service]:
    """The services, and at the kitchen that a van leaves from the van: it starts as it leaves."""
    own = [van for van in compile_vans(book).values() if van.comes_from == book.this_kitchen]
    return services | {
        van.id: Service(van.id, van.name, len(services) + van.order, van.leaves, _after(van), van.leaves, van.weekdays)
        for van in own
        if book.this_kitchen and van.id not in services
    }


def _after(van: Van) -> time:
    """A minute after it leaves: from then on nothing is needed for it any more."""
    minutes = (van.leaves.hour * 60 + van.leaves.minute + 1) % (24 * 60)
    return time(minutes // 60, minutes % 60)
