"""Tables from a spreadsheet, read in: covers, pars, what is on the shelves, costs of goods."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.options import SURE, TABLE, answer_options, shared_options, sous_only
from prepboard.commands.given.session import Session, for_a_script, tell, tell_did
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.commands.given.kitchen import Kitchen
    from prepboard.commands.tables.spreadsheet import Sheet
    from prepboard.plan.given.numbers import Change


@click.group("import")
def import_() -> None:
    """Tables from a spreadsheet. When any line does not fit, all of those are named and nothing is imported."""


@sous_only
@import_.command("covers")
@TABLE
@SURE
@answer_options
@shared_options()
@click.pass_obj
def import_covers(session: Session, table: Path, sure: bool) -> None:
    """Booked covers of the sittings ahead: day, service, covers."""
    from prepboard.commands.tables.table_lines import covers_ahead

    _save(session, table, ("day", "service", "covers"), covers_ahead, sure)


@sous_only
@import_.command("pars")
@TABLE
@SURE
@answer_options
@shared_options()
@click.pass_obj
def import_pars(session: Session, table: Path, sure: bool) -> None:
    """Pars by hand: prep, amount.

    With day and service it is the par of that sitting, without them a standing one. What `show pars --csv` wrote is
    read too, where pars that nobody changed stay computed.
    """
    from prepboard.commands.tables.table_lines import pars

    _save(session, table, ("prep", "amount"), pars, sure, {"par": "amount"})


@import_.command("stock")
@TABLE
@SURE
@answer_options
@shared_options()
@click.pass_obj
def import_stock(session: Session, table: Path, sure: bool) -> None:
    """What is on the shelves on the first day: prep, amount, made_at; also place.

    A line is one lot; "made_at" is a day or a moment, and a day alone counts from its start. Lines without an amount
    are passed over: show stock --csv writes a table to fill in, with a line for each prep.
    """
    from prepboard.commands.tables.spreadsheet import Sheet
    from prepboard.commands.tables.table_lines import shelves
    from prepboard.store.actions.food.first_stock import put_on_shelf

    with session.kitchen() as kitchen:
        sheet = Sheet(table, ("prep", "amount", "made_at"), {"made": "made_at"})
        tell_did(put_on_shelf(kitchen.file, kitchen.who, shelves(kitchen, sheet), sure=sure))


@import_.command("goods")
@TABLE
@click.option("--book", required=True, metavar="FOLDER", type=click.Path(path_type=Path), help="The recipe book.")
@answer_options
@shared_options()
@click.pass_obj
def import_goods(session: Session, table: Path, book: Path) -> None:
    """Goods: goods, cost; for goods new to the book also unit, name, allergens.

    Costs of goods that the book has are changed in its own files, and nothing else in them; new goods go into a file
    of their own beside them, to be completed there. Then the book is loaded.
    """
    from prepboard.commands.tables.goods_table import goods_into
    from prepboard.commands.tables.spreadsheet import Sheet
    from prepboard.store.actions.loading import load_book

    with session.file() as file:
        changed = goods_into(book, Sheet(table, ("goods", "cost")))
        did = load_book(file, session.who(), book)
        if for_a_script():
            tell_did(did, changed=changed)
            return
        tell(_("changed: {files}").format(files=", ".join(changed)) if changed else _("the book has all of it already"))
        tell_did(did)


def _save(
    session: Session, table: Path, columns: tuple[str, ...], read: Callable[[Kitchen, Sheet], list[Change]],
    sure: bool, also: Mapping[str, str] | None = None,
) -> None:  # fmt: skip
    from prepboard.commands.tables.spreadsheet import Sheet
    from prepboard.plan.changing.usual import with_usual
    from prepboard.store.actions.night.numbers import save
    from prepboard.store.file.who import Did

    with session.kitchen() as kitchen:
        changes = read(kitchen, Sheet(table, columns, also or {}))
        if not changes:
            tell_did(Did(_("all of it is so already"), ""))
            return
        tell_did(save(kitchen.file, kitchen.who, with_usual(kitchen.board, changes), sure))
