"""`show` of what is written down: a recipe, scaled, and the rules in force."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.options import format_options, shared_options
from prepboard.commands.given.printing import print_as, voice_of, width
from prepboard.commands.given.session import Session, tell
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.paper.lists.recipe import Sheet


@click.command("recipe")
@click.argument("prep", nargs=-1, required=True, metavar="PREP [AMOUNT]")
@format_options
@shared_options()
@click.pass_obj
def show_recipe(session: Session, prep: tuple[str, ...], as_json: bool, as_csv: bool) -> None:
    """A recipe, scaled to an amount.

    It gives AMOUNT of the prep; without one it is one recipe.
    """
    from prepboard.paper import text_pages
    from prepboard.paper.lists.sheet import as_object

    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        scaled = scaled_recipe(kitchen, prep)
        print_as(
            "recipe",
            voice,
            lambda: as_object(scaled, voice),
            lambda: text_pages.recipe(scaled, voice, voice.name(scaled.prep.id), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command("allergens")
@click.option("--html", is_flag=True, help="A page to print: tonight's dishes against the law's list.")
@format_options
@shared_options()
@click.pass_obj
def show_allergens(session: Session, html: bool, as_json: bool, as_csv: bool) -> None:
    """What each dish of tonight holds that harms some guests: one sheet for the floor."""
    from prepboard.paper import text_pages
    from prepboard.paper.lists import allergens

    if html and (as_json or as_csv):
        raise click.UsageError(_("--html, --json or --csv, only one of them"))
    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        if html:
            tell(allergens.as_page(kitchen.state, voice))
            return
        print_as(
            "allergens",
            voice,
            lambda: allergens.as_objects(kitchen.state, voice),
            lambda: text_pages.allergens(kitchen.state, voice, kitchen.book.kitchen.name, width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command("rules")
@format_options
@shared_options()
@click.pass_obj
def show_rules(session: Session, as_json: bool, as_csv: bool) -> None:
    """The rule book in force: every number, its section, and where it was read."""
    from prepboard.paper import text_pages
    from prepboard.paper.lists import rules

    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        print_as(
            "rules",
            voice,
            lambda: rules.as_object(voice),
            lambda: text_pages.rules(voice, kitchen.book.kitchen.name, width()),
            as_json=as_json,
            as_csv=as_csv,
        )


def scaled_recipe(kitchen: Kitchen, words: tuple[str, ...]) -> Sheet:
    """The recipe that gives a prep, scaled to the amount of it that was asked for."""
    from prepboard.commands.food.making import with_recipe
    from prepboard.commands.given.reading import amount_of, find_prep, size_of, split
    from prepboard.paper.lists.recipe import maker, sheet

    name, said = split(words)
    prep = find_prep(kitchen, name)
    recipe = maker(kitchen.book, prep.id) or with_recipe(kitchen, prep)
    if not said:
        return sheet(kitchen.book, recipe, Fraction(1))
    if recipe.id == prep.id:
        return sheet(kitchen.book, recipe, size_of(kitchen, recipe, said))
    return sheet(kitchen.book, recipe, Fraction(amount_of(kitchen, prep.id, said), recipe.outputs[prep.id]))
