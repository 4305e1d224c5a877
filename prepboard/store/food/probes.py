"""Probes: what each of them last read in ice water and in boiling water."""

from __future__ import annotations

from prepboard.store.file.times import instant, instant_text
from prepboard.store.transaction.doing import Doing, Row
from prepboard.texts import _

LAST = "SELECT * FROM probe_checks WHERE probe = ? AND water = ? AND at <= ? ORDER BY at DESC, number DESC LIMIT 1"


def probe_name(text: str) -> str:
    """A probe's name as it is kept; upper and lower case are the same name in the file."""
    return " ".join(text.split())


def last_check(doing: Doing, probe: str, water: str) -> Row | None:
    """Its last check in "ice" or "boiling" water up to now, good or not."""
    return doing.first(LAST, probe, water, instant_text(doing.now))


def doubt(doing: Doing, probe: str) -> str:
    """What is to be said of a reading that was taken with a probe whose last check was out of tolerance."""
    for water in ("ice", "boiling") if probe else ():
        last = last_check(doing, probe, water)
        if last and not last["ok"]:
            said = _("probe {name} was out of tolerance at its last check, {time}: read it again with another")
            return said.format(name=probe, time=doing.time(instant(last["at"])))
    return ""
