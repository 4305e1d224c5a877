"""Tonight's numbers: covers, the mix, fixed counts, pars by hand."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.options import answer_options, shared_options, sitting_options, sous_only
from prepboard.commands.given.session import Session, tell_did
from prepboard.plan.given.numbers import Change, Number
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.commands.given.kitchen import Kitchen

SURE = click.option("--sure", is_flag=True, help="Yes, even if it is far more than usual.")


def make_sure(kitchen: Kitchen, number: Number, to: int | Fraction | None, sure: bool) -> None:
    """Unsure when a number is more than three times what is usual, until --sure."""
    from prepboard.commands.given.printing import voice_of
    from prepboard.plan.changing.usual import with_usual
    from prepboard.store.actions.night.tonight import MOST_COVERS
    from prepboard.store.file.who import Unsure

    cannot_be = number.of in ("covers", "count") and (to or 0) > MOST_COVERS
    if sure or to is None or cannot_be:
        return
    (change,) = with_usual(kitchen.board, [Change(number, None, to)])
    if not change.is_far_more:
        return

    def said(n: int | Fraction) -> str:
        if "par" in number.of:
            return voice_of(kitchen).amount(number.item, int(n))
        return (
            f"{float(n * 100):.4g} %" if number.of == "mix" else f"{int(n):+d} %" if number.of == "percent" else str(n)
        )

    far = _("{amount} is more than three times what is usual, {usual}")
    raise Unsure(far.format(amount=said(to), usual=said(change.usual or 0)))


@sous_only
@click.command()
@click.argument("service")
@click.argument("n", type=click.IntRange(min=0))
@click.option("--real", is_flag=True, help="How many came, not how many are expected.")
@SURE
@sitting_options(service=False)
@answer_options
@shared_options()
@click.pass_obj
def covers(session: Session, service: str, n: int, real: bool, sure: bool, day: str | None) -> None:
    """Sets how many guests a sitting expects.

    With --real it is how many came, to the sitting under way or the last one.
    """
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.night.tonight import covers as act

    with session.kitchen() as kitchen:
        meant = sitting(kitchen, service, day, held=real)
        make_sure(kitchen, Number("covers", meant.key), n, sure)
        tell_did(act(kitchen.file, kitchen.who, meant.key, n, came=real))


@sous_only
@click.command()
@click.argument("dish")
@click.argument("share", metavar="SHARE")
@click.option("--only", is_flag=True, help="Leave the other dishes of the course as they are.")
@SURE
@sitting_options()
@answer_options
@shared_options()
@click.pass_obj
def mix(session: Session, dish: str, share: str, only: bool, sure: bool, service: str | None, day: str | None) -> None:
    """Sets which share of the guests takes a dish.

    SHARE is written like 0.25 or "25 %". The other dishes of the course make room, in proportion.
    """
    from prepboard.commands.given.reading import find
    from prepboard.commands.given.reading import share as read_share
    from prepboard.commands.given.sittings import sitting
    from prepboard.plan.demand.mix import shares
    from prepboard.store.actions.night.tonight import mix as act

    with session.kitchen() as kitchen:
        meant = find(dish, kitchen.book.dishes, "dish")
        at = sitting(kitchen, service, day, dish=meant)
        make_sure(kitchen, Number("mix", at.key, meant), read_share(share), sure)
        set_to = shares(kitchen.book, at, meant, read_share(share), only=only)
        tell_did(act(kitchen.file, kitchen.who, at.key, set_to))


@sous_only
@click.command("count-for")
@click.argument("dish")
@click.argument("n", type=click.IntRange(min=0))
@SURE
@sitting_options()
@answer_options
@shared_options()
@click.pass_obj
def count_for(session: Session, dish: str, n: int, sure: bool, service: str | None, day: str | None) -> None:
    """Sets a fixed count of a dish, as for a function.

    Chance has no part in its pars any more.
    """
    from prepboard.commands.given.reading import find
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.night.tonight import count_for as act

    with session.kitchen() as kitchen:
        meant = find(dish, kitchen.book.dishes, "dish")
        at = sitting(kitchen, service, day, dish=meant)
        make_sure(kitchen, Number("count", at.key, meant), n, sure)
        tell_did(act(kitchen.file, kitchen.who, at.key, meant, n))


@sous_only
@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("percent", metavar="PERCENT")
@SURE
@sitting_options()
@answer_options
@shared_options()
@click.pass_obj
def adjust(session: Session, percent: str, sure: bool, service: str | None, day: str | None) -> None:
    """Moves all computed pars of a sitting by a percentage.

    PERCENT is written like 10 or -5.
    """
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.night.tonight import adjust as act

    try:
        by = int(percent.removesuffix("%"))
    except ValueError:
        raise click.UsageError(_("'{text}' is no whole percentage").format(text=percent)) from None
    with session.kitchen() as kitchen:
        at = sitting(kitchen, service, day)
        make_sure(kitchen, Number("percent", at.key), by, sure)
        tell_did(act(kitchen.file, kitchen.who, at.key, by))


@sous_only
@click.command()
@click.argument("prep", nargs=-1, required=True, metavar="PREP [AMOUNT]")
@click.option("--free", is_flag=True, help="Back to the computed par.")
@click.option("--standing", is_flag=True, help="For good, not for one sitting.")
@click.option("--on", metavar="DAYS", help="With --standing: on these weekdays only, such as fri,sat.")
@SURE
@sitting_options()
@answer_options
@shared_options()
@click.pass_obj
def par(
    session: Session, prep: tuple[str, ...], free: bool, standing: bool, on: str | None, sure: bool,
    service: str | None, day: str | None,
) -> None:  # fmt: skip
    """Sets a par by hand for one sitting, or takes it back."""
    from prepboard.commands.given.reading import amount_of, find_prep, split, weekdays
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.night import tonight

    word, words = split(prep)
    if free == bool(words):
        raise click.UsageError(_("say an AMOUNT, or --free"))
    if on and not standing:
        raise click.UsageError(_("--on goes with --standing"))
    with session.kitchen() as kitchen:
        meant = find_prep(kitchen, word)
        amount = None if free else amount_of(kitchen, meant.id, words)
        if standing:
            make_sure(kitchen, Number("standing par", None, meant.id), amount, sure)
            tell_did(tonight.standing(kitchen.file, kitchen.who, meant.id, amount, weekdays(on) if on else ()))
        else:
            at = sitting(kitchen, service, day)
            make_sure(kitchen, Number("par", at.key, meant.id), amount, sure)
            tell_did(tonight.par(kitchen.file, kitchen.who, at.key, meant.id, amount))
