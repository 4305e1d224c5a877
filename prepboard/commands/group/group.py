"""`prepboard group`: what a kitchen does with its group, and what the office does for all of them."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from prepboard.commands.given.options import shared_options
from prepboard.commands.given.session import Session, tell
from prepboard.paper.text.plain import plain
from prepboard.texts import _, some

if TYPE_CHECKING:
    from prepboard.group.founding import Owner
    from prepboard.group.shipper import Round
    from prepboard.group.shipping import Shipped

_URL = click.option(
    "--url",
    required=True,
    envvar="PREPBOARD_GROUP_URL",
    metavar="URL",
    help="The group's PostgreSQL, as the office may reach it; also $PREPBOARD_GROUP_URL.",
)


@click.group()
def group() -> None:
    """A group of kitchens: join it, ship to it, see how it stands; and what the office does for all.

    It needs the extra: pip install 'prepboard[group]'.
    """


# A kitchen's own


@group.command()
@click.argument("url")
@shared_options()
@click.pass_obj
def join(session: Session, url: str) -> None:
    """Joins the group whose PostgreSQL is at URL, as the kitchen that the book calls this_kitchen.

    URL holds no password: that is in the passfile of PostgreSQL (~/.pgpass), or a certificate says who calls.
    """
    needs_driver()
    from psycopg.conninfo import conninfo_to_dict

    from prepboard.store.actions.group.joining import join as joined

    if conninfo_to_dict(url).get("password"):
        raise click.UsageError(
            _("leave the password out of the URL: it belongs into ~/.pgpass, where only you can read it")
        )
    with session.at_a_board() as (file, book):
        tell(joined(file, session.who(book), url).text)


@group.command()
@click.option("--once", is_flag=True, help="Ships and hears what there is, and ends.")
@shared_options()
@click.pass_obj
def ship(session: Session, once: bool) -> None:
    """Ships what this kitchen did, hears what others told it, and goes on until it is stopped with Ctrl+C.

    One for each kitchen, beside the boards or as a service. Nothing in the kitchen waits for it.
    """
    needs_driver()
    with session.at_a_board() as (file, _book), suppress(KeyboardInterrupt):
        asyncio.run(_ship(file, once))


async def _ship(file: Any, once: bool) -> None:
    from prepboard.group.line import Line
    from prepboard.group.shipper import one_round, run
    from prepboard.store.group.shipping import joined

    us = joined(file)
    if us is None:
        raise click.ClickException(_("this kitchen is in no group: prepboard group join"))
    line, said = Line(us.url), ""

    def told(now: Round) -> None:
        nonlocal said
        words = _of_round(now)
        if words != said or (now.shipped and now.shipped.actions):
            tell(words)
            said = words

    if once:
        now = await one_round(file, line, f"once-{us.file_id}")
        await line.hang_up()
        told(now)
        if now.away:
            raise SystemExit(1)
        return
    await run(file, line, told)


def _of_round(now: Round) -> str:
    """What came of a round, in a sentence."""
    if now.away:
        return _("The group does not answer ({why}); the kitchen goes on, and what is done is shipped later.").format(
            why=plain(now.away)
        )
    said = [_of_shipped(now.shipped)] if now.shipped else []
    if now.heard and now.heard.taken_in:
        said.append(some("{n} thing heard", "{n} things heard", now.heard.taken_in))
    if now.heard:
        said += [_("could not be taken in: {why}").format(why=plain(why)) for why in now.heard.refused.values()]
    return "; ".join(said)


def _of_shipped(shipped: Shipped) -> str:
    match shipped.said:
        case "in":
            return some("{n} action shipped", "{n} actions shipped", shipped.actions)
        case "other":
            return _("another shipper is at it")
        case "two files":
            return _("stopped: two files have this kitchen's name. Find the one that is not the kitchen's and end its"
                     " shipper; if this one was put back from a copy, say so: prepboard restore COPY")  # fmt: skip
        case "set back":
            return _("stopped: this file is older than what the group knows of it. Say that it was put back: prepboard"
                     " restore COPY")  # fmt: skip
    return _("stopped: {why}").format(why=plain(shipped.why or shipped.said))


@group.command()
@shared_options()
@click.pass_obj
def status(session: Session) -> None:
    """How this kitchen stands with its group: last heard, still to ship, refused, missing after a restore."""
    needs_driver()
    with session.at_a_board() as (file, _book):
        for line in asyncio.run(_status(file)):
            tell(line)


async def _status(file: Any) -> list[str]:
    from prepboard.group.line import Away, Denied, Line
    from prepboard.group.shipping import behind
    from prepboard.store.group.shipping import joined

    us = joined(file)
    if us is None:
        return [_("This kitchen is in no group: prepboard group join URL.")]
    line = Line(us.url)
    try:
        stands = await line.ask("status")
    except (Away, Denied) as why:
        return [_("The group does not answer ({why}).").format(why=plain(str(why)))]
    finally:
        await line.hang_up()
    said = [_("{kitchen}: the group has all to line {line} of the log; {n} lines to go.").format(
        kitchen=us.kitchen, line=stands["line"], n=behind(file, stands["line"]))]  # fmt: skip
    if stands["stopped"]:
        said.append(_("Stopped: {why}").format(why=plain(stands["stopped"])))
    said += [_("refused there: {why}").format(why=plain(why)) for why in stands["refused"]]
    said += [_("could not be taken in here: {why}").format(why=plain(why)) for why in stands["not_taken_in"]]
    said += [_("done before the copy was put back, and not in this file: {what}").format(what=plain(what))
             for what in stands["lost"]]  # fmt: skip
    return said


# The office's


@group.command()
@_URL
def found(url: str) -> None:
    """Lays the group's tables in a PostgreSQL database, or brings those of an older prepboard up to date."""
    with _office(url) as owner:
        from prepboard.group.founding import Newer
        from prepboard.group.founding import found as lay

        try:
            said = lay(owner)
        except Newer as why:
            raise click.ClickException(str(why)) from None
    tell(
        {
            "founded": _("The group is founded."),
            "renewed": _("The group's tables are brought up to date; what is in them stays."),
        }.get(said, _("There is a group here already, up to date."))
    )


@group.command()
@click.argument("kitchen")
@click.option("--by-certificate", is_flag=True, help="It comes by certificate and has no password.")
@_URL
def admit(kitchen: str, by_certificate: bool, url: str) -> None:
    """Lets KITCHEN in, or in again: prints its login and a new password, once."""
    import secrets

    with _office(url) as owner:
        from prepboard.group.founding import let_in

        password = None if by_certificate else secrets.token_urlsafe(24)
        login = let_in(owner, kitchen, password)
    tell(_("{kitchen} comes as {login}.").format(kitchen=kitchen, login=login))
    if password:
        tell(
            _("Its password, for ~/.pgpass on its machine; it is not shown again: {password}").format(password=password)
        )


@group.command()
@click.argument("kitchen")
@_URL
def dismiss(kitchen: str, url: str) -> None:
    """Shuts KITCHEN out at once: it left, or its machine was lost."""
    with _office(url) as owner:
        from prepboard.group.founding import shut_out

        if not shut_out(owner, kitchen):
            raise click.ClickException(_("no kitchen of this group is called {kitchen}").format(kitchen=kitchen))
    tell(_("{kitchen} is out: its login opens nothing any more.").format(kitchen=kitchen))


@group.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--on", "on", required=True, metavar="DAY", help="The business day on which it counts: 2026-12-01.")
@_URL
def release(folder: Path, on: str, url: str) -> None:
    """Releases the book in FOLDER for all kitchens, on a day. Each kitchen's own files add to it."""
    try:
        day = date.fromisoformat(on)
    except ValueError:
        raise click.UsageError(_("'{day}' is no day: 2026-12-01").format(day=on)) from None
    texts = {
        path.name: path.read_text("utf-8") for path in sorted(folder.glob("*.toml")) if path.name != "kitchen.toml"
    }
    if not texts:
        raise click.ClickException(_("{folder} holds no part of a book").format(folder=folder))
    with _office(url) as owner:
        from prepboard.group.line import as_json

        row = owner.execute("SELECT prepboard.release(%s, %s)", [day, as_json(texts)]).fetchone()
    tell(_("Book {n} counts from {day} on, in every kitchen.").format(n=row[0] if row else "", day=day.isoformat()))


@group.command()
@click.option("--since", default="", metavar="DAY", help="From this day on; else the last seven.")
@_URL
def week(since: str, url: str) -> None:
    """Five lists of the week: not heard since, late, discarded, cooling misses, closes not signed."""
    from prepboard.commands.group.lists import lists

    with _office(url) as owner:
        for line in lists(owner, since):
            tell(line)


@contextmanager
def _office(url: str) -> Iterator[Owner]:
    """The owner's connection; what goes wrong with it is said in a line."""
    needs_driver()
    import psycopg

    from prepboard.group.founding import connected

    try:
        with connected(url) as owner:
            yield owner
    except psycopg.Error as fault:
        raise click.ClickException(plain(str(fault).partition("\n")[0])) from None


def needs_driver() -> None:
    try:
        import psycopg  # noqa: F401
    except ModuleNotFoundError:
        said = _("a group needs one package more: pip install 'prepboard[group]'")
        raise click.ClickException(said) from None
