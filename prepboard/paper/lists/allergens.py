"""Allergens for the floor: every dish of tonight against the law's list on one sheet, as text, for scripts, and as a
page to print and hang up. As the book and the batches on hand have it: the packets are the truth."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from html import escape
from typing import Literal

from prepboard.book.safety.allergens import EU, NOT_WHICH, US, group
from prepboard.paper.sentences.contains import allergen_list, in_dish, unlisted
from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed, long_day
from prepboard.paper.text.shape import Json
from prepboard.plan.given.state import State
from prepboard.texts import _, root, some, spoken


def tonight(state: State, now: datetime) -> list[str]:
    """The dishes that a service of this business day offers, taken off or not; all where it has none."""
    book = state.book
    day = book.kitchen.days.business_day(now)
    held = [service for service in book.services.values() if service.held_on(day)]
    counted = {dish for service in held for dish in service.counts or {}}
    named = {service.id for service in held}
    found = [
        dish.id
        for dish in book.dishes.values()
        if dish.id in counted
        or (
            named & set(dish.services)
            and (dish.first_day is None or dish.first_day <= day)
            and (dish.last_day is None or day <= dish.last_day)
        )
    ]
    return found or list(book.dishes)


def as_objects(state: State, voice: Voice) -> list[Json]:
    """One object a dish of the book; `not_stated` are things on it of which the book states nothing at all."""
    now = tonight(state, voice.now)
    return [
        {
            "dish": dish,
            "name": voice.name(dish),
            "tonight": dish in now,
            "allergens": list(in_dish(state, dish)),
            "not_stated": [voice.name(item) for item in unlisted(state, dish)],
        }
        for dish in state.book.dishes
    ]


def allergens(state: State, voice: Voice, width: int) -> Section:
    """What each dish of tonight holds, in the order of the law, and what nobody stated."""
    shown = tonight(state, voice.now)
    rows = []
    for dish in shown:
        unknown = unlisted(state, dish)
        names = allergen_list(in_dish(state, dish), state.book) or _("none stated")
        more = (_not_stated(unknown, voice),) if unknown else ()
        rows.append(Row((voice.name(dish), names), more))
    rest = len(state.book.dishes) - len(shown)
    others = some("{n} other dish of the book is not tonight's", "{n} other dishes of the book are not tonight's", rest)
    return [
        "",
        *section(_("ALLERGENS"), table(rows, "<<", width), _("No dish."), width),
        "",
        *paragraph(reserve(), width, 1),
        *(paragraph(f"{others}.", width, 1) if rest else ()),
    ]


def to_read(state: State, voice: Voice, width: int) -> Section:
    """The same for a screen of any width: the reserve first, then dish by dish."""
    lines = [*paragraph(reserve(), width, 1)]
    for dish in tonight(state, voice.now):
        unknown = unlisted(state, dish)
        names = allergen_list(in_dish(state, dish), state.book) or _("none stated")
        said = f"{names}; {_not_stated(unknown, voice)}" if unknown else names
        lines += ["", *paragraph(voice.name(dish), width, 1), *paragraph(said, width, 4)]
    return lines


def reserve() -> str:
    """What stands below every such list."""
    return _("As the book and the batches on hand have it; check the packets, and ask before you promise.")


def _not_stated(items: Sequence[str], voice: Voice) -> str:
    return _("nothing stated of {items}").format(items=listed(voice.name(item) for item in items))


def as_page(state: State, voice: Voice) -> str:
    """A page to print, across: tonight's dishes down, the law's list across, in each cell what of it."""
    kitchen = state.book.kitchen
    dishes = tonight(state, voice.now)
    held = {dish: in_dish(state, dish) for dish in dishes}
    columns = _columns(held.values(), kitchen.allergens)
    head = "".join(f"<th><span>{escape(_(name))}</span></th>" for name in columns)
    body = "\n".join(_row(dish, held[dish], columns, state, voice) for dish in dishes)
    day = long_day(kitchen.days.business_day(voice.now))
    title = _("{kitchen}: allergens, {day}").format(kitchen=plain(kitchen.name), day=day)
    law = _("Regulation (EU) 1169/2011, Annex II") if kitchen.allergens == "eu" else _("US major food allergens")
    printed = _("Printed {time}. The list of {law}.").format(time=voice.wall(voice.now), law=law)
    return (
        f'<!doctype html>\n<html lang="{root(spoken())}">\n<meta charset="utf-8">\n'
        f"<title>{escape(title)}</title>\n<style>{_STYLE}</style>\n<h1>{escape(title)}</h1>\n"
        f"<table>\n<thead><tr><th></th>{head}<th><span>{escape(_('nothing stated of'))}</span></th></tr></thead>\n"
        f"<tbody>\n{body}\n</tbody>\n</table>\n<p class=reserve>{escape(reserve())}</p>\n"
        f"<p>{escape(printed)}</p>\n</html>"
    )


def _columns(every: Iterable[Sequence[str]], which: Literal["eu", "us"]) -> list[str]:
    """The law's list, and what is known beyond it."""
    of_law = EU if which == "eu" else US
    found = [name if name in of_law else group(name) for names in every for name in names]
    return [*of_law, *dict.fromkeys(name for name in found if name not in of_law)]


def _row(dish: str, held: Sequence[str], columns: Sequence[str], state: State, voice: Voice) -> str:
    unknown = listed(voice.name(item) for item in unlisted(state, dish))
    cells = "".join(f"<td>{escape(_cell(column, held, state))}</td>" for column in columns)
    return f"<tr><th>{escape(voice.name(dish))}</th>{cells}<td class=unknown>{escape(unknown)}</td></tr>"


def _cell(column: str, held: Sequence[str], state: State) -> str:
    """ "yes", or which cereal, nut or fish it is."""
    not_which = NOT_WHICH[state.book.kitchen.allergens]
    found = []
    for name in held:
        if name == column:
            found.append(_("yes, which is not stated") if name in not_which else _("yes"))
        elif group(name) == column:
            found.append(name.partition(" (")[2].rstrip(")") or _(name))
    return listed(found)


_STYLE = """@page { size: A4 landscape; margin: 10mm; }
body { font: 9pt/1.25 sans-serif; color: #000; background: #fff; margin: 1em; }
h1 { font-size: 14pt; margin: 0 0 6pt; }
table { border-collapse: collapse; width: 100%; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th, td { border: .5pt solid #777; padding: 2pt 3pt; text-align: left; vertical-align: top; }
thead th { vertical-align: bottom; height: 7.5em; }
thead th span { writing-mode: vertical-rl; transform: rotate(180deg); white-space: nowrap; }
thead th:last-child span { writing-mode: horizontal-tb; transform: none; }
td { font-weight: bold; }
td.unknown { font-weight: normal; font-size: 7.5pt; }
.reserve { font-weight: bold; }
p { margin: 4pt 0; }"""
