"""The devices that may open a board: a name, a board, and digests of the secrets that let them in.

They stand in a file beside the kitchen's, readable by its owner only: a restored kitchen brings no removed device back.
Secrets are 256 random bits; only their SHA-256 digests are kept, and compared in constant time.
"""

from __future__ import annotations

import hmac
import os
from collections.abc import Callable
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from secrets import token_urlsafe

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from prepboard.boards.app.registry import Name
from prepboard.texts import _

COOKIES = 8
"""Browsers that may have come in by one link; the oldest goes."""


class Device(Struct, frozen=True):
    """A tablet, a phone or a screen on a wall."""

    name: str
    board: Name
    stations: tuple[str, ...] = ()
    by: str = ""
    look: str = ""
    language: str = ""
    """What is read on it; empty: the language of whose board it is."""
    line: int = 0
    """Pixels of a line at least; 0 leaves it to the page."""
    letters: int = 0
    """Pixels of a letter at least, as long as a narrow board has room; 0 leaves it to the page."""
    sleeps: bool = False
    """Its screen may go dark: it is not asked to stay on."""
    link: str = ""
    """Digest of the secret in its link."""
    cookies: tuple[str, ...] = ()
    """Digests of the secrets that its browsers were given."""


class DeviceFault(Exception):
    """Why a device cannot be added, found or read; in words."""


class Devices:
    """The devices of one kitchen's file; read anew whenever their file was changed."""

    def __init__(self, kitchen: Path) -> None:
        self.path = kitchen.with_name(f"{kitchen.name}.devices.json")
        self._known: tuple[Device, ...] = ()
        self._as_of: tuple[int, int] | None = None

    def all(self) -> tuple[Device, ...]:
        """All devices, by name. DeviceFault where their file cannot be read."""
        try:
            state = self.path.stat()
        except FileNotFoundError:
            self._known, self._as_of = (), None
            return ()
        if (state.st_mtime_ns, state.st_ino) != self._as_of:
            try:
                self._known = msgspec.json.decode(self.path.read_bytes(), type=tuple[Device, ...])
            except (OSError, msgspec.MsgspecError) as fault:
                raise DeviceFault(_("{file} cannot be read: {why}").format(file=self.path, why=fault)) from fault
            self._as_of = (state.st_mtime_ns, state.st_ino)
        return self._known

    def add(self, device: Device) -> str:
        """Adds a device; answers the secret of its link, which is kept nowhere."""
        if any(one.name.casefold() == device.name.casefold() for one in self.all()):
            fault = _("There is a device '{name}' already: remove it first, or take another name.")
            raise DeviceFault(fault.format(name=device.name))
        secret = token_urlsafe(32)
        self._write((*self.all(), replace(device, link=digest(secret))))
        return secret

    def remove(self, name: str) -> Device:
        """Takes a device's links and cookies away; DeviceFault where there is none of that name."""
        found = [one for one in self.all() if one.name.casefold() == name.casefold()]
        if not found:
            known = ", ".join(one.name for one in self.all()) or _("none")
            raise DeviceFault(_("There is no device '{name}'. There is: {known}.").format(name=name, known=known))
        self._write(tuple(one for one in self.all() if one is not found[0]))
        return found[0]

    def enter(self, secret: str) -> tuple[Device, str] | None:
        """The device whose link this secret is, and a new secret for its cookie; None for no link of ours."""
        device = self._of(secret, lambda one: (one.link,))
        if device is None:
            return None
        cookie = token_urlsafe(32)
        entered = replace(device, cookies=(*device.cookies, digest(cookie))[-COOKIES:])
        self._write(tuple(entered if one is device else one for one in self.all()))
        return entered, cookie

    def of_cookie(self, cookie: str) -> Device | None:
        """The device that a cookie belongs to."""
        return self._of(cookie, lambda one: one.cookies)

    def _of(self, secret: str, kept: Callable[[Device], tuple[str, ...]]) -> Device | None:
        asked, found = digest(secret), None
        for device in self.all():
            for one in kept(device):
                if hmac.compare_digest(asked, one):
                    found = device
        return found

    def _write(self, devices: tuple[Device, ...]) -> None:
        ordered = sorted(devices, key=lambda one: one.name.casefold())
        partial = self.path.with_name(f".{self.path.name}.{os.getpid()}")
        with suppress(FileNotFoundError):
            partial.unlink()
        with os.fdopen(os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
            out.write(msgspec.json.format(msgspec.json.encode(ordered), indent=2) + b"\n")
        partial.replace(self.path)
        self._as_of = None


def digest(secret: str) -> str:
    return sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
