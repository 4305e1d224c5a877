"""What history learns and is told: special days, new recipes, past services."""

from __future__ import annotations

from pathlib import Path

import click

from prepboard.commands.given.options import (
    SURE,
    TABLE,
    answer_options,
    shared_options,
    sitting_options,
    sous_only,
)
from prepboard.commands.given.session import Session, tell_did


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
    from prepboard.commands.tables.spreadsheet import Sheet
    from prepboard.commands.tables.table_lines import check_past, past_sittings
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
    from prepboard.paper.sentences.chart import besides, chart, objects

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
