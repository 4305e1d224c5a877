"""The one list of all boards: rows known by key, redrawn by difference.

Someone else's change never moves the cursor to another row and never scrolls away what is being read. It draws
on Textual's line interface because a list of a kitchen changes often, and redrawing one line costs a fraction of
what a table widget costs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from time import monotonic
from typing import ClassVar, Self

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from prepboard.boards.keys import bindings
from prepboard.boards.widgets.bar import Bar
from prepboard.boards.widgets.row import MARGIN, Piece, Row, Widths, draw, draw_folded, filled, measure
from prepboard.paper.text.layout import wrap
from prepboard.texts import _

FOLDS_BELOW = 60
"""Columns below which a row folds onto two lines."""

SLID = 1.0
"""Seconds for which a row that slid under the cursor, or went on there, is not acted on."""


def just_changed() -> str:
    return _("This line just changed: press again.")


class LineList(ScrollView, can_focus=True):
    """A list of rows with a cursor. Without rows it says its `empty` sentence."""

    @dataclass
    class RowOpened(Message):
        """Enter on a row, or a tap on the row under the cursor."""

        list: LineList
        row: Row

    @dataclass
    class RowWent(Message):
        """The row under the cursor is gone; the cursor stayed near."""

        list: LineList
        row: Row

    @dataclass
    class CursorLeft(Message):
        """The cursor was moved past the end of a list: `direction` is -1 above its top, 1 below its end."""

        list: LineList
        direction: int

    @dataclass
    class RowMarked(Message):
        """A tap at the left edge of the row under the cursor."""

        list: LineList
        row: Row

    @dataclass
    class CursorMoved(Message):
        """The cursor came to this row because somebody moved it there."""

        list: LineList
        row: Row

    BINDINGS: ClassVar[list[BindingType]] = bindings("list")
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "line-list--strong",
        "line-list--dim",
        "line-list--late",
        "line-list--discard",
        "line-list--cursor",
        "line-list--changed",
    }
    DEFAULT_CSS = """
    LineList {
        overflow-x: hidden;
        scrollbar-size-vertical: 1;
        & > .line-list--strong { text-style: bold; }
        & > .line-list--dim { color: $quiet; }
        & > .line-list--late { color: $late; text-style: bold; }
        & > .line-list--discard { color: $discard; text-style: bold; }
        & > .line-list--cursor { background: $cursor; }
        & > .line-list--changed { text-style: bold underline; }
    }
    """

    def __init__(self, *, id: str | None = None, one_tap: bool = False) -> None:
        self._base: Style | None = None
        self._tones: dict[str, Style] = {}
        """The styles that lines are drawn in, worked out once until another look makes them anew."""
        super().__init__(id=id)
        self.rows: tuple[Row, ...] = ()
        self.cursor: str | None = None
        """Key of the row under the cursor; None until someone moves to this list."""
        self.marked: frozenset[str] = frozenset()
        """Keys of the rows that are marked, to be done together."""
        self.changed: frozenset[str] = frozenset()
        """Keys of the rows that someone else just changed."""
        self.own: frozenset[str] = frozenset()
        """Keys of rows that are about to go because of what was pressed here: the next one is meant to follow."""
        self._slid_at = self._went_on_at = -1e9
        self.empty = ""
        self._one_tap = one_tap
        self._fold = False
        self._widths = Widths()

    @property
    def lines(self) -> int:
        """Lines of the terminal that one row takes."""
        return 2 if self._fold else 1

    @property
    def wanted(self) -> int:
        """Lines that would show everything."""
        return len(self.rows) * self.lines or len(self._sentence(self.size.width or self.app.size.width))

    def _sentence(self, width: int) -> list[str]:
        """What an empty list says, in lines."""
        return wrap(self.empty, width - MARGIN - 1)

    @property
    def row(self) -> Row | None:
        """The row under the cursor."""
        at = self._place(self.cursor)
        return None if at is None else self.rows[at]

    @property
    def slid(self) -> bool:
        """Whether another row came under the cursor by itself, so short a time ago that nobody may have seen it."""
        return monotonic() - self._slid_at < SLID

    @property
    def went_on(self) -> bool:
        """Whether what the row under the cursor stands for went on so short a time ago that nobody may have seen it."""
        return monotonic() - self._went_on_at < SLID

    def _place(self, key: str | None) -> int | None:
        return next((at for at, row in enumerate(self.rows) if row.key == key), None)

    # --- what is shown -----------------------------------------------------------------------------------

    def show(self, rows: tuple[Row, ...], *, empty: str, widths: Widths | None = None, fold: bool = False) -> None:
        """Shows these rows: what did not change is not drawn again, the cursor stays on its row."""
        widths = widths or measure(rows)
        # On a page a row is there for fingers: of two lines where a line is half as high as one needs.
        fold = fold or (bool(rows) and self.app.is_web and self.app.size.width < FOLDS_BELOW)
        all_new = fold != self._fold or empty != self.empty
        old, before = self.rows, self.lines
        # Other widths draw other lines, but often only of the row that came or went.
        as_drawn = self._all_drawn(old) if widths != self._widths and not all_new else {}
        top = int(self.scroll_offset.y) // before
        self.rows, self._widths, self._fold, self.empty = rows, widths, fold, empty
        if len(rows) != len(old) or fold != (before == 2):
            self._set_length(self.wanted)
        if self.cursor is None and old and rows and old[0].key != rows[0].key:
            # Without a cursor the first row is meant.
            self._slid_at = monotonic()
        if self._is_further(old):
            self._went_on_at = monotonic()
        self._keep_cursor(old)
        if top and old:
            all_new |= self._keep_top(old, top)
        if all_new or not rows or not old:
            self.refresh()
            return
        now_drawn = self._all_drawn(rows) if as_drawn else {}
        self._draw_again(
            at
            for at in range(max(len(rows), len(old)))
            if rows[at : at + 1] != old[at : at + 1] or as_drawn.get(rows[at].key) != now_drawn.get(rows[at].key)
        )

    def _draw_again(self, places: Iterable[int]) -> None:
        """Draws these rows again, as far as they are in sight, those below one another at once."""
        top, below, spans = int(self.scroll_offset.y), int(self.scroll_offset.y) + self.size.height, list[list[int]]()
        for line in (place * self.lines for place in places):
            if not top - self.lines < line < below:
                continue
            if spans and spans[-1][1] == line:
                spans[-1][1] += self.lines
            else:
                spans.append([line, line + self.lines])
        for begin, end in spans:
            self.refresh_lines(begin, end - begin)

    def _is_further(self, old: tuple[Row, ...]) -> bool:
        """Whether what the row under the cursor stands for is further than it was."""
        here = self.row or (self.rows[0] if self.rows and self.cursor is None else None)
        was = next((row for row in old if here and row.key == here.key), None)
        return bool(here and was and here.stands != was.stands)

    def _all_drawn(self, rows: tuple[Row, ...]) -> dict[str, tuple[list[Piece], ...]]:
        width = self.scrollable_content_region.width
        return {row.key: self.drawn(row, width, marked=False) for row in rows}

    def _set_length(self, lines: int) -> None:
        """Sets how many lines there are to scroll. Where all of them are in sight, before and after, or there is more
        than that before and after, nothing else has another place or size for it, and nothing is laid out anew."""
        length, before, here = Size(self.size.width, lines), self.virtual_size.height, self.size.height
        more = min(before, lines) > here > 0 and self.show_vertical_scrollbar and self.scroll_y <= lines - here
        if more:
            self.vertical_scrollbar.be_for(lines)
        if more or max(before, lines) <= here:
            self.set_reactive(LineList.virtual_size, length)
        else:
            self.virtual_size = length

    @property
    def vertical_scrollbar(self) -> Bar:
        if not isinstance(self._vertical_scrollbar, Bar):
            self._vertical_scrollbar = bar = Bar(name="vertical", thickness=self.scrollbar_size_vertical)
            bar.display = False
            self.app._start_widget(self, bar)
        return self._vertical_scrollbar

    def mark(self, marked: frozenset[str], changed: frozenset[str]) -> None:
        """Sets which rows are marked, and which were just changed by someone else."""
        differ = (self.marked ^ marked) | (self.changed ^ changed)
        self.marked, self.changed = marked, changed
        if differ:
            self._draw_again(at for at, row in enumerate(self.rows) if row.key in differ)

    def _keep_cursor(self, old: tuple[Row, ...]) -> None:
        """Leaves the cursor on its row; when that went, on the nearest one that stayed, and says so."""
        if self.cursor is None or self._place(self.cursor) is not None:
            return
        was = next((at for at, row in enumerate(old) if row.key == self.cursor), None)
        self.cursor = None if was is None else self._nearest(old, was)
        if was is not None:
            if old[was].key not in self.own:
                self._slid_at = monotonic()
            place = self._place(self.cursor)
            if place is not None:
                self.refresh_lines(place * self.lines, self.lines)
            self.post_message(self.RowWent(self, old[was]))

    def _nearest(self, old: tuple[Row, ...], was: int) -> str | None:
        here = {row.key for row in self.rows}
        after = (row.key for row in old[was:] if row.key in here)
        before = (row.key for row in reversed(old[:was]) if row.key in here)
        first = self.rows[0].key if self.rows else None
        return next(after, next(before, first))

    def _keep_top(self, old: tuple[Row, ...], top: int) -> bool:
        """Keeps the first row in sight where it is, and the cursor in sight; True when the list scrolled."""
        key = self._nearest(old, min(top, len(old) - 1))
        target = (self._place(key) or 0) * self.lines
        place = self._place(self.cursor)
        if place is not None and self.has_focus:
            low = (place + 1) * self.lines - self.size.height
            target = max(min(target, place * self.lines), low)
        before = self.scroll_offset.y
        self.scroll_to(y=target, animate=False, immediate=True, force=True)
        return self.scroll_offset.y != before

    # --- the cursor --------------------------------------------------------------------------------------

    def move_to(self, at: int) -> None:
        """Puts the cursor on a row by its place, and brings it into sight."""
        if not self.rows:
            return
        self._slid_at = self._went_on_at = -1e9
        for place in (self._place(self.cursor), at):
            if place is not None:
                self.refresh_lines(place * self.lines, self.lines)
        self.cursor = self.rows[at].key
        self.post_message(self.CursorMoved(self, self.rows[at]))
        top, height = int(self.scroll_offset.y), self.size.height
        first, last = at * self.lines, (at + 1) * self.lines
        if first < top or last > top + height:
            self.scroll_to(y=first if first < top else last - height, animate=False, immediate=True)

    def _move_by(self, rows: int) -> None:
        here = self._place(self.cursor)
        if here is None:
            self.move_to(0)
        elif abs(rows) == 1 and not 0 <= here + rows < len(self.rows):
            self.post_message(self.CursorLeft(self, rows))
        else:
            self.move_to(min(max(here + rows, 0), len(self.rows) - 1))

    def action_line_up(self) -> None:
        self._move_by(-1) if self.rows else self.post_message(self.CursorLeft(self, -1))

    def action_line_down(self) -> None:
        self._move_by(1) if self.rows else self.post_message(self.CursorLeft(self, 1))

    def action_lines_up(self) -> None:
        self._move_by(-max(2, self.size.height // self.lines))

    def action_lines_down(self) -> None:
        self._move_by(max(2, self.size.height // self.lines))

    def action_first_line(self) -> None:
        self.move_to(0)

    def action_last_line(self) -> None:
        self.move_to(len(self.rows) - 1)

    def action_open_line(self) -> None:
        row = self.row or next(iter(self.rows), None)
        if row:
            self.post_message(self.RowOpened(self, row))

    def on_focus(self) -> None:
        self.refresh()

    def on_blur(self) -> None:
        self.refresh()

    def on_resize(self) -> None:
        self.virtual_size = Size(self.size.width, self.wanted)

    def on_click(self, event: events.Click) -> None:
        """A tap puts the cursor on a row; a tap on the row under the cursor opens it; one at the left edge marks."""
        at = int(event.y + self.scroll_offset.y) // self.lines
        if not 0 <= at < len(self.rows):
            return
        if self._one_tap or self.rows[at].key == self.cursor:
            edge = event.x < MARGIN and not self._one_tap
            message = self.RowMarked if edge else self.RowOpened
            self.post_message(message(self, self.rows[at]))
        else:
            self.move_to(at)

    # --- drawing -----------------------------------------------------------------------------------------

    def render_line(self, y: int) -> Strip:
        """One line of the terminal; one that cannot be drawn says so, and the others stand."""
        try:
            return self._line(y)
        except Exception as fault:
            self.app.call_later(self.app._handle_exception, fault)
            return Strip([Segment(_("   This line cannot be drawn."))])

    def _line(self, y: int) -> Strip:
        width = self.scrollable_content_region.width
        at, part = divmod(y + int(self.scroll_offset.y), self.lines if self.rows else 1)
        if not 0 <= at < len(self.rows):
            said = [] if self.rows else self._sentence(width)
            says: list[Piece] = [("   " + said[at], "dim")] if at < len(said) else []
            return self._strip(filled(says, width), cursor=False)
        row = self.rows[at]
        cursor = self.has_focus and row.key == self.cursor
        pieces = self.drawn(row, width, marked=cursor)[part]
        if row.key in self.marked and part == 0:
            pieces[0] = ("✓" + pieces[0][0][1:], "strong")
        return self._strip(pieces, cursor=cursor, changed=row.key in self.changed)

    def drawn(self, row: Row, width: int, *, marked: bool) -> tuple[list[Piece], ...]:
        """The lines of one row."""
        if self._fold:
            return draw_folded(row, self._widths, width, marked=marked)
        return (list(_drawn_once(row, self._widths, width, marked)),)

    def _strip(self, pieces: list[Piece], *, cursor: bool, changed: bool = False) -> Strip:
        base = self._base = self._base or self.rich_style
        if changed:
            base += self.get_component_rich_style("line-list--changed", partial=True)
        under = self.get_component_rich_style("line-list--cursor", partial=True) if cursor else Style.null()
        segments = [Segment(text, base + self._tone(tone) + under) for text, tone in pieces if text]
        return Strip(segments)

    def _tone(self, tone: str) -> Style:
        if tone not in self._tones:
            name = f"line-list--{tone}"
            style = Style.null() if tone == "plain" else self.get_component_rich_style(name, partial=True)
            self._tones[tone] = style
        return self._tones[tone]

    def refresh(self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False) -> Self:
        self._base = None
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    def notify_style_update(self) -> None:
        self._base, self._tones = None, {}
        super().notify_style_update()


@lru_cache(maxsize=256)
def _drawn_once(row: Row, widths: Widths, width: int, marked: bool) -> tuple[Piece, ...]:
    return tuple(draw(row, widths, width, marked=marked))
