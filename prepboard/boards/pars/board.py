"""The sous chef's board: tonight's numbers and those ahead, and what they mean before they are saved."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import suppress
from functools import partial
from pathlib import PurePath
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.binding import BindingType
from textual.widget import Widget

from prepboard.boards.frame.board_screen import NARROW, ROOMY, BoardScreen
from prepboard.boards.keys import bindings
from prepboard.boards.pars.keys import ParsKeys
from prepboard.boards.pars.late_rows import best_helps
from prepboard.boards.pars.typed_numbers import TypedNumbers
from prepboard.boards.pars.view import Lists, View, view
from prepboard.boards.rows.station_view import Title, board_title
from prepboard.boards.widgets.entry import Entry
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.number_list import NumberList
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.boards.widgets.room import share
from prepboard.boards.widgets.row import Piece, clean
from prepboard.boards.widgets.still import Stack
from prepboard.paper.text.layout import wrap
from prepboard.plan.board import Board
from prepboard.plan.given.state import Sitting
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.kitchen_file import KitchenFile

NAMES = ("services", "numbers", "late")
"""The lists from top to bottom."""


class ParsScreen(BoardScreen):
    """Numbers are typed into a draft; the plan is worked out with it at once, and one key saves it all."""

    board_name = "pars"
    keyed = (ParsKeys,)
    own_at_once = False
    """A number that was saved here stands with what the plan makes of it; until then what was typed stays in sight."""
    not_in_footer = frozenset({"undo"})
    BINDINGS: ClassVar[list[BindingType]] = bindings("pars")
    AUTO_FOCUS = "#services"
    CSS_PATH: ClassVar[list[str | PurePath]] = ["../frame/board_screen.tcss", "board.tcss"]

    def __init__(self, file: KitchenFile, station: str = "", by: str = "") -> None:
        super().__init__(file, station, by)
        self.typed = TypedNumbers(self)
        self.keys = ParsKeys(self, self.typed)
        self.hand_keys(self.keys)
        self.which: Lists = "pars"
        """What the middle list shows."""
        self._view: View | None = None
        self._helped: dict[str, str] = {}
        self._helped_of: tuple[int, str] | None = None
        self.file_wrong: tuple[str, ...] = ()
        """What must be known of the kitchen's file, a sentence each."""
        self.file_brief: tuple[str, ...] = ()

    def work_out_more(self, board: Board) -> None:
        """What there is to say of the kitchen's file: that a copy or a check is not as it should be."""
        from prepboard.store.file.faults import StoreFault
        from prepboard.store.health.about_the_file import about

        with suppress(StoreFault):
            found = about(self.file)
            self.file_wrong, self.file_brief = found.wrong, found.brief

    def compose_lists(self) -> Iterator[Widget]:
        yield PlainLine(id="file")
        yield Stack(*map(_section, NAMES), id="tables")
        yield Entry()
        yield PlainLine(id="if-you-save")

    def says_86(self, board: Board) -> bool:
        return True

    def title_of(self, board: Board) -> Title:
        return board_title(_("PARS"), board, self.desk.known, clock_by_hand=self.file.clock.set_by_hand)

    def list_of(self, name: str) -> NumberList:
        return self.query_one(f"#{name}", NumberList)

    @property
    def entry(self) -> Entry:
        return self.query_one(Entry)

    # --- typing ------------------------------------------------------------------------------------------

    def show(self, board: Board) -> None:
        self.typed.saw(board)

    def on_entry_typed(self, event: Entry.Typed) -> None:
        self.typed.take(event.text)

    def on_entry_ended(self, event: Entry.Ended) -> None:
        self.typed.end(event.how)
        if event.how == "save":
            self.keys.action_save()

    def action_quit(self) -> None:
        if self.typed.may_close():
            super().action_quit()

    # --- showing -----------------------------------------------------------------------------------------

    def on_resize(self, event: events.Resize) -> None:
        if self.typed.preview is not None:
            self.show_title()
            self._put(event.size.width, event.size.height)

    @property
    def sitting(self) -> Sitting | None:
        """The sitting whose numbers are shown: the one under the cursor, else the first."""
        keyed = self._view.sittings if self._view else {}
        return keyed.get(self.list_of("services").cursor or "") or next(iter(keyed.values()), None)

    def put(self) -> None:
        board = self.typed.before
        if board is not None and self._helped_of != _moment(board):
            self._helped_of, self._helped = _moment(board), {}
            if any(line.late_minutes for line in board.make):
                self.run_worker(self._try_what_helps(board), group="helps", exclusive=True)
        self._put(self.app.size.width, self.app.size.height)

    async def _try_what_helps(self, board: Board) -> None:
        """Tries in a thread what helps the worst lines as they stand; what is typed and not saved is not in it."""
        found = await asyncio.to_thread(best_helps, board)
        if self._helped_of == _moment(board) and not self.is_closing:
            self._helped = found
            self._put(self.app.size.width, self.app.size.height)

    def _work_out_view(self) -> View | None:
        if self.typed.before is None or self.typed.preview is None:
            return None
        chosen = self.list_of("services").cursor
        helped = {} if self.typed.drafting.draft else self._helped
        return view(
            self.typed.before, self.typed.preview, self.typed.drafting, self.typed.set_by, chosen, self.which, helped
        )

    def _put(self, width: int, height: int) -> None:
        self._view = self._work_out_view()
        if self._view is None:
            return
        fold = width < NARROW
        for name, part in zip(NAMES, self._view.parts, strict=True):
            columns, rows = part.table
            list_ = self.list_of(name)
            list_.show_columns(columns, rows, empty=part.empty, width=width, fold=fold)
            aside = part.aside or (self.file_brief if name == NAMES[0] else ())
            self.query_one(f"#{name}-heading", PlainLine).say_heading(part.heading, aside)
            above = self.query_one(f"#{name}-columns", PlainLine)
            above.display = bool(rows) and not fold
            above.show((name, list_.headings(width)), partial(_headings, list_))
        services = self.list_of("services")
        if services.cursor is None and services.rows:
            services.cursor = services.rows[0].key
            services.refresh()
        cost, most = self._view.cost, 6 if height >= ROOMY else 3
        self.query_one("#if-you-save", PlainLine).show((cost, most), lambda wide: cost.lines(wide, most))
        wrong = self.file_wrong
        self.query_one("#file", PlainLine).show(wrong, lambda wide: _file_lines(wrong, wide))
        self._share_room(width, height)

    def _share_room(self, width: int, height: int) -> None:
        lists = [self.list_of(name) for name in NAMES]
        taken = sum(self.query_one(f"#{name}", PlainLine).lines_at(width) for name in ("title", "file", "if-you-save"))
        taken += 3 + (2 if height >= ROOMY else 0)  # the answer, the keys, a number being typed; and the rules
        taken += 2 if height >= ROOMY else 0  # between the lists
        taken += sum(2 if list_.rows and width >= NARROW else 1 for list_ in lists)
        lines = lists[0].lines
        # What is too late is always in sight, but takes no more than a quarter of the room; the pars have the rest.
        late = min(lists[2].wanted, max(lines, (height - taken) // 4 // lines * lines))
        wanted = [min(lists[0].wanted, 5 if lines == 1 else 4), lists[1].wanted, late]
        least = [2 * lines, 2 * lines, late]
        for list_, cells in zip(lists, share(height - taken, wanted, least), strict=True):
            list_.styles.height = cells

    # --- the cursor --------------------------------------------------------------------------------------

    def on_line_list_cursor_moved(self, event: LineList.CursorMoved) -> None:
        """Another sitting: its numbers are shown."""
        if event.list.id == "services":
            self._show_again()

    def _show_again(self) -> None:
        """Shows other numbers; the cursor stays on the same prep or dish where it is there too."""
        new, numbers = self._work_out_view(), self.list_of("numbers")
        if new is not None and numbers.cursor not in {row.key for row in new.parts[1].table[1]}:
            numbers.cursor = None
        self.put()

    def on_line_list_cursor_left(self, event: LineList.CursorLeft) -> None:
        """Up and down go on into the next list that has something."""
        at = NAMES.index(str(event.list.id))
        beyond = NAMES[at + 1 :] if event.direction > 0 else NAMES[:at][::-1]
        for list_ in map(self.list_of, beyond):
            if list_.rows:
                list_.focus(scroll_visible=False)
                if list_.id != "services":
                    list_.move_to(0 if event.direction > 0 else len(list_.rows) - 1)
                return

    def action_next_list(self) -> None:
        at = next((at for at, name in enumerate(NAMES) if self.list_of(name).has_focus), 0)
        for list_ in map(self.list_of, [*NAMES[at + 1 :], *NAMES[:at]]):
            if list_.rows:
                self._go_to(list_)
                return

    def _go_to(self, list_: NumberList) -> None:
        """Puts the cursor where it was in a list, else on its first row."""
        self.set_focus(list_, scroll_visible=False)
        if list_.row is None and list_.rows:
            list_.move_to(0)

    def switch_to(self, which: Lists) -> None:
        """Shows other numbers in the middle list, or the pars again."""
        self.which = "pars" if self.which == which else which
        self._show_again()
        self._go_to(self.list_of("numbers"))

    def on_line_list_row_went(self, event: LineList.RowWent) -> None:
        if event.list.has_focus:
            self.tell(_("{what} is no longer in this list.").format(what=event.row.what), "strong")
        if event.list.id == "services":
            self._show_again()

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        """A tap on the row under the cursor."""
        event.list.focus(scroll_visible=False)
        self.keys.action_by_hand()


def _file_lines(wrong: tuple[str, ...], width: int) -> list[list[Piece]]:
    """What is wrong with the kitchen's file, two lines at most for each."""
    said = (f"{sentence[0].upper()}{sentence[1:]}." for sentence in map(clean, wrong))
    lines = [_two_lines(wrap(sentence, width - 3)) for sentence in said]
    return [[(f" {line}", "late")] for two in lines for line in two]


def _two_lines(lines: list[str]) -> list[str]:
    return lines if len(lines) <= 2 else [lines[0], f"{lines[1]}…"]


def _moment(board: Board) -> tuple[int, str]:
    """What an answer of what helps is for: the state and the minute."""
    return board.state.version, f"{board.now:%Y%m%d%H%M}"


def _section(name: str) -> Widget:
    above = PlainLine(id=f"{name}-heading"), PlainLine(id=f"{name}-columns", classes="columns")
    return Stack(*above, NumberList(id=name), classes="section", id=f"{name}-section")


def _headings(list_: NumberList, width: int) -> list[list[Piece]]:
    return [list_.headings(width)]
