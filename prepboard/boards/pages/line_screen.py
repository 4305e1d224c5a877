"""An open line, on a page of its own that can be read by scrolling. It lives on while it is open."""

from __future__ import annotations

from collections.abc import Callable, Coroutine, Sequence
from time import monotonic
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from prepboard.boards.acts import dishes as doing_dishes
from prepboard.boards.acts import helping as doing_helps
from prepboard.boards.acts import places as doing_places
from prepboard.boards.acts import readings as doing_readings
from prepboard.boards.acts import runs as doing
from prepboard.boards.acts import sending as doing_sending
from prepboard.boards.acts import stock as doing_stock
from prepboard.boards.keys import bindings, named
from prepboard.boards.pages.helping import Helping
from prepboard.boards.pages.host import Host
from prepboard.boards.pages.page import Page
from prepboard.boards.rows.find import Shown, find, run_of
from prepboard.boards.rows.line_page import detail
from prepboard.boards.rows.lists import run_key, voice_of
from prepboard.boards.rows.recipe_page import Block
from prepboard.boards.widgets import line_list
from prepboard.boards.widgets.hanging import Hanging
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.boards.widgets.row import Row, clean
from prepboard.plan.board import Board
from prepboard.plan.changing.helping import Help
from prepboard.plan.given.state import HandOver
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import Expiring, Left, MakeLine, UnderWay
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.boards.acts.stock import InStore
    from prepboard.store.file.who import Did


class LineScreen(Page):
    """The page of one row of a board; started here, it goes on as the page of the run."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("line")
    groups = ("line",)

    def __init__(self, host: Host, row: Row) -> None:
        super().__init__(host)
        self.row = row
        self._shown: tuple[str, list[Block]] = ("", [])
        self._gone = False
        self._step: int | None = None
        """How far the run was that was shown last."""
        self._went_on_at = -1e9
        self._helping = Helping()

    def compose(self) -> ComposeResult:
        yield Static(id="line-title")
        with VerticalScroll(id="page"):
            yield Static(id="text", classes="lines")
        yield PlainLine(id="answer")
        yield KeyLine("line", id="keys")

    def on_mount(self) -> None:
        self.host.show_answer(self.query_one("#answer", PlainLine))
        if self.host.board:
            self.show(self.host.board)
        self.query_one("#page").focus()

    def show(self, board: Board) -> None:
        """Shows the line as it stands now; where it went, what happened to it, above what it last said."""
        found = find(board, self.row.key)
        if found is None:
            self._show_that_it_went(board)
            return
        was_gone, self._gone = self._gone, False
        self._look_whether_it_went_on(found)
        self.query_one("#keys", KeyLine).put(named("line", actions=_footer(found)))
        self._helping.for_sous = doing_helps.may_ask_to_stay(self.host.desk, board.state.book)
        line = self._helping.wanted(board, found)
        if line:
            self.run_worker(self._work_out(board, line), group="helps", exclusive=True)
        title, blocks = detail(board, found, self.host.story_of(found))
        help = self._helping.block(board)
        shown = title, [*blocks[:1], help, *blocks[1:]] if help[1] else blocks
        if shown != self._shown or was_gone:
            self._shown = shown
            title, blocks = shown
            self.query_one("#line-title", Static).update(Content(clean(title)))
            self.query_one("#text", Static).update(Hanging(blocks))

    def _show_that_it_went(self, board: Board) -> None:
        """The page of a line that somebody started goes on as that of its run. Of all else that is gone it says that it
        stands as it was, and closes where it never showed anything."""
        if self._gone:
            return
        self.host.say_went(self.row)
        run = run_of(board, self.row.key)
        if run:
            self._went_on_at = monotonic()
            self.follow(Row(run_key(run), what=self.row.what))
            return
        self._gone = True
        title, blocks = self._shown
        if not blocks:
            self.call_later(self.action_back)
            return
        said = _("{title}, as it was before {time}").format(title=title, time=voice_of(board).time(board.now))
        self.query_one("#line-title", Static).update(Content(clean(said)))

    def _look_whether_it_went_on(self, found: Shown) -> None:
        step = found.step if isinstance(found, UnderWay) else None
        if None not in (step, self._step) and step != self._step:
            self._went_on_at = monotonic()
        self._step = step

    async def _work_out(self, board: Board, line: MakeLine) -> None:
        if await self._helping.work_out(board, line) and self.host.board:
            self.show(self.host.board)

    def follow(self, row: Row) -> None:
        """Shows another row from now on: the run that this line became."""
        self.row = row
        if self.host.board:
            self.show(self.host.board)

    # --- keys --------------------------------------------------------------------------------------------

    def action_start(self) -> None:
        self.host.ask(self._do("start"))

    def action_done(self) -> None:
        self.host.ask(self._do("done"))

    async def _do(self, wish: str) -> None:
        board = self.host.board
        found = find(board, self.row.key) if board else None
        if wish == "done" and isinstance(found, Expiring):
            await self._batch(doing_stock.used_up)
            return
        if board is None or not isinstance(found, MakeLine | UnderWay | HandOver | TaskLine):
            self.host.tell(_("That is for a line to make or under way."))
            return
        if monotonic() - self._went_on_at < line_list.SLID:
            self.host.tell(line_list.just_changed(), "strong")
            return
        work = self.host.do(wish, found)
        did = await work if work else None
        if did and wish == "done":
            self.dismiss()
        elif did and isinstance(found, MakeLine):
            self.follow(Row(f"run {did.run}", what=self.row.what))

    def action_what_helps(self) -> None:
        found, board = self._helping.found, self.host.board
        if found and board:
            self.host.ask(self._help_with(found, board))
        elif self._helping.is_trying:
            self.host.tell(_("trying what helps"))
        else:
            self.host.tell(_("Nothing that helps is known here."))

    async def _help_with(self, found: Sequence[Help], board: Board) -> None:
        did = await doing_helps.help_with(self.host.desk, found, voice_of(board))
        if did and did.run:
            self.follow(Row(f"run {did.run}", what=self.row.what))

    @property
    def _found(self) -> Shown | None:
        board = self.host.board
        return find(board, self.row.key) if board else None

    def _run(self, do: Callable[[Desk, Board, UnderWay], Coroutine[Any, Any, Did | None]]) -> None:
        found, board = self._found, self.host.board
        if board and isinstance(found, UnderWay):
            self.host.ask(do(self.host.desk, board, found))
        else:
            self.host.tell(_("That is for a line under way."))

    def action_part_ready(self) -> None:
        self._run(doing.part_ready)

    def action_done_onto(self) -> None:
        self._run(doing.done_onto)

    def action_label(self) -> None:
        found = self._found
        self.host.show_labels((found.batch.code,) if isinstance(found, Expiring) else ())

    def action_handle(self) -> None:
        found, board = self._found, self.host.board
        if board and isinstance(found, Expiring):
            self.host.ask(doing_places.handle(self.host.desk, board, found.batch))
        else:
            self.host.tell(_("That is for a batch."))

    def action_send(self) -> None:
        found, board = self._found, self.host.board
        if not board or not isinstance(found, Expiring):
            self.host.tell(_("That is for a batch."))
        elif not board.state.book.kitchen.member:
            self.host.tell(_("This kitchen is in no group: the book names no other kitchens."))
        else:
            self.host.ask(doing_sending.send(self.host.desk, board, found.batch))

    async def _batch(self, do: Callable[[Desk, Board, InStore], Coroutine[Any, Any, Did | None]]) -> None:
        found, board = self._found, self.host.board
        if board and isinstance(found, Expiring):
            await do(self.host.desk, board, doing_stock.held_batch(board, found.batch))
        else:
            self.host.tell(_("That is for a batch."))

    def action_count(self) -> None:
        self.host.ask(self._batch(doing_stock.count))

    def action_throw_away(self) -> None:
        self.host.ask(self._batch(doing_stock.discard))

    def action_other_use(self) -> None:
        self.host.ask(self._batch(doing_stock.other_use))

    def action_temperature(self) -> None:
        board = self.host.board
        if board and self._found:
            self.host.ask(doing_readings.temperature(self.host.desk, board, self._found, ()))

    def _dish(self, do: Callable[[Desk, Board, Left], Coroutine[Any, Any, Did | None]]) -> None:
        found, board = self._found, self.host.board
        if board and isinstance(found, Left):
            self.host.ask(do(self.host.desk, board, found))
        else:
            self.host.tell(_("That is for a dish."))

    def action_off(self) -> None:
        self._dish(doing_dishes.off_or_back)

    def action_portion(self) -> None:
        self._dish(doing_dishes.portion)

    def action_undo(self) -> None:
        self.host.action_undo()


def _footer(shown: Shown) -> tuple[str, ...]:
    """The keys that mean something on such a page, at most six."""
    if isinstance(shown, UnderWay):
        return ("start", "done", "part_ready", "undo", "all_keys", "back")
    if isinstance(shown, Expiring):
        return ("done", "count", "throw_away", "temperature", "other_use", "label", "all_keys")
    if isinstance(shown, HandOver | TaskLine):
        return ("done", "undo", "all_keys", "back")
    if isinstance(shown, MakeLine) and shown.late_minutes:
        return ("start", "done", "what_helps", "undo", "all_keys", "back")
    if isinstance(shown, MakeLine):
        return ("start", "done", "undo", "all_keys", "back")
    if isinstance(shown, Left):
        return ("off", "portion", "undo", "all_keys", "back")
    return ("all_keys", "back")
