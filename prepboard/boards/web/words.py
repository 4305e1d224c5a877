"""What the pages say by themselves, in their reader's language: the device's, and until one is known the browser's."""

from __future__ import annotations

from html import escape
from string import Template

from prepboard.texts import _, is_known, speaking, spoken


def filled_in(page: bytes, language: str) -> bytes:
    """A page with its words, and its language said for whoever reads it aloud."""
    with speaking(language):
        words = {
            "language": spoken(),
            "board": _("board"),
            "keys": _("keys"),
            "signs": _("signs"),
            "type": _("type"),
            "opening": _("Opening the board."),
            "no_link": _("Open this page by the link that was printed for this device: prepboard serve add."),
            "unknown": _("This link is not known here any more. Ask for a new one: prepboard serve add."),
            "keyboard": _("keyboard"),
            "not_live": _("Not live since {time}: what stands here is old. Trying again."),
            "unsent": _("Not sent: the line is down. Press again when the board is back."),
            "rang": _("The bell rang while this page was away: look at what is due."),
            "silent": _("The kitchen's machine does not answer. Check the Wi-Fi, then open the link again."),
        }
    return Template(page.decode()).substitute({name: escape(said) for name, said in words.items()}).encode()


def preferred(asked: str) -> str:
    """The first language that a browser asks for and that there are texts for (RFC 9110 section 12.5.4), else the one
    that this process speaks."""
    weighed = []
    for at, part in enumerate(asked.split(",")[:20]):
        language, _semicolon, weight = part.strip().partition(";")
        try:
            q = float(weight.strip().removeprefix("q=") or 1)
        except ValueError:
            q = 0.0
        if q > 0 and language and is_known(language.strip()):
            weighed.append((-q, at, language.strip()))
    return min(weighed)[2] if weighed else spoken()
