"""A dish while a service runs: taken off, back, with a smaller portion."""

from __future__ import annotations

import click

from prepboard.commands.given.options import answer_options, shared_options, sitting_options, sous_only
from prepboard.commands.given.session import Session, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _


@click.command("86")
@click.argument("dish", nargs=-1, required=True, metavar="DISH")
@click.option("--why", required=True, metavar="TEXT", help="Why it is taken off.")
@sitting_options()
@answer_options
@shared_options()
@click.pass_obj
def take_off(session: Session, dish: tuple[str, ...], why: str, service: str | None, day: str | None) -> None:
    """Takes a dish off, on every board at once, until it is back."""
    from prepboard.commands.given.reading import find
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.night.dishes import take_off as act

    with session.kitchen() as kitchen:
        meant = find(" ".join(dish), kitchen.book.dishes, "dish")
        at = sitting(kitchen, service, day, dish=meant, plates=True)
        tell_did(act(kitchen.file, kitchen.who, at.key, meant, plain(why)))


@click.command()
@click.argument("dish", nargs=-1, required=True, metavar="DISH")
@sitting_options()
@answer_options
@shared_options()
@click.pass_obj
def back(session: Session, dish: tuple[str, ...], service: str | None, day: str | None) -> None:
    """A dish that a person took off is offered again."""
    from prepboard.commands.given.reading import find
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.night.dishes import back as act

    with session.kitchen() as kitchen:
        meant = find(" ".join(dish), kitchen.book.dishes, "dish")
        at = sitting(kitchen, service, day, dish=meant, plates=True)
        tell_did(act(kitchen.file, kitchen.who, at.key, meant))


@sous_only
@click.command()
@click.argument("dish")
@click.argument("prep", nargs=-1, required=True, metavar="PREP [AMOUNT]")
@click.option("--free", is_flag=True, help="Back to the book's portion.")
@click.option("--sure", is_flag=True, help="Yes, even if it is far more than the book's.")
@sitting_options()
@answer_options
@shared_options()
@click.pass_obj
def portion(
    session: Session, dish: str, prep: tuple[str, ...], free: bool, sure: bool, service: str | None, day: str | None
) -> None:
    """What a plate of a dish takes of a prep from now on, for that day."""
    from prepboard.commands.given.reading import amount_of, find, split
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.night.dishes import portion as act

    word, words = split(prep)
    if free == bool(words):
        raise click.UsageError(_("say an AMOUNT, or --free"))
    with session.kitchen() as kitchen:
        meant = find(dish, kitchen.book.dishes, "dish")
        plate = kitchen.book.dishes[meant].plate
        on_it = {item: known for item, known in kitchen.book.preps.items() if item in plate}
        item = find(word, on_it, _("prep on a plate of this dish"))
        at = sitting(kitchen, service, day, dish=meant, plates=True)
        amount = None if free else amount_of(kitchen, item, words)
        tell_did(act(kitchen.file, kitchen.who, at.key, meant, item, amount, sure))
