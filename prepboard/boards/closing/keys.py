"""What the keys of the close are for: each finds the line under the cursor, and hands it on to be done.

A line that was dealt with goes at once, before the file has answered, so that the next key meets the next line; if the
file refuses, it is back.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from datetime import date
from typing import TYPE_CHECKING, Any, Protocol

from textual.app import App
from textual.widget import Widget

from prepboard.boards.acts import stock as doing_stock
from prepboard.boards.acts.places import relabelled
from prepboard.boards.acts.stock import held_batch
from prepboard.boards.closing import acts
from prepboard.boards.closing.rows import Shown, find, lists_of
from prepboard.boards.closing.signing import ToSign, Unread, signing
from prepboard.boards.pages.host import Host
from prepboard.boards.widgets.line_list import LineList
from prepboard.plan.given.state import Batch
from prepboard.plan.shown.closing_lines import CarryOver, Parting
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import MakeLine
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.file.who import Did

Work = Callable[[], Coroutine[Any, Any, "Did | None"]]


class Close(Host, Protocol):
    """The close's board, as far as its keys ask for it."""

    stations: tuple[str, ...]

    @property
    def app(self) -> App[Any]: ...

    @property
    def focused(self) -> Widget | None: ...

    def list_of(self, name: str) -> LineList:
        """The list of one part."""

    def show_list(self, name: str) -> None:
        """Shows one list again, without what was dealt with."""

    def undo(self) -> None:
        """Says what was last done here, and takes it back."""


class ClosingKeys:
    """What the keys do; the lists are the close's."""

    def __init__(self, screen: Close) -> None:
        self.screen = screen
        self.touched: set[str] = set()
        """Keys of lines that this station acted on: it needs not be told that they went."""
        self.dealt_with: set[tuple[str, str]] = set()
        """(list, key) of rows that this station has dealt with and the file has not shown gone yet."""
        self._in_turn = asyncio.Lock()

    # --- what is under the cursor ------------------------------------------------------------------------

    @property
    def here(self) -> tuple[LineList, str, Shown] | None:
        """The list, the key of the row under the cursor, and what it stands for."""
        focused = self.screen.focused
        if self.screen.board is None or not isinstance(focused, LineList) or focused.row is None:
            return None
        shown = find(self.screen.board, self.screen.stations, str(focused.id), focused.row.key)
        return (focused, focused.row.key, shown) if shown else None

    def _batch_here(self) -> tuple[LineList, Parting | CarryOver] | None:
        """The line of a batch under the cursor; says so when there is none."""
        here = self.here
        if here is None or not isinstance(here[2], Parting | CarryOver):
            self.screen.tell(_("Pick a batch first."))
            return None
        return here[0], here[2]

    def _good_here(self) -> tuple[LineList, Batch] | None:
        """The batch under the cursor, if it may be used; else says why not."""
        found = self._batch_here()
        if found is not None and self._must_go(found[1]):
            self.screen.tell(_("It may not be used: x bins it."))
            return None
        return (found[0], found[1].batch) if found else None

    def _must_go(self, line: Parting | CarryOver) -> bool:
        """Whether a batch may not be used any more."""
        return isinstance(line, Parting) and line.reason != "not-needed"

    def deal_with(self, list_: LineList, keys: list[str], work: Work) -> None:
        """Takes rows off at once, does it, and puts them back if it could not be done."""
        rows = {(str(list_.id), key) for key in keys}
        self.dealt_with |= rows
        self.touched |= set(keys)
        self.screen.show_list(str(list_.id))
        self.screen.ask(self._finish(list_, rows, work))

    async def _finish(self, list_: LineList, rows: set[tuple[str, str]], work: Work) -> None:
        left_at = list_.cursor
        # One after the other, so that undo takes back what was pressed last.
        async with self._in_turn:
            done = await work()
        if done is None and rows:
            self.dealt_with -= rows
            self.screen.show_list(str(list_.id))
            if list_.cursor == left_at:
                # Nobody went on meanwhile: the next key is meant for the line that was refused.
                keys = {key for _name, key in rows}
                list_.move_to(next((at for at, row in enumerate(list_.rows) if row.key in keys), 0))

    # --- counting ----------------------------------------------------------------------------------------

    def _count_as(self, amount: Callable[[int], int]) -> None:
        if (found := self._good_here()) is not None:
            list_, batch = found
            much = amount(batch.left)
            gone = [batch.code] if list_.id == "count" or not much else []
            self.deal_with(list_, gone, lambda: acts.count(self.screen.desk, batch, much))

    def action_as_shown(self) -> None:
        self._count_as(lambda left: left)

    def action_half(self) -> None:
        self._count_as(lambda left: left // 2)

    def action_none(self) -> None:
        self._count_as(lambda _left: 0)

    def action_count(self) -> None:
        if (found := self._good_here()) is not None and (board := self.screen.board) is not None:
            list_, batch = found
            self.touched |= {batch.code}
            self.deal_with(list_, [], lambda: doing_stock.count(self.screen.desk, board, held_batch(board, batch)))

    # --- discarding and deciding -------------------------------------------------------------------------

    def action_discard(self) -> None:
        if (found := self._batch_here()) is None:
            return
        list_, line = found
        if isinstance(line, Parting) and (self._must_go(line) or list_.id == "decide"):
            batches, why = [line.batch], line.reason
            self.deal_with(list_, [line.batch.code], lambda: acts.discard(self.screen.desk, batches, why))
        else:
            self.action_discard_why()

    def action_discard_why(self) -> None:
        if (found := self._batch_here()) is not None and (board := self.screen.board) is not None:
            list_, line = found
            self.touched |= {line.batch.code}
            self.deal_with(
                list_, [], lambda: doing_stock.discard(self.screen.desk, board, held_batch(board, line.batch))
            )

    def action_all_alike(self) -> None:
        found = self._batch_here()
        if found is None or self.screen.board is None:
            return
        list_, line = found
        shown, closing = {row.key for row in list_.rows}, lists_of(self.screen.board, self.screen.stations)
        if isinstance(line, Parting) and self._must_go(line):
            why = line.reason
            gone = [one.batch for one in closing.discard if one.reason == why and one.batch.code in shown]
            self.deal_with(list_, _codes(gone), lambda: acts.discard(self.screen.desk, gone, why))
        elif list_.id == "decide":
            gains = [one.batch for one in closing.decide if one.freezes and one.batch.code in shown]
            if gains:
                self.deal_with(list_, _codes(gains), lambda: acts.freeze_all(self.screen.desk, gains))
            else:
                self.screen.tell(_("Nothing here gains days in the freezer."))
        else:
            self.screen.tell(_("All at once goes for what is expired, and for what is to decide."))

    def action_staff_meal(self) -> None:
        if (found := self._good_here()) is not None:
            list_, batch = found
            self.deal_with(list_, [batch.code], lambda: acts.staff_meal(self.screen.desk, batch))

    def action_freeze(self) -> None:
        if (found := self._good_here()) is not None:
            list_, batch = found
            line = self.here[2] if self.here else None
            if isinstance(line, Parting) and not line.freezes:
                self.screen.tell(_("The freezer gains it nothing: no day would be left once it is thawed."))
                return
            self.deal_with(list_, [batch.code], lambda: acts.freeze(self.screen.desk, batch))

    def action_keep(self) -> None:
        if (found := self._good_here()) is not None and (board := self.screen.board) is not None:
            list_, batch = found
            name = held_batch(board, batch).name
            self.deal_with(list_, [], lambda: acts.keep(self.screen.desk, name, batch))

    # --- starting and signing ----------------------------------------------------------------------------

    def _make_here(self, wish: str) -> None:
        here = self.here
        if wish == "done" and here and isinstance(here[2], Parting | CarryOver) and here[2].batch.to_relabel:
            batch = here[2].batch
            self.deal_with(here[0], [], lambda: relabelled(self.screen.desk, batch))
        elif here is None or not isinstance(here[2], MakeLine | TaskLine):
            self.screen.tell(_("That is for a line to start tonight or a task; go to one of those."))
        else:
            self.screen.ask(self.screen.do(wish, here[2]))

    def action_start(self) -> None:
        self._make_here("start")

    def action_done(self) -> None:
        self._make_here("done")

    def action_sign(self) -> None:
        """The station of the line under the cursor, or that of a board of one."""
        here, board = self.here, self.screen.board
        if board is None:
            return
        if here is not None and isinstance(here[2], Unread):
            batches = here[2].batches
            self.touched |= {Unread.key}
            self.deal_with(here[0], [], lambda: acts.count_on(self.screen.desk, board, batches))
            return
        if here is not None and isinstance(here[2], ToSign):
            station, day = here[2].station, here[2].day
        elif here is not None and isinstance(here[2], Parting | CarryOver):
            station, day = here[2].batch.station, signing(board, self.screen.stations)[0].day
        else:
            station, day = self.screen.desk.station, signing(board, self.screen.stations)[0].day
        if station:
            self.screen.ask(self._sign(station, day))
        else:
            self.screen.tell(_("Which station? Go to its line under SIGN."))

    async def _sign(self, station: str, day: date) -> None:
        """Signs, and goes on to the next station that nobody signed."""
        list_, board = self.screen.list_of("sign"), self.screen.board
        if board is None:
            return
        if await acts.sign(self.screen.desk, board, station, day) is None or self.screen.board is None:
            return
        unsigned = [line.key for line in signing(self.screen.board, self.screen.stations) if not line.by]
        signed = f"sign {day.isoformat()} {station}"
        places = [at for at, row in enumerate(list_.rows) if row.key in unsigned and row.key != signed]
        if places:
            now = next((at for at, row in enumerate(list_.rows) if row.key == list_.cursor), -1)
            list_.move_to(next((at for at in places if at > now), places[0]))

    def action_label(self) -> None:
        line = self.here[2] if self.here else None
        self.screen.show_labels((line.batch.code,) if isinstance(line, Parting | CarryOver) else ())

    def action_waste(self) -> None:
        from prepboard.boards.closing.waste import WastePage

        self.screen.app.push_screen(WastePage(self.screen, self.screen.desk.station))

    def action_undo(self) -> None:
        self.dealt_with.clear()
        self.screen.undo()


def _codes(batches: list[Batch]) -> list[str]:
    return [batch.code for batch in batches]
