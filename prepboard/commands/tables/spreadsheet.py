"""Reads tables that a spreadsheet saved: comma, semicolon or tab between the columns, their names in the first line.

Where no comma stands between the columns it may be the decimal sign. Days may come back as a spreadsheet shows them,
as long as they can be one day only.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from prepboard.book.reading.faults import Fault, Faults
from prepboard.paper.as_csv import RUNS_A_FORMULA, UNIT
from prepboard.paper.text.plain import plain
from prepboard.texts import _

MOST_FAULTS = 50
"""Lines that do not fit are named up to this many; the rest are counted."""

WINDOWS = "cp1252"
"""What spreadsheets of Western Europe and America save where they do not save UTF-8; ISO 8859-1 lies in it."""

_WITH_COMMA = re.compile(r"(\d+),(\d+)( .*)?")
_DAY = re.compile(r"(\d\d?)([./])(\d\d?)\2(\d{4})(?: (\d\d?:\d\d)(?::\d\d)?)?")

LARGEST = 20_000_000
"""Bytes. Ten years of a restaurant's plates are a few; what is larger is something else."""


class Sheet:
    """The lines of one table, and what does not fit in them."""

    def __init__(self, path: Path, columns: Iterable[str], also: Mapping[str, str] | None = None) -> None:
        """Reads the file; Faults when it cannot be read or a column is missing. `also`: other names of columns."""
        self.name = path.name
        self._faults: list[Fault] = []
        try:
            with path.open("rb") as opened:
                held = opened.read(LARGEST + 1)
            if len(held) > LARGEST:
                said = _("is larger than {n} MB; no table of a kitchen is").format(n=LARGEST // 1_000_000)
                raise Faults([Fault(plain(self.name), 0, "", said)])
            text = _decoded(held)
        except (OSError, UnicodeDecodeError) as fault:
            why = fault.strerror if isinstance(fault, OSError) else _("it is no text")
            raise Faults([Fault(plain(self.name), 0, "", _("cannot be read: {why}").format(why=why))]) from None
        try:
            self._read(text, columns, also or {})
        except csv.Error as fault:
            said = _("is no table: {why}").format(why=fault)
            raise Faults([Fault(plain(self.name), 0, "", said)]) from None

    def _read(self, text: str, columns: Iterable[str], also: Mapping[str, str]) -> None:
        delimiter = _delimiter(text)
        read, cell = csv.reader(text.splitlines(), delimiter=delimiter), _cell if delimiter == "," else _cell_with_comma
        head = [_called(word.strip().casefold(), also) for word in next(read, [])]
        for column in columns:
            if column not in head:
                said = _("there is no column '{column}'; the first line names the columns").format(column=column)
                raise Faults([Fault(plain(self.name), 1, "", said)])
        self.rows: list[tuple[int, dict[str, str]]] = [
            (read.line_num, _with_units(dict(zip(head, map(cell, [*words, *[""] * len(head)]), strict=False))))
            for words in read
            if any(word.strip() for word in words)
        ]

    def fault(self, line: int, said: str) -> None:
        """Says that a line does not fit."""
        self._faults.append(Fault(plain(self.name), line, "", said))

    def check(self) -> None:
        """Faults, all of them, when any line did not fit."""
        if not self._faults:
            return
        shown = self._faults[:MOST_FAULTS]
        bad = len({fault.line for fault in self._faults})
        said = _("nothing was imported: {bad} of {n} lines do not fit").format(bad=bad, n=len(self.rows))
        raise Faults([*shown, Fault(plain(self.name), 0, "", said)])


def _called(column: str, also: Mapping[str, str]) -> str:
    own = column.removesuffix(UNIT)
    return also.get(own, own) + column[len(own) :]


def _decoded(held: bytes) -> str:
    """UTF-8, else as Windows saves it; UnicodeDecodeError for what is no text at all."""
    try:
        return held.decode("utf-8-sig")
    except UnicodeDecodeError:
        if b"\0" in held:
            raise
        return held.decode(WINDOWS)


def _cell_with_comma(written: str) -> str:
    """A cell where the comma may be the decimal sign. Before three figures it may part thousands as well: what reads
    the amount refuses it then, with how to write it."""
    text = _cell(written)
    found = _WITH_COMMA.fullmatch(text)
    return f"{found[1]}.{found[2]}{found[3] or ''}" if found and len(found[2]) != 3 else text


def _cell(written: str) -> str:
    """A cell, a day in it as ISO 8601: "25.11.2026" and "25/11/2026" are one day only, "11/10/2026" could be two and
    stays as it is, to be refused by whoever reads it."""
    text = _bare(written)
    found = _DAY.fullmatch(text)
    if not found:
        return text
    one, other = int(found[1]), int(found[3])
    if found[2] == "." or (one > 12 >= other):
        day, month = one, other
    elif other > 12 >= one or one == other:
        month, day = one, other
    else:
        return text
    return f"{found[4]}-{month:02}-{day:02}" + (f" {found[5]}" if found[5] else "")


def _bare(cell: str) -> str:
    """A cell without what `prepboard.paper.as_csv` puts before a text that a spreadsheet would run as a formula."""
    text = cell.strip()
    return text[1:] if text.startswith("'") and text[1:].lstrip().startswith(RUNS_A_FORMULA) else text


def _with_units(row: dict[str, str]) -> dict[str, str]:
    """An amount and the unit in the column beside it, "2.5" and "l" under par and par_unit, as one; "2 small tub" has
    its own already."""
    for column, unit in list(row.items()):
        of = column.removesuffix(UNIT)
        if unit and of != column and row.get(of) and not any(map(str.isalpha, row[of])):
            row[of] = f"{row[of]} {unit}"
    return row


def _delimiter(text: str) -> str:
    first = text.partition("\n")[0]
    return max(",;\t", key=first.count)
