"""What people tell each other: a note, a task done, a close signed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.options import answer_options, shared_options, sitting_options
from prepboard.commands.given.session import Session, tell_did
from prepboard.commands.night.service import refuse_options
from prepboard.paper.text.plain import plain
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.file.who import Did


@click.command()
@click.argument("text", nargs=-1, metavar="[TEXT]")
@click.option("--to", metavar="STATION|RUN", help="For a station, or for whoever has a run; else for everyone.")
@click.option("--dish", "dishes", multiple=True, metavar="DISH", help="For the benches of this dish; may be repeated.")
@sitting_options()
@click.option("--done", type=click.IntRange(min=1), metavar="N", help="Ticks off the note of that number.")
@answer_options
@shared_options()
@click.pass_obj
def note(
    session: Session, text: tuple[str, ...], to: str | None, dishes: tuple[str, ...], service: str | None,
    day: str | None, done: int | None,
) -> None:  # fmt: skip
    """A line for the others, seen until somebody ticks it off.

    With --service, --day or --dish it is about who is coming (an allergy, a late table): the benches see it that have
    a hand in those plates, until the service is over.
    """
    from prepboard.store.actions.handover import note as act
    from prepboard.store.actions.handover import tick_off

    guests = bool(dishes or service or day)
    if bool(text) == bool(done) or (done and (to or guests)) or (to and guests):
        raise click.UsageError(_("say a TEXT and whom it is for one way, or --done with a note's number"))
    with session.kitchen() as kitchen:
        if done:
            tell_did(tick_off(kitchen.file, kitchen.who, done))
        else:
            whom = _whom(kitchen, to) if to else _guests(kitchen, service, day, dishes) if guests else ""
            tell_did(act(kitchen.file, kitchen.who, plain(" ".join(text)), whom))


def _whom(kitchen: Kitchen, word: str) -> str:
    from prepboard.commands.given.reading import find

    runs = {run.code for run in kitchen.state.runs}
    return word.upper() if word.upper() in runs else find(word, kitchen.book.stations, _("station or run under way"))


def _guests(kitchen: Kitchen, service: str | None, day: str | None, dishes: tuple[str, ...]) -> str:
    from prepboard.commands.given.reading import find
    from prepboard.commands.given.sittings import sitting
    from prepboard.plan.given.guests import Guests

    ids = tuple(find(word, kitchen.book.dishes, "dish") for word in dishes)
    return Guests(sitting(kitchen, service, day, dish=ids[0] if ids else None).key, ids).whom


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("name", nargs=-1, required=True, metavar="NAME [DEGREES]")
@click.option("--day", metavar="DAY", help="Its business day, such as 2026-10-31; else today.")
@click.option("--probe", metavar="NAME", default="", help="The probe that it was read with.")
@answer_options
@shared_options()
@click.pass_obj
def task(session: Session, name: tuple[str, ...], day: str | None, probe: str) -> None:
    """A task of the book is done, with its reading where it asks for one.

    DEGREES is written like 3, "3 C" or "37 F"; a bare number is in the task's own unit.
    """
    from prepboard.book.values import read_temperature
    from prepboard.commands.given.reading import day as read_day
    from prepboard.commands.given.reading import find, split
    from prepboard.store.actions.handover import task as act
    from prepboard.store.file.who import Refused

    refuse_options(name)
    word, words = split(name)
    with session.kitchen() as kitchen:
        meant = find(word, kitchen.book.tasks, "task")
        reading = None
        if words:
            text = " ".join(words)
            unit = kitchen.book.tasks[meant].reads or ""
            try:
                reading = read_temperature(text if text[-1].isalpha() else f"{text} {unit}")
            except ValueError as fault:
                raise Refused(str(fault)) from None
        on = read_day(kitchen, day or "today")
        tell_did(act(kitchen.file, kitchen.who, on, meant, reading, probe=plain(probe)))


def _count_on(kitchen: Kitchen) -> Did:
    from prepboard.boards.closing.signing import unread
    from prepboard.store.actions.food.holding import count_on
    from prepboard.store.file.who import Refused

    found = unread(kitchen.board, ())
    if found is None:
        raise Refused(_("nothing waits for that: all cooling was shown, or answered for"))
    return count_on(kitchen.file, kitchen.who, [batch.code for batch in found.batches])


@click.command()
@click.argument("bench", required=False, metavar="[STATION]")
@click.option("--day", metavar="DAY", help="Its business day; else the oldest close left open, else today's.")
@click.option("--reads", metavar="NAME", default="", help="Who reads what still cools when everybody has gone.")
@click.option("--cooling", is_flag=True, help="A sous chef: what was not shown to cool in time counts on.")
@answer_options
@shared_options()
@click.pass_obj
def sign(session: Session, bench: str | None, day: str | None, reads: str, cooling: bool) -> None:
    """Signs a station's close; refused while something of it is to be discarded, or cools with nobody to read it.

    Without STATION it is the one of --station, or the only one.
    """
    from prepboard.commands.given.reading import day as read_day
    from prepboard.commands.given.reading import find
    from prepboard.store.actions.handover import sign as act

    if cooling and (bench or day or reads):
        raise click.UsageError(_("--cooling is of the whole kitchen"))
    with session.kitchen() as kitchen:
        if cooling:
            tell_did(_count_on(kitchen))
            return
        stations = kitchen.book.stations
        word = bench or kitchen.who.station or (next(iter(stations)) if len(stations) == 1 else "")
        if not word:
            raise click.UsageError(_("which STATION is signed?"))
        on = read_day(kitchen, day) if day else None
        tell_did(act(kitchen.file, kitchen.who, find(word, stations, "station"), on, reads=plain(reads)))
