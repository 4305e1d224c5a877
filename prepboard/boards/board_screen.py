"""What every board has: a title, lists, a line for answers, the keys; it stays live, and it can be acted from."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Coroutine, Iterator
from pathlib import PurePath
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.screen import Screen
from textual.widget import Widget

from prepboard.boards.desk import Desk
from prepboard.boards.keys import bindings
from prepboard.boards.live import NotLive, follow
from prepboard.boards.messages import HintTapped
from prepboard.boards.plain_line import KeyLine, PlainLine
from prepboard.boards.row import Tone, clean
from prepboard.boards.station_view import Title, title_lines
from prepboard.paper.layout import wrap
from prepboard.paper.saying import Voice
from prepboard.plan.board import Board
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.file import KitchenFile

NARROW, WIDE = 60, 100
"""Columns below which a row folds onto two lines, and from which lists stand side by side."""

ROOMY = 30
"""Lines from which there is room for rules."""


class BoardScreen(Screen[None]):
    """A live board. A board of its own gives `board_name`, `compose_lists`, `show` and `title`."""

    board_name: ClassVar[str]
    shared_keys: ClassVar[tuple[str, ...]] = ("board",)
    """The groups of keys that it has beside its own."""
    BINDINGS: ClassVar[list[BindingType]] = bindings("board")
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (NARROW, "-middle"), (WIDE, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-low"), (ROOMY, "-roomy")]  # noqa: RUF012
    CSS_PATH: ClassVar[list[str | PurePath]] = ["board_screen.tcss"]

    def __init__(self, file: KitchenFile, station: str, by: str) -> None:
        super().__init__()
        self.file = file
        self.desk = Desk(file, station, by, self)
        self.board: Board | None = None
        """What is shown; None until the file was read for the first time."""
        self._not_live: NotLive | None = None

    # --- for a board to fill in --------------------------------------------------------------------------

    @abstractmethod
    def compose_lists(self) -> Iterator[Widget]:
        """The widgets between title and answers."""

    @abstractmethod
    def show(self, board: Board) -> None:
        """Puts a board onto the lists."""

    @abstractmethod
    def title_of(self, board: Board) -> Title:
        """The board's title."""

    # --- the frame ---------------------------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        yield PlainLine(id="title")
        with Vertical(id="lists"):
            yield from self.compose_lists()
        yield PlainLine(id="answer")
        yield KeyLine(self.board_name, *self.shared_keys, id="keys")

    def on_mount(self) -> None:
        self.run_worker(self._stay_live(), group="live", exclusive=True)

    async def _stay_live(self) -> None:
        async for news in follow(self.file):
            self._not_live = None if isinstance(news, Board) else news
            self.set_class(self._not_live is not None, "-not-live")
            if isinstance(news, Board):
                self.board = news
            self.show_title()
            if isinstance(news, Board):
                self.show(news)

    def show_title(self) -> None:
        """Writes the title line: on two lines where one is too short for it."""
        line = self.query_one("#title", PlainLine)
        if self.board is None:
            line.say((f" {self._not_live.why if self._not_live else ''}", "late"))
            return
        shown = self.title_of(self.board)
        stale = ""
        if self._not_live:
            voice = Voice(self.board.state.book, self.file.clock.now())
            stale = _("not live since {time}").format(time=voice.time(self._not_live.since))
            self.tell(self._not_live.why, "late")
        line.show((shown, stale), lambda width: title_lines(shown, stale, width))

    def tell(self, text: str, tone: Tone = "plain") -> None:
        """Answers in the line at the bottom; what is too long for one line takes up to three."""
        said = clean(text)
        self.query_one("#answer", PlainLine).show(
            (said, tone), lambda width: [[(f" {line}", tone)] for line in wrap(said, width - 2)[:3]]
        )

    def ask(self, work: Coroutine[Any, Any, None]) -> None:
        """Lets something run that may ask back and may take its time."""
        self.run_worker(work, group="asked")

    # --- keys that every board has -----------------------------------------------------------------------

    def on_hint_tapped(self, event: HintTapped) -> None:
        self.call_later(self.run_action, event.action)

    def action_all_keys(self) -> None:
        from prepboard.boards.dialogs.all_keys import AllKeys

        self.app.push_screen(AllKeys(self.board_name))

    def action_quit(self) -> None:
        self.app.exit()

    def action_initials(self) -> None:
        self.ask(self._initials())

    async def _initials(self) -> None:
        await self.desk.ask_initials()
        self.show_title()

    def action_undo(self) -> None:
        from prepboard.boards.doing import undo

        self.ask(undo(self.desk))

    def action_try_again(self) -> None:
        self.ask(self.desk.try_again())
