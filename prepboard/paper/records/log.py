"""The log on paper and for scripts: who did what, when and where, what it was before and after, and why."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Protocol

from prepboard.paper.lists.handover import guests_words
from prepboard.paper.sentences.heading import Section
from prepboard.paper.sentences.why_words import why_word
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed
from prepboard.paper.text.shape import Json, Shape
from prepboard.plan.given.guests import about_guests
from prepboard.texts import _, meant

WORDS = ("by", "station", "did", "batch", "prep", "dish", "before", "after", "why")


class LogRow(Protocol):
    """One entry of the log as the store reads it: an instant, and `WORDS`; an empty word is "not there"."""

    @property
    def at(self) -> datetime: ...


def _words(row: LogRow) -> dict[str, str]:
    return {key: plain(str(getattr(row, key, None) or "")) for key in WORDS}


def objects(rows: Iterable[LogRow], voice: Voice) -> list[Json]:
    """For scripts; an empty word is null."""
    shape = Shape(voice)
    return [{"at": shape.at(row.at), **{key: word or None for key, word in _words(row).items()}} for row in rows]


def log(rows: Iterable[LogRow], voice: Voice, width: int) -> Section:
    drawn = [Row((voice.time(row.at), _line(_words(row), voice))) for row in rows]
    return section(_("LOG"), table(drawn, "<<", width), _("Nothing was done in that time."), width)


def _line(word: dict[str, str], voice: Voice) -> str:
    who = listed((word["by"], voice.station(word["station"]) if word["station"] else ""))
    what = " ".join(part for part in (voice.name(word["prep"] or word["dish"]), word["batch"]) if part)
    change = word["after"] or word["before"]
    if word["before"] and word["after"]:
        change = _("{before} → {after}").format(before=word["before"], after=word["after"])
    return listed((who, meant("log", word["did"]), what, change, _why(word["why"], voice)))


def _why(why: str, voice: Voice) -> str:
    """Why, or of which sitting."""
    guests = about_guests(why)
    return guests_words(guests, voice) if guests else why_word(why)
