"""The first and the last line of every page: where and when, and on what basis it calls food good."""

from __future__ import annotations

from prepboard.paper.sentences.evidence import plan_text
from prepboard.paper.text.layout import ends, paragraph
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed, long_day
from prepboard.texts import _

Section = list[str]


def heading(title: str, voice: Voice, width: int, sitting: str = "") -> Section:
    """Title, day and clock, and the sitting under way or next, on one line where it fits."""
    local = voice.days.local(voice.now)
    moment = f"{long_day(local.date())}  {voice.wall(voice.now)}"
    return ends(plain(title).upper(), moment, sitting, width)


def basis(voice: Voice, width: int) -> Section:
    """On whose rules and on which clock this page calls food good."""
    text = _("Dates by the kitchen's book, held to {rules}; clock of this machine.")
    if voice.set_by_hand:
        text = _("Dates by the kitchen's book, held to {rules}; clock set by hand.")
    kitchen = voice.book.kitchen
    page = ["", *paragraph(text.format(rules=plain(kitchen.rules.named)), width, 1)]
    if kitchen.rules.loosened:
        keys = listed(rule.key.replace("_", " ") for rule in kitchen.rules.loosened)
        said = _("Looser than that by this kitchen's own plan ({plan}): {keys}.")
        page += paragraph(said.format(plan=plan_text(kitchen.approved_plan), keys=keys), width, 1)
    return page
