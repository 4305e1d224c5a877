"""The JSON Schema of a whole book, all its files merged, for editors that complete and check TOML."""

from __future__ import annotations

from typing import Any

from prepboard.book.reading.key_words import KEYS
from prepboard.book.reading.written import SECTIONS, BookWritten

_SECTION_OF = {model.__name__: section for section, model in SECTIONS.items()} | {
    "StepWritten": "steps",
    "SizesWritten": "sizes",
    "ExemptWritten": "exempt",
    "ParasitesWritten": "parasites",
    "PlanWritten": "approved_plan",
}
_NEEDED = {"PrepWritten": ["name", "keeps"], "ServiceWritten": ["starts", "ends"], "TaskWritten": ["when"]}
"""What the models leave open, because the reader says it in its own words."""


def schema() -> dict[str, Any]:
    """What pydantic derives from the written form, without the nulls that TOML cannot write."""
    whole = BookWritten.model_json_schema()
    for name, table in whole["$defs"].items():
        _tidy(table)
        _describe(table, _SECTION_OF.get(name, ""))
        if name in _NEEDED:
            table["required"] = _NEEDED[name]
    _tidy(whole)
    _describe(whole, "")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **whole, "title": "prepboard recipe book"}


def _describe(table: dict[str, Any], section: str) -> None:
    """Says of each key what the guide says, where the guide says it."""
    for key, described in table.get("properties", {}).items():
        words = KEYS.get(section, {}).get(key)
        if words:
            described["description"] = f"{words.means} Unless said: {words.default}."


def _tidy(table: dict[str, Any]) -> None:
    """Takes out nulls, defaults that only mean "not said", and titles that repeat the key."""
    table.pop("title", None)
    for key, described in table.get("properties", {}).items():
        described.pop("title", None)
        if described.get("default", 0) is None or not _writable(described.get("default")):
            described.pop("default", None)
        kinds = [kind for kind in described.get("anyOf", ()) if kind != {"type": "null"}]
        if len(kinds) == 1:
            described.pop("anyOf")
            table["properties"][key] = {**kinds[0], **described}
        elif kinds:
            described["anyOf"] = kinds


def _writable(default: object) -> bool:
    """Whether a default is shown as a chef would write it; exact fractions and times come out of pydantic as text."""
    return isinstance(default, bool | int) or default in ("metric", "eu", "en", "cook", "ambient", "kg", "UTC")
