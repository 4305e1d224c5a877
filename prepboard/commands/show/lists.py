"""`show` of what lies ahead: the lists that come out of the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.options import format_options, shared_options
from prepboard.commands.given.printing import print_as, title, voice_of, width
from prepboard.commands.given.session import Session, tell
from prepboard.commands.show.helps import show_line
from prepboard.texts import _

if TYPE_CHECKING:
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


def _from_the_board(what: str, text: str) -> click.Command:
    @click.command(what, help=text)
    @format_options
    @shared_options()
    @click.pass_obj
    def _show(
        session: Session,
        as_json: bool,
        as_csv: bool,
        html: bool = False,
        line: tuple[str, ...] = (),
        helps: bool = False,
    ) -> None:
        from prepboard.paper import as_json as objects
        from prepboard.paper import as_text
        from prepboard.paper.text.only import only
        from prepboard.paper.text.saying import Voice

        with session.kitchen() as kitchen:
            if line or helps:
                show_line(kitchen, line, helps=helps, as_json=as_json, as_csv=as_csv)
                return
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
    if what == "make":
        _show.params.append(click.Argument(["line"], nargs=-1, metavar="[LINE|PREP]"))
        _show.params.append(click.Option(["--helps"], is_flag=True, help="Of one line: what makes it sooner."))
    return _show


BY_NAME = {what: _from_the_board(what, text) for what, text in FROM_THE_BOARD.items()}


@click.command("timeline")
@format_options
@shared_options()
@click.pass_obj
def show_timeline(session: Session, as_json: bool, as_csv: bool) -> None:
    """The hours ahead as a picture: benches, ovens, services, and now.

    --json and --csv have every step of the whole plan.
    """
    from prepboard.boards.timeline.rows import texts
    from prepboard.paper import as_json as objects
    from prepboard.paper.as_text import whole
    from prepboard.paper.text.only import only
    from prepboard.paper.text.saying import Voice
    from prepboard.paper.text.sittings import sittings_said

    with session.kitchen() as kitchen:
        here = (kitchen.who.station,) if kitchen.who.station else tuple(kitchen.book.stations)
        board, voice = kitchen.board, Voice.of(kitchen.board)
        print_as(
            "timeline",
            voice,
            lambda: objects.shown("timeline", only(board, here)),
            lambda: whole(
                title(kitchen),
                ["", *texts(board, here, width()).splitlines()],
                voice,
                width(),
                sittings_said(board, voice),
            ),
            as_json=as_json,
            as_csv=as_csv,
        )


def _print_sheets(what: str, kitchen: Kitchen, board: Board, more: bool) -> None:
    """A page for the printer: a prep list for each station, one close, one pull list."""
    from prepboard.paper.as_html import document
    from prepboard.paper.lists import sheets
    from prepboard.paper.text.only import only_closing

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
        made = sheets.tonight_list if what == "tonight" else sheets.closing_list
        found = [made(lists, board, title(kitchen))]
    tell(document(found))


@click.command("closing")
@click.option("--html", is_flag=True, help="A page to print.")
@click.option("--tonight", is_flag=True, help="Only what starts tonight with its steps: a page for whoever stays.")
@format_options
@shared_options()
@click.pass_obj
def show_closing(session: Session, as_json: bool, as_csv: bool, html: bool, tonight: bool) -> None:
    """What to discard and why, what to decide, what carries over, what starts tonight."""
    from prepboard.paper import as_json as objects
    from prepboard.paper import text_pages
    from prepboard.paper.text.only import only_closing
    from prepboard.paper.text.saying import Voice

    with session.kitchen() as kitchen:
        board, at = kitchen.board, kitchen.who.station
        if html:
            _print_sheets("tonight" if tonight else "closing", kitchen, board, as_json or as_csv)
            return
        if tonight:
            raise click.UsageError(_("--tonight goes with --html"))
        lists = only_closing(board.closing, kitchen.book, [at]) if at else board.closing
        print_as(
            "closing",
            Voice.of(board),
            lambda: objects.shown("closing", board, lists),
            lambda: text_pages.closing(lists, board, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )


@click.command("use-first")
@format_options
@shared_options()
@click.pass_obj
def show_use_first(session: Session, as_json: bool, as_csv: bool) -> None:
    """What expires or is left over, and which dishes and recipes could take it."""
    from prepboard.paper import text_pages
    from prepboard.paper.lists.use_first import objects

    with session.kitchen() as kitchen:
        voice, at, preps = voice_of(kitchen), kitchen.who.station, kitchen.book.preps
        lines = [line for line in kitchen.board.using_up if at in ("", preps[line.prep].station)]
        print_as(
            "use-first",
            voice,
            lambda: objects(lines, voice),
            lambda: text_pages.use_first(lines, voice, title(kitchen), width()),
            as_json=as_json,
            as_csv=as_csv,
        )
