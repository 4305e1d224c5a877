"""What to stick on the box."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.options import answer_options, shared_options
from prepboard.commands.given.session import Session, tell, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.commands.given.kitchen import Kitchen
    from prepboard.paper.records.label import Sheet
    from prepboard.plan.given.state import Batch


@click.command()
@click.argument("batch", metavar="BATCH")
@click.option("--each", is_flag=True, help="One for each container that it fills.")
@click.option("--wide", is_flag=True, help="48 columns instead of 32.")
@click.option("--html", is_flag=True, help="A page to print, with the code as a QR code.")
@click.option("--size", metavar="WxH", help="Of one label in mm, such as 62x40: a page of that size, as HTML.")
@click.option("--sheet", metavar="ACROSSxDOWN", help="So many labels of that size on a page, such as 3x7.")
@click.option("--edge", metavar="MM", default="0", help="The margin of the page around them.")
@click.option("--print", "command", metavar="CMD", help="Gives the page to this command instead of printing it here.")
@click.option("--sale", is_flag=True, help="For food packed for sale: its ingredients by weight, too.")
@click.option("--svg", is_flag=True, help="A drawing, with the code as a QR code.")
@click.option("--done", is_flag=True, help="The box was labelled anew: boards say no more that its label is wrong.")
@answer_options
@shared_options()
@click.pass_obj
def label(
    session: Session, batch: str, each: bool, wide: bool, html: bool, svg: bool, size: str | None, sheet: str | None,
    edge: str, command: str | None, sale: bool, done: bool,
) -> None:  # fmt: skip
    """Prints a batch's label: name, use-by, made, code, and what else must be known."""
    from prepboard.commands.given.printing import voice_of
    from prepboard.commands.given.reading import find_batch
    from prepboard.paper.records import label as paper
    from prepboard.plan.probes.watching import held_back, watch
    from prepboard.store.file.who import Refused

    if html and svg:
        raise click.UsageError(_("--html or --svg, not both"))
    if (sheet or edge != "0") and not size:
        raise click.UsageError(_("say the --size of one label in mm, such as 62x40"))
    if done:
        _labelled(session, batch)
        return
    paper_size = _sheet(size, sheet or "1x1", edge) if size else None
    with session.kitchen() as kitchen:
        found = find_batch(kitchen, batch)
        if found is None:
            raise Refused(_("there is no batch {batch} with something left").format(batch=plain(batch)))
        # Whether it may be used is said on it; a plan says nothing more of one batch.
        judged = held_back(kitchen.state, watch(kitchen.state, kitchen.now))
        held = next(one for one in judged.batches if one.code == found.code)
        try:
            more = _for_sale(kitchen, held) if sale else []
            labels = paper.labels(held, voice_of(kitchen), each=each, sale=more)
        except ValueError as fault:
            raise Refused(_("{why}; label it without --each").format(why=fault)) from None
        if svg and len(labels) > 1:
            raise Refused(_("a drawing holds one label; take --html for several"))
        name = plain(kitchen.book.kitchen.name)
        if session.as_json and not command:
            tell(paper.as_json(labels, name))
            return
        if paper_size:
            shown = paper.on_sheets(labels, name, paper_size)
        elif html:
            shown = paper.as_page(labels, name)
        elif svg:
            shown = paper.as_svg(labels[0])
        else:
            shown = "\n".join(paper.as_text(one, paper.WIDTHS[wide]) for one in labels).removesuffix("\n")
    if command:
        _hand_over(command, shown)
    else:
        tell(shown)


def _labelled(session: Session, batch: str) -> None:
    from prepboard.store.actions.food.holding import relabelled

    with session.kitchen() as kitchen:
        tell_did(relabelled(kitchen.file, kitchen.who, batch))


def _for_sale(kitchen: Kitchen, batch: Batch) -> list[str]:
    """The ingredients by the book and the run that the batch came from."""
    from prepboard.paper.records.for_sale import lines
    from prepboard.store.file.who import Refused
    from prepboard.store.past.made_from import made_from

    found = made_from(kitchen.file, batch.code)
    if found is None:
        raise Refused(_("no run gave {batch}: nobody knows what is in it").format(batch=batch.code))
    return lines(*found)


def _sheet(size: str, sheet: str, edge: str) -> Sheet:
    """The paper: "62x40", "3x7" and "8"."""
    from prepboard.paper.records.label import Sheet

    sides = re.fullmatch(r"(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)", size)
    grid = re.fullmatch(r"(\d+)x(\d+)", sheet)
    if not sides or not grid or not re.fullmatch(r"\d+(?:\.\d+)?", edge):
        raise click.UsageError(_("sizes are in mm: --size 62x40, --sheet 3x7, --edge 8"))
    width, height = Fraction(sides[1]), Fraction(sides[2])
    if not (10 <= width <= 420 and 10 <= height <= 420 and 1 <= int(grid[1]) <= 20 and 1 <= int(grid[2]) <= 50):
        raise click.UsageError(_("a label is from 10 to 420 mm, a sheet at most 20x50 of them"))
    return Sheet(width, height, int(grid[1]), int(grid[2]), Fraction(edge))


def _hand_over(command: str, shown: str) -> None:
    """Gives a page to a printing command on its standard input; refused with what it said when it fails."""
    import shlex
    import subprocess

    from prepboard.store.file.who import Refused

    try:
        done = subprocess.run(
            shlex.split(command), input=shown, text=True, capture_output=True, timeout=60, check=False
        )
    except (OSError, ValueError, subprocess.TimeoutExpired) as fault:
        raise Refused(_("{command} did not print: {why}").format(command=command, why=fault)) from None
    if done.returncode:
        why = " ".join(done.stderr.split()) or _("it failed")
        raise Refused(_("{command} did not print: {why}").format(command=command, why=why))
    tell(_("printed by {command}").format(command=command))
