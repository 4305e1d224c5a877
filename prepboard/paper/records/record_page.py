"""The record as a page to print, complete in itself: days as headings, every line with both its moments, and a place to
sign."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from html import escape
from typing import TYPE_CHECKING

from prepboard.paper.records.record import (
    Batches,
    entered,
    foot,
    full_moment,
    kind_word,
    limit,
    remark,
    value,
    verdict,
    what,
)
from prepboard.paper.sentences.evidence import dated
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, whole_weekday
from prepboard.texts import _, root, spoken

if TYPE_CHECKING:
    from prepboard.store.past.record import Record, Recorded

COLUMNS = 8


def as_page(
    lines: Sequence[Recorded], found: Record, voice: Voice, batches: Batches, span: tuple[datetime, datetime]
) -> str:
    """For the time from the first up to the second moment."""
    titles = (_("When"), _("Kind"), _("What"), _("Value"), _("Limit"), _("Within"), _("Who"), _("Entered, and since"))
    head = "".join(f"<th>{escape(title)}</th>" for title in titles)
    body = "\n".join(_rows(lines, found, voice, batches))
    kitchen = voice.book.kitchen
    title = _("{kitchen}: record from {begin} to {end}").format(
        kitchen=plain(kitchen.name), begin=full_moment(span[0], voice), end=full_moment(span[1], voice)
    )
    below = "\n".join(f"<p>{escape(text)}</p>" for text in foot(found, voice))
    nothing = "" if body else f"<p>{escape(_('Nothing was recorded in that time.'))}</p>"
    sign = _("Looked through by (initials, day): ______________________")
    printed = _("Printed {when}.").format(when=full_moment(voice.now, voice))
    return (
        f'<!doctype html>\n<html lang="{root(spoken())}">\n<meta charset="utf-8">\n'
        f"<title>{escape(title)}</title>\n<style>\n{_STYLE}\n</style>\n<h1>{escape(title)}</h1>\n"
        f"<p>{escape(printed)}</p>\n<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{body}\n</tbody>\n</table>\n"
        f"{nothing}\n<div class=foot>\n{below}\n</div>\n<p class=sign>{escape(sign)}</p>\n</html>"
    )


def _rows(lines: Sequence[Recorded], found: Record, voice: Voice, batches: Batches) -> list[str]:
    rows: list[str] = []
    last: date | None = None
    for line in lines:
        day = voice.days.local(line.at).date()
        if day != last:
            heading = escape(f"{whole_weekday(day)} {dated(day)}")
            rows.append(f"<tr class=day><th colspan={COLUMNS}>{heading}</th></tr>")
            last = day
        since = "; ".join(filter(None, (entered(line, voice), remark(line, voice, batches))))
        cells = (
            voice.wall(line.at), kind_word(line), what(line, voice), value(line, voice), limit(line, found, voice),
            verdict(line), plain(line.by), since,
        )  # fmt: skip
        out = ' class="out"' if line.ok is False else ""
        rows.append(f"<tr{out}>" + "".join(f"<td>{escape(cell)}</td>" for cell in cells) + "</tr>")
    return rows


_STYLE = """@page { size: A4 landscape; margin: 10mm; }
body { font: 9pt/1.3 sans-serif; margin: 8mm; color: #000; background: #fff; }
h1 { font-size: 13pt; }
table { border-collapse: collapse; width: 100%; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th, td { border-bottom: 1px solid #999; padding: 2px 8px 2px 0; text-align: left; vertical-align: top; }
td:first-child { white-space: nowrap; }
.day th { border-bottom: 1.5px solid #000; padding-top: 8px; break-after: avoid; }
.out { font-weight: bold; }
.foot { margin-top: 10px; font-size: 8pt; columns: 2; column-gap: 8mm; }
p { margin: 3px 0; }
.sign { margin-top: 14px; }
@media print { body { margin: 0; } }"""
