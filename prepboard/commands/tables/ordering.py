"""What to buy, and what came."""

from __future__ import annotations

import click

from prepboard.commands.given.options import AT, answer_options, format_options, shared_options
from prepboard.commands.given.session import Session, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _


@click.command()
@click.option("--days", type=click.IntRange(1, 14), default=2, show_default=True, help="So many business days ahead.")
@click.option("--send", is_flag=True, help="Orders from the other kitchens of the group what is proposed.")
@format_options
@shared_options()
@click.pass_obj
def order(session: Session, days: int, send: bool, as_json: bool, as_csv: bool) -> None:
    """What to buy: goods short for the days ahead, in packs, by supplier, with the last moment to order.

    In a group also what to order from the other kitchens before their van closes: show orders says it too.
    """
    from prepboard.commands.given.printing import print_as, title, width
    from prepboard.paper import text_pages
    from prepboard.paper.lists.ordering import objects
    from prepboard.paper.text.saying import Voice
    from prepboard.paper.text.shape import Shape
    from prepboard.plan.leftovers.ordering import order_list, until_day
    from prepboard.store.past.shelf import on_the_shelf

    if send:
        _send(session)
        return
    with session.kitchen() as kitchen:
        board = kitchen.board
        until, there = until_day(board.state, board.now, days), on_the_shelf(kitchen.file, kitchen.book)
        lines = order_list(board.state, board.now, board.make, until, there)
        print_as(
            "order",
            Voice.of(board),
            lambda: objects(lines, Shape(Voice.of(board))),
            lambda: text_pages.order(lines, board, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


def _send(session: Session) -> None:
    """Orders what is proposed, by each van."""
    from prepboard.plan.leftovers.vans import proposed
    from prepboard.store.actions.group.orders import order as act
    from prepboard.store.file.who import Refused

    with session.kitchen() as kitchen:
        board = kitchen.board
        found = [one for one in proposed(board.state, board.pars, board.make, board.now) if one.lines]
        if not found:
            raise Refused(_("nothing is short until the van after the next one"))
        for one in found:
            amounts = {line.prep: line.amount for line in one.lines}
            tell_did(act(kitchen.file, kitchen.who, one.trip.van.id, one.trip.day, amounts))


@click.command()
@click.argument("kitchen_", metavar="KITCHEN")
@click.argument("prep", nargs=-1, required=True, metavar="PREP")
@click.option("--no", "why", metavar="WHY", default="", help="It is not sent, and why; else it is.")
@answer_options
@shared_options()
@click.pass_obj
def answer(session: Session, kitchen_: str, prep: tuple[str, ...], why: str) -> None:
    """Answers an order that came after its van was closed: it is sent, or it is not."""
    from prepboard.commands.given.reading import find, find_kitchen
    from prepboard.store.actions.group.orders import answer_order
    from prepboard.store.file.who import Refused

    with session.kitchen() as kitchen:
        of, item = find_kitchen(kitchen, kitchen_), find(" ".join(prep), kitchen.book.preps, "prep")
        here = kitchen.book.kitchen.member
        asked = [
            one
            for one in kitchen.state.orders
            if (one.kitchen, one.prep, one.maker) == (of, item, here) and one.late and not one.answer
        ]
        if not asked:
            raise Refused(_("no order of that waits for an answer"))
        tell_did(answer_order(kitchen.file, kitchen.who, asked[0].id, not why, plain(why)))


@click.command()
@click.argument("goods", nargs=-1, required=True, metavar="GOODS AMOUNT")
@click.option("--lot", default="", metavar="L", help="The lot that stands on it.")
@click.option("--use-by", "use_by", metavar="DAY", help="The last day on which the maker says it is safe.")
@click.option("--temp", "degrees", metavar="DEGREES", help="How warm it was when it came.")
@click.option("--probe", metavar="NAME", default="", help="The probe that --temp was read with.")
@click.option("--from", "supplier", default="", metavar="SUPPLIER", help="Who brought it.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def delivered(
    session: Session,
    goods: tuple[str, ...],
    lot: str,
    use_by: str | None,
    degrees: str | None,
    probe: str,
    supplier: str,
    at: str | None,
) -> None:
    """Goods came: refused in words where they came too warm, or past the maker's date."""
    from prepboard.commands.food.readings import degrees_of
    from prepboard.commands.given.reading import amount_of, day, find, moment, split
    from prepboard.store.actions.food.shelf import Delivery, deliver

    word, words = split(goods)
    if not words:
        raise click.UsageError(_("say the AMOUNT that came"))
    with session.kitchen() as kitchen:
        item = find(word, kitchen.book.goods, _("goods"))
        read = degrees_of(kitchen, degrees) if degrees else None
        came = Delivery(
            lot=lot,
            safe_to=day(kitchen, use_by) if use_by else None,
            degrees=read[0] if read else None,
            unit=read[1] if read else "C",
            supplier=supplier,
            probe=plain(probe),
        )
        amount, when = amount_of(kitchen, item, words), moment(kitchen, at)
        tell_did(deliver(kitchen.file, kitchen.who, item, amount, came, at=when))
