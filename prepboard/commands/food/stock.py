"""What is held: counted, used for something else than plates, thrown away."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from prepboard.commands.given.options import AT, answer_options, shared_options
from prepboard.commands.given.session import Session, tell_did
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.commands.given.kitchen import Kitchen

PURPOSES = ("staff", "tasting", "guest", "transfer", "donated")
REASONS = (
    "past-use-by", "not-needed", "spoiled", "burnt", "wrong", "dropped", "unsafe", "no-date", "sent-back", "trim",
    "other",
)  # fmt: skip


@click.command()
@click.argument("held", nargs=-1, required=True, metavar="PREP|BATCH|GOODS AMOUNT")
@click.option("--made-at", "made_at", metavar="TIME", help="When it was made, if there is more than was known.")
@click.option("--sure", is_flag=True, help="Yes, even if it is far more than usual.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def count(session: Session, held: tuple[str, ...], made_at: str | None, sure: bool, at: str | None) -> None:
    """Says what is really there.

    Less than known comes off what expires first; more goes back onto what a count took away, else needs --made-at.
    """
    from prepboard.commands.given.reading import amount_held, amount_of, find_held, moment, split
    from prepboard.plan.changing.usual import usual_there
    from prepboard.store.actions.food.shelf import count_goods
    from prepboard.store.actions.food.stock import count as act
    from prepboard.store.food.counted import gone_batch

    word, words = split(held)
    if not words:
        raise click.UsageError(_("say the AMOUNT that is there"))
    with session.kitchen() as kitchen:
        if goods := _goods_meant(kitchen, word):
            tell_did(
                count_goods(kitchen.file, kitchen.who, goods, amount_of(kitchen, goods, words), at=moment(kitchen, at))
            )
            return
        gone = gone_batch(kitchen.file, word.strip())
        target, item = (word.strip(), gone) if gone else find_held(kitchen, word)
        amount = amount_held(kitchen, target, item, words)
        made, when = moment(kitchen, made_at), moment(kitchen, at)
        usual = usual_there(kitchen.board, item) if item in kitchen.book.preps else None
        did = act(kitchen.file, kitchen.who, target, amount, made_at=made, usual=usual, sure=sure, at=when)
        tell_did(did)


def _goods_meant(kitchen: Kitchen, word: str) -> str:
    """The good that a word names, where no prep and no batch goes by it; "" else."""
    from prepboard.commands.given.reading import find, find_batch
    from prepboard.store.file.who import Refused

    if find_batch(kitchen, word):
        return ""
    try:
        found = find(word, {**kitchen.book.preps, **kitchen.book.goods}, _("batch, prep or goods"))
    except Refused:
        return ""
    return found if found in kitchen.book.goods else ""


@click.command()
@click.argument("held", nargs=-1, required=True, metavar="PREP|BATCH AMOUNT")
@click.option("--for", "purpose", type=click.Choice(PURPOSES), required=True, help="What it went for.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def use(session: Session, held: tuple[str, ...], purpose: str, at: str | None) -> None:
    """Something is gone that was neither plated nor wasted."""
    from prepboard.commands.given.reading import amount_held, find_held, moment, split
    from prepboard.store.actions.food.stock import use as act

    word, words = split(held)
    if not words:
        raise click.UsageError(_("say the AMOUNT that went"))
    with session.kitchen() as kitchen:
        target, item = find_held(kitchen, word)
        amount, when = amount_held(kitchen, target, item, words), moment(kitchen, at)
        tell_did(act(kitchen.file, kitchen.who, target, amount, purpose, at=when))


@click.command()
@click.argument("held", nargs=-1, required=True, metavar="PREP|BATCH|GOODS [AMOUNT]")
@click.option("--why", type=click.Choice(REASONS), required=True, help="Why it is thrown away.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def discard(session: Session, held: tuple[str, ...], why: str, at: str | None) -> None:
    """Throws away all of a prep, a batch or opened goods, or AMOUNT of it."""
    from prepboard.commands.given.reading import amount_held, find_held, moment, split
    from prepboard.store.actions.food.stock import discard as act

    word, words = split(held)
    with session.kitchen() as kitchen:
        target, item = find_held(kitchen, word, goods=True)
        amount = amount_held(kitchen, target, item, words) if words else None
        tell_did(act(kitchen.file, kitchen.who, target, amount, why, at=moment(kitchen, at)))
