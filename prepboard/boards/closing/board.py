"""The close's board: a path. What starts tonight, one walk to count and bin, decisions, what to pull, tasks, and the
sign-off.

One part at a time has the room, the others are folded to heading and count; the next one opens by itself when one is
done, and one key does a line.
"""

from __future__ import annotations

from collections.abc import Coroutine, Iterator
from pathlib import PurePath
from typing import TYPE_CHECKING, Any, ClassVar

from msgspec.structs import replace
from textual import events
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget

from prepboard.boards.closing.keys import ClosingKeys
from prepboard.boards.closing.rows import NAMES, PATH, due_start, find, left_in, sections, title
from prepboard.boards.frame.board_screen import NARROW, ROOMY, BoardScreen
from prepboard.boards.keys import bindings, named
from prepboard.boards.pages.host import Doable
from prepboard.boards.rows.lists import run_key
from prepboard.boards.rows.station_view import Section, Title
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import KeyLine, PlainLine
from prepboard.boards.widgets.row import Widths, measure
from prepboard.boards.widgets.still import Stack
from prepboard.plan.board import Board
from prepboard.plan.leftovers.closing import count_from
from prepboard.plan.shown.closing_lines import CarryOver, Parting
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import MakeLine, UnderWay
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.file.who import Did
    from prepboard.store.kitchen_file import KitchenFile

FOOTERS: dict[str, tuple[str, ...]] = {
    "start-tonight": ("start", "done", "next_part", "open_line", "undo", "all_keys"),
    "count": ("as_shown", "half", "none", "count", "undo", "all_keys"),
    "gone": ("discard", "all_alike", "discard_why", "next_part", "undo", "all_keys"),
    "decide": ("staff_meal", "discard", "keep", "next_part", "undo", "all_keys"),
    "freezes": ("freeze", "staff_meal", "discard", "all_alike", "undo", "all_keys"),
    "pull": ("next_part", "undo", "all_keys"),
    "tasks": ("done", "next_part", "undo", "all_keys"),
    "sign": ("sign", "next_part", "undo", "all_keys"),
    "carry-over": ("count", "discard", "staff_meal", "next_part", "undo", "all_keys"),
}
"""The keys in the footer, by the part that is open; in the walk and among decisions by the row under the cursor."""

LEAST_NAME = 22
"""Cells of a name that are left where the words beside it would be cut."""

BESIDE = 3
"""Lines that another part is worth being unfolded for."""


class PartHeading(PlainLine):
    """The heading of a part; a tap opens it."""

    class Tapped(Message):
        """Somebody wants this part."""

        def __init__(self, part: str) -> None:
            super().__init__()
            self.part = part

    def __init__(self, part: str) -> None:
        super().__init__(id=f"{part}-heading")
        self._part = part

    def on_click(self) -> None:
        self.post_message(self.Tapped(self._part))


class ClosingScreen(BoardScreen):
    """The close of the whole kitchen, or of the benches named."""

    board_name = "closing"
    keyed = (ClosingKeys,)
    BINDINGS: ClassVar[list[BindingType]] = bindings("closing")
    AUTO_FOCUS = ""
    CSS_PATH: ClassVar[list[str | PurePath]] = ["../frame/board_screen.tcss", "board.tcss"]

    def __init__(self, file: KitchenFile, stations: tuple[str, ...], by: str = "") -> None:
        super().__init__(file, stations[0] if len(stations) == 1 else "", by)
        self.stations = stations
        self.keys = ClosingKeys(self)
        self.hand_keys(self.keys)
        self.counted: frozenset[str] = frozenset()
        """Codes of the batches that this close has counted."""
        self._sections: tuple[Section, ...] = ()
        self._open = ""
        """The part that is worked on: it has the room."""
        self._widths: dict[str, Widths] = {}

    def compose_lists(self) -> Iterator[Widget]:
        for name in NAMES:
            yield Stack(PartHeading(name), LineList(id=name), classes="section")

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
        self.keys.dealt_with &= {(section.name, row.key) for section in self._sections for row in section.rows}
        self.show_title()
        self._put()
        self._begin()

    def _begin(self) -> None:
        """The close begins with what must start now, else with the walk; when a part is done the next one opens."""
        focused = self.focused
        if isinstance(focused, LineList) and str(focused.id) in NAMES and self._to_do(str(focused.id)):
            if focused.row is None:
                focused.move_to(0)
            return
        if not self._open and self.board and due_start(self.board, self.stations):
            self.open_part("start-tonight")
            return
        at = PATH.index(self._open) + 1 if self._open in PATH else 0
        ahead = [name for name in (*PATH[at:], *PATH[:at]) if self._to_do(name)]
        rest = [name for name in NAMES if self.list_of(name).rows]
        for name in (*ahead, *rest)[:1]:
            self.open_part(name)

    def _to_do(self, name: str) -> bool:
        """Whether a part still asks for something."""
        rows = self.list_of(name).rows
        return any(row.tone != "dim" for row in rows) if name == "sign" else bool(rows)

    def open_part(self, name: str, *, last: bool = False) -> None:
        """Gives a part the room and the cursor."""
        list_ = self.list_of(name)
        if list_.rows:
            list_.focus(scroll_visible=False)
            first = next((at for at, row in enumerate(list_.rows) if row.tone != "dim"), 0)
            list_.move_to(len(list_.rows) - 1 if last else first)

    def action_next_part(self) -> None:
        at = NAMES.index(self._open) + 1 if self._open else 0
        for name in (*NAMES[at:], *NAMES[:at]):
            if self.list_of(name).rows:
                self.open_part(name)
                return

    def on_part_heading_tapped(self, event: PartHeading.Tapped) -> None:
        event.stop()
        self.open_part(event.part)

    def on_resize(self) -> None:
        if self._sections:
            self.show_title()
            self._put()

    def _put(self) -> None:
        width, height = self.app.size
        for section in self._sections:
            need = measure(section.rows)
            self._widths[section.name] = replace(need, what=min(need.what, max(LEAST_NAME, width - 56)))
            self._put_list(section)
        self._share_room(width, height)

    def show_list(self, name: str) -> None:
        self._put_list(next(section for section in self._sections if section.name == name))
        self._begin()

    def _put_list(self, section: Section) -> None:
        name, fold = section.name, self.app.size.width < NARROW and section.name != "sign"
        rows = tuple(row for row in section.rows if (name, row.key) not in self.keys.dealt_with)
        # What goes by what was pressed here is followed by the next row, and that is meant.
        gone = {key for list_name, key in self.keys.dealt_with if list_name == name}
        self.list_of(name).own = frozenset(self.keys.touched | gone)
        self.list_of(name).show(rows, empty="", widths=self._widths[name], fold=fold)
        mark = "▾" if name == self._open else " "
        self.query_one(f"#{name}-heading", PlainLine).say_heading(f"{mark} {section.heading}", left_in(section, rows))

    def _room(self, width: int, height: int) -> int:
        """Lines for rows: what frame, headings and blank lines leave."""
        blank_lines = len(NAMES) if height >= ROOMY else 0
        frame = self.query_one("#title", PlainLine).lines_at(width) + 2 + (2 if height >= ROOMY else 0)
        return height - frame - blank_lines - len(NAMES)

    def _share_room(self, width: int, height: int) -> None:
        """The open part has all it wants; what is left goes to those below it, from the top, in whole rows."""
        room = self._room(width, height)
        names = [self._open, *NAMES[NAMES.index(self._open) + 1 :]] if self._open else list(NAMES)
        for name in (*names, *(name for name in NAMES if name not in names)):
            list_ = self.list_of(name)
            wanted = list_.wanted if list_.rows else 0
            given = min(wanted, room) if name == self._open or room >= min(wanted, BESIDE) else 0
            whole = given - given % list_.lines
            lines = (whole or given) if name == self._open else whole
            list_.styles.height = lines
            list_.can_focus = bool(list_.rows)
            room -= lines

    # --- the cursor --------------------------------------------------------------------------------------

    def list_of(self, name: str) -> LineList:
        return self.query_one(f"#{name}", LineList)

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """The part with the cursor is the open one."""
        if isinstance(event.widget, LineList) and event.widget.id in NAMES:
            if self._open != event.widget.id:
                self._open = str(event.widget.id)
                if self._sections:
                    self._put()
            if event.widget.row is None:
                event.widget.move_to(0)
            self._show_keys()

    def on_line_list_cursor_moved(self) -> None:
        self._show_keys()

    def _show_keys(self) -> None:
        """The footer shows the keys of the open part, or of the row under the cursor."""
        if not self._open:
            return
        line, name = self.keys.here[2] if self.keys.here else None, self._open
        if isinstance(line, Parting):
            name = "freezes" if line.freezes else "gone" if line.reason != "not-needed" else name
        self.query_one("#keys", KeyLine).put(named("closing", "list", "board", actions=FOOTERS[name]))

    def on_line_list_cursor_left(self, event: LineList.CursorLeft) -> None:
        """Up and down go on into the next part that has something."""
        at = NAMES.index(str(event.list.id))
        for name in NAMES[at + 1 :] if event.direction > 0 else NAMES[:at][::-1]:
            if self.list_of(name).rows:
                self.open_part(name, last=event.direction < 0)
                return

    def on_line_list_row_went(self, event: LineList.RowWent) -> None:
        """Says which line went, unless this station made it go."""
        if event.row.key in self.keys.touched:
            self.keys.touched.discard(event.row.key)
        elif event.list.has_focus:
            self.say_went(event.row)

    def do(self, wish: str, line: Doable) -> Coroutine[Any, Any, Did | None] | None:
        if isinstance(line, MakeLine | UnderWay):
            self.keys.touched |= {str(line.line) if isinstance(line, MakeLine) else run_key(line)}
        return super().do(wish, line)

    # --- an opened line ----------------------------------------------------------------------------------

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        if self.board is None:
            return
        shown = find(self.board, self.stations, str(event.list.id), event.row.key)
        if isinstance(shown, MakeLine | Parting | CarryOver | TaskLine):
            self.open_line(event.row)

    def explain(self) -> tuple[str, str]:
        said = {
            "start-tonight": _("What must begin before the next business day does. s starts it, Enter opens it."),
            "count": _("One walk, place by place: what is really there, and into the bin what may not be used."),
            "decide": _("Good, but it ends before it is next needed: freezer, staff meal, bin, or kept by the sous."),
            "pull": _("What to take out of store or freezer for the runs ahead, all of an item at its first moment."),
            "tasks": _("Work that is no prep. d marks it done."),
            "sign": _("Each station signs its own close. One that nobody signed stops nothing in the morning."),
            "carry-over": _("It stays. What is used first ends by the end of the next business day."),
        }
        focused = self.focused
        section = next((each for each in self._sections if focused and each.name == focused.id), None)
        return (section.heading, said[section.name]) if section else ("", "")
