"""Why food needs no date mark or no cold, and what plan loosens a limit: with figures, day and name, for paper."""

from __future__ import annotations

from datetime import date

from prepboard.book.book import Book
from prepboard.book.evidence import Evidence, Plan
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import month
from prepboard.texts import _, decimal


def dated(on: date) -> str:
    """ "2 Sep 2026"."""
    return f"{on.day} {month(on)} {on.year}"


def plan_text(plan: Plan | None) -> str:
    """ "HACCP 7, approved 2 Mar 2026 by the city food office"; nothing without one."""
    if plan is None:
        return ""
    said = _("{number}, approved {day} by {who}")
    return said.format(number=plain(plan.number), day=dated(plan.on), who=plain(plan.by))


def evidence_text(found: Evidence) -> str:
    """ "acid: pH 3.6, measured 2 Sep 2026 by LM"."""
    figures = [
        decimal(f"{name} {float(figure):g}")
        for name, figure in (("pH", found.ph), ("aw", found.aw))
        if figure is not None
    ]
    if not figures:
        said = _("{why}: no date mark asked for, {day}, {who}")
        return said.format(why=plain(found.why), day=dated(found.on), who=plain(found.by))
    said = _("{why}: {figures}, measured {day} by {who}")
    return said.format(why=plain(found.why), figures=", ".join(figures), day=dated(found.on), who=plain(found.by))


def evidence_of(book: Book, item: str) -> Evidence | None:
    found = book.preps.get(item) or book.goods.get(item)
    return found.exempt if found else None


def exempted(book: Book) -> list[str]:
    """One sentence for everything that the book calls exempt, for the rules and the record."""
    law = book.kitchen.rules.no_control
    found: list[str] = []
    for item in (*book.preps, *book.goods):
        exempt = evidence_of(book, item)
        if exempt is not None:
            cold = _("needs no cold and no date mark") if exempt.cold else _("needs no date mark")
            said = _("{name} {lifted} ({section}): {evidence}.")
            section = law.place if exempt.cold else _(law.goods_section)
            name = plain(book.name(item))
            found.append(said.format(name=name, lifted=cold, section=section, evidence=evidence_text(exempt)))
    return found
