"""Held back, kept, put right."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from prepboard.book.names import every
from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.options import answer_options, shared_options, sitting_options
from prepboard.commands.given.session import Session, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.file.who import Did

WHY = click.option("--why", required=True, metavar="TEXT", help="Why; it stays in the record.")


@click.command()
@click.argument("held", nargs=-1, required=True, metavar="BATCH|PLACE")
@WHY
@click.option("--for-taste", is_flag=True, help="Only for its taste: what was made of it may still be used.")
@answer_options
@shared_options()
@click.pass_obj
def block(session: Session, held: tuple[str, ...], why: str, for_taste: bool) -> None:
    """Holds back a batch, or a place with all that stands there, and what was made of it."""
    from prepboard.store.actions.food.holding import block as act

    with session.kitchen() as kitchen:
        held_back = _batch_or_place(kitchen, " ".join(held))
        tell_did(act(kitchen.file, kitchen.who, held_back, plain(why), for_taste=for_taste))


@click.command()
@click.argument("held", nargs=-1, required=True, metavar="BATCH|PLACE|GOODS|LOT")
@WHY
@answer_options
@shared_options()
@click.pass_obj
def unblock(session: Session, held: tuple[str, ...], why: str) -> None:
    """Lets a batch or a place be used again, or lifts what was withdrawn (sous chef)."""
    from prepboard.store.actions.food.holding import unblock as act

    with session.kitchen() as kitchen:
        tell_did(act(kitchen.file, kitchen.who, _withheld(kitchen, " ".join(held)), plain(why)))


@click.command()
@click.argument("batch")
@WHY
@answer_options
@shared_options()
@click.pass_obj
def keep(session: Session, batch: str, why: str) -> None:
    """Keeps a good batch that nothing ahead needs (sous chef)."""
    from prepboard.commands.given.reading import need_batch
    from prepboard.store.actions.food.holding import keep as act

    with session.kitchen() as kitchen:
        tell_did(act(kitchen.file, kitchen.who, need_batch(kitchen, batch).code, plain(why)))


@click.command("keep-for")
@click.argument("batch")
@click.argument("service", nargs=-1, metavar="[SERVICE]")
@click.option("--free", is_flag=True, help="It is for all again.")
@sitting_options(service=False)
@answer_options
@shared_options()
@click.pass_obj
def keep_for(session: Session, batch: str, service: tuple[str, ...], free: bool, day: str | None) -> None:
    """Sets a batch aside for one service; nothing else takes it."""
    from prepboard.commands.given.reading import need_batch
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.food.holding import keep_for as act

    if free == bool(service):
        raise click.UsageError(_("say the SERVICE that it is for, or --free"))
    with session.kitchen() as kitchen:
        meant = None if free else sitting(kitchen, " ".join(service), day).key
        tell_did(act(kitchen.file, kitchen.who, need_batch(kitchen, batch).code, meant))


@click.command()
@click.argument("batch")
@click.option("--made-at", "made_at", metavar="TIME", help="When it was really made; day 1 goes with it.")
@click.option("--day-one", "day_one", metavar="DAY", help="Its day 1, where that is before the day it was made.")
@click.option("--use-by", "use_by", metavar="DAY", help="The last day that the maker says it is safe.")
@click.option("--lot", metavar="LOT", help="The lot of opened goods; of a run GOODS=LOT, as it stands on the pack.")
@WHY
@answer_options
@shared_options()
@click.pass_obj
def correct(
    session: Session,
    batch: str,
    made_at: str | None,
    day_one: str | None,
    use_by: str | None,
    lot: str | None,
    why: str,
) -> None:
    """Puts a wrong label right (sous chef); the record keeps both."""
    from prepboard.commands.given.reading import day, moment, need_batch
    from prepboard.store.actions.food.holding import Right
    from prepboard.store.actions.food.holding import correct as act

    if not (made_at or day_one or use_by or lot):
        raise click.UsageError(_("say what is right: --made-at, --day-one, --use-by or --lot"))
    with session.kitchen() as kitchen:
        if lot and "=" in lot:
            tell_did(_lot_of_run(kitchen, batch, lot, plain(why)))
            return
        right = Right(
            moment(kitchen, made_at),
            day(kitchen, day_one) if day_one else None,
            day(kitchen, use_by) if use_by else None,
            plain(lot).strip() if lot else None,
        )
        tell_did(act(kitchen.file, kitchen.who, need_batch(kitchen, batch).code, right, plain(why)))


def _lot_of_run(kitchen: Kitchen, run: str, typed: str, why: str) -> Did:
    """The lot of goods that went into a run of which no pack is on record."""
    from prepboard.commands.given.reading import find
    from prepboard.store.actions.food.withdrawing import lot_of

    goods, _equals, lot = typed.partition("=")
    meant = find(goods, kitchen.book.goods, _("goods"))
    return lot_of(kitchen.file, kitchen.who, run.strip(), meant, plain(lot).strip(), why)


def _withheld(kitchen: Kitchen, word: str) -> str:
    """The code of a batch, the id of a place or of goods; anything else may be a lot."""
    from prepboard.commands.given.reading import find_batch

    batch, text = find_batch(kitchen, word), word.strip()
    if batch:
        return batch.code
    named = {name.casefold(): one.id for one in kitchen.book.goods.values() for name in every(one.called)}
    named |= {name.casefold(): one.id for one in kitchen.book.places.values() for name in every(one.called)}
    return named.get(text.casefold(), text)


def _batch_or_place(kitchen: Kitchen, word: str) -> str:
    """The code of a batch, or the id of a place."""
    from prepboard.commands.given.reading import find, find_batch

    batch = find_batch(kitchen, word)
    return batch.code if batch else find(word, kitchen.book.places, _("batch or place"))
