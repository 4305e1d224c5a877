"""The close: its board."""

from __future__ import annotations

import click

from prepboard.commands.given.options import shared_options
from prepboard.commands.given.session import Session, tell
from prepboard.commands.house.boards import benches, on_a_terminal, open_closing


@click.command()
@click.argument("names", nargs=-1, metavar="[STATION...]")
@shared_options()
@click.pass_obj
def closing(session: Session, names: tuple[str, ...]) -> None:
    """Opens the close: of the whole kitchen, or of the stations named.

    Without a terminal it prints the close as text.
    """
    if on_a_terminal():
        open_closing(session, names)
        return
    from prepboard.boards.closing.rows import lists_of
    from prepboard.commands.given.printing import title, width
    from prepboard.paper.text_pages import closing as page

    with session.kitchen() as kitchen:
        stations = benches(kitchen.book, names) or ((kitchen.who.station,) if kitchen.who.station else ())
        tell(page(lists_of(kitchen.board, stations), kitchen.board, title(kitchen), width()))
