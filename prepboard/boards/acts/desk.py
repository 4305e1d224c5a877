"""Carrying out what a cook asked for: off to the store in a thread of its own, and the answer onto the screen.

Every request has an id from the moment it is asked. Trying again sends the same id, so nothing counts twice.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
from collections.abc import Callable
from functools import partial
from time import monotonic
from typing import TYPE_CHECKING, Any, Protocol

from msgspec import Struct

from prepboard.boards.widgets.row import Tone
from prepboard.texts import _, some

if TYPE_CHECKING:
    from textual.app import App

    from prepboard.plan.given.state import Sitting
    from prepboard.store.file.who import Did, Who
    from prepboard.store.kitchen_file import KitchenFile

Write = Callable[..., "Did"]
"""An action of the store with everything given but its id."""

STRANGER_AFTER = 30 * 60.0
"""Seconds without a press after which somebody else may stand here: initials are asked for again."""


class Teller(Protocol):
    """Whoever shows the answer."""

    @property
    def app(self) -> App[Any]: ...

    @property
    def people(self) -> tuple[str, ...]:
        """Initials of those who may work here, to choose from."""

    def tell(self, text: str, tone: Tone = "plain") -> None: ...

    def greet(self, by: str) -> None:
        """Somebody has said that they are these initials."""


class Unsaved(Struct, frozen=True):
    """A request that did not reach the file, and why."""

    write: Write
    action: str
    why: str


class Desk:
    """Where one person at one station asks for changes. To be used from a worker: it may ask back."""

    def __init__(
        self, file: KitchenFile, station: str, by: str, teller: Teller, *, ticks: Callable[[], float] = monotonic
    ) -> None:
        self.file = file
        self.station = station
        self.by = by
        self.asked: set[str] = set()
        """Ids of what was asked for here."""
        self.made: tuple[str, ...] = ()
        """Codes of the batches that were last made here."""
        self.last_sitting: Sitting | None = None
        """The service for which plates last went out here."""
        self._teller, self._ticks = teller, ticks
        self._pressed = ticks()
        self._known = bool(by)
        self._proof = ""
        """What the PIN gave that was typed here."""
        self._unsaved: list[Unsaved] = []
        self._starts: list[float] = []

    @property
    def app(self) -> App[Any]:
        return self._teller.app

    def tell(self, text: str) -> None:
        """Says something that needs no action."""
        self._teller.tell(text)

    @property
    def unsaved(self) -> str:
        """What is not saved, until it is; "" when everything is."""
        if not self._unsaved:
            return ""
        fault = self._unsaved[0].why
        if len(self._unsaved) > 1:
            fault += " " + some("({n} change)", "({n} changes)", len(self._unsaved))
        return _("{fault}   r tries again").format(fault=fault)

    # --- who ---------------------------------------------------------------------------------------------

    def pressed(self) -> None:
        """Somebody pressed a key or tapped; after a long while nobody knows who that is."""
        now = self._ticks()
        self._known = self._known and now - self._pressed < STRANGER_AFTER
        self._proof = self._proof if now - self._pressed < STRANGER_AFTER else ""
        self._pressed = now

    @property
    def known(self) -> str:
        """Initials of whoever works here; "" when they are to be asked."""
        return self.by if self._known else ""

    async def who(self) -> Who | None:
        """Who is working here; asked the first time that it matters, and again after 30 minutes without a press.

        None when they would not say, or would not type their PIN.
        """
        if not self.known and not await self.ask_initials():
            return None
        return await self._proven(self.by)

    async def _proven(self, by: str) -> Who | None:
        """Who that is, their PIN typed where they have one; asked once, until somebody else stands here."""
        from prepboard.boards.questions.pin import AskPin
        from prepboard.store.actions.pins import prove
        from prepboard.store.file.faults import StoreFault
        from prepboard.store.file.pins import NeedsPin
        from prepboard.store.file.who import Who

        who, wrong = Who(by, self.station, self._proof), ""
        if self._proof or not await self._asks_for_pin(by):
            return who
        while True:
            pin = await self.app.push_screen_wait(AskPin(by, wrong))
            if not pin:
                return None
            try:
                who = await asyncio.to_thread(prove, self.file, who, pin)
            except NeedsPin as fault:
                wrong = str(fault)
            except StoreFault as fault:
                self._teller.tell(str(fault), "strong")
                return None
            else:
                self._proof = who.proof
                return who

    async def _asks_for_pin(self, by: str) -> bool:
        """Whether these initials have a PIN. Of a file that cannot be read the action says so, and is kept to be tried
        again; it asks for the PIN too."""
        from prepboard.store.actions.pins import has_pin
        from prepboard.store.file.faults import StoreFault

        with contextlib.suppress(StoreFault):
            return await asyncio.to_thread(has_pin, self.file, by)
        return False

    async def ask_initials(self) -> bool:
        """Asks who is working here, and for the PIN of who has one; escape leaves it as it was, and answers False."""
        from prepboard.boards.questions.initials import AskInitials

        answer = await self.app.push_screen_wait(AskInitials(self.by, self._teller.people))
        if not answer:
            return False
        before, self._proof = self._proof, ""
        if await self._proven(answer) is None:
            self._proof = before
            return False
        self.by, self._known = answer, True
        self._teller.greet(answer)
        return True

    # --- doing -------------------------------------------------------------------------------------------

    async def carry_out(self, write: Write) -> Did | None:
        """Does it and says how it went; None when it was not done."""
        from prepboard.store.file.ids import new_id

        self._decided()
        return await self._attempt(write, new_id(self.file.clock.now()))

    def _decided(self) -> None:
        """Nothing is asked any more: keys that were waiting go on."""
        presses = getattr(self.app, "presses", None)
        if presses is not None:
            presses.decided()

    async def meant(self) -> bool:
        """Whether a start is meant: the third within a second is asked about, since a key may be stuck."""
        now = self._ticks()
        self._starts = [*(at for at in self._starts if now - at < 1.0), now]
        if len(self._starts) < 3:
            return True
        from prepboard.boards.questions.sure import Sure

        self._starts = []
        sure = await self.app.push_screen_wait(Sure(_("That is the third start within a second. Is it meant?")))
        return sure is True

    async def try_again(self) -> None:
        """Does once more what was not saved, as the same requests and in their order."""
        if not self._unsaved:
            self._teller.tell(_("Everything is saved."))
        for unsaved in list(self._unsaved):
            await self._attempt(unsaved.write, unsaved.action)

    async def _attempt(self, write: Write, action: str) -> Did | None:
        from prepboard.store.file.faults import NotSaved, StoreFault
        from prepboard.store.file.pins import NeedsPin
        from prepboard.store.file.who import Refused, Unsure

        self.asked.add(action)
        try:
            did = await asyncio.to_thread(partial(write, action=action))
        except Unsure as unsure:
            return await self._ask_sure(write, action, str(unsure))
        except Refused as refused:
            if isinstance(refused, NeedsPin):
                self._proof = ""  # Another one was set meanwhile: it is asked for at the next press.
            self._saved(action)
            self._teller.tell(str(refused), "strong")
            return None
        except StoreFault as fault:
            said = str(fault) if isinstance(fault, NotSaved) else _("not saved: {why}").format(why=fault)
            self._not_saved(write, action, said)
            return None
        except Exception as fault:
            logging.getLogger(__name__).exception("an action failed")
            self._not_saved(write, action, _("not saved: {why}").format(why=f"{type(fault).__name__}: {fault}"))
            return None
        self._saved(action)
        self._teller.tell(did.text)
        return did

    async def _ask_sure(self, write: Write, action: str, question: str) -> Did | None:
        from prepboard.boards.questions.sure import Sure

        if await self.app.push_screen_wait(Sure(question)):
            return await self._attempt(partial(write, sure=True), action)
        self._saved(action)
        self._teller.tell(_("Nothing was changed."))
        return None

    def _saved(self, action: str) -> None:
        """What was refused needs not be tried again either."""
        self._unsaved = [unsaved for unsaved in self._unsaved if unsaved.action != action]

    def _not_saved(self, write: Write, action: str, why: str) -> None:
        self._saved(action)
        self._unsaved.append(Unsaved(write, action, why))
        self._teller.tell("")
