"""Carrying out what a cook asked for: off to the store in a thread of its own, and the answer onto the screen.

Every request has an id from the moment it is asked. Trying again sends the same id, so nothing counts twice.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any, Protocol
from uuid import uuid4

from prepboard.boards.row import Tone
from prepboard.texts import _

if TYPE_CHECKING:
    from textual.app import App

    from prepboard.store.file import KitchenFile
    from prepboard.store.who import Did, Who

Write = Callable[..., "Did"]
"""An action of the store with everything given but its id."""


class Teller(Protocol):
    """Whoever shows the answer."""

    @property
    def app(self) -> App[Any]: ...

    def tell(self, text: str, tone: Tone = "plain") -> None: ...


class Desk:
    """Where one person at one station asks for changes. To be used from a worker: it may ask back."""

    def __init__(self, file: KitchenFile, station: str, by: str, teller: Teller) -> None:
        self.file = file
        self.station = station
        self.by = by
        self._teller = teller
        self._unsaved: tuple[Write, str] | None = None

    @property
    def app(self) -> App[Any]:
        return self._teller.app

    def tell(self, text: str) -> None:
        """Says something that needs no action."""
        self._teller.tell(text)

    async def who(self) -> Who | None:
        """Who is working here; asked once, the first time that it matters. None when they would not say."""
        from prepboard.store.who import Who

        if not self.by:
            await self.ask_initials()
        return Who(self.by, self.station) if self.by else None

    async def ask_initials(self) -> None:
        """Asks who is working here; escape leaves it as it was."""
        from prepboard.boards.dialogs.initials import AskInitials

        answer = await self.app.push_screen_wait(AskInitials(self.by))
        self.by = answer or self.by

    async def carry_out(self, write: Write) -> bool:
        """Does it and says how it went; True when it was done."""
        return await self._attempt(write, uuid4().hex)

    async def try_again(self) -> None:
        """Does once more what was not saved, as the same request."""
        if self._unsaved is None:
            self._teller.tell(_("Everything is saved."))
        else:
            await self._attempt(*self._unsaved)

    async def _attempt(self, write: Write, action: str) -> bool:
        from prepboard.store.faults import NotSaved, StoreFault
        from prepboard.store.who import Refused, Unsure

        try:
            did = await asyncio.to_thread(partial(write, action=action))
        except Unsure as unsure:
            return await self._ask_sure(write, action, str(unsure))
        except Refused as refused:
            self._teller.tell(str(refused), "strong")
            return False
        except StoreFault as fault:
            said = str(fault) if isinstance(fault, NotSaved) else _("not saved: {why}").format(why=fault)
            return self._not_saved(write, action, said)
        except Exception as fault:
            logging.getLogger(__name__).exception("an action failed")
            return self._not_saved(write, action, _("not saved: {why}").format(why=f"{type(fault).__name__}: {fault}"))
        self._unsaved = None
        self._teller.tell(did.text)
        return True

    async def _ask_sure(self, write: Write, action: str, question: str) -> bool:
        from prepboard.boards.dialogs.sure import Sure

        if await self.app.push_screen_wait(Sure(question)):
            return await self._attempt(partial(write, sure=True), action)
        self._teller.tell(_("Nothing was changed."))
        return False

    def _not_saved(self, write: Write, action: str, said: str) -> bool:
        self._unsaved = (write, action)
        self._teller.tell(_("{fault}   r tries again").format(fault=said), "late")
        return False
