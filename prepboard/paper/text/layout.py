"""The layout of every printed list: a time on the left, words on the right, in columns while they fit.

Where the columns do not fit, a row becomes several lines: its time and first words, the rest below them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from prepboard.paper.text.plain import wide

_GAP = 2
_MARGIN = 2
_LAST_COLUMN = 18
"""The last column may be wrapped down to this width before the columns are given up."""


class Row(Struct, frozen=True):
    """One row of a list; `notes` stand below it, indented."""

    cells: tuple[str, ...]
    notes: tuple[str, ...] = ()


def wrap(text: str, width: int) -> list[str]:
    """Breaks between words, and inside a word only when it is wider than a line. Never an empty list."""
    width = max(width, 4)
    lines = [""]
    for word in text.split(" "):
        while wide(word) > width:
            if lines[-1]:
                lines.append("")
            head = _head(word, width)
            lines[-1] = head
            word = word[len(head) :]
        joined = f"{lines[-1]} {word}" if lines[-1] else word
        if wide(joined) <= width:
            lines[-1] = joined
        elif word:
            lines.append(word)
    return [line.rstrip() for line in lines]


def _head(word: str, width: int) -> str:
    end = 1
    while end < len(word) and wide(word[: end + 1]) <= width:
        end += 1
    return word[:end]


def paragraph(text: str, width: int, indent: int = _MARGIN) -> list[str]:
    """Wrapped words, every line indented."""
    return [" " * indent + line for line in wrap(text, width - indent)]


def table(rows: Sequence[Row], align: str, width: int) -> list[str]:
    """Rows under one another; `align` has "<" or ">" for each column."""
    count = len(align)
    widths = [max((wide(row.cells[column]) for row in rows), default=0) for column in range(count)]
    used = [column for column in range(count) if widths[column]]
    if not used:
        return []
    before_last = _MARGIN + sum(widths[column] + _GAP for column in used[:-1])
    room = width - before_last
    if widths[used[-1]] <= room or (align[used[-1]] == "<" and room >= _LAST_COLUMN):
        drawn = (_in_columns(row, used, widths, align, room) for row in rows)
    else:
        drawn = (_stacked(row, used, widths, width) for row in rows)
    lines: list[str] = []
    for row, body in zip(rows, drawn, strict=True):
        lines += body
        for note in row.notes:
            lines += paragraph(note, width, min(_MARGIN + widths[used[0]] + _GAP, width // 2))
    return lines


def _in_columns(row: Row, used: Sequence[int], widths: Sequence[int], align: str, room: int) -> list[str]:
    last = used[-1]
    head = "".join(_padded(row.cells[column], widths[column], align[column]) + " " * _GAP for column in used[:-1])
    tail = wrap(row.cells[last], room) if align[last] == "<" else [_padded(row.cells[last], widths[last], ">")]
    indent = _MARGIN + wide(head)
    return [(" " * _MARGIN + head + tail[0]).rstrip(), *(" " * indent + line for line in tail[1:])]


def _stacked(row: Row, used: Sequence[int], widths: Sequence[int], width: int) -> list[str]:
    indent = min(_MARGIN + widths[used[0]] + _GAP, width // 2)
    cells = [row.cells[column] for column in used[1:] if row.cells[column]]
    body = wrap(cells[0], width - indent) if cells else []
    body += wrap((" " * _GAP).join(cells[1:]), width - indent) if cells[1:] else []
    lead = wrap(row.cells[used[0]], width - _MARGIN)
    if not body or len(lead) > 1 or _MARGIN + wide(lead[0]) + _GAP > indent:
        return [" " * _MARGIN + line for line in lead] + [" " * indent + line for line in body]
    first = " " * _MARGIN + _padded(lead[0], indent - _MARGIN, "<") + body[0]
    return [first.rstrip(), *(" " * indent + line for line in body[1:])]


def _padded(text: str, width: int, align: str) -> str:
    blank = " " * (width - wide(text))
    return blank + text if align == ">" else text + blank


def ends(left: str, middle: str, right: str, width: int) -> list[str]:
    """A title line with its parts at both ends and between, or one under another where they do not fit."""
    parts = [part for part in (left, middle, right) if part]
    spare = width - 1 - sum(wide(part) for part in parts)
    gaps = len(parts) - 1
    if gaps and spare >= gaps * _GAP:
        return [" " + (" " * (spare // gaps)).join(parts)]
    return [line for part in parts for line in paragraph(part, width, 1)]


def section(title: str, body: Iterable[str], nothing: str, width: int) -> list[str]:
    """A section with its title in capitals; an empty one says so in a sentence."""
    lines = list(body)
    return ["", *paragraph(title, width, 1), *(lines or paragraph(nothing, width))]
