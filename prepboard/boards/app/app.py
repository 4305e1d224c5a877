"""The Textual application around a board: looks, the palette, and a clean end."""

from __future__ import annotations

from collections import deque
from collections.abc import Awaitable, Callable, Iterable
from dataclasses import dataclass
from functools import partial
from time import monotonic
from typing import TYPE_CHECKING, Any, cast

from textual import events
from textual.app import App, SystemCommand
from textual.dom import DOMNode
from textual.filter import Monochrome
from textual.message import Message
from textual.screen import ModalScreen, Screen
from textual.widget import Widget
from textual.widgets import Input

from prepboard.boards.app.first_frame import Frame, OpenBoard, Opening
from prepboard.boards.app.looks import DARK, THEMES, NoColours
from prepboard.boards.frame.last_look import keep_as_last, last_look
from prepboard.boards.keys import KEYS
from prepboard.boards.questions.scanned import BETWEEN, Scanned
from prepboard.boards.widgets import presses
from prepboard.boards.widgets.presses import HELD, Presses
from prepboard.texts import _, meant

if TYPE_CHECKING:
    from prepboard.boards.frame.board_screen import BoardScreen

LOOK_AGAIN = 0.02
"""Seconds between looks whether a question stands that keys are waiting for."""

AT_ONCE = 0.001
"""Seconds: behind what is in the queue already."""

TOO_MANY = 10
"""Faults in a second with which a board cannot stand any more."""

ACTIONS = frozenset(key.action for key in KEYS if not key.each)
"""What keys do by themselves; those that begin to type something are told which of them it was."""

LOST = 0.5
"""Seconds after which a key whose way ended somewhere keeps the next ones waiting no longer."""


class BoardApp(App[None]):
    """Shows one board until it is closed. `remembered_as` names the board whose look is kept; empty keeps none."""

    TITLE = "prepboard"

    @dataclass
    class KeyPassed(Message):
        """Sent behind a key, by the way that it takes."""

        number: int

    def __init__(self, first: Screen[Any], theme: str | None = None, *, remembered_as: str = "") -> None:
        # Textual reads the style sheets of screens that are pushed; this one is there from the start.
        super().__init__(css_path=[*first.css_path])
        self._first, self._remembered_as = first, remembered_as
        self._scanned = Scanned()
        self.presses = Presses()
        self._keys: deque[events.Key] = deque()
        """Keys that wait for the one before them."""
        self._waited_behind: events.Key | None = None
        """The key that waited for others of its packet, or does yet."""
        self._waiting = False
        self._on_its_way = 0
        """The number of the key that is being handed on; 0 for none."""
        self._count = 0
        self._mishaps: list[float] = []
        for each in THEMES.values():
            self.register_theme(each)
        if self.no_color:
            self._filters = [one for one in self._filters if not isinstance(one, Monochrome)] + [NoColours()]
        look = theme or (last_look(remembered_as) if remembered_as else None) or ""
        self.theme = look if look in THEMES else DARK.name

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return DARK.variables

    def get_default_screen(self) -> Screen[Any]:
        return self._first

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """The palette: the keys that do something where somebody is now, the looks, and the language."""
        registered = {(name, key.action): key for key in KEYS for name in key.keys.split(",") if not key.each}
        offered: dict[str, SystemCommand] = {}
        for name, active in screen.active_bindings.items():
            key = registered.get((name, active.binding.action))
            if key is not None and active.enabled:
                does = partial(cast(Widget, active.node).run_action, key.action)
                offered.setdefault(key.action, SystemCommand(meant("key", key.label), _(key.help), does))
        for key in KEYS:
            if key.menu and key.board == getattr(screen, "board_name", ""):
                label, runs = meant("key", key.label), partial(screen.run_action, key.action)
                offered[key.action] = SystemCommand(label, _(key.help), runs)
        yield from offered.values()
        for theme in THEMES.values():
            title = _("theme and colours: {name}").format(name=theme.name)
            yield SystemCommand(title, _("how this board looks"), partial(self._look, theme.name))
        yield SystemCommand(_("language"), _("which language this kitchen speaks"), partial(self._language, screen))

    def _language(self, screen: Screen[Any]) -> None:
        """Says where the language is set: whoever opens a board may ask for one, else the book has it."""
        tell = getattr(screen, "tell", None)
        said = _(
            "Open the board with --language es, or write language into the book: of the kitchen, a station or a person."
        )
        tell(said) if tell else self.notify(said)

    async def on_event(self, event: events.Event) -> None:
        """Every press and every tap comes by here first."""
        if isinstance(event, events.Key | events.MouseDown):
            for pressed in [screen.pressed for screen in self.screen_stack if hasattr(screen, "pressed")]:
                pressed()
            if isinstance(event, events.Key) and not event.is_forwarded:
                self._keys.append(event)
                await self._next_key()
                return
        await super().on_event(event)

    # --- keys, one after the other -----------------------------------------------------------------------

    async def _next_key(self) -> None:
        """Hands on the next key, once the one before it has done what it does and it is known where this belongs."""
        while self._keys and not self._on_its_way and self._screen_stack:
            if self.presses.undecided:
                self.set_timer(LOOK_AGAIN, self._next_key)
                return
            self._drop_keys(self.presses.gave_up())
            if not self._keys or self._waits_for_more():
                return
            key = self._keys.popleft()
            meant = self._of_pasted(key) if presses.PACKET and self._is_pasted(key) else key
            if meant is not None:
                await self._hand_on(meant)

    def _waits_for_more(self) -> bool:
        """Whether the next key acts and others of its packet may be on their way: once, for a moment."""
        key = self._keys[0]
        if not presses.PACKET or key is self._waited_behind:
            return self._waiting
        typing = isinstance(self.screen.focused, Input)
        acts = not typing and self._acts(key.key)
        if not self.presses.waits_for_more(key.key, key.character, typing=typing, at=key.time, acts=acts):
            return False
        self._waited_behind, self._waiting = key, True
        # A board that was busy has the others in its queue already, and takes them up first.
        left = min(key.time + presses.PACKET - monotonic(), presses.PACKET)
        self.set_timer(max(left, AT_ONCE), self._waited)
        return True

    async def _waited(self) -> None:
        self._waiting = False
        await self._next_key()

    def _is_pasted(self, key: events.Key) -> bool:
        return self.presses.is_pasted([(one.time, one.character) for one in (key, *self._keys)])

    def _of_pasted(self, key: events.Key) -> events.Key | None:
        """A key of a pasted text as it is to be taken: nothing of it acts. Where something is typed it goes there
        whole, and its lines become one; elsewhere it goes nowhere, and that is said."""
        if not isinstance(self.screen.focused, Input):
            if (board := self._board()) is not None:
                board.tell(_("That came all at once, as pasted text does: it is taken only where you type."), "strong")
            return None
        more = self._keys and self._keys[0].time - key.time <= presses.PACKET
        if key.key != "enter" or not more:
            return key
        blank = events.Key("space", " ")
        blank.time = key.time
        return blank

    def _drop_keys(self, until: float) -> None:
        """Keys that waited until then for a question which did not come: nobody knows where they belong."""
        left = [key for key in self._keys if key.time > until]
        if len(left) == len(self._keys):
            return
        self._keys = deque(left)
        if board := self._board():
            board.tell(_("That takes long; what you typed meanwhile was not taken."), "strong")

    async def _hand_on(self, key: events.Key) -> None:
        typing = isinstance(self.screen.focused, Input)
        acts = not typing and self._acts(key.key)
        verdict = self.presses.judge(key.key, key.character, typing=typing, at=key.time, acts=acts)
        if verdict == "now":
            await self._take(key)
        elif verdict == "wait":
            self.set_timer(HELD, partial(self._take_if_alone, key))

    def _acts(self, key: str) -> bool:
        """Whether a key does something by itself on the screen in sight, as the digits of the close do."""
        bound = self.screen.active_bindings.get(key)
        return bound is not None and bound.binding.action in ACTIONS

    async def _take_if_alone(self, key: events.Key) -> None:
        if self.presses.stands_alone(key.key, key.time) and self._screen_stack:
            await self._take(key)

    async def _take(self, key: events.Key) -> None:
        if self._is_taken(key):
            return
        self._count += 1
        self._on_its_way = number = self._count
        target = self.screen.focused or self.screen
        await super().on_event(key)
        # Behind the key, by the same way: when it is back here, the key has done what it does.
        target.post_message(self.KeyPassed(number))
        self.set_timer(LOST, partial(self._passed, number))

    def on_board_app_key_passed(self, passed: KeyPassed) -> None:
        if self._keys and self._screen_stack:
            # What the key asked for by messages comes first.
            self.screen.call_after_refresh(self._passed, passed.number)
        else:
            self._on_its_way = 0

    async def _passed(self, number: int) -> None:
        if number == self._on_its_way:
            self._on_its_way = 0
            await self._next_key()

    async def push_screen_wait(self, screen: Any, **options: Any) -> Any:
        """As Textual's; whoever asked may ask again, and until then keys wait."""
        answer = await super().push_screen_wait(screen, **options)
        self.presses.goes_on()
        return answer

    def _is_taken(self, key: events.Key) -> bool:
        """Whether a key goes no further."""
        too_early = getattr(self.screen, "too_early", None)
        return self._is_scanned(key) or bool(too_early and too_early(key.key)) or self._is_amount(key)

    def _is_amount(self, key: events.Key) -> bool:
        """Whether a key is a digit that says how much of what was started a moment ago."""
        board = self._board()
        return board is not None and board is self.screen and board.takes_amount(key.key)

    def _is_scanned(self, key: events.Key) -> bool:
        """Whether a key is part of a code that a scanner types; its Enter opens the batch, on whatever board."""
        if isinstance(self.screen, ModalScreen) or isinstance(self.screen.focused, Input):
            return False
        if key.key != "enter":
            taken = key.is_printable and self._scanned.takes(key.character or "")
            if taken:
                self.set_timer(BETWEEN + 0.1, self._say_caps_lock)
            return taken
        code = self._scanned.ends()
        if not code:
            return False
        board = self._board()
        if board is not None:
            board.open_batch(code)
        return board is not None

    def _say_caps_lock(self) -> None:
        if self._scanned.alone and (board := self._board()) is not None:
            board.tell(_("Is caps lock on? The keys of a board are small letters."), "strong")

    async def _dispatch_message(self, message: Message) -> None:
        """What goes wrong in an action or a handler of the application leaves the board standing."""
        try:
            await super()._dispatch_message(message)
        except Exception as fault:
            self._handle_exception(fault)

    def _register_child(self, parent: DOMNode, child: Widget, before: int | None, after: int | None) -> None:
        """Textual ends whatever a handler of it failed: its messages are no longer taken, and the board is dead. Here
        the application is told, of every screen and widget, and the next message is taken."""
        stands: Any = child
        if "_dispatch_message" not in vars(child):
            stands._dispatch_message = partial(self._dispatch_to, child._dispatch_message)
        super()._register_child(parent, child, before, after)

    async def _dispatch_to(self, dispatch: Callable[[Message], Awaitable[None]], message: Message) -> None:
        try:
            await dispatch(message)
        except Exception as fault:
            self._handle_exception(fault)

    def _handle_exception(self, error: Exception) -> None:
        """What goes wrong while something is drawn, mounted or answered: said on the board, which goes on. The program
        ends only where no board is there to say it, or nothing but faults come."""
        from prepboard.boards.frame import board_screen

        self._mishaps = [*(at for at in self._mishaps if monotonic() - at < 1.0), monotonic()]
        board = self._board() if self.is_running and self._screen_stack else None
        if not board_screen.STANDS or board is None or len(self._mishaps) > TOO_MANY:
            super()._handle_exception(error)
        else:
            board.mishap(error)

    def _board(self) -> BoardScreen | None:
        """The board that is shown, under whatever else is in sight."""
        from prepboard.boards.frame.board_screen import BoardScreen

        return next((screen for screen in reversed(self.screen_stack) if isinstance(screen, BoardScreen)), None)

    def _look(self, theme: str) -> None:
        self.theme = theme
        if self._remembered_as:
            keep_as_last(self._remembered_as, theme)


def run_board(frame: Frame, open_board: OpenBoard, *, remembered_as: str = "") -> None:
    """Paints a frame at once, opens the board behind it, and returns when that is closed.

    Raises what `open_board` raised, once the terminal is a terminal again.
    """
    opening = Opening(frame, open_board)
    BoardApp(opening, remembered_as=remembered_as).run()
    if opening.fault:
        raise opening.fault
