"""Boards in a browser: the server, and the devices that it lets in."""

from __future__ import annotations

import asyncio
import signal
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec import convert

from prepboard.commands.given.options import shared_options
from prepboard.commands.given.session import Session, tell
from prepboard.paper.text.plain import plain
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.web.devices import Device
    from prepboard.boards.web.server import Boards, Place
    from prepboard.book.book import Book

_NAME = click.option("--name", metavar="NAME:PORT", default="", help="The name in the link: kitchen.local:8430.")
_HOST = click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
_PORT = click.option(
    "--port", type=click.IntRange(1, 65535), default=8430, show_default=True, help="Port to listen on."
)
_CERTIFICATE = click.option("--certificate", default="", metavar="FILE", help="Own certificate, for https.")
_KEY = click.option("--key", default="", metavar="FILE", help="Its private key.")
_BEHIND = click.option("--behind-tls", is_flag=True, help="A proxy speaks https in front of it.")


@click.group(invoke_without_command=True)
@_NAME
@_HOST
@_PORT
@_CERTIFICATE
@_KEY
@_BEHIND
@shared_options()
@click.pass_context
def serve(ctx: click.Context, name: str, host: str, port: int, certificate: str, key: str, behind_tls: bool) -> None:
    """Serves boards to browsers, each device by a link of its own, until it is stopped with Ctrl+C.

    A device is added with `prepboard serve add`. It needs the extra: pip install 'prepboard[serve]'.
    """
    if ctx.invoked_subcommand is None:
        place = _place(name, host, port, certificate, key, behind_tls)
        session: Session = ctx.obj
        with session.at_a_board() as (file, book):
            path = file.path
        with suppress(KeyboardInterrupt):
            asyncio.run(_run(path, place, book))


@serve.command()
@click.argument("device", metavar="NAME")
@click.option("--pars", "board", flag_value="pars", help="The sous chef's board.")
@click.option("--closing", "board", flag_value="closing", help="The close.")
@click.option("--wall", "board", flag_value="wall", help="The wall.")
@click.option("--look", default="", help="Its colours: dark, light or contrast.")
@click.option("--line", type=click.IntRange(0, 80), default=0, help="Pixels of a line at least: 44 for gloves.")
@click.option("--letters", type=click.IntRange(0, 40), default=0, help="Pixels of a letter at least: 20 for far away.")
@click.option("--sleeps", is_flag=True, help="Its screen may go dark; else the page asks it to stay on.")
@_NAME
@_HOST
@_PORT
@click.option("--https", "behind_tls", is_flag=True, help="The link begins with https.")
@shared_options()
@click.pass_obj
def add(
    session: Session,
    device: str,
    board: str | None,
    look: str,
    line: int,
    letters: int,
    sleeps: bool,
    name: str,
    host: str,
    port: int,
    behind_tls: bool,
) -> None:
    """Adds a device: prints its link, and the link as a QR code, once.

    With --station it opens that bench's board; with --by it is somebody's own; with --language it speaks that one.
    """
    from prepboard.boards.app.looks import THEMES
    from prepboard.boards.web.devices import Device, Devices
    from prepboard.commands.house.boards import benches

    if look and look not in THEMES:
        raise click.UsageError(_("there is no look '{look}': {known}").format(look=look, known=", ".join(THEMES)))
    with session.at_a_board() as (file, book):
        who = session.who(book)
        stations = benches(book, [session.station]) if session.station else ()
        if board is None and not stations:
            raise click.UsageError(_("say whose board it is: --station NAME, --pars, --closing or --wall"))
        named = plain(device).strip()
        if not 0 < len(named) <= 40:
            raise click.UsageError(_("a device's name has 1 to 40 letters"))
        wanted = {"name": named, "board": board or "station", "stations": stations, "by": who.by}
        shown = {"look": look, "language": session.language, "line": line, "letters": letters, "sleeps": sleeps}
        new = convert({**wanted, **shown}, Device)
        secret = Devices(file.path).add(new)
    link = f"{_place(name, host, port, '', '', behind_tls).address}#{secret}"
    tell(
        _("{device}: {what}. Open this link once on the device; it is not shown again.").format(
            device=new.name, what=_what(new)
        )
    )
    tell(link)
    import segno

    from prepboard.commands.house.boards import on_a_terminal

    if on_a_terminal():
        segno.make(link, error="l").terminal(compact=True)


@serve.command(name="list")
@shared_options()
@click.pass_obj
def list_(session: Session) -> None:
    """Lists the devices that may open a board."""
    from prepboard.boards.web.devices import Devices

    with session.at_a_board() as (file, _book):
        devices = Devices(file.path).all()
    if not devices:
        tell(_("No device may open a board yet: prepboard serve add NAME --station STATION."))
    for device in devices:
        came = _("opened") if device.cookies else _("link not opened yet")
        tell(f"{device.name:<24} {_what(device):<32} {came}")


@serve.command()
@click.argument("device", metavar="NAME")
@shared_options()
@click.pass_obj
def remove(session: Session, device: str) -> None:
    """Removes a device: its boards close within seconds, its link opens nothing any more."""
    from prepboard.boards.web.devices import Devices

    with session.at_a_board() as (file, _book):
        gone = Devices(file.path).remove(device)
    tell(_("{device} is removed; what it had open closes.").format(device=gone.name))


def _place(name: str, host: str, port: int, certificate: str, key: str, behind_tls: bool) -> Place:
    try:
        from prepboard.boards.web.server import Place
    except ModuleNotFoundError as fault:
        if fault.name != "websockets":
            raise
        said = _("serving boards needs one package more: pip install 'prepboard[serve]'")
        raise click.ClickException(said) from None
    return Place(host, port, name, certificate, key, behind_tls)


def _what(device: Device) -> str:
    names = {"pars": _("the sous chef's board"), "closing": _("the close"), "wall": _("the wall")}
    board = names.get(device.board) or " + ".join(device.stations)
    return f"{board}, {device.by}" if device.by else board


async def _run(path: Path, place: Place, book: Book) -> None:
    """Serves until the process is asked to stop."""
    from prepboard.boards.web.server import Boards
    from prepboard.book.languages import language_of

    boards = Boards(path, place)
    boards.sessions.language_of = lambda device: language_of(book, device.language, device.by, device.stations)
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for sign in (signal.SIGINT, signal.SIGTERM):
        with suppress(NotImplementedError):
            loop.add_signal_handler(sign, stop.set)
    async with boards.listen():
        await boards.sessions.starter.get_ready()
        _say_where(boards)
        looks = asyncio.create_task(_look_after(boards))
        await stop.wait()
        looks.cancel()
        await boards.close()
    tell(_("Stopped; all boards are closed."))


def _say_where(boards: Boards) -> None:
    place = boards.place
    tell(
        _("Boards at {address} for {n} devices. Ctrl+C stops.").format(
            address=place.address, n=len(boards.devices.all())
        )
    )
    if not place.secure and place.host not in ("127.0.0.1", "localhost"):
        tell(_("Plain http: whoever is on this network can read what is shown and typed. Use it in a network of the"
               " kitchen's own, or give --certificate."))  # fmt: skip


async def _look_after(boards: Boards) -> None:
    """Says who is connected whenever that changed."""
    task = asyncio.create_task(boards.look_after())
    said: tuple[str, ...] = ()
    try:
        while True:
            await asyncio.sleep(1)
            now = tuple(sorted(one.device.name for one in boards.sessions.open.values() if one.watched))
            if now != said:
                tell(_("connected: {who}").format(who=", ".join(now) or _("nobody")))
                said = now
    finally:
        task.cancel()
