"""The closed lists of the store, as people read them."""

from __future__ import annotations

from prepboard.texts import _


def reason_words() -> dict[str, str]:
    """Why food is thrown away, in words."""
    return {
        "past-use-by": _("expired"),
        "not-needed": _("not needed"),
        "spoiled": _("spoiled"),
        "burnt": _("burnt"),
        "wrong": _("made wrong"),
        "dropped": _("dropped"),
        "unsafe": _("unsafe"),
        "no-date": _("no date on it"),
        "sent-back": _("sent back"),
        "trim": _("trim"),
        "other": _("other"),
    }


def purpose_words() -> dict[str, str]:
    """What food goes to that is neither sold nor wasted, in words."""
    return {
        "staff": _("staff meal"),
        "tasting": _("tasting"),
        "guest": _("a guest, unpaid"),
        "transfer": _("transfer to another house"),
        "donated": _("donated"),
    }
