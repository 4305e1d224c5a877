"""While a service runs: plates out, and the last change taken back."""

from __future__ import annotations

from collections.abc import Iterable

import click

from prepboard.commands.given.options import AT, answer_options, shared_options, sitting_options
from prepboard.commands.given.session import Session, for_a_script, tell, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("dish", nargs=-1, metavar="DISH [N]")
@click.option("--course", metavar="COURSE", help="All that a function counts of a course goes out at once.")
@click.option("--again", metavar="REASON", default="", help="The plate was dropped or came back: it goes out again.")
@click.option("--sure", is_flag=True, help="It went out though it may not be used: kept as an incident (sous chef).")
@sitting_options()
@AT
@answer_options
@shared_options()
@click.pass_obj
def plate(
    session: Session,
    dish: tuple[str, ...],
    course: str | None,
    again: str,
    sure: bool,
    service: str | None,
    day: str | None,
    at: str | None,
) -> None:
    """Plates of a dish, or of a function's course, go out; a negative N takes back a miscount."""
    from prepboard.commands.given.reading import find, moment, split
    from prepboard.commands.given.sittings import sitting
    from prepboard.store.actions.night.service import plate as act

    refuse_options(dish)
    if course is not None:
        if dish or again:
            raise click.UsageError(_("--course stands by itself: all its dishes go out, once"))
        _send(session, course, sure, service, day, at)
        return
    if not dish:
        raise click.UsageError(_("say which dish, or --course"))
    word, words = split(dish)
    n = _plates(words)
    with session.kitchen() as kitchen:
        meant = find(word, kitchen.book.dishes, "dish")
        meant_for = sitting(kitchen, service, day, dish=meant, plates=True)
        when = moment(kitchen, at)
        tell_did(act(kitchen.file, kitchen.who, meant_for.key, meant, n, again=plain(again), sure=sure, at=when))


def _send(session: Session, course: str, sure: bool, service: str | None, day: str | None, at: str | None) -> None:
    from prepboard.commands.given.reading import moment
    from prepboard.commands.given.sittings import course_of, sitting
    from prepboard.store.actions.night.courses import send_course
    from prepboard.store.file.who import Refused

    with session.kitchen() as kitchen:
        meant = course_of(kitchen, course)
        meant_for = sitting(kitchen, service, day, course=meant, plates=True)
        when = moment(kitchen, at)
        if day is None and meant_for.day != kitchen.book.kitchen.days.business_day(kitchen.now):
            said = _("no function with a course {course} is today; --day says which one is meant")
            raise Refused(said.format(course=plain(meant)))
        tell_did(send_course(kitchen.file, kitchen.who, meant_for.key, meant, sure=sure, at=when))


def refuse_options(words: Iterable[str]) -> None:
    """Where a number below 0 may stand, unknown options come through as words; they are wrong use all the same."""
    for word in words:
        if word.startswith("--"):
            raise click.NoSuchOption(word)


def _plates(words: list[str]) -> int:
    if not words:
        return 1
    try:
        (number,) = words
        return int(number)
    except ValueError:
        said = _("'{text}' is no number of plates").format(text=" ".join(words))
        raise click.UsageError(said) from None


@click.command()
@answer_options
@shared_options()
@click.pass_obj
def undo(session: Session) -> None:
    """Takes back this person's last change, and says which."""
    from prepboard.store.actions.undoing import last
    from prepboard.store.actions.undoing import undo as act

    with session.kitchen() as kitchen:
        ahead = last(kitchen.file, kitchen.who)
        if ahead and not for_a_script():
            tell(_("Takes back: {change}").format(change=ahead.text))
        tell_did(act(kitchen.file, kitchen.who, ahead.action if ahead else ""))
