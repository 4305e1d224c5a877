"""What a late line waits for, in one sentence."""

from __future__ import annotations

from prepboard.paper.text.saying import Voice
from prepboard.plan.shown.lines import WaitsFor
from prepboard.texts import _


def waits_for_words(waits: WaitsFor, voice: Voice) -> str:
    """One cause: "waits for a cook of Sauce, busy with soubise to 15:40"."""
    until = voice.time(waits.until) if waits.until else ""
    return _sentence(waits, bool(waits.by)).format(
        what=_name(waits, voice), by=voice.name(waits.by) if waits.by else "", until=until
    )


def _name(waits: WaitsFor, voice: Voice) -> str:
    if waits.kind in ("hands", "hours"):
        return voice.station(waits.what)
    if waits.kind == "place":
        found = voice.book.equipment.get(waits.what)
        return found.name if found else waits.what
    return voice.name(waits.what)


def _sentence(waits: WaitsFor, has_by: bool) -> str:
    if waits.kind == "hours":
        return _("waits for {what}: nobody there to {until}")
    if waits.kind == "hands":
        return _("waits for a cook of {what}, busy with {by} to {until}") if has_by else _("waits for a cook of {what}")
    if waits.kind == "place":
        return _("waits for a place in {what}, {by} in it to {until}") if has_by else _("waits for a place in {what}")
    if waits.kind == "delivery":
        if waits.until is None:
            return _("waits for {what}, and nobody knows until when")
        return _("waits for {what}, there at {until}")
    if waits.kind == "life":
        return _("keeps too short to begin before {until}")
    return _("waits for {what}, ready {until}")
