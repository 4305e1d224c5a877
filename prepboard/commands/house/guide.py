"""The guide: its pages in a terminal, or as plain text."""

from __future__ import annotations

import click

from prepboard.commands.given.session import tell
from prepboard.texts import _


@click.command()
@click.argument("page", required=False, metavar="[PAGE]")
def guide(page: str | None) -> None:
    """The guide: how everything is done, page by page.

    Without a terminal it prints the page, or without PAGE the list of pages.
    """
    from prepboard.commands.house.boards import on_a_terminal
    from prepboard.guide.pages import TITLES, title
    from prepboard.guide.pages import page as text_of

    if page is not None and page not in TITLES:
        said = _("there is no page '{page}'; there are {pages}")
        raise click.UsageError(said.format(page=page, pages=", ".join(TITLES)))
    if on_a_terminal():
        from prepboard.guide.viewer import GuideApp

        GuideApp({name: title(name) for name in TITLES}, page or next(iter(TITLES)), text_of).run()
    elif page is None:
        tell(_("Pages; read one with: prepboard guide PAGE"))
        for name in TITLES:
            tell(f"  {name:<10} {title(name)}")
    else:
        tell(text_of(page))
