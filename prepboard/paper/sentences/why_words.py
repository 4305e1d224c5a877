"""Why food went, in words: papers never show the words that scripts get."""

from __future__ import annotations

from prepboard.paper.text.plain import plain
from prepboard.texts import _


def why_word(why: str) -> str:
    """A reason for throwing away, or a use that is no waste; what somebody typed stands as it was typed."""
    words = {
        "past-use-by": _("expired"), "not-needed": _("not needed"), "spoiled": _("spoiled"),
        "burnt": _("burnt"), "wrong": _("made wrong"), "dropped": _("dropped"), "unsafe": _("unsafe"),
        "no-date": _("no date on it"), "sent-back": _("sent back"), "trim": _("trim"), "other": _("other"),
        "staff": _("staff meal"), "tasting": _("tasting"), "guest": _("a guest, unpaid"),
        "transfer": _("transfer to another house"), "donated": _("donated"), "lost": _("a run lost"),
    }  # fmt: skip
    return words.get(why, plain(why))
