"""Reads a folder of TOML files into a Book, or says everything that is wrong with it, each fault with its line."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Collection, Mapping
from copy import copy
from decimal import Decimal
from pathlib import Path
from typing import Any

from msgspec import Struct, field
from pydantic import ValidationError

from prepboard.book.book import Book
from prepboard.book.reading import fault_words as sentences
from prepboard.book.reading.checking.warnings import warn, warn_of_warm_goods
from prepboard.book.reading.compiling import compile_book
from prepboard.book.reading.faults import Fault, Faults, Findings, KeyPath
from prepboard.book.reading.folder import texts_of
from prepboard.book.reading.toml_lines import lines_of
from prepboard.book.reading.written import SECTIONS, BookWritten
from prepboard.texts import _

__all__ = ["Fault", "Faults", "read_book", "read_texts", "read_with_warnings"]

_CURLY = frozenset("“”„‘’«»")
"""What a word processor makes of quotes."""

_PLACE = re.compile(r" \(at (?:line (?P<line>\d+), column \d+|end of document)\)\Z")


def read_book(folder: Path) -> tuple[Book, dict[str, str]]:
    """The Book in a folder, and the texts of its files by relative name; raises `Faults` with all of them."""
    texts, faults = texts_of(folder)
    return _read(texts, faults), texts


def read_with_warnings(folder: Path) -> tuple[Book, dict[str, str], tuple[Fault, ...]]:
    """As `read_book`, and what a chef should look at once more, though the book is right."""
    texts, faults = texts_of(folder)
    findings, merged = _merged(texts, faults)
    book = _compiled(texts, findings, merged)
    looked = Findings()
    preps: dict[str, dict[str, object]] = merged.table.get("preps", {})
    goods: dict[str, dict[str, object]] = merged.table.get("goods", {})
    warn(book, looked, [id_ for id_ in book.preps if "ready_to_eat" not in preps.get(id_, {})])
    warn_of_warm_goods(book, looked, [id_ for id_ in book.goods if "store" not in goods.get(id_, {})])
    return book, texts, tuple(_placed(looked, merged, texts))


def read_texts(texts: Mapping[str, str]) -> Book:
    """The Book in the texts that `read_book` gave; raises `Faults`."""
    return _read(texts, [])


def read_accepted(texts: Mapping[str, str]) -> Book:
    """The Book in texts that an older program accepted. A check that is newer than they are refuses nothing: a limit
    that it finds too loose is left at the rule book's."""
    return _compiled(texts, *_merged(texts, []), accepted=True)


def _read(texts: Mapping[str, str], faults: list[Fault]) -> Book:
    return _compiled(texts, *_merged(texts, faults))


def _merged(texts: Mapping[str, str], faults: list[Fault]) -> tuple[Findings, _Merged]:
    findings = Findings(elsewhere=faults, incomplete=bool(faults))
    return findings, _merge(texts, findings)


def _compiled(texts: Mapping[str, str], findings: Findings, merged: _Merged, *, accepted: bool = False) -> Book:
    written = _validate(merged.table, findings)
    book = compile_book(written, _digest(texts), findings, accepted=accepted)
    if book is None:
        raise Faults(_placed(findings, merged, texts))
    return book


def _digest(texts: Mapping[str, str]) -> str:
    digest = hashlib.sha256()
    for name in sorted(texts):
        for part in (name.encode(), texts[name].encode()):
            digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()


# TOML


class _Merged(Struct):
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


def _merge(texts: Mapping[str, str], findings: Findings) -> _Merged:
    merged = _Merged()
    for name, text in texts.items():
        table = _parse(name, text, findings)
        for key, value in table.items():
            divided = key in SECTIONS or key == "rules_of_the_house"
            if divided and isinstance(value, dict) and isinstance(merged.table.get(key, {}), dict):
                for id_, entry in value.items():
                    _put(merged, (key, id_), entry, name, texts, findings)
            else:
                _put(merged, (key,), value, name, texts, findings)
    return merged


def _put(
    merged: _Merged, path: tuple[str, ...], value: object, file: str, texts: Mapping[str, str], findings: Findings
) -> None:
    first = merged.put(path, value, file)
    if first is not None:
        said = _("is written twice: here, and in {file}, line {line}").format(
            file=first, line=_line(path, first, texts, {})
        )
        findings.elsewhere.append(Fault(file, _line(path, file, texts, {}), ".".join(path), said))


def _parse(name: str, text: str, findings: Findings) -> dict[str, Any]:
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except RecursionError:
        findings.incomplete = True
        findings.elsewhere.append(Fault(name, 0, "", _("is nested too deeply to be a book")))
    except ValueError as error:
        findings.incomplete = True
        place = _PLACE.search(str(error))
        line = int(place["line"]) if place and place["line"] else text.count("\n") + 1
        said = _toml_fault(_PLACE.sub("", str(error)))
        if not _CURLY.isdisjoint(text.split("\n")[line - 1]):
            said = _('cannot be read as TOML: the quotes are curly; write straight ones, like "17:30"')
        findings.elsewhere.append(Fault(name, line if place else 0, "", said))
    return {}


def _toml_fault(said: str) -> str:
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


# The written form


def _validate(table: dict[str, Any], findings: Findings) -> BookWritten:
    """The written book. What is wrong is noted and taken out, so that the rest can be checked as well."""
    for _round in range(4):
        try:
            return BookWritten.model_validate(table)
        except ValidationError as error:
            for one in error.errors(include_url=False):
                if not findings.known_bad(tuple(part for part in one["loc"] if part != "[key]")) or not _round:
                    sentences.note(one, findings)
                table = _without(table, one["loc"])
    return BookWritten()


def _without(table: dict[str, Any], loc: tuple[int | str, ...]) -> dict[str, Any]:
    """A copy of the table that lacks the value at `loc`; an entry or a step is emptied, so that its place stays."""
    path = [part for part in loc if part != "[key]"]
    top = copy(table)
    here: Any = top
    for depth, part in enumerate(path):
        held = here.get(part) if isinstance(here, dict) else here[part]
        last = depth == len(path) - 1
        entry = (depth == 1 and path[0] in SECTIONS) or (depth == 3 and path[2] == "steps")
        if entry and not isinstance(held, dict):
            here[part] = {}
            break
        if last or not isinstance(held, dict | list) or (isinstance(held, list) and path[depth] != "steps"):
            if isinstance(here, dict):
                here.pop(part, None)
            break
        here[part] = copy(held)
        here = here[part]
    return top


# Places of faults


def _placed(findings: Findings, merged: _Merged, texts: Mapping[str, str]) -> list[Fault]:
    """The findings with file and line, in the order of the files."""
    cache: dict[str, Mapping[KeyPath, int]] = {}
    faults = list(findings.elsewhere)
    wanted = {path[:2] for path, _said in findings.found}
    for path, said in findings.found:
        file = merged.file_of.get(path[:2]) or merged.file_of.get(path[:1]) or ""
        shown = _shown_path(path, merged.table)
        faults.append(Fault(file, _line(path, file, texts, cache, wanted), shown, said))
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


def _line(
    path: KeyPath,
    file: str,
    texts: Mapping[str, str],
    cache: dict[str, Mapping[KeyPath, int]],
    wanted: Collection[KeyPath] | None = None,
) -> int:
    if file not in texts:
        return 0
    if file not in cache:
        cache[file] = lines_of(texts[file], wanted)
    lines = cache[file]
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return 0
