"""What every board has: a title, lists, a line for answers, the keys; it stays live, and it can be acted from."""

from __future__ import annotations

import asyncio
import inspect
from abc import abstractmethod
from collections.abc import AsyncIterator, Coroutine, Iterator, Sequence
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen
from textual.widget import Widget

from prepboard.boards.acts.desk import Desk
from prepboard.boards.frame.answers import Answers, stale_words, write_title
from prepboard.boards.frame.live import PAINTED, NotLive, follow
from prepboard.boards.frame.mishaps import in_a_line, keep_traceback
from prepboard.boards.frame.unseen import before_figures, on_another_row
from prepboard.boards.keys import bindings, of
from prepboard.boards.pages.batches_by_code import BatchesByCode
from prepboard.boards.pages.host import Doable
from prepboard.boards.rows.station_view import Title
from prepboard.boards.widgets.line_list import FOLDS_BELOW
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.boards.widgets.presses import Presses
from prepboard.boards.widgets.row import Row, Tone, clean
from prepboard.boards.widgets.still import Stack
from prepboard.book.languages import language_of
from prepboard.plan.board import Board
from prepboard.plan.given.state import HandOver
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.texts import _, speak, spoken

if TYPE_CHECKING:
    from prepboard.store.file.who import Did
    from prepboard.store.kitchen_file import KitchenFile
    from prepboard.store.past.batch_story import BatchStory

NARROW, WIDE = FOLDS_BELOW, 100
"""Columns below which a row folds onto two lines, and from which lists stand side by side."""

ROOMY = 30
"""Lines from which there is room for rules."""

STANDS = True
"""Whatever goes wrong inside, a board stands; tests want to see it fall."""


class BoardScreen(Screen[None]):
    """A live board. A board of its own gives `board_name`, `compose_lists`, `show` and `title_of`."""

    board_name: ClassVar[str]
    shared_keys: ClassVar[tuple[str, ...]] = ("list", "board")
    """The groups of keys that it has beside its own."""
    not_in_footer: ClassVar[frozenset[str]] = frozenset()
    """Actions of every board that the footer leaves out, to have room for the board's own."""
    keyed: ClassVar[tuple[type[Any], ...]] = ()
    """The classes of its parts whose `action_...` its keys do, beside its own; one of each is given to `hand_keys`."""
    own_at_once: ClassVar[bool] = True
    """What is done here is shown before the plan is worked out with it."""
    BINDINGS: ClassVar[list[BindingType]] = bindings("board")
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (NARROW, "-middle"), (WIDE, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-low"), (ROOMY, "-roomy")]  # noqa: RUF012
    CSS_PATH: ClassVar[list[str | PurePath]] = ["board_screen.tcss"]

    def __init_subclass__(cls, **how: Any) -> None:
        """A board is refused when its class is made, not when somebody opens it: TypeError names what it lacks."""
        super().__init_subclass__(**how)
        if "board_name" not in cls.__dict__:
            return  # A part of a board, which others build on.
        lacks = [
            name for name in ("compose_lists", "show", "title_of") if getattr(cls, name) is getattr(BoardScreen, name)
        ]
        lacks += [] if of(cls.board_name) else [f"keys of '{cls.board_name}'"]
        actions = dict.fromkeys(f"action_{key.action}" for key in of(cls.board_name))
        lacks += [action for action in actions if not any(hasattr(one, action) for one in (cls, *cls.keyed))]
        sheets = [Path(inspect.getfile(cls)).parent / sheet for sheet in cls.CSS_PATH]
        lacks += [str(sheet) for sheet in sheets if not sheet.is_file()]
        if lacks:
            raise TypeError(f"the board {cls.__name__} lacks {', '.join(lacks)}")

    def __init__(self, file: KitchenFile, station: str, by: str) -> None:
        super().__init__()
        self.file = file
        self.desk = Desk(file, station, by, self)
        self.batches = BatchesByCode(self)
        self.answers = Answers(self, self.desk)
        self.board: Board | None = None
        """What is shown; None until the file was read for the first time."""
        self.asked_language = ""
        """The language that this board was asked for in, whoever stands at it."""
        self.not_live: NotLive | None = None
        self._live: AsyncIterator[Board | NotLive] = follow(file, own_at_once=self.own_at_once)
        self._first: Board | NotLive | None = None

    def hand_keys(self, part: object) -> None:
        """From now on a key does what this part calls `action_...`, also where every board has such an action."""
        for name in dir(part):
            if name.startswith("action_"):
                setattr(self, name, getattr(part, name))

    # --- for a board to fill in --------------------------------------------------------------------------

    @abstractmethod
    def compose_lists(self) -> Iterator[Widget]:
        """The widgets between title and answers."""

    @abstractmethod
    def title_of(self, board: Board) -> Title:
        """The board's title."""

    def says_86(self, board: Board) -> bool:
        """Whether the title says what is 86 and what is low, as it does where no list says it."""
        return False

    @abstractmethod
    def show(self, board: Board) -> None:
        """Puts a board onto the lists."""

    def work_out_more(self, board: Board) -> None:
        """What this board needs beyond the plan, in a thread, so that a key pressed meanwhile is answered at once."""
        return

    def explain(self) -> tuple[str, str]:
        """What the focused thing is, in words: a heading and a sentence or two, for the `?` screen."""
        return "", ""

    # --- the frame ---------------------------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        self.fit()
        yield PlainLine(id="title")
        with Stack(id="lists"):
            yield from self.compose_lists()
        yield PlainLine(id="answer")
        yield KeyLine(self.board_name, *self.shared_keys, id="keys", without=self.not_in_footer)

    def fit(self) -> None:
        """Takes the form that Textual gives it with its first size, so that it is not laid out in another before."""
        for cells, forms in zip(self.app.size, (self.HORIZONTAL_BREAKPOINTS, self.VERTICAL_BREAKPOINTS), strict=True):
            self.set_class(True, max(form for form in forms if form[0] <= cells)[1], update=False)

    async def look_first(self) -> None:
        """Works out what is to be shown before the board is on the screen, so that it is laid out and painted once."""
        self._first = await anext(self._live)
        if isinstance(self._first, Board):
            await asyncio.to_thread(self.work_out_more, self._first)

    def on_mount(self) -> None:
        self._title = self.query_one("#title", PlainLine)
        if self._first is None:
            self._go_live()
        elif self.app.is_running:
            self._take(self._first)
            # Not after it is refreshed: one over which a page opens at once is not, and would stand still for so long.
            self.set_timer(PAINTED, self._go_live)

    def _go_live(self) -> None:
        self.run_worker(self._stay_live(), group="live", exclusive=True)
        self._say_clock()

    def _say_clock(self) -> None:
        """Says as the board opens that something was written later than it is now."""
        from prepboard.store.file.faults import StoreFault
        from prepboard.store.health.clocks import said_of_clock

        try:
            with self.file.glance() as db:
                for said in said_of_clock(self.file, db):
                    self.tell(f"{said[0].upper()}{said[1:]}.", "late")
        except StoreFault:
            return  # A board that cannot read says so itself.

    async def _stay_live(self) -> None:
        async for news in self._live:
            try:
                if isinstance(news, Board) and type(self).work_out_more is not BoardScreen.work_out_more:
                    await asyncio.to_thread(self.work_out_more, news)
                if self.is_closing:
                    return
                self._take(news)
            except Exception as fault:
                self.mishap(fault)

    @property
    def is_closing(self) -> bool:
        """Whether the board is being closed, and its lines are going: what was worked out meanwhile has no place."""
        return not self.app.is_running or not self._title.is_attached

    def _take(self, news: Board | NotLive) -> None:
        before, self.not_live = self.not_live, None if isinstance(news, Board) else news
        if before is not None and self.not_live is None and self.answers.said[0] == clean(before.why):
            self.tell(_("Live again."))  # Nothing says any more that the file is gone.
        self.set_class(self.not_live is not None, "-not-live")
        if isinstance(news, Board):
            self.board = news
        self.show_title()
        if isinstance(news, Board):
            self.show(news)
            for screen in self.app.screen_stack:
                if screen is not self and hasattr(screen, "show"):  # One that opens just now has no lines yet.
                    screen.show(news) if screen.is_mounted else screen.call_later(screen.show, news)

    def show_title(self) -> None:
        """Writes the title line, with what is 86 and low where no list says it."""
        board = self.board
        if board is None:
            self._title.say((f" {self.not_live.why if self.not_live else ''}", "late"))
            return
        if self.not_live:
            self.tell(self.not_live.why, "late")
        stale = stale_words(board, self.not_live)
        write_title(self._title, self.title_of(board), stale, board if self.says_86(board) else None)

    # --- answers -----------------------------------------------------------------------------------------

    def tell(self, text: str, tone: Tone = "plain", *, news: bool = False) -> None:
        """Answers in the line at the bottom; `news` may be written over at once."""
        self.answers.tell(text, tone, news=news)

    def show_answer(self, line: PlainLine) -> None:
        """Shows the last answer in another line too."""
        self.answers.show(line)

    # --- batches by their codes --------------------------------------------------------------------------

    def story_of(self, shown: object) -> BatchStory | None:
        """Where a batch came from and went; None for what is no batch."""
        return self.batches.story_of(shown)

    def open_batch(self, text: str) -> bool:
        """Opens the page of the batch that a code names; says so and answers False where there is none."""
        return self.batches.open(text)

    def show_labels(self, codes: Sequence[str]) -> None:
        """Shows the labels of these batches, else of what was last made at this board."""
        self.batches.show_labels(codes)

    def ask(self, work: Coroutine[Any, Any, object] | None) -> None:
        """Lets something run that may ask back and may take its time."""
        if work is not None:
            presses: Presses = getattr(self.app, "presses", None) or Presses()
            self.run_worker(self._asked(work, presses, presses.begins()), group="asked")

    async def _asked(self, work: Coroutine[Any, Any, object], presses: Presses, number: int) -> None:
        """What a press asked for; keys that follow wait until it is known where they belong."""
        presses.is_mine(number)
        try:
            await work
        except Exception as fault:
            self.mishap(fault)
        finally:
            presses.decided()

    def mishap(self, fault: Exception) -> None:
        """Something went wrong inside: it is said, kept for whoever mends it, and the board stands."""
        if not STANDS:
            raise fault
        kept = keep_traceback(fault, self.file.clock.now())
        said = _("Something went wrong inside: {what}. The board goes on; look whether what you did is there.")
        more = _(" For whoever mends it: {file}").format(file=kept) if kept else ""
        self.tell(said.format(what=in_a_line(fault)) + more, "late")

    def do(self, wish: str, line: Doable) -> Coroutine[Any, Any, Did | None] | None:
        """What a wish ("start", "done") does to a line; a note or a task is only done."""
        from prepboard.boards.acts import handover as doing_handover
        from prepboard.boards.acts import runs as doing

        if self.board is None:
            return None
        if isinstance(line, HandOver | TaskLine):
            if wish == "done":
                return doing_handover.see_to(self.desk, self.board, line)
            self.tell(_("Nothing to start: press d when it is done."))
            return None
        return doing.start(self.desk, line) if wish == "start" else doing.done(self.desk, self.board, line)

    def takes_amount(self, key: str) -> bool:
        """Whether this key says how much of what was started here a moment ago: then that is asked."""
        return False

    def open_line(self, row: Row) -> None:
        from prepboard.boards.pages.line_screen import LineScreen

        self.app.push_screen(LineScreen(self, row))

    def say_went(self, row: Row) -> None:
        """Says what happened to a line that is gone; what was done here has been answered already."""
        from prepboard.boards.frame.news import became

        said = became(self.desk, self.board, row) if self.board else ""
        if said:
            self.tell(said, "strong")

    # --- who is here -------------------------------------------------------------------------------------

    @property
    def people(self) -> tuple[str, ...]:
        """Initials to choose from: those of the book, else of those who have worked on what is there."""
        if self.board is None:
            return ()
        state = self.board.state
        listed = [person.initials for person in state.book.people.values()]
        seen = {run.by for run in state.runs} | {batch.by for batch in state.batches}
        return tuple(dict.fromkeys(listed or sorted(filter(None, seen))))

    def greet(self, by: str) -> None:
        """Speaks the language of whoever stands here now, unless this board was asked for in one."""
        if self.board is None:
            return
        before = spoken()
        stations = getattr(self, "stations", ()) or ((self.desk.station,) if self.desk.station else ())
        speak(language_of(self.board.state.book, self.asked_language, by, stations))
        if spoken() != before:
            self.query_one("#keys", KeyLine).refresh()
            self._take(self.board)

    def pressed(self) -> None:
        """Somebody pressed a key or tapped."""
        before = self.desk.known
        self.desk.pressed()
        if before != self.desk.known:
            self.show_title()

    def too_early(self, key: str = "", action: str = "") -> bool:
        """Whether a key, or the action of a tap, is about what nobody has seen. It says so, and does nothing later."""
        meant = {one.action for one in of(self.board_name, *self.shared_keys) if key in one.keys.split(",")} | {action}
        if self.board is None:
            why = before_figures(meant, self.not_live.why if self.not_live else "")
        else:
            why = on_another_row(meant, self.focused)
        if why:
            self.tell(why, "strong")
        return bool(why)

    # --- keys that every board has -----------------------------------------------------------------------

    def on_key_line_hint_tapped(self, event: KeyLine.HintTapped) -> None:
        if not self.too_early(action=event.action):
            self.call_later(self.run_action, event.action)

    def action_all_keys(self) -> None:
        self.ask(self.all_keys(self, self.board_name, *self.shared_keys))

    async def all_keys(self, screen: Screen[Any], *groups: str) -> None:
        """The `?` screen: what is focused, and all keys; one that is chosen there is done on `screen`."""
        from prepboard.boards.questions.all_keys import AllKeys

        focused = screen.focused
        action = await self.app.push_screen_wait(AllKeys(groups, *self.explain()))
        if action:
            found = focused if focused and hasattr(focused, f"action_{action}") else screen
            await found.run_action(action)

    def action_quit(self) -> None:
        if self.desk.unsaved and not self.answers.said[0].startswith(_("Something is not saved")):
            self.tell(_("Something is not saved yet: r tries again, q once more closes without it."), "strong")
        else:
            self.app.exit()

    def action_allergens(self) -> None:
        from prepboard.boards.pages.allergens_page import AllergensPage

        self.app.push_screen(AllergensPage(self))

    def action_vans(self) -> None:
        from prepboard.boards.pages.vans_page import VansPage

        self.app.push_screen(VansPage(self))

    def action_timeline(self) -> None:
        from prepboard.boards.timeline.screen import TimelineScreen

        self.app.push_screen(TimelineScreen(self, getattr(self, "stations", ())))

    def action_initials(self) -> None:
        self.ask(self._initials())

    async def _initials(self) -> None:
        await self.desk.ask_initials()
        self.show_title()

    def action_label(self) -> None:
        self.show_labels(())

    def action_find_batch(self) -> None:
        self.ask(self.batches.find())

    def action_undo(self) -> None:
        self.undo()

    def undo(self) -> None:
        """Says what was last done here, and takes it back."""
        from prepboard.boards.acts.runs import undo

        self.ask(undo(self.desk))

    def action_try_again(self) -> None:
        self.ask(self.desk.try_again())
