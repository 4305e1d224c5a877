"""What there is to say about the kitchen's file, for people and for scripts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.shape import Json
from prepboard.texts import _


class Fact(Protocol):
    """One thing about the file."""

    @property
    def key(self) -> str: ...
    @property
    def what(self) -> str: ...
    @property
    def said(self) -> str: ...
    @property
    def ok(self) -> bool: ...


def objects(facts: Iterable[Fact]) -> list[Json]:
    """The facts for scripts; `ok` is false where somebody should do something about it."""
    return [{"what": fact.key, "said": plain(fact.said), "ok": fact.ok} for fact in facts]


def file_facts(facts: Iterable[Fact], width: int) -> Section:
    drawn = [Row((fact.what, "" if fact.ok else _("look"), plain(fact.said))) for fact in facts]
    return section(_("THE FILE"), table(drawn, "<<<", width), "", width)
