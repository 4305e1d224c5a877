"""What to stick on the box."""

from __future__ import annotations

import click

from prepboard.commands.options import shared_options
from prepboard.commands.session import Session, tell
from prepboard.texts import _


@click.command()
@click.argument("batch", metavar="BATCH")
@click.option("--each", is_flag=True, help="One for each container that it fills.")
@click.option("--wide", is_flag=True, help="48 columns instead of 32.")
@click.option("--html", is_flag=True, help="A page to print, with the code as a QR code.")
@click.option("--svg", is_flag=True, help="A drawing, with the code as a QR code.")
@shared_options()
@click.pass_obj
def label(session: Session, batch: str, each: bool, wide: bool, html: bool, svg: bool) -> None:
    """Prints a batch's label: name, use-by, made, code, and what else must be known."""
    from prepboard.commands.printing import voice_of
    from prepboard.commands.reading import find_batch
    from prepboard.paper.records import label as paper
    from prepboard.paper.text.plain import plain
    from prepboard.store.file.who import Refused

    if html and svg:
        raise click.UsageError(_("--html or --svg, not both"))
    with session.kitchen() as kitchen:
        found = find_batch(kitchen, batch)
        if found is None:
            raise Refused(_("there is no batch {batch} with something left").format(batch=plain(batch)))
        held = next(one for one in kitchen.board.state.batches if one.code == found.code)
        try:
            labels = paper.labels(held, voice_of(kitchen), each=each)
        except ValueError as fault:
            raise Refused(_("{why}; label it without --each").format(why=fault)) from None
        if svg and len(labels) > 1:
            raise Refused(_("a drawing holds one label; take --html for several"))
        if html:
            tell(paper.as_page(labels, plain(kitchen.book.kitchen.name)))
        elif svg:
            tell(paper.as_svg(labels[0]))
        else:
            tell("\n".join(paper.as_text(one, paper.WIDTHS[wide]) for one in labels).removesuffix("\n"))
