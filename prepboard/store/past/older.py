"""The words of the log's lines in the reader's language: kept as facts, or by an older prepboard in English."""

from __future__ import annotations

from collections.abc import Mapping

from prepboard.texts import recognized, told

_AMOUNTS = frozenset({"before", "after"})

SAID: Mapping[str, frozenset[str]] = {
    **dict.fromkeys(
        ("used", "used for", "discarded", "lost", "split", "delivered", "sent back", "started", "portion", "par",
         "standing par", "incident", "read"),
        _AMOUNTS,
    ),
    **dict.fromkeys(("counted", "missing", "made", "probe checked"), _AMOUNTS | {"why"}),
    "withdrawn": frozenset({"after", "why"}),
    "undo": _AMOUNTS,
    "added": frozenset({"before"}),
    "corrected": frozenset({"before"}),
}  # fmt: skip
"""Of which lines which words were ever said by the program. All others are codes, names or what somebody typed."""


def words_of(did: str, before: str, after: str, why: str) -> tuple[str, str, str]:
    """The three words of a line, in the reader's language."""
    ours = SAID.get(did, frozenset())
    words = {"before": before, "after": after, "why": why}
    before, after, why = ((recognized if name in ours else told)(word) for name, word in words.items())
    return before, after, why
