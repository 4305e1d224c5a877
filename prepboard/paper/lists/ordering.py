"""The order list on paper: by supplier, in packs, each line with the last moment."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed
from prepboard.paper.text.shape import Shape
from prepboard.plan.board import Board
from prepboard.plan.leftovers.ordering import OrderLine
from prepboard.texts import _, some


def order(lines: Iterable[OrderLine], board: Board, width: int) -> Section:
    """One table for each supplier, the goods that nobody brings by name last."""
    voice, of_supplier = Voice.of(board), dict[str, list[Row]]()
    for line in lines:
        of_supplier.setdefault(line.supplier, []).append(_row(line, voice))
    if not of_supplier:
        return section(_("ORDER"), [], _("Nothing to order."), width)
    said: Section = []
    for supplier, rows in of_supplier.items():
        heading = plain(supplier).upper() or _("NO SUPPLIER IN THE BOOK")
        said += section(heading, table(rows, "><><<", width), "", width)
    note = _("What planned runs and expected plates take, less what was counted; goods that nobody counts whole.")
    return [*said, "", *paragraph(note, width)]


def _row(line: OrderLine, voice: Voice) -> Row:
    return Row(
        (
            packs_text(line, voice),
            voice.name(line.goods),
            voice.amount(line.goods, line.amount) if line.packs else "",
            by_text(line, voice),
            listed((_there(line, voice), _for(line, voice))),
        )
    )


def packs_text(line: OrderLine, voice: Voice) -> str:
    """ "3 × 5 kg", or the amount of what has no pack."""
    goods = voice.book.goods[line.goods]
    if not line.packs:
        return voice.amount(line.goods, line.amount)
    return f"{line.packs} × {voice.amount(line.goods, goods.pack)}"


def by_text(line: OrderLine, voice: Voice) -> str:
    """Until when it can be ordered, and for when it is needed."""
    if line.too_late:
        return _("too late to order; needed {time}").format(time=voice.time(line.needed_at))
    if line.order_by is None:
        return _("needed {time}").format(time=voice.time(line.needed_at))
    return _("order by {time}").format(time=voice.time(line.order_by))


def _there(line: OrderLine, voice: Voice) -> str:
    if line.there is None:
        return _("not counted")
    return _("{there} of {needed} there").format(
        there=voice.amount(line.goods, line.there), needed=voice.amount(line.goods, line.needed)
    )


def _for(line: OrderLine, voice: Voice) -> str:
    first = voice.name(line.serves[0]) if line.serves else ""
    more = len(line.serves) - 1
    others = some("{n} more", "{n} more", more) if more > 0 else ""
    return _("for {what}").format(what=listed((first, others)))


def objects(lines: Iterable[OrderLine], shape: Shape) -> list[dict[str, Any]]:
    """One object for each line; a word that does not apply is null."""
    return [
        {
            "goods": line.goods,
            "supplier": line.supplier or None,
            "amount": shape.amount(line.goods, line.amount),
            "packs": line.packs or None,
            "needed": shape.amount(line.goods, line.needed),
            "there": None if line.there is None else shape.amount(line.goods, line.there),
            "needed_at": shape.at(line.needed_at),
            "order_by": shape.at(line.order_by),
            "too_late": line.too_late,
            "for": list(line.serves),
        }
        for line in lines
    ]
