"""The close's board: count, discard, decide; what carries over, what starts tonight, what to pull; and the sign-off.

The lists stand in the order in which a close is worked through, and one key does a line.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePath
from typing import ClassVar

from msgspec.structs import replace
from textual import events
from textual.binding import BindingType
from textual.widget import Widget

from prepboard.boards.closing.keys import ClosingKeys
from prepboard.boards.closing.rows import NAMES, find, sections, title
from prepboard.boards.frame.board_screen import NARROW, ROOMY
from prepboard.boards.keys import bindings, named
from prepboard.boards.rows.station_view import Section, Title
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.boards.widgets.room import share
from prepboard.boards.widgets.row import Widths, aligned, measure
from prepboard.boards.widgets.still import Stack
from prepboard.plan.board import Board
from prepboard.plan.leftovers.closing import count_from
from prepboard.plan.shown.closing_lines import CarryOver, Parting
from prepboard.plan.shown.lines import MakeLine
from prepboard.texts import _

FOOTERS: dict[str, tuple[str, ...]] = {
    "count": ("as_shown", "half", "none", "count", "undo", "all_keys"),
    "discard": ("discard", "discard_all", "discard_why", "sign", "undo", "all_keys"),
    "decide": ("freeze", "staff_meal", "discard", "keep", "undo", "all_keys"),
    "carry-over": ("count", "discard", "staff_meal", "sign", "undo", "all_keys"),
    "start-tonight": ("start", "done", "open_line", "undo", "all_keys"),
    "pull": ("undo", "all_keys"),
    "sign": ("sign", "undo", "all_keys"),
}
"""The keys in the footer, by the list that the cursor is in."""

LEAST = {"count": 4, "discard": 3, "decide": 3, "carry-over": 1, "start-tonight": 1, "pull": 1, "sign": 1}
"""Rows of each list that stay in sight while there is little room; on a narrow screen one of each."""

ALIGNED = ("discard", "decide", "carry-over")
"""The lists whose columns stand under one another."""

LEAST_NAME = 22
"""Cells of a name that are left where the words beside it would be cut."""

FOLDED = ("count", "discard", "decide", "start-tonight")
"""The lists whose rows take two lines on a narrow screen."""

FOLDED_WITH_ROOM = (*FOLDED, "carry-over", "pull")
"""The same where there is room for a row of each."""


class ClosingScreen(ClosingKeys):
    """The close of the whole kitchen, or of the benches named."""

    board_name = "closing"
    BINDINGS: ClassVar[list[BindingType]] = bindings("closing")
    AUTO_FOCUS = "#count"
    CSS_PATH: ClassVar[list[str | PurePath]] = ["../frame/board_screen.tcss", "board.tcss"]
    _sections: tuple[Section, ...] = ()
    _folded: tuple[str, ...] = ()

    def on_mount(self) -> None:
        self._widths: dict[str, Widths] = {}

    def compose_lists(self) -> Iterator[Widget]:
        for name in NAMES:
            yield Stack(PlainLine(id=f"{name}-heading"), LineList(id=name), classes="section")

    def work_out_more(self, board: Board) -> None:
        # The close looks further than the plan, and is kept with the board once it was asked for.
        _lists = board.closing

    def says_86(self, board: Board) -> bool:
        return any(sitting.running for sitting in board.sittings)

    def title_of(self, board: Board) -> Title:
        by_hand = self.file.clock.set_by_hand
        return title(board, self.stations, self.counted, self.desk.known, clock_by_hand=by_hand)

    # --- showing -----------------------------------------------------------------------------------------

    def show(self, board: Board) -> None:
        from prepboard.store.past.log import counted_since

        self.counted = counted_since(self.file, count_from(board.state, board.now))
        self._sections = sections(board, self.stations, self.counted)
        self.dealt_with &= {(section.name, row.key) for section in self._sections for row in section.rows}
        self.show_title()
        self._put()
        self._begin()

    def _begin(self) -> None:
        """The cursor starts where there is something to do, and goes on when a list is done."""
        focused = self.focused
        if isinstance(focused, LineList) and focused.rows:
            if focused.row is None:
                focused.move_to(0)
            return
        for name in NAMES:
            if self.list_of(name).rows:
                self.list_of(name).focus(scroll_visible=False)
                self.list_of(name).move_to(0)
                return

    def on_resize(self) -> None:
        if self._sections:
            self.show_title()
            self._put()

    def _put(self) -> None:
        width, height = self.app.size
        measured = {section.name: measure(section.rows) for section in self._sections}
        self._folded = self._to_fold(width, height)
        for section in self._sections:
            need = measured[section.name]
            for other in ALIGNED if section.name in ALIGNED else ():
                if (other in self._folded) == (section.name in self._folded):
                    need = aligned(need, measured[other])
            self._widths[section.name] = replace(need, what=min(need.what, max(LEAST_NAME, width - 56)))
            self._put_list(section)
        self._share_room(width, height)

    def _to_fold(self, width: int, height: int) -> tuple[str, ...]:
        """The lists whose rows take two lines: on a narrow screen a cut word may be the one that mattered."""
        if width >= NARROW:
            return ()
        wanted = [(2 if section.name in FOLDED_WITH_ROOM else 1) for section in self._sections if section.rows]
        return FOLDED_WITH_ROOM if sum(wanted) <= self._room(width, height) else FOLDED

    def show_list(self, name: str) -> None:
        self._put_list(next(section for section in self._sections if section.name == name))
        self._begin()

    def _put_list(self, section: Section) -> None:
        name, fold = section.name, section.name in self._folded
        rows = tuple(row for row in section.rows if (name, row.key) not in self.dealt_with)
        # What goes by what was pressed here is followed by the next row, and that is meant.
        gone = {key for list_name, key in self.dealt_with if list_name == name}
        self.list_of(name).own = frozenset(self.touched | gone)
        self.list_of(name).show(rows, empty="", widths=self._widths[name], fold=fold)
        how_many = "" if name == "sign" else f"{len(rows)}"
        aside = tuple(filter(None, (how_many, *section.aside))) if rows else (section.empty,)
        self.query_one(f"#{name}-heading", PlainLine).say_heading(section.heading, aside)

    def _room(self, width: int, height: int) -> int:
        """Lines for rows: what frame, headings and blank lines leave."""
        blank_lines = len(NAMES) if height >= ROOMY else 0
        frame = self.query_one("#title", PlainLine).lines_at(width) + 2 + (2 if height >= ROOMY else 0)
        return height - frame - blank_lines - len(NAMES)

    def _share_room(self, width: int, height: int) -> None:
        lists, room = [self.list_of(name) for name in NAMES], self._room(width, height)
        wanted = [list_.wanted if list_.rows else 0 for list_ in lists]
        least = [1 if width < NARROW else LEAST[name] for name in NAMES]
        rows = [few * list_.lines for few, list_ in zip(least, lists, strict=True)]
        for list_, lines in zip(lists, share(room, wanted, rows), strict=True):
            whole = lines - lines % list_.lines
            list_.styles.height = whole or max(0, lines)
            list_.can_focus = bool(list_.rows)

    # --- the cursor --------------------------------------------------------------------------------------

    def list_of(self, name: str) -> LineList:
        return self.query_one(f"#{name}", LineList)

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """The footer shows the keys of the list that the cursor is in."""
        if isinstance(event.widget, LineList) and event.widget.id in FOOTERS:
            keys = named("closing", "list", "board", actions=FOOTERS[event.widget.id])
            self.query_one("#keys", KeyLine).put(keys)
            if event.widget.row is None:
                event.widget.move_to(0)

    def on_line_list_cursor_left(self, event: LineList.CursorLeft) -> None:
        """Up and down go on into the next list that has something."""
        at = NAMES.index(str(event.list.id))
        beyond = NAMES[at + 1 :] if event.direction > 0 else NAMES[:at][::-1]
        for list_ in map(self.list_of, beyond):
            if list_.rows:
                list_.focus(scroll_visible=False)
                list_.move_to(0 if event.direction > 0 else len(list_.rows) - 1)
                return

    def on_line_list_row_went(self, event: LineList.RowWent) -> None:
        """Says which line went, unless this station made it go."""
        if event.row.key in self.touched:
            self.touched.discard(event.row.key)
        elif event.list.has_focus:
            self.say_went(event.row)

    # --- an opened line ----------------------------------------------------------------------------------

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        if self.board is None:
            return
        shown = find(self.board, self.stations, str(event.list.id), event.row.key)
        if isinstance(shown, MakeLine | Parting | CarryOver):
            self.open_line(event.row)

    def explain(self) -> tuple[str, str]:
        said = {
            "count": _("What is really there, before anything is decided. What the count takes away was served."),
            "discard": _("It may not be used any more, or not at all. A station signs once none of it is left."),
            "decide": _("Good now, but it ends before it is next needed."),
            "carry-over": _("It stays. What is used first ends by the end of the next business day."),
            "start-tonight": _("Runs that must begin before the next business day does, late ones too."),
            "pull": _("What to take out of store or freezer for the runs ahead."),
            "sign": _("Each station signs its own close. One that nobody signed stops nothing in the morning."),
        }
        focused = self.focused
        section = next((each for each in self._sections if focused and each.name == focused.id), None)
        return (section.heading, said[section.name]) if section else ("", "")
