"""What history learns and is told: special days, new recipes, past services, and tables from a spreadsheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.options import answer_options, shared_options, sitting_options, sous_only
from prepboard.commands.given.session import Session, for_a_script, tell, tell_did
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.commands.given.kitchen import Kitchen
    from prepboard.commands.tables.spreadsheet import Sheet
    from prepboard.plan.given.numbers import Change

SURE = click.option("--sure", is_flag=True, help="Yes, even if some are far more than usual.")
TABLE = click.argument("table", metavar="CSV", type=click.Path(path_type=Path))


@sous_only
@click.command()
@click.argument("service")
@click.option("--off", is_flag=True, help="It is an ordinary day after all.")
@sitting_options(service=False)
@answer_options
@shared_options()
@click.pass_obj
def special(session: Session, service: str, off: bool, day: str | None) -> None:
    """Marks a sitting as a special day, such as a feast.

    History learns nothing from it, and its pars carry no promise; last year's count stands beside them.
    """
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.history import special as act

    with session.kitchen() as kitchen:
        tell_did(act(kitchen.file, kitchen.who, sitting(kitchen, service, day).key, not off))


@sous_only
@click.command()
@click.argument("dish")
@answer_options
@shared_options()
@click.pass_obj
def reset(session: Session, dish: str) -> None:
    """Says that a dish has a new recipe, or stands on a new menu.

    What history learned of it so far weighs less from now on.
    """
    from prepboard.commands.given.reading import find
    from prepboard.store.actions.history import reset as act

    with session.kitchen() as kitchen:
        tell_did(act(kitchen.file, kitchen.who, find(dish, kitchen.book.dishes, "dish")))


@click.group()
def history() -> None:
    """What past services sold, and what was learned from it."""


@sous_only
@history.command("import")
@TABLE
@SURE
@answer_options
@shared_options()
@click.pass_obj
def history_import(session: Session, table: Path, sure: bool) -> None:
    """Reads plates and covers of past services.

    The columns are day, service, dish, plates, covers, and special where there is one; a line is one dish of one
    sitting, with the covers of the whole sitting. Write a line with 0 plates for a dish that nobody took: a dish
    without a line was not on offer. A sitting is a special day where a line of it says "yes" under special: history
    learns nothing from it. When any line does not fit, all of those are named and nothing is imported.
    """
    from prepboard.commands.tables.importing import check_past, past_sittings
    from prepboard.commands.tables.spreadsheet import Sheet
    from prepboard.store.actions.past_plates import record_past

    with session.kitchen() as kitchen:
        sheet = Sheet(table, ("day", "service", "dish", "plates", "covers"))
        sittings = past_sittings(kitchen, sheet)
        if not sure:
            check_past(kitchen, sittings)
        tell_did(record_past(kitchen.file, kitchen.who, sittings))


@history.command("show")
@click.argument("dish")
@click.option("--csv", "as_csv", is_flag=True, help="For a spreadsheet.")
@click.option("--json", "as_json", is_flag=True, help="For a script.")
@shared_options()
@click.pass_obj
def history_show(session: Session, dish: str, as_json: bool, as_csv: bool) -> None:
    """The last services of a dish: its plates against its pars, and how far they are to be trusted."""
    from prepboard.commands.given.printing import print_as, voice_of, width
    from prepboard.commands.given.reading import find
    from prepboard.paper.text.chart import besides, chart, objects

    with session.kitchen() as kitchen:
        meant = find(dish, kitchen.book.dishes, "dish")
        board, voice = kitchen.board, voice_of(kitchen)
        learned = board.learned.get(meant)
        print_as(
            "history",
            voice,
            lambda: objects(learned),
            lambda: "\n".join(chart(learned, voice, meant, width(), board.pars, board.learned_of_kitchen)),
            besides(learned, meant),
            as_json=as_json,
            as_csv=as_csv,
        )


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
    from prepboard.commands.tables.importing import covers_ahead

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
    from prepboard.commands.tables.importing import pars

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
    from prepboard.commands.tables.importing import shelves
    from prepboard.commands.tables.spreadsheet import Sheet
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
