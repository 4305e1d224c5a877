"""Where it is kept: opened, moved, frozen, thawed, divided."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.options import AT, answer_options, shared_options
from prepboard.commands.given.session import Session, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.file.who import Did


@click.command("open")
@click.argument("goods", nargs=-1, required=True)
@click.option("--lot", metavar="LOT", default="", help="The lot on the packet; a trace leads back to it.")
@click.option("--use-by", "use_by", metavar="DAY", help="The last day that the maker says it is safe; no best-before.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def open_goods(session: Session, goods: tuple[str, ...], lot: str, use_by: str | None, at: str | None) -> None:
    """Opens a pack of goods: its life begins, and runs that use it are made of it."""
    from prepboard.commands.given.reading import day, find, moment
    from prepboard.store.actions.food.opened import open_goods as act

    with session.kitchen() as kitchen:
        item = find(" ".join(goods), kitchen.book.goods, "goods")
        last = day(kitchen, use_by) if use_by else None
        tell_did(act(kitchen.file, kitchen.who, item, plain(lot), last, at=moment(kitchen, at)))


@click.command("move-to")
@click.argument("batch", nargs=-1, required=True, metavar="BATCH PLACE [AMOUNT]")
@AT
@answer_options
@shared_options()
@click.pass_obj
def move_to(session: Session, batch: tuple[str, ...], at: str | None) -> None:
    """Says where a batch is kept from now on.

    AMOUNT is a part of it, which gets a code of its own and keeps the dates.
    """
    from prepboard.commands.given.reading import amount_held, find, moment, need_batch, split
    from prepboard.store.actions.food.places import move_to as act

    if len(batch) < 2:
        raise click.UsageError(_("say the PLACE to which it goes"))
    word, words = split(batch[1:])
    with session.kitchen() as kitchen:
        moved = need_batch(kitchen, batch[0])
        amount = amount_held(kitchen, moved.code, moved.prep, words) if words else None
        place = find(word, kitchen.book.places, "place")
        tell_did(act(kitchen.file, kitchen.who, moved.code, place, amount, at=moment(kitchen, at)))


@click.command()
@click.argument("batch", nargs=-1, required=True, metavar="BATCH [AMOUNT]")
@click.option("--to", "place", metavar="PLACE", help="Which freezer; else the book's first.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def freeze(session: Session, batch: tuple[str, ...], place: str | None, at: str | None) -> None:
    """Puts a batch, or AMOUNT of it, into a freezer: its count stands still there, and never begins anew."""
    from prepboard.store.actions.food.places import freeze as act

    _in_or_out(session, batch, place, at, act)


@click.command()
@click.argument("batch", nargs=-1, required=True, metavar="BATCH [AMOUNT]")
@click.option("--to", "place", metavar="PLACE", help="Where to; else where its prep is kept.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def thaw(session: Session, batch: tuple[str, ...], place: str | None, at: str | None) -> None:
    """Takes a batch, or AMOUNT of it, out of the freezer. The day counts."""
    from prepboard.store.actions.food.places import thaw as act

    _in_or_out(session, batch, place, at, act)


@click.command()
@click.argument("batch", nargs=-1, required=True, metavar="BATCH AMOUNT ...")
@AT
@answer_options
@shared_options()
@click.pass_obj
def split(session: Session, batch: tuple[str, ...], at: str | None) -> None:
    """Makes parts of a batch batches of their own, with its dates.

    Each AMOUNT is one part: "split K7F 1l 500ml", or quoted: "split K7F '2 deep sixth'". What is left keeps the code.
    """
    from prepboard.commands.given.reading import amount_held, amounts_in, moment, need_batch
    from prepboard.store.actions.food.places import split as act

    if len(batch) < 2:
        raise click.UsageError(_("say the AMOUNT of each part"))
    with session.kitchen() as kitchen:
        whole = need_batch(kitchen, batch[0])
        amounts = [amount_held(kitchen, whole.code, whole.prep, words) for words in amounts_in(batch[1:])]
        tell_did(act(kitchen.file, kitchen.who, whole.code, amounts, at=moment(kitchen, at)))


def _in_or_out(
    session: Session, batch: tuple[str, ...], place: str | None, at: str | None, act: Callable[..., Did]
) -> None:
    from prepboard.commands.given.reading import amount_held, find, moment, need_batch

    with session.kitchen() as kitchen:
        meant = need_batch(kitchen, batch[0])
        amount = amount_held(kitchen, meant.code, meant.prep, batch[1:]) if batch[1:] else None
        to = find(place, kitchen.book.places, "place") if place else None
        tell_did(act(kitchen.file, kitchen.who, meant.code, amount, to, at=moment(kitchen, at)))
