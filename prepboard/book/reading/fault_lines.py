"""Where a fault of the book stands: its file and its line, found when there is something to say; and the TOML parser's
own sentences in plain words."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import Any

from msgspec import Struct, field

from prepboard.book.reading.faults import Fault, Findings, KeyPath
from prepboard.book.reading.toml_lines import lines_of
from prepboard.texts import _

_CURLY = frozenset("“”„‘’«»")
"""What a word processor makes of quotes."""

_PLACE = re.compile(r" \(at (?:line (?P<line>\d+), column \d+|end of document)\)\Z")


class Merged(Struct):
    """One table out of all files, and the file of each entry: (section, id) or (key,)."""

    table: dict[str, Any] = field(default_factory=dict)
    file_of: dict[KeyPath, str] = field(default_factory=dict)

    def put(self, path: tuple[str, ...], value: object, file: str) -> str | None:
        """Puts an entry in; the name of the file that has it already, None when it is new."""
        if path in self.file_of:
            return self.file_of[path]
        table = self.table
        for key in path[:-1]:
            table = table.setdefault(key, {})
        table[path[-1]] = value
        self.file_of[path] = file
        return None


def placed(findings: Findings, merged: Merged, texts: Mapping[str, str]) -> list[Fault]:
    """The findings with file and line, in the order of the files."""
    cache: dict[str, Mapping[KeyPath, int]] = {}
    faults = list(findings.elsewhere)
    wanted = {path[:2] for path, _said in findings.found if len(path) > 2}  # Of a table itself its header says enough.
    for path, said in findings.found:
        file = merged.file_of.get(path[:2]) or merged.file_of.get(path[:1]) or ""
        shown = _shown_path(path, merged.table)
        faults.append(Fault(file, line_of(path, file, texts, cache, wanted), shown, said))
    order = {name: place for place, name in enumerate(texts)}
    return sorted(dict.fromkeys(faults), key=lambda fault: (order.get(fault.file, -1), fault.line))


def _shown_path(path: KeyPath, table: Mapping[str, Any]) -> str:
    """The keys as they are written; a key that stands for one value for all is left out, lists count from 1."""
    here: Any = table
    parts = []
    for part in path:
        if part in ("else", "own") and not isinstance(here, dict):
            break
        parts.append(str(part + 1) if isinstance(part, int) else part)
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            here = None
    return ".".join(parts)


def line_of(
    path: KeyPath,
    file: str,
    texts: Mapping[str, str],
    cache: dict[str, Mapping[KeyPath, int]],
    wanted: Collection[KeyPath] | None = None,
) -> int:
    """The line of the nearest key above a path that is written, 0 where there is none."""
    if file not in texts:
        return 0
    if file not in cache:
        cache[file] = lines_of(texts[file], wanted)
    lines = cache[file]
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return 0


def toml_fault(error: str, text: str) -> tuple[int, str]:
    """The line of what the parser could not read, 0 where it names none, and what to say of it."""
    place = _PLACE.search(error)
    line = int(place["line"]) if place and place["line"] else text.count("\n") + 1
    if not _CURLY.isdisjoint(text.split("\n")[line - 1]):
        said = _('cannot be read as TOML: the quotes are curly; write straight ones, like "17:30"')
    else:
        said = _in_plain_words(_PLACE.sub("", error))
    return line if place else 0, said


def _in_plain_words(said: str) -> str:
    """The parser's sentence in plain words, with what most often is the cause."""
    hints = {
        "Invalid value": _('texts, amounts, times and dates stand in quotes, like "17:30"'),
        "Invalid date or datetime": _('there is no such date; dates stand in quotes, like "2026-12-25"'),
        "Cannot overwrite a value": _("this key is written twice here"),
        "Cannot declare": _("this table is written twice in this file"),
        "Duplicate inline table key": _("this key is written twice here"),
        "Expected '=' after a key": _("a key is followed by =, and its value stands on the same line"),
        "Expected newline or end of document after a statement": _(
            'after a value the line ends; times, dates and amounts stand in quotes, like "17:30"'
        ),
        "Expected ']' at the end of a table declaration": _(
            "an id in brackets is small letters, digits and -, like [preps.creme-brulee]; `name` is for people"
        ),
        "Unclosed": _("a bracket or brace is not closed"),
        "Unterminated string": _("a quote is not closed"),
        "Illegal character": _("a quote is not closed, or a hidden character stands here"),
    }
    for start, hint in hints.items():
        if said.startswith(start):
            return _("cannot be read as TOML: {hint}").format(hint=hint)
    return _("cannot be read as TOML ({said})").format(said=said[:100])
