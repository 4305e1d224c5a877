"""A batch's way, and all that it reached taken back."""

from __future__ import annotations

import click

from prepboard.book.names import every
from prepboard.commands.given.options import AT, answer_options, format_options, shared_options
from prepboard.commands.given.session import Session, tell_did
from prepboard.paper.text.plain import plain


@click.command("trace")
@click.argument("batch")
@format_options
@shared_options()
@click.pass_obj
def show_trace(session: Session, batch: str, as_json: bool, as_csv: bool) -> None:
    """What a batch was made from and what it went into, each with its own, to the end.

    It may be used up already: the code on an old label still leads there.
    """
    from prepboard.commands.given.printing import print_as, title, voice_of, width
    from prepboard.paper import as_text
    from prepboard.paper.records.trace import as_object, page, rows
    from prepboard.store.past.tracing import trace

    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        found = trace(kitchen.file, batch.strip())
        print_as(
            "trace",
            voice,
            lambda: list(rows(found, voice)) if as_csv else as_object(found, voice),
            lambda: as_text.whole(title(kitchen), page(found, voice, width()), voice, width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command()
@click.argument("lot", nargs=-1, required=True, metavar="LOT|BATCH|GOODS")
@click.option("--lot", "of_lot", metavar="LOT", default="", help="Of GOODS: this lot; all of them without it.")
@click.option("--why", metavar="TEXT", default="", help="Why; it stands on every batch that is held back.")
@click.option("--sure", is_flag=True, help="Yes, hold all of it back (sous chef).")
@AT
@answer_options
@shared_options()
@click.pass_obj
def withdraw(session: Session, lot: tuple[str, ...], of_lot: str, why: str, sure: bool, at: str | None) -> None:
    """Names all that a lot, goods or a batch reached; with --sure it is held back, with what comes of it."""
    from prepboard.commands.given.reading import moment
    from prepboard.store.actions.food.withdrawing import withdraw as act

    with session.kitchen() as kitchen:
        meant = plain(" ".join(lot)).strip()
        named = {name.casefold(): one.id for one in kitchen.book.goods.values() for name in every(one.called)}
        meant = named.get(meant.casefold(), meant)
        when = moment(kitchen, at)
        tell_did(act(kitchen.file, kitchen.who, meant, plain(why), lot=plain(of_lot), sure=sure, at=when))
