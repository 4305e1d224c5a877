"""`show` of what goes between the kitchens of a group."""

from __future__ import annotations

import click

from prepboard.commands.given.options import format_options, shared_options
from prepboard.commands.given.printing import print_as, title, voice_of, width
from prepboard.commands.given.session import Session, tell


@click.command("coming")
@format_options
@shared_options()
@click.pass_obj
def show_coming(session: Session, as_json: bool, as_csv: bool) -> None:
    """What is on its way here from other kitchens, and what left or came and does not agree."""
    from prepboard.paper import text_pages
    from prepboard.paper.lists.vans import coming_objects

    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        print_as(
            "coming",
            voice,
            lambda: coming_objects(kitchen.state, voice),
            lambda: text_pages.coming(kitchen.state, voice, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command("orders")
@format_options
@shared_options()
@click.pass_obj
def show_orders(session: Session, as_json: bool, as_csv: bool) -> None:
    """What is to be ordered before the next van closes, and what was ordered."""
    from prepboard.paper import text_pages
    from prepboard.paper.lists.vans import orders_objects, proposed_objects
    from prepboard.plan.leftovers.vans import proposed

    with session.kitchen() as kitchen:
        board, voice = kitchen.board, voice_of(kitchen)
        found = proposed(board.state, board.pars, board.make, board.now)
        print_as(
            "orders",
            voice,
            lambda: orders_objects(kitchen.state, voice),
            lambda: text_pages.orders(kitchen.state, found, voice, title(kitchen), width()),
            {"to_order": proposed_objects(found, voice)},
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command("vans")
@click.option("--html", is_flag=True, help="The packing lists as a page to print.")
@format_options
@shared_options()
@click.pass_obj
def show_vans(session: Session, html: bool, as_json: bool, as_csv: bool) -> None:
    """The packing list of each van that leaves from here: what each kitchen is to have, and what is loaded."""
    from prepboard.paper import text_pages
    from prepboard.paper.lists.vans import loads_objects, packing_sheets
    from prepboard.plan.leftovers.vans import loads

    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        found = loads(kitchen.state, kitchen.now)
        if html:
            from prepboard.paper.as_html import document

            tell(document(packing_sheets(found, voice)))
            return
        print_as(
            "vans",
            voice,
            lambda: loads_objects(found, voice),
            lambda: text_pages.vans(found, voice, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command("group")
@format_options
@shared_options()
@click.pass_obj
def show_group(session: Session, as_json: bool, as_csv: bool) -> None:
    """What is held back here and in other kitchens of the group, and who has looked for it."""
    from prepboard.paper import text_pages
    from prepboard.paper.lists.holds import holds_objects

    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        print_as(
            "group",
            voice,
            lambda: holds_objects(kitchen.state, voice),
            lambda: text_pages.group(kitchen.state, voice, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )
