"""Says in a chef's words what pydantic found wrong with the written form of a book."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic_core import ErrorDetails

from prepboard.book import values
from prepboard.book.amounts import UNITS
from prepboard.book.reading.faults import Findings, KeyPath
from prepboard.book.reading.larder import OTHER_UNITS
from prepboard.book.reading.written import (
    SECTIONS,
    BookWritten,
    ExemptWritten,
    ParasitesWritten,
    PlanWritten,
    SizesWritten,
    StepWritten,
    Written,
    keys_of,
)
from prepboard.texts import _

_KEY = "[key]"
"""pydantic's mark for a fault of a table's key, not of its value."""


def note(error: ErrorDetails, findings: Findings) -> KeyPath:
    """Adds one error of pydantic to the findings; returns its path."""
    path = tuple(part for part in error["loc"] if part != _KEY)
    if error["type"] == "extra_forbidden":
        _unknown_key(path, findings)
        return path
    word = error["input"] if isinstance(error["input"], str) else ""
    if error["type"] == "literal_error":
        known = _choices(error)
        findings.unknown(path, _not_one_of(error["input"], known), word, known)
    else:
        findings.add(path, _said(error))
    return path


def _unknown_key(path: KeyPath, findings: Findings) -> None:
    known = keys_of(_table_of(path[:-1]))
    word = str(path[-1])
    near = findings.near(word, known)
    if near is None:
        said = _("no such key; known here are {known}").format(known=", ".join(known))
    else:
        said = _("no such key; did you mean '{near}'?").format(near=near)
        findings.excuse((*path[:-1], near))
    findings.add(path, said)


def _table_of(path: KeyPath) -> type[Written]:
    """The model of the table at a path."""
    if path[:1] == ("approved_plan",):
        return PlanWritten
    if len(path) < 2:
        return BookWritten
    if "exempt" in path[2:]:
        return ExemptWritten
    if "parasites" in path[2:]:
        return ParasitesWritten
    if "steps" in path[2:]:
        return StepWritten
    return SizesWritten if "sizes" in path[2:] else SECTIONS[str(path[0])]


def _choices(error: ErrorDetails) -> list[str]:
    known = [part for part in str(error.get("ctx", {}).get("expected", "")).split("'") if part.isprintable()]
    return [word for word in known if word.strip(" ,") and word not in (" or ", "own")]


def _not_one_of(value: object, known: list[str]) -> str:
    if known == list(UNITS) and (meant := OTHER_UNITS.get(str(value).casefold())):
        return _("no unit is called {word}; here it is {unit}").format(word=values.shown(value), unit=meant)
    if known == list(UNITS):
        return _("no unit is called {word}; there are {known}").format(word=values.shown(value), known=", ".join(known))
    return _("expected one of {known}, not {word}").format(known=", ".join(known), word=values.shown(value))


def _said(error: ErrorDetails) -> str:
    context: Mapping[str, Any] = error.get("ctx", {})
    if error["type"] == "value_error":
        return str(context["error"])
    value = values.shown(error["input"])
    if error["type"] == "bool_type":
        return _("expected true or false, not {value}").format(value=value)
    if error["type"] == "list_type":
        like = f"[{value}]" if isinstance(error["input"], str) else '["dinner"]'
        return _("expected a list in brackets, like {like}, not {value}").format(like=like, value=value)
    if error["type"] in {"dict_type", "model_type", "model_attributes_type"}:
        return _("expected a table of keys and values, not {value}").format(value=value)
    return _("{value} does not belong here").format(value=value)
