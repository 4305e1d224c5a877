"""`show`: every list as text for people, as JSON for scripts, as CSV for spreadsheets."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import datetime, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Literal

import click

from prepboard.commands.options import format_options, shared_options
from prepboard.commands.session import Kitchen, Session, tell
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.paper.recipe import Sheet
    from prepboard.paper.saying import Voice
    from prepboard.plan.board import Board

FROM_THE_BOARD = {
    "make": "What to make, by the last moment at which it can start.",
    "underway": "The runs under way, and what comes next in each.",
    "expiring": "What goes off within three business days.",
    "left": "How many plates are left, and which prep ends first.",
    "pars": "How much of each prep there should be, and why.",
    "pull": "What to take out of store or freezer, and when.",
    "work": "The work that each station still has, and its hands.",
    "bring": "What each station fetches for the service, and from where.",
    "tasks": "The tasks of the day, done or not.",
    "notes": "What people left for each other, until it is ticked off.",
    "today": "What is different from the book, today and on the days ahead.",
}
FOUR_WEEKS = timedelta(days=27)
"""Today and so many days before it."""

_NARROWEST = 24
_NO_TERMINAL = (100, 24)
"""Columns and lines where no terminal says how wide it is."""


def width() -> int:
    """The cells of a line: the terminal's, or what COLUMNS says, or 100."""
    return max(_NARROWEST, shutil.get_terminal_size(_NO_TERMINAL).columns)


@click.group()
def show() -> None:
    """Prints a list: as text, with --json or with --csv."""


def _from_the_board(what: str, text: str) -> None:
    @show.command(what, help=text)
    @format_options
    @shared_options()
    @click.pass_obj
    def _show(session: Session, as_json: bool, as_csv: bool, html: bool = False) -> None:
        from prepboard.paper import as_json as objects
        from prepboard.paper import as_text
        from prepboard.paper.only import only
        from prepboard.paper.saying import Voice

        with session.kitchen() as kitchen:
            board = only(kitchen.board, [kitchen.who.station]) if kitchen.who.station else kitchen.board
            if html:
                _print_sheets(what, kitchen, board, as_json or as_csv)
                return
            print_as(
                what,
                Voice.of(board),
                lambda: objects.shown(what, board),
                lambda: as_text.page(what, board, title(kitchen), width()),
                objects.beside(what, board),
                as_json=as_json,
                as_csv=as_csv,
            )

    if what in ("make", "pull"):
        _show.params.append(click.Option(["--html"], is_flag=True, help="A page to print."))


for _what, _text in FROM_THE_BOARD.items():
    _from_the_board(_what, _text)


@show.command("timeline")
@format_options
@shared_options()
@click.pass_obj
def show_timeline(session: Session, as_json: bool, as_csv: bool) -> None:
    """The hours ahead as a picture: benches, ovens, services, and now.

    --json and --csv have every step of the whole plan.
    """
    from prepboard.boards.timeline_lanes import texts
    from prepboard.paper import as_json as objects
    from prepboard.paper.as_text import whole
    from prepboard.paper.heading import next_sitting
    from prepboard.paper.only import only
    from prepboard.paper.saying import Voice

    with session.kitchen() as kitchen:
        here = (kitchen.who.station,) if kitchen.who.station else tuple(kitchen.book.stations)
        board, voice = kitchen.board, Voice.of(kitchen.board)
        print_as(
            "timeline",
            voice,
            lambda: objects.shown("timeline", only(board, here)),
            lambda: whole(
                title(kitchen), ["", *texts(board, here, width()).splitlines()], voice, width(), next_sitting(board)
            ),
            as_json=as_json,
            as_csv=as_csv,
        )


def _print_sheets(what: str, kitchen: Kitchen, board: Board, more: bool) -> None:
    """A page for the printer: a prep list for each station, one close, one pull list."""
    from prepboard.paper import sheets
    from prepboard.paper.as_html import document
    from prepboard.paper.only import only_closing

    if more:
        raise click.UsageError(_("--html, --json or --csv, only one of them"))
    at = kitchen.who.station
    if what == "make":
        stations = [at] if at else list(kitchen.book.stations)
        found = [sheets.prep_list(board, station) for station in stations]
    elif what == "pull":
        found = [sheets.pull_list(board, title(kitchen))]
    else:
        lists = only_closing(board.closing, kitchen.book, [at]) if at else board.closing
        found = [sheets.closing_list(lists, board, title(kitchen))]
    tell(document(found))


@show.command("closing")
@click.option("--html", is_flag=True, help="A page to print.")
@format_options
@shared_options()
@click.pass_obj
def show_closing(session: Session, as_json: bool, as_csv: bool, html: bool) -> None:
    """What to discard and why, what to decide, what carries over, what starts tonight."""
    from prepboard.paper import as_json as objects
    from prepboard.paper import as_text
    from prepboard.paper.only import only_closing
    from prepboard.paper.saying import Voice

    with session.kitchen() as kitchen:
        board, at = kitchen.board, kitchen.who.station
        if html:
            _print_sheets("closing", kitchen, board, as_json or as_csv)
            return
        lists = only_closing(board.closing, kitchen.book, [at]) if at else board.closing
        print_as(
            "closing",
            Voice.of(board),
            lambda: objects.shown("closing", board, lists),
            lambda: as_text.closing(lists, board, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@show.command("use-first")
@format_options
@shared_options()
@click.pass_obj
def show_use_first(session: Session, as_json: bool, as_csv: bool) -> None:
    """What expires or is left over, and which dishes and recipes could take it."""
    from prepboard.paper import as_text
    from prepboard.paper.using_up import objects

    with session.kitchen() as kitchen:
        voice, at, preps = voice_of(kitchen), kitchen.who.station, kitchen.book.preps
        lines = [line for line in kitchen.board.using_up if at in ("", preps[line.prep].station)]
        print_as(
            "use-first",
            voice,
            lambda: objects(lines, voice),
            lambda: as_text.use_first(lines, voice, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@show.command("waste")
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
    from prepboard.paper import as_text
    from prepboard.paper import waste as paper
    from prepboard.plan.waste import report_of
    from prepboard.store.past_waste import past_waste

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
            lambda: as_text.waste(report, voice, title(kitchen), width()),
            paper.sums(report),
            as_json=as_json,
            as_csv=as_csv,
        )


@show.command("recipe")
@click.argument("prep", nargs=-1, required=True, metavar="PREP [AMOUNT]")
@format_options
@shared_options()
@click.pass_obj
def show_recipe(session: Session, prep: tuple[str, ...], as_json: bool, as_csv: bool) -> None:
    """A recipe, scaled to an amount.

    It gives AMOUNT of the prep; without one it is one recipe.
    """
    from prepboard.paper import as_text
    from prepboard.paper.sheet import as_object

    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        scaled = scaled_recipe(kitchen, prep)
        print_as(
            "recipe",
            voice,
            lambda: as_object(scaled, voice),
            lambda: as_text.recipe(scaled, voice, voice.name(scaled.prep.id), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@show.command("log")
@click.option("--from", "since", metavar="TIME", help="From a day or a moment on; else from this business day's start.")
@click.option("--to", "until", metavar="TIME", help="Up to the end of a day, or a moment; else up to now.")
@format_options
@shared_options()
@click.pass_obj
def show_log(session: Session, since: str | None, until: str | None, as_json: bool, as_csv: bool) -> None:
    """Who did what, when and where, and what it was before."""
    from prepboard.paper import as_text, log
    from prepboard.store.past import log_rows

    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        begin, end = between(kitchen, since, until)
        at = kitchen.who.station
        rows = [row for row in log_rows(kitchen.file, since=begin, until=end) if at in ("", row.station)]
        print_as(
            "log",
            voice,
            lambda: log.objects(rows, voice),
            lambda: as_text.log(rows, voice, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@show.command("record")
@click.option("--from", "since", metavar="TIME", help="From a day or a moment on; else from this business day's start.")
@click.option("--to", "until", metavar="TIME", help="Up to the end of a day, or a moment; else up to now.")
@click.option("--html", is_flag=True, help="A page to print.")
@format_options
@shared_options()
@click.pass_obj
def show_record(
    session: Session, since: str | None, until: str | None, html: bool, as_json: bool, as_csv: bool
) -> None:
    """What an inspector asks for: readings, batches, discards, corrections, and who."""
    from prepboard.paper import as_text
    from prepboard.paper import record as paper
    from prepboard.store.record import record

    if html and (as_json or as_csv):
        raise click.UsageError(_("--html, --json or --csv, only one of them"))
    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        begin, end = between(kitchen, since, until)
        found = record(kitchen.file, since=begin, until=end)
        at = kitchen.who.station
        lines = [line for line in found.lines if at in ("", line.station)]
        if html:
            span = begin, min(end or kitchen.now, kitchen.now)
            tell(paper.as_page(lines, found, voice, span))
            return
        print_as(
            "record",
            voice,
            lambda: paper.objects(lines, voice),
            lambda: as_text.record(lines, found, voice, title(kitchen), width()),
            paper.beside(found, voice),
            as_json=as_json,
            as_csv=as_csv,
        )


@show.command("rules")
@format_options
@shared_options()
@click.pass_obj
def show_rules(session: Session, as_json: bool, as_csv: bool) -> None:
    """The rule book in force: every number, its section, and where it was read."""
    from prepboard.paper import as_text, rules

    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        print_as(
            "rules",
            voice,
            lambda: rules.as_object(voice),
            lambda: as_text.rules(voice, kitchen.book.kitchen.name, width()),
            as_json=as_json,
            as_csv=as_csv,
        )


def print_as(
    what: str,
    voice: Voice,
    value: Callable[[], Any],
    text: Callable[[], str],
    besides: dict[str, Any] | None = None,
    *,
    as_json: bool,
    as_csv: bool,
) -> None:
    """Prints one WHAT in the form that was asked for; `value` is what scripts and spreadsheets get."""
    if as_json and as_csv:
        raise click.UsageError(_("--json or --csv, not both"))
    if as_json:
        from prepboard.paper.as_json import envelope

        tell(envelope(what, value(), voice, besides))
    elif as_csv:
        from prepboard.paper.as_csv import table

        tell(table(what, value()).removesuffix("\n"))
    else:
        tell(text())


def title(kitchen: Kitchen) -> str:
    """The station's name, else the kitchen's."""
    found = kitchen.book.stations.get(kitchen.who.station)
    return found.name if found else kitchen.book.kitchen.name


def voice_of(kitchen: Kitchen) -> Voice:
    from prepboard.paper.saying import Voice

    return Voice(kitchen.book, kitchen.now, kitchen.state.clock_set_by_hand)


def scaled_recipe(kitchen: Kitchen, words: tuple[str, ...]) -> Sheet:
    """The recipe that gives a prep, scaled to the amount of it that was asked for."""
    from prepboard.commands.making import with_recipe
    from prepboard.commands.reading import amount_of, find_prep, size_of, split
    from prepboard.paper.recipe import maker, sheet

    name, said = split(words)
    prep = find_prep(kitchen, name)
    recipe = maker(kitchen.book, prep.id) or with_recipe(kitchen, prep)
    if not said:
        return sheet(kitchen.book, recipe, Fraction(1))
    if recipe.id == prep.id:
        return sheet(kitchen.book, recipe, size_of(kitchen, recipe, said))
    return sheet(kitchen.book, recipe, Fraction(amount_of(kitchen, prep.id, said), recipe.outputs[prep.id]))


def between(kitchen: Kitchen, since: str | None, until: str | None) -> tuple[datetime, datetime | None]:
    """The stretch of the log that is meant, as instants; a day stands for all of it, None for no end."""
    from prepboard.book.days import ONE_DAY
    from prepboard.commands.reading import day, moment
    from prepboard.store.who import Refused

    days = kitchen.book.kitchen.days

    def read(text: str, of_day: Callable[[str], datetime]) -> datetime:
        try:
            return of_day(text)
        except Refused:
            return moment(kitchen, text) or kitchen.now

    begin = read(since, lambda text: days.opens(day(kitchen, text))) if since else None
    end = read(until, lambda text: days.opens(day(kitchen, text) + ONE_DAY)) if until else None
    return begin or days.opens(days.business_day(kitchen.now)), end


def _also() -> None:
    """What other modules add to `show`."""
    from prepboard.commands.tracing import show_trace

    show.add_command(show_trace)


_also()
