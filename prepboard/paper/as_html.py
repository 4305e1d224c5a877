"""A page for the printer: the same lists as on the other papers, on one sheet, with a box to tick before each line.

One file that stands by itself: no script, nothing fetched, plain type, black on white. The print style sheet lets long
lists run in two columns and makes them smaller, so that a station's list is one page.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from prepboard.paper.lists.sheets import Line, Part, Sheet
from prepboard.paper.text.plain import plain

STYLE = """
* { box-sizing: border-box; }
body { font: 11pt/1.3 sans-serif; color: #000; background: #fff; margin: 1.2em; }
h1 { font-size: 15pt; margin: 0; }
header { display: flex; justify-content: space-between; border-bottom: 1.5pt solid #000; padding-bottom: 3pt; }
h2 { font-size: 11pt; text-transform: uppercase; margin: 9pt 0 2pt; break-after: avoid; }
table { border-collapse: collapse; width: 100%; }
tr { break-inside: avoid; }
td { border-bottom: .4pt solid #999; padding: 1.5pt 5pt 1.5pt 0; vertical-align: top; }
td.box { width: 1.4em; }
td.box::before { content: ""; display: inline-block; width: .8em; height: .8em; border: .8pt solid #000; }
td.time { white-space: nowrap; }
td.much { text-align: right; white-space: nowrap; }
td small { display: block; }
.strong { font-weight: bold; }
footer { margin-top: 8pt; border-top: .8pt solid #000; font-size: 8.5pt; }
.sign { margin-top: 10pt; }
@page { size: A4; margin: 10mm; }
@media print {
  body { margin: 0; }
  section { break-after: page; }
  .many { font-size: 8.5pt; line-height: 1.15; }
  .most { font-size: 6.8pt; line-height: 1.1; }
  .many main, .most main { columns: 2; column-gap: 8mm; }
}
"""

ONE_COLUMN, TWO_COLUMNS = 34, 80
"""So many lines fit on a page in one column, and in two; more are printed smaller, and past about 150 run on to a
second page, since smaller type cannot be read beside a stove."""


def document(sheets: Sequence[Sheet]) -> str:
    """The whole document, each sheet on a page of its own; every name in it is text, never markup."""
    language, title = (sheets[0].language, sheets[0].title) if sheets else ("en", "")
    return (
        f'<!doctype html>\n<html lang="{_text(language)}"><head><meta charset="utf-8">'
        f"<title>{_text(title)}</title><style>{STYLE}</style></head>\n<body>\n"
        f"{''.join(map(_page, sheets))}</body></html>"
    )


def _page(sheet: Sheet) -> str:
    lines = sum(2 + len(part.lines) + sum(len(line.notes) for line in part.lines) for part in sheet.parts)
    size = "few" if lines <= ONE_COLUMN else "many" if lines <= TWO_COLUMNS else "most"
    sign = f"<p class=sign>{_text(sheet.sign)}</p>" if sheet.sign else ""
    return (
        f'<section class="{size}"><header><h1>{_text(sheet.title)}</h1><span>{_text(sheet.when)}</span>'
        f"<span>{_text(sheet.service)}</span></header>\n<main>{''.join(map(_part, sheet.parts))}</main>{sign}"
        f"<footer>{_text(sheet.basis)}</footer></section>\n"
    )


def _part(part: Part) -> str:
    rows = "".join(map(_row, part.lines)) or f"<tr><td>{_text(part.empty)}</td></tr>"
    return f"<h2>{_text(part.heading)}</h2><table>{rows}</table>\n"


def _row(line: Line) -> str:
    strong = " strong" if line.strong else ""
    notes = "".join(f"<small>{_text(note)}</small>" for note in line.notes)
    return (
        f'<tr><td class=box></td><td class="time{strong}">{_text(line.when)}</td><td>{_text(line.what)}{notes}</td>'
        f'<td class=much>{_text(line.amount)}</td><td class="{strong.strip()}">{_text(line.words)}</td></tr>'
    )


def _text(text: str) -> str:
    return escape(plain(text), quote=True)
