"""`show` of what has been: the log, the record, and the waste."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Literal

import click

from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.options import format_options, shared_options
from prepboard.commands.given.printing import print_as, title, voice_of, width
from prepboard.commands.given.session import Session, tell
from prepboard.texts import _

if TYPE_CHECKING:
    pass


FOUR_WEEKS = timedelta(days=27)
"""Today and so many days before it."""


@click.command("waste")
@click.option("--from", "since", metavar="DAY", help="From this business day on; else the last four weeks.")
@click.option("--to", "until", metavar="DAY", help="Up to the end of this business day; else up to now.")
@click.option("--per", type=click.Choice(["day", "week", "month"]), default="day", help="Sums by day, week or month.")
@format_options
@shared_options()
@click.pass_obj
def show_waste(
    session: Session, since: str | None, until: str | None, per: Literal["day", "week", "month"],
    as_json: bool, as_csv: bool,
) -> None:  # fmt: skip
    """What was thrown away and why, what went and was no waste, trim: in amount and money, per cover."""
    from prepboard.paper import text_pages
    from prepboard.paper.records import waste as paper
    from prepboard.plan.leftovers.waste_report import report_of
    from prepboard.store.past.waste import past_waste

    with session.kitchen() as kitchen:
        voice, days = voice_of(kitchen), kitchen.book.kitchen.days
        begin, end = between(kitchen, since, until)
        if since is None:
            begin = days.opens(days.business_day(min(kitchen.now, end or kitchen.now)) - FOUR_WEEKS)
        just_now = kitchen.now + timedelta(seconds=1)
        end = min(end or just_now, just_now)
        at = kitchen.who.station
        report = report_of(kitchen.book, past_waste(kitchen.file, begin, end), begin, end, per, at)
        print_as(
            "waste",
            voice,
            lambda: paper.objects(report, voice),
            lambda: text_pages.waste(report, voice, title(kitchen), width()),
            paper.sums(report),
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command("stock")
@format_options
@shared_options()
@click.pass_obj
def show_stock(session: Session, as_json: bool, as_csv: bool) -> None:
    """What is on the shelves, batch by batch; as a table with a line for each prep, which import stock reads."""
    from prepboard.paper import text_pages
    from prepboard.paper.records.shelf import objects

    with session.kitchen() as kitchen:
        voice, at = voice_of(kitchen), kitchen.who.station
        print_as(
            "stock",
            voice,
            lambda: objects(kitchen.state, voice, at, to_fill=as_csv),
            lambda: text_pages.stock(kitchen.state, voice, at, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command("sold")
@click.option("--from", "since", metavar="DAY", help="From this business day on; else the last four weeks.")
@click.option("--to", "until", metavar="DAY", help="Up to this business day; else up to today.")
@format_options
@shared_options()
@click.pass_obj
def show_sold(session: Session, since: str | None, until: str | None, as_json: bool, as_csv: bool) -> None:
    """Plates of each dish by service, and the covers: what history import reads."""
    from prepboard.commands.given.reading import day
    from prepboard.paper import text_pages
    from prepboard.paper.records.sold import objects
    from prepboard.store.past.sold import sold

    with session.kitchen() as kitchen:
        last = day(kitchen, until or "today")
        first = day(kitchen, since) if since else last - FOUR_WEEKS
        lines = objects(sold(kitchen.file, first, last), kitchen.book)
        print_as(
            "sold",
            voice_of(kitchen),
            lambda: lines,
            lambda: text_pages.sold(lines, voice_of(kitchen), title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command("log")
@click.option("--from", "since", metavar="TIME", help="From a day or a moment on; else from this business day's start.")
@click.option("--to", "until", metavar="TIME", help="Up to the end of a day, or a moment; else up to now.")
@format_options
@shared_options()
@click.pass_obj
def show_log(session: Session, since: str | None, until: str | None, as_json: bool, as_csv: bool) -> None:
    """Who did what, when and where, and what it was before."""
    from prepboard.paper import text_pages
    from prepboard.paper.records import log
    from prepboard.store.past.log import log_rows

    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        begin, end = between(kitchen, since, until)
        at = kitchen.who.station
        rows = [row for row in log_rows(kitchen.file, since=begin, until=end) if at in ("", row.station)]
        print_as(
            "log",
            voice,
            lambda: log.objects(rows, voice),
            lambda: text_pages.log(rows, voice, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command("record")
@click.option("--from", "since", metavar="TIME", help="From a day or a moment on; else from this business day's start.")
@click.option("--to", "until", metavar="TIME", help="Up to the end of a day, or a moment; else up to now.")
@click.option("--html", is_flag=True, help="A page to print.")
@format_options
@shared_options()
@click.pass_obj
def show_record(
    session: Session, since: str | None, until: str | None, html: bool, as_json: bool, as_csv: bool
) -> None:
    """What an inspector asks for: readings, batches, moves, counts, discards, corrections, sign-offs, and who.

    Each line has when it was and when it was entered.
    """
    from prepboard.paper import text_pages
    from prepboard.paper.records import record as paper
    from prepboard.paper.records.record_page import as_page
    from prepboard.store.past.record import record

    if html and (as_json or as_csv):
        raise click.UsageError(_("--html, --json or --csv, only one of them"))
    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        begin, end = between(kitchen, since, until)
        found = record(kitchen.file, since=begin, until=end)
        at = kitchen.who.station
        lines = [line for line in found.lines if at in ("", line.station)]
        batches = {batch.code: batch for batch in kitchen.state.batches}
        if html:
            span = begin, min(end or kitchen.now, kitchen.now)
            tell(as_page(lines, found, voice, batches, span))
            return
        print_as(
            "record",
            voice,
            lambda: paper.objects(lines, found, voice, batches),
            lambda: text_pages.record(lines, found, voice, batches, title(kitchen), width()),
            paper.beside(found, voice),
            as_json=as_json,
            as_csv=as_csv,
        )


def between(kitchen: Kitchen, since: str | None, until: str | None) -> tuple[datetime, datetime | None]:
    """The stretch of the log that is meant, as instants; a day stands for all of it, None for no end."""
    from prepboard.book.days import ONE_DAY
    from prepboard.commands.given.reading import day, moment
    from prepboard.store.file.who import Refused

    days = kitchen.book.kitchen.days

    def read(text: str, of_day: Callable[[str], datetime]) -> datetime:
        try:
            return of_day(text)
        except Refused:
            return moment(kitchen, text) or kitchen.now

    begin = read(since, lambda text: days.opens(day(kitchen, text))) if since else None
    end = read(until, lambda text: days.opens(day(kitchen, text) + ONE_DAY)) if until else None
    return begin or days.opens(days.business_day(kitchen.now)), end
