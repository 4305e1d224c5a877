"""The file's health: whether the log and the amounts are whole, a safe copy, and back again."""

from __future__ import annotations

from pathlib import Path

import click

from prepboard.commands.options import shared_options
from prepboard.commands.session import Session, tell, tell_did
from prepboard.texts import _


@click.command()
@click.option("--seal", metavar="'LINE HASH'", help="A seal from a printed record, to be found again in the log.")
@shared_options()
@click.pass_obj
def check(session: Session, seal: str | None) -> None:
    """Proves that the file is whole: its amounts, its readings, and the log from the first line to the last."""
    from prepboard.store.act.health import check as faults_of
    from prepboard.store.act.health import sealed
    from prepboard.store.file.faults import StoreFault

    with session.file() as file:
        faults = faults_of(file, seal)
        if faults:
            raise StoreFault("; ".join(faults))
        tell(_("the file is whole, and the log unbroken to its last line; seal {seal}").format(seal=sealed(file)))


@click.command()
@click.argument("path", metavar="PATH", type=click.Path(path_type=Path))
@shared_options()
@click.pass_obj
def backup(session: Session, path: Path) -> None:
    """Makes a safe copy of the file, while all stations go on."""
    from prepboard.store.act.health import backup as copy

    with session.file() as file:
        copy(file, path)
        tell(_("copied to {file}").format(file=path))


@click.command()
@click.argument("path", metavar="PATH", type=click.Path(path_type=Path))
@shared_options()
@click.pass_obj
def restore(session: Session, path: Path) -> None:
    """Puts a copy in the file's place; what was there is kept beside it."""
    from prepboard.store.act.health import restore as put_back

    with session.file() as file:
        tell_did(put_back(file, session.who(), path))
