"""From two boards to the dishes of a sitting: their shares, fixed counts and expected portions. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from prepboard.boards.pars.rows import Table
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.rows.number_words import share_words
from prepboard.boards.widgets.columns import Cell, Column, ColumnRow
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.changing.drafts import Draft, in_force, occasion_of
from prepboard.plan.demand.mix import Source, Taken, dishes_of
from prepboard.plan.given.numbers import Number
from prepboard.plan.given.state import Sitting
from prepboard.texts import _


def dish_key(dish: str) -> str:
    return f"dish {dish}"


def dishes(before: Board, preview: Board, draft: Draft, sitting: Sitting) -> Table:
    """The dishes of one sitting in book order."""
    columns = (
        Column(_("dish")),
        Column(_("share"), right=True),
        Column(_("was"), right=True),
        Column(_("fixed count"), right=True),
        Column(_("expected"), right=True, gives=2),
        Column(_("from"), gives=2),
        Column(_("course"), gives=1),
        Column("", gives=3),
    )
    at = occasion_of(preview.state, sitting)
    taken = dishes_of(preview.state, preview.now, at) if at else ()
    voice = voice_of(preview)
    return columns, tuple(_row(voice, before, preview, draft, sitting, one) for one in taken)


def _row(voice: Voice, before: Board, preview: Board, draft: Draft, sitting: Sitting, one: Taken) -> ColumnRow:
    number, count = Number("mix", sitting, one.dish), Number("count", sitting, one.dish)
    share, was = share_words(one.share), ""
    if number in draft:
        share, was = f"[ {share} ]", share_words(in_force(before.state, number))
    fixed, typed = "" if one.count is None else str(one.count), ""
    if count in draft:
        fixed = typed = f"[ {fixed or '–'} ]"
    dish = preview.state.book.dishes[one.dish]
    portions = _("about {n}").format(n=round(one.portions)) if one.count is None else str(one.count)
    state, sources = _state(preview, draft, sitting, one), where_from(one)
    name = voice.name(one.dish)
    return ColumnRow(
        dish_key(one.dish),
        what=name,
        amount=share,
        words=listed((_("was {n}").format(n=was) if was else "", typed and _("count {n}").format(n=typed), portions)),
        extra=listed((sources, state)),
        cells=(
            Cell(name, tone="dim" if one.off else "plain"),
            Cell(share, tone="strong" if was else "plain"),
            Cell(was),
            Cell(fixed, tone="strong" if count in draft else "plain"),
            Cell(portions, portions.removeprefix(_("about {n}").format(n=""))),
            Cell(sources),
            Cell(dish.course or ""),
            Cell(state, tone="strong" if one.off else "dim"),
        ),
        number=number,
    )


_SOURCES: Mapping[Source, Callable[[], str]] = {
    "menu": lambda: _("menu {n}"),
    "share": lambda: _("share {n}"),
    "by hand": lambda: _("share by hand {n}"),
    "history": lambda: _("sold lately {n}"),
    "count": lambda: _("count {n}"),
    "moved": lambda: _("{n} whose dish is off"),
}


def where_from(one: Taken) -> str:
    """Where the expected portions come from: "menu 48, share 13"; whole plates that add up to those shown."""
    whole, rest, said = round(one.portions), one.portions, []
    for source, portions in one.parts:
        rest -= portions
        n = whole - max(0, round(rest))
        whole -= n
        said.append(_SOURCES[source]().format(n=n))
    return listed(said)


def _state(preview: Board, draft: Draft, sitting: Sitting, one: Taken) -> str:
    """Whether a dish is taken off and why, else whether its share is set by hand."""
    tonight = preview.state.tonight.get(sitting)
    said = _("by hand") if one.by_hand and Number("mix", sitting, one.dish) not in draft else ""
    if one.off:
        why = tonight.why_off.get(one.dish, "") if tonight else ""
        said = _("86: {why}").format(why=why) if why else _("86, taken off")
    if Number("off", sitting, one.dish) in draft:
        return f"[ {said or _('back')} ]"
    return said
