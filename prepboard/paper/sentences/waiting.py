"""What a late line waits for, and what nobody pressed, in one sentence each."""

from __future__ import annotations

from collections.abc import Iterator

from prepboard.book.book import Life
from prepboard.book.saying import say_duration, say_not_there
from prepboard.paper.text.saying import Voice
from prepboard.plan.shown.lines import MakeLine, WaitsFor
from prepboard.texts import _, some


def waits_for_words(waits: WaitsFor, voice: Voice) -> str:
    """One cause: "waits for a cook of Sauce, busy with soubise to 15:40"."""
    until = voice.time(waits.until) if waits.until else ""
    by = voice.name(waits.by) if waits.by else ""
    return _sentence(waits, voice).format(what=_name(waits, voice), by=by, until=until, keeps=_keeps(waits, voice))


def due_words(line: MakeLine, voice: Voice) -> str:
    """That a line was to begin and nobody pressed it, and when it is ready if it does not go on; else empty."""
    if line.due_at is None:
        return ""
    said = _("due on {time}, not pressed; if not on: ready {ready}")
    return said.format(time=voice.time(line.due_at), ready=voice.time(line.ready_at))


def not_there(line: MakeLine, voice: Voice) -> str:
    """What whoever starts a line now does not find there, or finds frozen, as the answer to start says it; else
    empty."""

    def named(frozen: bool) -> Iterator[tuple[str, str]]:
        for one in line.lacks:
            if one.frozen == frozen:
                yield voice.name(one.item), "" if one.amount is None else voice.amount(one.item, one.amount)

    return say_not_there(named(False), named(True))


def if_started_now(line: MakeLine, voice: Voice) -> str:
    """When a line is ready that somebody starts now: "ready 01:35", and what is not there for it."""
    said, lacking = _("ready {time}").format(time=voice.time(line.ready_if_started_now)), not_there(line, voice)
    return f"{said}; {lacking}" if lacking else said


def waits_in_brief(waits: WaitsFor, voice: Voice) -> str:
    """The same on a row, the moment in front: "waits to 16:00: nobody at Sauce"."""
    if waits.until is None:
        return _("waits for {what}").format(what=_name(waits, voice))
    brief = {
        "hours": _("waits to {until}: nobody at {what}"),
        "hands": _("waits to {until}: busy with {by}") if waits.by else _("waits to {until}: a cook of {what}"),
        "place": _("waits to {until}: {by} in {what}") if waits.by else _("waits to {until}: no place in {what}"),
        "works": _("waits to {until}: no place in {what}"),
        "ingredient": _("waits to {until}: {what}"),
        "delivery": _("{what} due {until}, not in") if waits.until <= voice.now else _("waits to {until}: {what}, due"),
        "life": _("not before {until}: keeps {keeps}"),
    }[waits.kind]
    by = voice.name(waits.by) if waits.by else ""
    return brief.format(until=voice.time(waits.until), what=_name(waits, voice), by=by, keeps=_keeps(waits, voice))


def _keeps(waits: WaitsFor, voice: Voice) -> str:
    """How long it keeps where it is kept."""
    prep = voice.book.preps.get(waits.what)
    life = prep.keeps.get(prep.store) if prep else None
    return say_life(life) if life else ""


def say_life(life: Life) -> str:
    """ "5 days", "36 h"."""
    return some("{n} day", "{n} days", life.days) if life.days is not None else say_duration(life.minutes or 0)


def _name(waits: WaitsFor, voice: Voice) -> str:
    if waits.kind in ("hands", "hours"):
        return voice.station(waits.what)
    if waits.kind in ("place", "works"):
        found = voice.book.equipment.get(waits.what)
        return found.name if found else waits.what
    return voice.name(waits.what)


def _sentence(waits: WaitsFor, voice: Voice) -> str:
    has_by = bool(waits.by)
    if waits.kind == "hours":
        return _("waits for {what}: nobody there to {until}")
    if waits.kind == "hands":
        return _("waits for a cook of {what}, busy with {by} to {until}") if has_by else _("waits for a cook of {what}")
    if waits.kind == "place":
        return _("waits for a place in {what}, {by} in it to {until}") if has_by else _("{what} is hot from {until}")
    if waits.kind == "works":
        return _("waits for a place in {what} that works, from {until}")
    if waits.kind == "delivery":
        if waits.until is None:
            return _("waits for {what}, and nobody knows until when")
        not_in = waits.until <= voice.now
        return _("{what} was due {until}, not in") if not_in else _("waits for {what}, due {until}")
    if waits.kind == "life":
        return _("keeps {keeps}: not before {until}")
    return _("waits for {what}, ready {until}")
