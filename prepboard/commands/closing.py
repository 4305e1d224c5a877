"""The close: its board."""

from __future__ import annotations

import click

from prepboard.commands.options import shared_options
from prepboard.commands.session import Session, tell


@click.command()
@click.argument("names", nargs=-1, metavar="[STATION...]")
@shared_options()
@click.pass_obj
def closing(session: Session, names: tuple[str, ...]) -> None:
    """Opens the close: of the whole kitchen, or of the stations named.

    Without a terminal it prints the close as text.
    """
    from prepboard.commands.printing import title, width
    from prepboard.commands.reading import find
    from prepboard.commands.setting_up import on_a_terminal

    with session.kitchen() as kitchen:
        named = dict.fromkeys(find(name, kitchen.book.stations, "station") for name in names)
        stations = tuple(named) or ((kitchen.who.station,) if kitchen.who.station else ())
        if on_a_terminal():
            from prepboard.boards.app import run_closing

            run_closing(kitchen.file, stations, kitchen.who.by)
        else:
            from prepboard.boards.closing_rows import lists_of
            from prepboard.paper.as_text import closing as page

            tell(page(lists_of(kitchen.board, stations), kitchen.board, title(kitchen), width()))
