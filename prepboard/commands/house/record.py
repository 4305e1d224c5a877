"""The file's health: whether the log and the amounts are whole, a safe copy, and back again."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from prepboard.commands.given.options import answer_options, shared_options, sous_only
from prepboard.commands.given.progress import progress
from prepboard.commands.given.session import Session, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _


@click.command()
@click.option("--seal", metavar="'LINE HASH'", help="A seal from a printed record, to be found again in the log.")
@click.option("--new", is_flag=True, help="Only what came since the last check, which is quick in a large file.")
@answer_options
@shared_options()
@click.pass_obj
def check(session: Session, seal: str | None, new: bool) -> None:
    """Proves that the file is whole: its amounts, its readings, and the log from the first line to the last.

    The kitchen checks itself once a day, from the last checked line on; show file and the sous chef's board say what
    that found.
    """
    from prepboard.store.file.faults import StoreFault
    from prepboard.store.file.who import Did
    from prepboard.store.health.health import sealed
    from prepboard.store.health.upkeep import check_now

    with session.file() as file:
        with progress(_("checking the log, line {n} of {of}")) as far:
            faults = check_now(file, seal, whole=not new, progress=far)
        if faults:
            raise StoreFault("; ".join(faults))
        seal_now = sealed(file)
        said = _("the file is whole, and the log unbroken to its last line; seal {seal}")
        if new:
            said = _("what came since the last check is as it was written; seal {seal}")
        tell_did(Did(said.format(seal=seal_now), ""), seal=seal_now)


@click.command()
@click.argument("path", metavar="PATH", type=click.Path(path_type=Path))
@answer_options
@shared_options()
@click.pass_obj
def backup(session: Session, path: Path) -> None:
    """Makes a safe copy of the file, while all stations go on."""
    from prepboard.store.file.who import Did
    from prepboard.store.health.restoring import backup as copy

    with session.file() as file:
        with progress():
            copy(file, path)
        tell_did(Did(_("copied to {file}").format(file=path), ""), file=str(path))


@sous_only
@click.command()
@click.argument("path", metavar="PATH", type=click.Path(path_type=Path))
@click.option("--sure", is_flag=True, help="Yes, even if changes are forgotten.")
@answer_options
@shared_options()
@click.pass_obj
def restore(session: Session, path: Path, sure: bool) -> None:
    """Puts a copy in the file's place; what was there is kept beside it.

    It says first what the copy does not know, and asks.
    """
    from prepboard.store.file.who import Unsure
    from prepboard.store.health.restoring import restore as restore_file

    with session.file() as file:
        try:
            with progress():
                did = restore_file(file, session.who(), path, sure=sure)
            tell_did(did)
        except Unsure as unsure:
            if not sys.stdin.isatty():
                raise
            click.confirm(plain(str(unsure)), abort=True)
            with progress():
                did = restore_file(file, session.who(), path, sure=True)
            tell_did(did)
