"""A PIN of one's own: set, or taken away where it was forgotten."""

from __future__ import annotations

import sys

import click

from prepboard.commands.given.options import answer_options, shared_options
from prepboard.commands.given.session import Session, tell_did
from prepboard.texts import _


@click.command(name="pin")
@click.option(
    "--remove", metavar="INITIALS", help="They have no PIN any more: one's own, or, by a sous chef, anybody's."
)
@answer_options
@shared_options()
@click.pass_obj
def pin(session: Session, remove: str | None) -> None:
    """Sets a PIN for --by: asked for from now on before anything is done in that name.

    The new one is typed twice and not shown, or is a line of standard input: it is never part of the command.
    """
    from prepboard.store.actions.pins import forget_pin, set_pin
    from prepboard.store.file.pins import check_form

    with session.kitchen() as kitchen:
        if remove is not None:
            tell_did(forget_pin(kitchen.file, kitchen.who, remove))
            return
        if not kitchen.who.by:
            raise click.UsageError(_("whose PIN? --by MR says it"))
        # Who has one types that first.
        who = kitchen.file.prove(kitchen.who) if kitchen.file.prove else kitchen.who
        new = _new()
        check_form(new)
        tell_did(set_pin(kitchen.file, who, new))


def _new() -> str:
    if sys.stdin.isatty():
        return str(click.prompt(_("new PIN"), hide_input=True, confirmation_prompt=_("once more"), err=True)).strip()
    return sys.stdin.readline().strip()
