"""What the keys of a station's board are for: each finds what is meant by the cursor, and hands it on to be done."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from time import monotonic
from typing import TYPE_CHECKING, Any, Protocol

from textual.app import App
from textual.widget import Widget

from prepboard.boards.acts import dishes as doing_dishes
from prepboard.boards.acts import handover as doing_handover
from prepboard.boards.acts import places as doing_places
from prepboard.boards.acts import readings as doing_readings
from prepboard.boards.acts import runs as doing
from prepboard.boards.acts import stock as doing_stock
from prepboard.boards.acts import timers as doing_timers
from prepboard.boards.acts.other_amount import WITHIN, Begun, begin_other
from prepboard.boards.pages.host import Host
from prepboard.boards.rows.due_rows import Due, due, row_key
from prepboard.boards.rows.early import why_ask
from prepboard.boards.rows.find import Shown, find
from prepboard.boards.rows.lists import key_of, lines_to_make, runs_under_way, voice_of
from prepboard.boards.widgets.line_list import LineList
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch, HandOver, Timer
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import Expiring, Left, MakeLine, UnderWay
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.boards.acts.stock import InStore
    from prepboard.store.file.who import Did

Line = MakeLine | UnderWay


class Bench(Host, Protocol):
    """A bench's board, as far as its keys ask for it."""

    stations: tuple[str, ...]

    @property
    def app(self) -> App[Any]: ...

    @property
    def focused(self) -> Widget | None: ...

    @property
    def seen(self) -> frozenset[str]:
        """Keys of the rows that are shown: a line that a filter hides, or that is folded, is not acted on unseen."""

    def show_marks(self) -> None:
        """Shows what is marked."""


class StationKeys:
    """What the keys do; the lists are the station's."""

    def __init__(self, screen: Bench) -> None:
        self.screen = screen
        self._begun: Begun | None = None
        """What was started here last, while a number may still follow it."""
        self.marked: frozenset[str] = frozenset()
        """Keys of the lines that are to be done together."""

    # --- what is meant -----------------------------------------------------------------------------------

    @property
    def here(self) -> tuple[str, Shown] | None:
        """The key of the row under the cursor, and what it stands for."""
        focused = self.screen.focused
        if self.screen.board is None or not isinstance(focused, LineList) or focused.row is None:
            return None
        shown = find(self.screen.board, focused.row.key)
        return (focused.row.key, shown) if shown else None

    @property
    def _handed_over(self) -> HandOver | TaskLine | None:
        """The note or the task under the cursor."""
        shown = self.here[1] if self.here else None
        return shown if isinstance(shown, HandOver | TaskLine) else None

    def _line_here(self, otherwise: Callable[[Board], Line | None], nothing: str) -> Line | None:
        """The line under the cursor, or another where the cursor is on none yet; says so when there is none."""
        if self.screen.board is None:
            self.screen.tell(_("The board is still being worked out; press again in a moment."))
            return None
        if self.here is None:
            line = otherwise(self.screen.board)
            if line is None:
                self.screen.tell(nothing)
            return line
        shown = self.here[1]
        if isinstance(shown, Line):
            return shown
        self.screen.tell(_("That is for a line to make or under way; go up to one of those."))
        return None

    def _first_to_make(self, board: Board) -> Line | None:
        return next(
            (line for line in lines_to_make(board, self.screen.stations) if key_of(line) in self.screen.seen), None
        )

    def _first_due(self, board: Board) -> Due | None:
        """What is due first, of what is seen."""
        return next((one for one in due(board, self.screen.stations) if row_key(one) in self.screen.seen), None)

    def _first_under_way(self, board: Board) -> Line | None:
        return next(
            (run for run in runs_under_way(board, self.screen.stations) if key_of(run) in self.screen.seen), None
        )

    def _own_batches(self, board: Board) -> list[Batch]:
        return [batch for batch in board.state.batches if batch.station in self.screen.stations]

    async def _held_here(
        self, board: Board, title: str, *, goods: bool = False, all_benches: bool = False
    ) -> InStore | None:
        """The batch under the cursor; else one that is chosen, of the prep under the cursor if there are any, else of
        these benches, or of all of them."""
        shown = self.here[1] if self.here else None
        if isinstance(shown, Expiring):
            return doing_stock.held_batch(board, shown.batch)
        own = list(board.state.batches) if all_benches else self._own_batches(board)
        if isinstance(shown, Line):
            own = [batch for batch in board.state.batches if batch.prep == shown.prep] or own
        elif isinstance(shown, Left):
            on_plate = {part.prep for part in shown.preps}
            own = [batch for batch in board.state.batches if batch.prep in on_plate] or own
        return await doing_stock.which(
            self.screen.desk, board, title, own, tuple(board.state.book.goods) if goods else ()
        )

    # --- the keys ----------------------------------------------------------------------------------------

    def action_start(self) -> None:
        if handed := self._handed_over:
            self.screen.ask(self.screen.do("start", handed))
        elif self.screen.board and (timer := self._timer_here):
            self.screen.ask(doing_timers.stop(self.screen.desk, timer))
        elif self.screen.board and self.here is None and (first := self._first_due(self.screen.board)):
            self.screen.ask(self._go_on(self.screen.board, first))
        elif found := self._line_here(self._first_to_make, _("Nothing to make.")):
            self.screen.ask(self._start(found, unseen=self.here is None))

    async def _go_on(self, board: Board, first: Due) -> None:
        """Goes on with what is due: the next step, the reading, the timer."""
        if isinstance(first.what, UnderWay):
            if first.what.next:
                await doing.start(self.screen.desk, first.what)
            else:
                await doing.done(self.screen.desk, board, first.what)
        elif isinstance(first.what, Timer):
            await doing_timers.stop(self.screen.desk, first.what)
        else:
            shown = find(board, row_key(first))
            await doing_readings.temperature(self.screen.desk, board, shown, self.screen.stations)

    @property
    def _timer_here(self) -> Timer | None:
        shown = self.here[1] if self.here else None
        return shown if isinstance(shown, Timer) else None

    @property
    def _to_relabel_here(self) -> Batch | None:
        """The batch under the cursor whose label says more than is so."""
        shown = self.here[1] if self.here else None
        return shown.batch if isinstance(shown, Expiring) and shown.batch.to_relabel else None

    def action_timer(self) -> None:
        if self.screen.board:
            shown = self.here[1] if self.here else None
            self.screen.ask(doing_timers.set_one(self.screen.desk, self.screen.board, shown, self.screen.stations[0]))

    async def _start(self, line: Line, *, unseen: bool = False) -> None:
        """Starts a line; one that begins long after now is asked for first."""
        board = self.screen.board
        if board and isinstance(line, MakeLine) and (question := why_ask(board, line, unseen=unseen)):
            from prepboard.boards.questions.sure import AskAll

            amount = voice_of(board).amount(line.prep, line.amount)
            if not await self.screen.app.push_screen_wait(AskAll(question, [amount])):
                return
        did = await work if (work := self.screen.do("start", line)) else None
        if did and board and isinstance(line, MakeLine):
            self._begun = Begun(did.action, line, board, monotonic())

    def takes_amount(self, key: str) -> bool:
        was, self._begun = self._begun, None
        if was is None or not (key.isascii() and key.isdigit()) or monotonic() - was.at > WITHIN:
            return False
        self.screen.ask(begin_other(self.screen.desk, was, key))
        return True

    def action_began(self) -> None:
        found = self._line_here(self._first_to_make, _("Nothing to make."))
        if found and self.screen.board:
            self.screen.ask(doing.began(self.screen.desk, self.screen.board, found))

    def action_done(self) -> None:
        if self.marked:
            self.screen.ask(self._marked_done())
        elif handed := self._handed_over:
            self.screen.ask(self.screen.do("done", handed))
        elif timer := self._timer_here:
            self.screen.ask(doing_timers.stop(self.screen.desk, timer))
        elif batch := self._to_relabel_here:
            self.screen.ask(doing_places.relabelled(self.screen.desk, batch))
        elif found := self._line_here(self._first_under_way, _("Nothing is under way.")):
            self.screen.ask(self.screen.do("done", found))

    async def _marked_done(self) -> None:
        if self.screen.board is None:
            return
        found = {key: find(self.screen.board, key) for key in sorted(self.marked)}
        lines = [shown for shown in found.values() if isinstance(shown, Line)]
        if lines and await doing.done_together(self.screen.desk, self.screen.board, lines):
            self.unmark()

    def _run_here(self) -> UnderWay | None:
        shown = self.here[1] if self.here else None
        if isinstance(shown, UnderWay):
            return shown
        self.screen.tell(_("That is for a line under way; go to one of those."))
        return None

    def action_part_ready(self) -> None:
        if self.screen.board and (run := self._run_here()):
            self.screen.ask(doing.part_ready(self.screen.desk, self.screen.board, run))

    def action_done_onto(self) -> None:
        if self.screen.board and (run := self._run_here()):
            self.screen.ask(doing.done_onto(self.screen.desk, self.screen.board, run))

    def action_mark(self) -> None:
        found = self.here
        if found is None or not isinstance(found[1], Line):
            self.screen.tell(_("Only a line to make or under way can be marked; go to one with the arrows."))
        else:
            self.toggle(found[0])

    def toggle(self, key: str) -> None:
        """Marks a line, or unmarks it."""
        self.marked ^= {key}
        self.screen.show_marks()

    def unmark(self) -> None:
        self.marked = frozenset()
        self.screen.show_marks()

    def action_count(self) -> None:
        self.screen.ask(self._count())

    async def _count(self) -> None:
        if self.screen.board is None:
            return
        shown = self.here[1] if self.here else None
        if isinstance(shown, Line):
            held: InStore | None = doing_stock.held_prep(self.screen.board, shown.prep)
        else:
            held = await self._held_here(self.screen.board, _("Count what?"))
        if held:
            await doing_stock.count(self.screen.desk, self.screen.board, held)

    def action_throw_away(self) -> None:
        self.screen.ask(self._throw_away())

    async def _throw_away(self) -> None:
        if self.screen.board is None:
            return
        shown = self.here[1] if self.here else None
        if isinstance(shown, UnderWay):
            await doing_stock.lost(self.screen.desk, self.screen.board, shown)
            return
        held = await self._held_here(self.screen.board, _("Throw away what?"), goods=True)
        if held:
            await doing_stock.discard(self.screen.desk, self.screen.board, held)

    def action_other_use(self) -> None:
        self.screen.ask(self._other_use())

    async def _other_use(self) -> None:
        held = (
            await self._held_here(self.screen.board, _("What is used?"), all_benches=True)
            if self.screen.board
            else None
        )
        if held and self.screen.board:
            await doing_stock.other_use(self.screen.desk, self.screen.board, held)

    def action_temperature(self) -> None:
        if self.screen.board:
            shown = self.here[1] if self.here else None
            if shown is None:
                probe = next((one for one in due(self.screen.board, self.screen.stations) if one.is_probe), None)
                shown = find(self.screen.board, row_key(probe)) if probe else None
            self.screen.ask(
                doing_readings.temperature(self.screen.desk, self.screen.board, shown, self.screen.stations)
            )

    def action_made(self) -> None:
        if self.screen.board:
            self.screen.ask(doing_stock.made(self.screen.desk, self.screen.board))

    def action_label(self) -> None:
        shown = self.here[1] if self.here else None
        self.screen.show_labels((shown.batch.code,) if isinstance(shown, Expiring) else ())

    def action_handle(self) -> None:
        self.screen.ask(self._handle())

    async def _handle(self) -> None:
        if self.screen.board is None:
            return
        shown = self.here[1] if self.here else None
        if isinstance(shown, Expiring):
            batch: Batch | None = shown.batch
        else:
            held = await self._held_here(self.screen.board, _("Which batch?"))
            batch = held.batch if held else None
        if batch:
            await doing_places.handle(self.screen.desk, self.screen.board, batch)

    def action_note(self) -> None:
        if self.screen.board:
            self.screen.ask(
                doing_handover.write_note(self.screen.desk, self.screen.board, self.here[1] if self.here else None)
            )

    def action_plate(self) -> None:
        if self.screen.board:
            shown = self.here[1] if self.here else None
            self.screen.ask(
                doing_dishes.plate(self.screen.desk, self.screen.board, shown.dish if isinstance(shown, Left) else "")
            )

    def action_off(self) -> None:
        self.screen.ask(self._with_dish(_("86 or back: which dish?"), doing_dishes.off_or_back))

    def action_portion(self) -> None:
        self.screen.ask(self._with_dish(_("A smaller portion: of which dish?"), doing_dishes.portion))

    async def _with_dish(self, title: str, do: Callable[[Desk, Board, Left], Coroutine[Any, Any, Did | None]]) -> None:
        """Does something with the dish under the cursor, else with one that is chosen."""
        board = self.screen.board
        if board is None:
            return
        shown = self.here[1] if self.here else None
        left = shown if isinstance(shown, Left) else await doing_dishes.which_dish(self.screen.desk, board, title)
        if left:
            # Of the board on which it was chosen: what came since was not in sight.
            await do(self.screen.desk, board, left)
