"""`show file`: the kitchen's file itself, its copies and its checks."""

from __future__ import annotations

import click

from prepboard.commands.given.options import format_options, shared_options
from prepboard.commands.given.printing import print_as, title, voice_of, width
from prepboard.commands.given.session import Session


@click.command("file")
@format_options
@shared_options()
@click.pass_obj
def show_file(session: Session, as_json: bool, as_csv: bool) -> None:
    """The file itself: its size, who may write to it, its copies, and what the last check found."""
    from prepboard.paper import text_pages
    from prepboard.paper.records.file_facts import objects
    from prepboard.store.health.about_the_file import about

    with session.kitchen() as kitchen:
        found = about(kitchen.file)
        print_as(
            "file",
            voice_of(kitchen),
            lambda: objects(found.facts),
            lambda: text_pages.file_facts(found.facts, voice_of(kitchen), title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )
