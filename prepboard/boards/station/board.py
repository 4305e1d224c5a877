"""The station's board: what to make next, what is under way, what goes off soon, what is left."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import PurePath
from typing import TYPE_CHECKING, ClassVar

from msgspec.structs import replace
from textual import events
from textual.binding import BindingType
from textual.widget import Widget

from prepboard.boards.acts.vans import note_meant
from prepboard.boards.frame.board_screen import NARROW, ROOMY, WIDE, BoardScreen
from prepboard.boards.keys import bindings
from prepboard.boards.questions.scanned import batch_of
from prepboard.boards.rows.bring_rows import bring_lines, reminder
from prepboard.boards.rows.find import find
from prepboard.boards.rows.handover_rows import on_two_lines
from prepboard.boards.rows.left_rows import short_names
from prepboard.boards.rows.lists import RowCache, voice_of
from prepboard.boards.rows.morning_rows import morning_lines
from prepboard.boards.rows.station_view import (
    Section,
    Title,
    about,
    due_section,
    notes_section,
    sections,
    service_ends,
    title,
)
from prepboard.boards.rows.van_rows import van_lines
from prepboard.boards.station.bell import Bell
from prepboard.boards.station.folding import across, better_folded, cut, whole_on_one
from prepboard.boards.station.keys import StationKeys
from prepboard.boards.station.news import StationNews
from prepboard.boards.widgets.letters import matches
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import PlainLine
from prepboard.boards.widgets.room import in_service, of_lists
from prepboard.boards.widgets.row import aligned, measure
from prepboard.boards.widgets.still import Stack
from prepboard.plan.board import Board
from prepboard.texts import _, some

if TYPE_CHECKING:
    from prepboard.store.kitchen_file import KitchenFile

NAMES = ("to-make", "under-way", "goes-off", "left")
"""The lists from top to bottom; the first two are the upper ones, the last two the pair below."""

LISTS = ("notes", "due", *NAMES)
"""All lists; that of the notes is there while somebody left one, and that of what is due while something is."""

IN_SERVICE = ("notes", "due", "left", "goes-off", "under-way", "to-make")
"""The same while a service runs: the dishes lead."""


class StationScreen(BoardScreen):
    """The board of one bench, or of several on a slow night."""

    board_name = "station"
    keyed = (StationKeys,)
    BINDINGS: ClassVar[list[BindingType]] = bindings("station")
    AUTO_FOCUS = "#to-make"
    CSS_PATH: ClassVar[list[str | PurePath]] = ["../frame/board_screen.tcss", "board.tcss"]

    def __init__(self, file: KitchenFile, stations: tuple[str, ...], by: str = "") -> None:
        super().__init__(file, stations[0], by)
        self.stations = stations
        self.keys = StationKeys(self)
        self.hand_keys(self.keys)
        self.news, self.bell = StationNews(self), Bell(self)
        self.sections: tuple[Section, ...] = ()
        self.only = ""
        """Letters that a line's name must have to be shown."""
        self._rows_said = RowCache()
        self._hides_dishes = False
        """Not all dishes are in sight."""
        self.whole = False
        """In service: all of each list is shown, and not tonight's only."""
        self._serving = False
        """The lists stand as in service."""
        self._shown: dict[str, tuple[object, ...]] = {}
        """What each list was given last."""

    def compose_lists(self) -> Iterator[Widget]:
        yield PlainLine(id="morning")
        for name in LISTS[:4]:
            yield _section(name)
        yield Stack(*(_section(name) for name in NAMES[2:]), id="pair")

    def title_of(self, board: Board) -> Title:
        return title(board, self.stations, self.desk.known, clock_by_hand=self.file.clock.set_by_hand)

    def says_86(self, board: Board) -> bool:
        return self._hides_dishes

    # --- showing -----------------------------------------------------------------------------------------

    def show(self, board: Board) -> None:
        """Puts a board onto the four lists; what did not change is left alone."""
        before = [row for section in self.sections for row in section.rows]
        self._lay_out(board)
        self.news.say(board, before, [row for section in self.sections for row in section.rows])
        self.bell.ring(board)

    def _lay_out(self, board: Board) -> None:
        self._stand_as(serving=service_ends(board) is not None)
        due = due_section(board, self.stations)
        lists = sections(board, self.stations, self._rows_said, due, whole=self.whole)
        shown = (*lists, notes_section(board, self.stations), due)
        self.sections = tuple(_only(section, self.only) for section in shown) if self.only else shown
        night = board.morning.of(self.stations)
        self.query_one("#morning", PlainLine).show(
            (night, voice_of(board).now, reminder(board, self.stations), *van_lines(board, self.app.size.width)),
            lambda width: [
                *van_lines(board, width),
                *morning_lines(board, self.stations, width),
                *bring_lines(board, self.stations, width),
            ],
        )
        self._put(self.app.size.width, self.app.size.height)

    def on_resize(self, event: events.Resize) -> None:
        if self.sections:
            self.show_title()
            self._put(event.size.width, event.size.height)

    def _put(self, width: int, height: int) -> None:
        *lists, notes, due = self.sections
        self._put_section(notes, width)
        self._put_section(due, width)
        room = self._room(width, height)
        for section in lists:
            self._put_section(section, width, room)
        self.query_one("#notes-section").display = bool(notes.rows)
        self.query_one("#due-section").display = bool(due.rows)
        self.query_one("#under-way-section").display = not self._folds_under_way
        self.show_marks()
        hidden = self._hides_dishes
        self._share_room(width, room)
        if self._hides_dishes != hidden:
            self.show_title()
            self._share_room(width, self._room(width, height))

    def _put_section(self, section: Section, width: int, room: int = 0) -> None:
        """Puts a section onto its list; what is there already is left alone. The lists have `room` lines together."""
        if section.name == "left" and self._serving and self.board:
            section = _in_short(section, short_names(self.board))
        upper, need = self.sections[:2], measure(section.rows)
        if section in upper and section.rows:
            for other in upper:
                need = aligned(need, measure(other.rows))
        fold = bool(section.rows) and (
            not whole_on_one(section.rows, need, width)
            if width < NARROW
            else section not in upper and better_folded(section, self.sections, need, width, room)
        )
        if section.name == "left" and self.board and cut(section.rows, need, fold, across(width)):
            section = _in_short(section, short_names(self.board))
            need = measure(section.rows)
        put = (section, need, fold, width)
        if self._shown.get(section.name) == put:
            return
        self._shown[section.name] = put
        rows = section.rows
        if fold and section.name == "notes":
            rows = tuple(on_two_lines(row, width) for row in rows)
        self.list_of(section.name).show(rows, empty=section.empty, widths=need, fold=fold)
        heading = self.query_one(f"#{section.name}-heading", PlainLine)
        heading.say_heading(section.heading, section.aside, section.brief)

    def show_marks(self) -> None:
        marked = self.keys.marked = self.keys.marked & {row.key for section in self.sections for row in section.rows}
        for name in LISTS:
            self.list_of(name).mark(marked, self.news.changed)
        if marked:
            said = some("{n} marked: d, all of them done", "{n} marked: d, all of them done", len(marked))
            self.query_one("#to-make-heading", PlainLine).say_heading(_("TO MAKE"), (said,))
        elif self.sections:
            section = self.sections[0]
            self.query_one("#to-make-heading", PlainLine).say_heading(section.heading, section.aside, section.brief)

    def _room(self, width: int, height: int) -> int:
        """Lines for rows: what frame, headings and blank lines leave."""
        lists = (3 if width >= WIDE else 4) - self._folds_under_way
        headings = (1 if width < NARROW else 2) * lists
        frame = sum(self.query_one(f"#{name}", PlainLine).lines_at(width) for name in ("title", "morning")) + 2
        above = self._room_of_notes(width, height) + self._room_of_due(width, height)
        return height - frame - (2 if height >= ROOMY else 0) - headings - above

    @property
    def _folds_under_way(self) -> bool:
        """In service a bench with nothing under way has no line for saying so: dishes have it."""
        return self._serving and not any(one.rows for one in self.sections if one.name == "under-way")

    def _room_of_due(self, width: int, height: int) -> int:
        """Lines that what is due takes, its heading with them: all of it, as far as a third of the screen goes."""
        due = self.list_of("due")
        due.styles.height = lines = min(due.wanted, max(2 * due.lines, height // 3 // due.lines * due.lines))
        return lines + (1 if width < NARROW else 2) if due.rows else 0

    def _room_of_notes(self, width: int, height: int) -> int:
        """Lines that notes take, their heading with them; the last ones are seen, the others by going up to them."""
        notes = self.list_of("notes")
        most = 3 if height >= ROOMY else 2
        notes.styles.height = lines = min(notes.wanted, max(most, notes.lines))
        return lines + (1 if width < NARROW else 2) if notes.rows else 0

    def _share_room(self, width: int, room: int) -> None:
        lists = [self.list_of(name) for name in NAMES]
        wanted, lines = [list_.wanted for list_ in lists], [list_.lines for list_ in lists]
        share_out = in_service if self._serving else of_lists
        shares = share_out(room, wanted, lines, beside=width >= WIDE)
        for list_, given in zip(lists, shares, strict=True):
            list_.styles.height = given
        self._hides_dishes = shares[-1] < wanted[-1]

    def _stand_as(self, *, serving: bool) -> None:
        """Puts the lists into their order: in service the dishes lead, and what is under way stands before what is to
        be made."""
        if serving == self._serving:
            return
        self._serving = serving
        lists, pair = self.query_one("#lists"), self.query_one("#pair")
        make, under_way = self.query_one("#to-make-section"), self.query_one("#under-way-section")
        goes_off, left = self.query_one("#goes-off-section"), self.query_one("#left-section")
        if serving:
            lists.move_child(pair, after=self.query_one("#due-section"))
            lists.move_child(make, after=under_way)
            pair.move_child(left, before=goes_off)
        else:
            lists.move_child(make, before=under_way)
            lists.move_child(pair, after=under_way)
            pair.move_child(left, after=goes_off)

    def action_whole(self) -> None:
        """In service: all of each list, and again tonight's only."""
        self.whole = not self.whole
        if self.board:
            self._lay_out(self.board)
            if not self._serving:
                self.tell(_("All of each list is shown already; in service v folds what is not tonight's."))

    @property
    def seen(self) -> frozenset[str]:
        return frozenset(row.key for section in self.sections for row in section.rows)

    def list_of(self, name: str) -> LineList:
        return self.query_one(f"#{name}", LineList)

    def takes_amount(self, key: str) -> bool:
        return self.keys.takes_amount(key)

    # --- the cursor --------------------------------------------------------------------------------------

    def on_line_list_cursor_left(self, event: LineList.CursorLeft) -> None:
        """Up and down go on into the next list that has something."""
        order = IN_SERVICE if self._serving else LISTS
        at = order.index(str(event.list.id))
        beyond = order[at + 1 :] if event.direction > 0 else order[:at][::-1]
        for list_ in map(self.list_of, beyond):
            if list_.rows:
                list_.focus(scroll_visible=False)
                list_.move_to(0 if event.direction > 0 else len(list_.rows) - 1)
                return

    def on_line_list_row_went(self, event: LineList.RowWent) -> None:
        """Says what happened to the line that went, unless it is only hidden."""
        # A list that is hidden because its last row went has lost the focus by now.
        here = event.list.has_focus or not event.list.rows
        if self.board and here and find(self.board, event.row.key) is None:
            self.say_went(event.row)

    def on_line_list_row_marked(self, event: LineList.RowMarked) -> None:
        self.keys.action_mark()

    def on_line_list_row_opened(self, event: LineList.RowOpened) -> None:
        self.open_line(event.row)

    def action_bring(self) -> None:
        from prepboard.boards.station.bring import BringScreen

        self.app.push_screen(BringScreen(self))

    def explain(self) -> tuple[str, str]:
        focused = self.focused
        section = next((each for each in self.sections if focused and each.name == focused.id), None)
        return (section.heading, about(section.name)) if section else ("", "")

    # --- showing less ------------------------------------------------------------------------------------

    def action_filter(self) -> None:
        self.ask(self._filter())

    async def _filter(self) -> None:
        from prepboard.boards.questions.typed import AskText

        letters = await self.app.push_screen_wait(
            AskText(
                _("Show only lines with these letters:"),
                notes=[_("A batch's code opens that batch."), _("esc on the board shows all of them again.")],
            )
        )
        if letters and self.board and (batch_of(self.board, letters) or note_meant(self.board, letters)):
            self.open_batch(letters)
        elif letters:
            self._show_only(letters)

    def action_show_all(self) -> None:
        self.keys.unmark()
        self._show_only("")

    def _show_only(self, letters: str) -> None:
        self.only = letters
        if self.board:
            self._lay_out(self.board)


def _in_short(section: Section, named: Mapping[str, str]) -> Section:
    return replace(section, rows=tuple(replace(row, what=named[row.key]) for row in section.rows))


def _only(section: Section, letters: str) -> Section:
    rows = tuple(row for row in section.rows if matches(letters, row.what))
    heading = _("{heading}, ONLY “{letters}”").format(heading=section.heading, letters=letters)
    empty = _("Nothing here has “{letters}” in it; esc shows all.").format(letters=letters)
    return replace(section, heading=heading, rows=rows, empty=empty)


def _section(name: str) -> Widget:
    return Stack(PlainLine(id=f"{name}-heading"), LineList(id=name), id=f"{name}-section", classes="section")
