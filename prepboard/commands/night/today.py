"""What is different today: sittings, hands, ovens, benches, and goods that did not come."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.options import answer_options, shared_options, sous_only
from prepboard.commands.given.session import Session, tell, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.actions.night.services import NewService

SURE = click.option("--sure", is_flag=True, help="Yes, even if it is far more than usual.")
DAY = click.option("--day", metavar="DAY", help="Its business day, such as 2026-10-31; else today.")


@click.group()
def service() -> None:
    """A sitting more, or one less."""


@sous_only
@service.command("add")
@click.argument("name", nargs=-1, required=True, metavar="SERVICE|NAME")
@click.option("--starts", metavar="TIME", help="When it starts: 19:00. With --ends it is a sitting of its own.")
@click.option("--ends", metavar="TIME", help="When it ends; not after it starts means the next morning.")
@click.option("--covers", type=click.IntRange(min=0), help="How many guests.")
@click.option("--like", metavar="SERVICE", help="It has the dishes, menus and shares of this service.")
@click.option("--count", "counts", multiple=True, metavar="DISH=N", help="A fixed count of a dish; as often as needed.")
@click.option("--over", metavar="SHARE", default="0", help="Made beyond the counts: 0.03 or 3 %.")
@SURE
@DAY
@answer_options
@shared_options()
@click.pass_obj
def add(
    session: Session, name: tuple[str, ...], starts: str | None, ends: str | None, covers: int | None,
    like: str | None, counts: tuple[str, ...], over: str, sure: bool, day: str | None,
) -> None:  # fmt: skip
    """Adds a sitting for one day.

    SERVICE is one of the book that is not held that day, or was cancelled. With --starts and --ends it is a sitting
    of its own with that NAME: --like another service, or a function with a --count for each dish.
    """
    from prepboard.commands.given.reading import find
    from prepboard.plan.changing.usual import usual_guests
    from prepboard.store.actions.night.services import add_service, hold

    called = " ".join(name)
    with session.kitchen() as kitchen:
        on = day_of(kitchen, day)
        if starts is None and ends is None:
            if like or counts:
                raise click.UsageError(_("a sitting of its own needs --starts and --ends"))
            meant = find(called, kitchen.book.services, "service")
            usual = usual_guests(kitchen.board, meant, on)
            tell_did(hold(kitchen.file, kitchen.who, (meant, on), covers, usual=usual, sure=sure))
            return
        if starts is None or ends is None or covers is None:
            raise click.UsageError(_("a sitting of its own needs --starts, --ends and --covers"))
        new = _new(kitchen, called, (starts, ends), covers, like, counts, over)
        usual = usual_guests(kitchen.board, new.like, on)
        tell_did(add_service(kitchen.file, kitchen.who, on, new, usual=usual, sure=sure))


def _new(
    kitchen: Kitchen, name: str, times: tuple[str, str], covers: int, like: str | None, counts: tuple[str, ...],
    over: str,
) -> NewService:  # fmt: skip
    from prepboard.commands.given.reading import find, share, wall_clock
    from prepboard.store.actions.night.services import NewService

    fixed: dict[str, int] = {}
    for text in counts:
        dish, _equals, n = text.rpartition("=")
        if not dish or not n.strip().isdecimal():
            raise click.UsageError(_("'{text}' is no count; write it like lamb=40").format(text=text))
        fixed[find(dish, kitchen.book.dishes, "dish")] = int(n)
    starts, ends = map(wall_clock, times)
    known = find(like, kitchen.book.services, "service") if like else ""
    return NewService(plain(name).strip(), starts, ends, covers, known, fixed, share(over))


@sous_only
@service.command("cancel")
@click.argument("name", nargs=-1, required=True, metavar="SERVICE")
@click.option("--day", metavar="DAY", help="Its business day, such as 2026-10-31; else the nearest.")
@answer_options
@shared_options()
@click.pass_obj
def cancel(session: Session, name: tuple[str, ...], day: str | None) -> None:
    """A sitting is not held: what it needed is no longer asked for."""
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.night.services import cancel as act

    with session.kitchen() as kitchen:
        tell_did(act(kitchen.file, kitchen.who, sitting(kitchen, " ".join(name), day).key))


@service.command("end")
@click.argument("name", nargs=-1, metavar="[SERVICE]")
@click.option("--day", metavar="DAY", help="Its business day, such as 2026-10-31; else the nearest.")
@answer_options
@shared_options()
@click.pass_obj
def end(session: Session, name: tuple[str, ...], day: str | None) -> None:
    """The last plate is out. Without SERVICE of those that run the one first begun.

    A service goes on after its written end until somebody ends it, the last station signs, or `runs_over` is over.
    """
    from prepboard.commands.given.sittings import sitting
    from prepboard.plan.demand.occasions import lasting
    from prepboard.store.actions.night.services import end_service

    with session.kitchen() as kitchen:
        running = lasting(kitchen.state, kitchen.now)
        first = running[0] if running and not name and day is None else None
        meant = first or sitting(kitchen, " ".join(name) or None, day)
        tell_did(end_service(kitchen.file, kitchen.who, meant.key))


@sous_only
@service.command("move")
@click.argument("name", nargs=-1, required=True, metavar="SERVICE TIME")
@click.option("--day", metavar="DAY", help="Its business day, such as 2026-10-31; else the nearest.")
@click.option("--sure", is_flag=True, help="Yes, whatever that breaks.")
@answer_options
@shared_options()
@click.pass_obj
def move(session: Session, name: tuple[str, ...], day: str | None, sure: bool) -> None:
    """It begins at another time that day, and its guests and its end with it.

    What that breaks is named first, and then asks for --sure.
    """
    from prepboard.commands.given.reading import split, wall_clock
    from prepboard.commands.given.sittings import sitting
    from prepboard.paper.sentences.moved_sitting import broken
    from prepboard.store.actions.night.services import move_service
    from prepboard.store.file.who import Unsure

    word, words = split(name)
    if len(words) != 1:
        raise click.UsageError(_("say the service and the time: dinner 19:00"))
    to = wall_clock(words[0])
    with session.kitchen() as kitchen:
        meant = sitting(kitchen, word, day)
        for line in broken(kitchen.state, kitchen.now, meant.key, to):
            if not sure:
                raise Unsure(line)
            tell(line)
        tell_did(move_service(kitchen.file, kitchen.who, meant.key, to))


@sous_only
@click.command()
@click.argument("bench", metavar="STATION")
@click.argument("n", type=click.IntRange(min=0))
@DAY
@answer_options
@shared_options()
@click.pass_obj
def hands(session: Session, bench: str, n: int, day: str | None) -> None:
    """How many cooks a station has today."""
    from prepboard.commands.given.reading import find
    from prepboard.store.actions.night.today import hands as act

    with session.kitchen() as kitchen:
        meant = find(bench, kitchen.book.stations, "station")
        tell_did(act(kitchen.file, kitchen.who, day_of(kitchen, day), meant, n))


@sous_only
@click.command()
@click.argument("equipment")
@click.argument("n", type=click.IntRange(min=0))
@DAY
@answer_options
@shared_options()
@click.pass_obj
def equip(session: Session, equipment: str, n: int, day: str | None) -> None:
    """How many places of a piece of equipment work today; 0 when it is dead."""
    from prepboard.commands.given.reading import find
    from prepboard.store.actions.night.today import equip as act

    with session.kitchen() as kitchen:
        meant = find(equipment, kitchen.book.equipment, "equipment")
        tell_did(act(kitchen.file, kitchen.who, day_of(kitchen, day), meant, n))


@sous_only
@click.command()
@click.argument("prep")
@click.argument("bench", metavar="STATION")
@DAY
@answer_options
@shared_options()
@click.pass_obj
def give(session: Session, prep: str, bench: str, day: str | None) -> None:
    """Another station makes a prep today; its own takes it back."""
    from prepboard.commands.given.reading import find, find_prep
    from prepboard.store.actions.night.today import give as act

    with session.kitchen() as kitchen:
        meant = find(bench, kitchen.book.stations, "station")
        tell_did(act(kitchen.file, kitchen.who, day_of(kitchen, day), find_prep(kitchen, prep).id, meant))


@sous_only
@click.command()
@click.argument("bench", metavar="STATION")
@click.argument("minutes", type=click.IntRange(min=0))
@click.option("--from", "since", metavar="TIME", help="From when on: 15:00; else from the end of its hours, or now.")
@DAY
@answer_options
@shared_options()
@click.pass_obj
def stay(session: Session, bench: str, minutes: int, since: str | None, day: str | None) -> None:
    """One cook of a station stays in its break, or after its hours; 0 minutes: nobody stays."""
    from prepboard.commands.given.reading import find, wall_clock
    from prepboard.plan.runs.staying import hours_of
    from prepboard.store.actions.night.today import stay as act

    with session.kitchen() as kitchen:
        meant = find(bench, kitchen.book.stations, "station")
        closes = hours_of(kitchen.state, meant, kitchen.now).closes(kitchen.now)
        clock = wall_clock(since) if since else kitchen.book.kitchen.days.local(closes).time()
        tell_did(act(kitchen.file, kitchen.who, day_of(kitchen, day), meant, clock, minutes or None))


@click.command()
@click.argument("goods", nargs=-1, required=True, metavar="GOODS")
@click.option("--until", metavar="TIME", help='When they come: "15:30" today, or ISO 8601; else nobody knows.')
@answer_options
@shared_options()
@click.pass_obj
def missing(session: Session, goods: tuple[str, ...], until: str | None) -> None:
    """Goods are not there: runs that need them say that they wait."""
    from prepboard.commands.given.reading import moment_ahead
    from prepboard.store.actions.night.today import missing as act

    with session.kitchen() as kitchen:
        tell_did(act(kitchen.file, kitchen.who, _goods(kitchen, goods), moment_ahead(kitchen, until)))


@click.command()
@click.argument("goods", nargs=-1, required=True, metavar="GOODS")
@answer_options
@shared_options()
@click.pass_obj
def arrived(session: Session, goods: tuple[str, ...]) -> None:
    """Goods that were missing are there."""
    from prepboard.store.actions.night.today import arrived as act

    with session.kitchen() as kitchen:
        word = " ".join(goods)
        # What a new book has lost can still arrive.
        tell_did(act(kitchen.file, kitchen.who, word if word in kitchen.state.missing else _goods(kitchen, goods)))


def _goods(kitchen: Kitchen, words: tuple[str, ...]) -> str:
    from prepboard.commands.given.reading import find

    return find(" ".join(words), kitchen.book.goods, "goods")


def day_of(kitchen: Kitchen, text: str | None) -> date:
    """The business day that is meant; today's without a word."""
    from prepboard.commands.given.reading import day

    return day(kitchen, text or "today")
