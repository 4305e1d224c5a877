"""What is held: counted, used for something else than plates, thrown away."""

from __future__ import annotations

import click

from prepboard.commands.options import shared_options
from prepboard.commands.session import Session, tell_did
from prepboard.texts import _

PURPOSES = ("staff", "tasting", "guest", "transfer", "donated")
REASONS = (
    "past-use-by", "not-needed", "spoiled", "burnt", "wrong", "dropped", "unsafe", "no-date", "sent-back", "trim",
    "other",
)  # fmt: skip


@click.command()
@click.argument("held", nargs=-1, required=True, metavar="PREP|BATCH AMOUNT")
@click.option("--made-at", "made_at", metavar="TIME", help="When it was made, if there is more than was known.")
@shared_options()
@click.pass_obj
def count(session: Session, held: tuple[str, ...], made_at: str | None) -> None:
    """Says what is really there.

    Less than known comes off what expires first; more needs --made-at.
    """
    from prepboard.commands.reading import amount_of, find_held, moment, split
    from prepboard.store.actions.stock import count as act

    word, words = split(held)
    if not words:
        raise click.UsageError(_("say the AMOUNT that is there"))
    with session.kitchen() as kitchen:
        target, item = find_held(kitchen, word)
        amount = amount_of(kitchen, item, words)
        tell_did(act(kitchen.file, kitchen.who, target, amount, made_at=moment(kitchen, made_at)))


@click.command()
@click.argument("held", nargs=-1, required=True, metavar="PREP|BATCH AMOUNT")
@click.option("--for", "purpose", type=click.Choice(PURPOSES), required=True, help="What it went for.")
@shared_options()
@click.pass_obj
def use(session: Session, held: tuple[str, ...], purpose: str) -> None:
    """Something is gone that was neither plated nor wasted."""
    from prepboard.commands.reading import amount_of, find_held, split
    from prepboard.store.actions.stock import use as act

    word, words = split(held)
    if not words:
        raise click.UsageError(_("say the AMOUNT that went"))
    with session.kitchen() as kitchen:
        target, item = find_held(kitchen, word)
        tell_did(act(kitchen.file, kitchen.who, target, amount_of(kitchen, item, words), purpose))


@click.command()
@click.argument("held", nargs=-1, required=True, metavar="PREP|BATCH|GOODS [AMOUNT]")
@click.option("--why", type=click.Choice(REASONS), required=True, help="Why it is thrown away.")
@shared_options()
@click.pass_obj
def discard(session: Session, held: tuple[str, ...], why: str) -> None:
    """Throws away all of a prep or a batch, or AMOUNT of it; of goods always an AMOUNT, as they were bought."""
    from prepboard.commands.reading import amount_of, find_held, split
    from prepboard.store.actions.stock import discard as act

    word, words = split(held)
    with session.kitchen() as kitchen:
        target, item = find_held(kitchen, word, goods=True)
        amount = amount_of(kitchen, item, words) if words else None
        tell_did(act(kitchen.file, kitchen.who, target, amount, why))
