"""The timeline as lines of text: lanes with a row for each run, hands-on solid, waits thin, and now through it all.

Pure: lanes and a width in, lines out. A cell stands for some minutes; what is shorter than a cell still takes one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from msgspec import Struct
from rich.cells import cell_len

from prepboard.boards.timeline.cells import Cells
from prepboard.boards.widgets.row import Piece, Tone, clean, filled, fit
from prepboard.book.days import Days
from prepboard.texts import _

Lines = list[list[Piece]]

HANDS, WAIT, NOW, HOUR, HELD, INTO, AWAY = "█", "─", "┃", "·", "▒", "▓", "░"
"""Somebody works; it waits; the moment it is; a full hour; a place of the equipment is taken; something
goes into it; nobody is there."""

THROUGH = f" {HOUR}{WAIT}{HELD}{INTO}{AWAY}"
"""What the line of now goes through."""

NAMES_WIDE, NAMES_NARROW, NARROW = 30, 18, 100
"""Cells for the names at the left, and below how many columns they are the fewer."""

HOURS_APART = (1, 2, 3, 6, 12, 24)
"""How many hours may lie between two that are named."""

NAMED_APART = 7
"""Cells at least between two named hours."""


class Span(Struct, frozen=True):
    """Some time of a row: hands-on up to `hands_until`, then a wait. `label` is written into it where it fits."""

    begins: datetime
    hands_until: datetime
    ends: datetime
    label: str = ""
    holds: bool = False
    """A place of the equipment is taken, rather than a run's own step: its label always stands, if need be below."""
    brief: str = ""
    """What is written where the label has no room."""
    tone: Tone | None = None
    """How it reads, where that is not as its row does."""


class Bar(Struct, frozen=True):
    """One row: a run of a station, or one place of an equipment."""

    name: str
    spans: tuple[Span, ...]
    tone: Tone = "plain"
    word: str = ""
    """What stands after the name, so that no colour speaks alone: "late 12 min"."""


class Lane(Struct, frozen=True):
    """A station or an equipment, and the rows under its heading."""

    heading: str
    bars: tuple[Bar, ...]
    empty: str
    away: tuple[Span, ...] = ()
    """When nobody of the station is there."""


class Scale(Struct, frozen=True):
    """Which time each cell of a row stands for."""

    since: datetime
    until: datetime
    cells: int

    def cell(self, at: datetime) -> int:
        """The cell in which a moment lies; below 0 or beyond `cells` where it is not on the page."""
        return (at - self.since) * self.cells // (self.until - self.since)

    def cells_of(self, begins: datetime, ends: datetime) -> range:
        """The cells of some time that are on the page, at least one."""
        first, last = self.cell(begins), self.cell(ends)
        if (ends - self.since) * self.cells % (self.until - self.since) == timedelta():
            last -= 1
        return range(max(0, first), min(self.cells, max(last, first) + 1))


class Served(Struct, frozen=True):
    """A service, drawn over the hours."""

    name: str
    begins: datetime
    ends: datetime


def names_wide(width: int) -> int:
    """Cells for the names at the left of a page."""
    return NAMES_NARROW if width < NARROW else NAMES_WIDE


def scale(since: datetime, until: datetime, width: int) -> Scale:
    """The scale of a page of `width` columns."""
    return Scale(since, until, max(12, width - names_wide(width) - 2))


def timeline(
    lanes: Sequence[Lane], services: Iterable[Served], now: datetime, page: Scale, days: Days, width: int
) -> Lines:
    """The whole page: hours and services at the top, then lane under lane."""
    lines = [_hours(page, days, width), *_services(services, page, width)]
    for lane in lanes:
        lines.append(_heading(lane, now, page, width))
        if not lane.bars:
            lines.append(filled([(f"   {clean(lane.empty)}", "dim")], width))
        for bar in lane.bars:
            lines += _bar(bar, now, page, days, width)
    return lines


def _heading(lane: Lane, now: datetime, page: Scale, width: int) -> list[Piece]:
    """The lane's name, and when nobody of it is there."""
    cells, at = Cells(page.cells), page.cell(now)
    for span in lane.away:
        if span.ends > page.since and span.begins < page.until:
            over = page.cells_of(span.begins, span.ends)
            cells.bar(over, AWAY, "dim")
            words = (f" {clean(label)} " for label in (span.label, span.brief))
            any(cells.inside(over, label, "dim", at) for label in words)
    return _line(f" {lane.heading}", cells, at, width, "strong")


def _hours(page: Scale, days: Days, width: int) -> list[Piece]:
    """ "14:00   15:00": every hour, or every second, third, sixth, as there is room."""
    cells = [" "] * page.cells
    for at in named_hours(page, days):
        text = f"{days.local(at):%H:%M}"
        place = page.cell(at)
        if 0 <= place <= page.cells - len(text):
            cells[place : place + len(text)] = text
    return filled([(" " * (names_wide(width) + 1), "plain"), ("".join(cells), "dim")], width)


def named_hours(page: Scale, days: Days) -> list[datetime]:
    """The full hours of the kitchen's wall clock that are named on a page."""
    an_hour = timedelta(hours=1)
    hour = days.local(page.since).replace(minute=0, second=0, microsecond=0)
    every = next(
        (n for n in HOURS_APART if n * an_hour * page.cells >= NAMED_APART * (page.until - page.since)), HOURS_APART[-1]
    )
    count = (page.until - page.since) // an_hour + 2
    moments = [hour.astimezone(page.since.tzinfo) + n * an_hour for n in range(count)]
    return [at for at in moments if page.since <= at < page.until and days.local(at).hour % every == 0]


def _services(services: Iterable[Served], page: Scale, width: int) -> Lines:
    cells = [" "] * page.cells
    for served in services:
        at = page.cells_of(served.begins, served.ends)
        if len(at) and served.begins < page.until and served.ends > page.since:
            inside = clean(served.name)[: max(0, len(at) - 2)]
            text = f"├{inside}{'─' * (len(at) - 2 - len(inside))}┤" if len(at) > 1 else "┤"
            cells[at.start : at.stop] = text
    text = "".join(cells)
    return [filled([(" " * (names_wide(width) + 1), "plain"), (text, "strong")], width)] if text.strip() else []


def _bar(bar: Bar, now: datetime, page: Scale, days: Days, width: int) -> Lines:
    """The row, and below it the labels of what it holds that have no room in it."""
    cells, at = Cells(page.cells), page.cell(now)
    for hour in named_hours(page, days):
        cells.dot(page.cell(hour), HOUR, "dim")
    shown = [span for span in bar.spans if span.ends > page.since and span.begins < page.until]
    for span in shown:
        _put_span(span, span.tone or bar.tone, page, cells)
    for place in before_and_after(bar.spans, page):
        cells.dot(place, "‹" if place == 0 else "›", bar.tone)
    below = _labels(shown, bar, page, cells, at, days, names_wide(width) + 1)
    name, word = _named(bar, width)
    lines = [_line(name, cells, at, width, bar.tone)]
    lines += [_line(word, Cells(page.cells), at, width, bar.tone)] if word else []
    return lines + [_below(row, at, width) for row in below]


def _below(row: Cells, at: int, width: int) -> list[Piece]:
    """A row of labels; they have the names' cells too."""
    row.line(at + names_wide(width) + 1, NOW, " ")
    return filled(row.pieces(), width)


def _named(bar: Bar, width: int) -> tuple[str, str]:
    """The row's name with its word, since no colour speaks alone; the word on a line of its own where the name needs
    the room."""
    name, beside = f"   {clean(bar.name)}", f"  {bar.word}" if bar.word else ""
    if cell_len(name + beside) <= names_wide(width):
        return name + beside, ""
    return name, f"     {bar.word}" if bar.word else ""


def _put_span(span: Span, tone: Tone, page: Scale, cells: Cells) -> None:
    over = page.cells_of(span.begins, span.ends)
    cells.bar(over, HELD if span.holds else WAIT, tone)
    if span.holds and span.begins >= page.since:
        cells.bar(over[:1], INTO, tone)
    if span.hands_until > max(span.begins, page.since) and not span.holds:
        cells.bar(page.cells_of(span.begins, span.hands_until), HANDS, tone)


def _labels(spans: Sequence[Span], bar: Bar, page: Scale, cells: Cells, at: int, days: Days, names: int) -> list[Cells]:
    """Writes each label into its stretch, beside it, or, where a place of equipment must say what is in it, below,
    with the time at which it goes in; answers the rows below."""
    below: list[Cells] = []
    left = [span for span in spans if span.label and not _written_inside(span, bar.tone, page, cells, at)]
    for span in left:
        over = page.cells_of(span.begins, span.ends)
        label, reads = clean(span.label), span.tone or bar.tone
        if not span.holds or cells.after(over.stop, label, reads, at):
            continue
        label = f"{days.local(span.begins):%H:%M} {label}"
        if not any(row.below(over.start + names, label, reads, at + names) for row in below):
            below.append(Cells(page.cells + names))
            below[-1].below(over.start + names, label, reads, at + names)
    return below


def _written_inside(span: Span, tone: Tone, page: Scale, cells: Cells, at: int) -> bool:
    if not span.holds and (span.ends <= span.hands_until or span.ends <= page.since or span.hands_until >= page.until):
        return False
    waits = page.cells_of(span.begins if span.holds else span.hands_until, span.ends)
    return cells.inside(waits, clean(span.label), span.tone or tone, at)


def before_and_after(spans: Sequence[Span], page: Scale) -> list[int]:
    """The first or the last cell, where a row goes on beyond the page."""
    marks = []
    if any(span.begins < page.since < span.ends for span in spans):
        marks.append(0)
    if any(span.begins < page.until < span.ends for span in spans):
        marks.append(page.cells - 1)
    return marks


def _line(name: str, cells: Cells, at: int, width: int, of_name: Tone) -> list[Piece]:
    """A row with its name at the left, and now through it."""
    cells.line(at, NOW, THROUGH)
    return filled([(fit(name, names_wide(width)), of_name), (" ", "plain"), *cells.pieces()], width)


def legend_lines(width: int) -> list[str]:
    """The same in as many lines as it needs, a sign and its word never apart."""
    lines = [""]
    for sign in legend().split("   "):
        if lines[-1] and cell_len(f" {lines[-1]}   {sign}") > width:
            lines.append("")
        lines[-1] = f"{lines[-1]}   {sign}" if lines[-1] else sign
    return [f" {line}" for line in lines]


def legend() -> str:
    """What the signs mean, in one line."""
    return _("{hands} hands-on   {wait} waits   {held} holds a place   {away} nobody there   {now} now").format(
        hands=HANDS, wait=WAIT, held=HELD, away=AWAY, now=NOW
    )
