"""Reads a folder of TOML files into a Book, or says everything that is wrong with it, each fault with its line."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from copy import copy
from decimal import Decimal
from pathlib import Path
from typing import Any

import tomli
from pydantic import ValidationError

from prepboard.book.book import Book
from prepboard.book.reading import fault_words as sentences
from prepboard.book.reading.checking.warnings import warn, warn_of_warm_goods
from prepboard.book.reading.compiling import compile_book
from prepboard.book.reading.fault_lines import Merged, line_of, placed, toml_fault
from prepboard.book.reading.faults import Fault, Faults, Findings
from prepboard.book.reading.folder import texts_of
from prepboard.book.reading.written import SECTIONS, BookWritten
from prepboard.texts import _

__all__ = ["Fault", "Faults", "read_book", "read_texts", "read_with_warnings"]


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
    return book, texts, tuple(placed(looked, merged, texts))


def read_texts(texts: Mapping[str, str]) -> Book:
    """The Book in the texts that `read_book` gave; raises `Faults`."""
    return _read(texts, [])


def read_accepted(texts: Mapping[str, str]) -> Book:
    """The Book in texts that an older program accepted. A check that is newer than they are refuses nothing: a limit
    that it finds too loose is left at the rule book's."""
    return _compiled(texts, *_merged(texts, []), accepted=True)


def _read(texts: Mapping[str, str], faults: list[Fault]) -> Book:
    return _compiled(texts, *_merged(texts, faults))


def _merged(texts: Mapping[str, str], faults: list[Fault]) -> tuple[Findings, Merged]:
    findings = Findings(elsewhere=faults, incomplete=bool(faults))
    return findings, _merge(texts, findings)


def _compiled(texts: Mapping[str, str], findings: Findings, merged: Merged, *, accepted: bool = False) -> Book:
    written = _validate(merged.table, findings)
    book = compile_book(written, _digest(texts), findings, accepted=accepted)
    if book is None:
        raise Faults(placed(findings, merged, texts))
    return book


def _digest(texts: Mapping[str, str]) -> str:
    digest = hashlib.sha256()
    for name in sorted(texts):
        for part in (name.encode(), texts[name].encode()):
            digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()


# TOML


def _merge(texts: Mapping[str, str], findings: Findings) -> Merged:
    merged = Merged()
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
    merged: Merged, path: tuple[str, ...], value: object, file: str, texts: Mapping[str, str], findings: Findings
) -> None:
    first = merged.put(path, value, file)
    if first is not None:
        said = _("is written twice: here, and in {file}, line {line}").format(
            file=first, line=line_of(path, first, texts, {})
        )
        findings.elsewhere.append(Fault(file, line_of(path, file, texts, {}), ".".join(path), said))


def _parse(name: str, text: str, findings: Findings) -> dict[str, Any]:
    try:
        return tomli.loads(text, parse_float=Decimal)
    except RecursionError:
        findings.incomplete = True
        findings.elsewhere.append(Fault(name, 0, "", _("is nested too deeply to be a book")))
    except ValueError as error:
        findings.incomplete = True
        line, said = toml_fault(str(error), text)
        findings.elsewhere.append(Fault(name, line, "", said))
    return {}


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
