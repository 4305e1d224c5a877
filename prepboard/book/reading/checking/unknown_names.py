"""What a book names and nobody wrote: which fault that is, in which words, and what was probably meant."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from prepboard.book import values
from prepboard.book.names import every
from prepboard.book.reading.faults import Findings, KeyPath
from prepboard.book.reading.written import BookWritten
from prepboard.texts import _

FEW = 8
"""Of so many words all are named where one of them should have been written."""


def refer(findings: Findings, path: KeyPath, word: str | None, known: Collection[str], what: str) -> None:
    """Checks that an id exists; `what` names the kind of thing, "station"."""
    if word is None or word in known or findings.incomplete:
        return
    said, near = _no_such(what, word), findings.near(word, known)
    if near is not None:
        said = _("{said}; did you mean '{near}'?").format(said=said, near=near)
    elif 0 < len(known) <= FEW:
        said = _("{said}; known are {known}").format(said=said, known=", ".join(sorted(known)))
    findings.add(path, said)


def refer_to_item(
    findings: Findings, path: KeyPath, word: str, known: Collection[str], named: Mapping[str, str]
) -> None:
    """The same of what goes into recipes and onto plates; `named` are ids by the names that people read.

    Goods that nobody wrote are said where they are taken first: one line of the book cures it everywhere."""
    if word in known or findings.incomplete:
        return
    itself = path[1] if path[0] == "preps" else None
    meant = named.get(_as_read(word)) or findings.near(word, [one for one in known if one != itself])
    if meant is None and word in findings.goods_missed:
        findings.excuse(path)
        return
    said, may_be_goods = _no_such("item", word), values.id_fault(word) is None
    if meant is not None:
        said = _("{said}; did you mean '{near}'?").format(said=said, near=meant)
    else:
        findings.goods_missed.add(word)
    if may_be_goods:
        said = _("{said}; what is bought in is written [goods.{word}]").format(said=said, word=word)
    findings.add(path, said)


def ids_by_name(book: BookWritten) -> dict[str, str]:
    """The ids of preps and goods by their names: whoever looks for "mayonnaise" finds `mayo`."""
    preps = {_as_read(name): id_ for id_, prep in book.preps.items() for name in every(prep.name or "")}
    goods = {_as_read(name): id_ for id_, one in book.goods.items() for name in every(one.name or "")}
    return {name: id_ for name, id_ in (goods | preps).items() if name}


def _as_read(name: str) -> str:
    return " ".join(name.casefold().replace("-", " ").split())


def _no_such(what: str, word: str) -> str:
    said = {
        "station": _("no station is called {word}"),
        "equipment": _("no equipment is called {word}"),
        "place": _("no place is called {word}"),
        "service": _("no service is called {word}"),
        "dish": _("no dish is called {word}"),
        "course": _("no counted dish is of a course {word}"),
        "prep": _("no prep is called {word}"),
        "item": _("no prep and no goods are called {word}"),
        "kitchen": _("no kitchen of the group is called {word}"),
    }
    return said[what].format(word=values.shown(word))
