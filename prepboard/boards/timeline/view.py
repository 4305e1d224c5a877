"""The timeline as lines of text: lanes with a row for each run, hands-on solid, waits thin, and now through it all.

Pure: lanes and a width in, lines out. A cell stands for some minutes; what is shorter than a cell still takes one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from msgspec import Struct
from rich.cells import cell_len

from prepboard.boards.widgets.row import Piece, Tone, clean, filled, fit
from prepboard.book.days import Days
from prepboard.texts import _

Lines = list[list[Piece]]

HANDS, WAIT, NOW, HOUR, HELD = "█", "─", "┃", "·", "▒"
"""Somebody works; it waits; the moment it is; a full hour; a place of the equipment is taken."""

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
    """A place of the equipment is taken, rather than a run's own step."""


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
        lines.append(_line(f" {lane.heading}", [" "] * page.cells, _plain(page), now, page, width, "strong"))
        if not lane.bars:
            lines.append(filled([(f"   {clean(lane.empty)}", "dim")], width))
        lines += [_bar(bar, now, page, days, width) for bar in lane.bars]
    return lines


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


def _bar(bar: Bar, now: datetime, page: Scale, days: Days, width: int) -> list[Piece]:
    cells, tones = [" "] * page.cells, _plain(page)
    for at in named_hours(page, days):
        cells[page.cell(at)], tones[page.cell(at)] = HOUR, "dim"
    for span in bar.spans:
        _put_span(span, bar.tone, page, cells, tones)
    for place in before_and_after(bar.spans, page):
        cells[place] = "‹" if place == 0 else "›"
    name = f"   {clean(bar.name)}"
    if bar.word and cell_len(f"{name}  {bar.word}") <= names_wide(width):
        name = f"{name}  {bar.word}"
    return _line(name, cells, tones, now, page, width, bar.tone)


def _put_span(span: Span, tone: Tone, page: Scale, cells: list[str], tones: list[Tone]) -> None:
    if span.ends < page.since or span.begins >= page.until:
        return
    for place in page.cells_of(span.begins, span.ends):
        cells[place], tones[place] = HELD if span.holds else WAIT, tone
    if span.hands_until > span.begins and not span.holds:
        for place in page.cells_of(span.begins, span.hands_until):
            cells[place], tones[place] = HANDS, tone
    waits = page.cells_of(span.begins if span.holds else span.hands_until, span.ends)
    label = clean(span.label)
    if label and cell_len(label) == len(label) and len(waits) >= len(label) + 2:
        first = waits.start + (len(waits) - len(label)) // 2
        cells[first : first + len(label)] = label


def before_and_after(spans: Sequence[Span], page: Scale) -> list[int]:
    """The first or the last cell, where a row goes on beyond the page."""
    marks = []
    if any(span.begins < page.since < span.ends for span in spans):
        marks.append(0)
    if any(span.begins < page.until < span.ends for span in spans):
        marks.append(page.cells - 1)
    return marks


def _line(
    name: str, cells: list[str], tones: list[Tone], now: datetime, page: Scale, width: int, of_name: Tone
) -> list[Piece]:
    """A row with its name at the left, and now through it."""
    at = page.cell(now)
    if 0 <= at < page.cells and cells[at] in (" ", HOUR, WAIT):
        cells[at], tones[at] = NOW, "strong"
    pieces: list[Piece] = [(fit(name, names_wide(width)), of_name), (" ", "plain")]
    for text, tone in zip(cells, tones, strict=True):
        if len(pieces) > 2 and pieces[-1][1] == tone:
            pieces[-1] = (pieces[-1][0] + text, pieces[-1][1])
        else:
            pieces.append((text, tone))
    return filled(pieces, width)


def legend() -> str:
    """What the signs mean, in one line."""
    return _("{hands} hands-on   {wait} waits   {held} holds a place   {now} now").format(
        hands=HANDS, wait=WAIT, held=HELD, now=NOW
    )


def _plain(page: Scale) -> list[Tone]:
    return ["plain"] * page.cells
