"""The check of a probe in ice water or in boiling water, and which readings one out of tolerance touches."""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from fractions import Fraction
from typing import Literal

from prepboard.book.safety.temperatures import Unit, on_scale
from prepboard.store.act.doing import Doing, Row, act
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Did, Refused, Who
from prepboard.store.food.probes import probe_name
from prepboard.store.food.taking import name_of
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import _, some

Water = Literal["ice", "boiling"]

TRUE: dict[Water, Fraction] = {"ice": Fraction(0), "boiling": Fraction(100)}
"""Degrees C of melting ice and of boiling water at sea level."""

MAY_STRAY: dict[Unit, int] = {"C": 1, "F": 2}
"""FDA Food Code 2022, 4-203.11, from memory: accurate to ±1 °C, or ±2 °F where the probe shows only °F."""

GOOD = "SELECT {which}(at) AS at FROM probe_checks WHERE probe = ? AND water = ? AND ok = 1 AND at {side} ?"

TOUCHED = """
    SELECT readings.kind, readings.of FROM readings JOIN actions ON actions.id = readings.action
    WHERE actions.undone_by IS NULL AND readings.probe = ? AND readings.probe != '' AND readings.meant != 'exposed'
    AND readings.at >= ? AND readings.at <= ? ORDER BY readings.at, readings.number"""


def check_probe(
    file: KitchenFile, who: Who, probe: str, water: Water, degrees: Fraction, unit: Unit,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """What a probe read in ice water or boiling water, in the unit that it shows, and whether that is near enough.

    Out of tolerance the answer says which readings since its last good check in the same water it touches: how many,
    and of what. A good check in ice says nothing of the hot end, so each water counts for itself. Refused for a probe
    without a name.
    """

    def body(doing: Doing) -> Did:
        name = probe_name(probe)
        if not name:
            raise Refused(_("say which probe"))
        good = abs(degrees - on_scale(TRUE[water], "C", unit)) <= MAY_STRAY[unit]
        _keep(doing, name, water, degrees, unit, good)
        return doing.answer(_said(doing, name, water, f"{float(degrees):g} °{unit}", unit, good))

    return act(file, who, "probe", body, action=action, at=at)


def _keep(doing: Doing, name: str, water: Water, degrees: Fraction, unit: Unit, good: bool) -> None:
    (last,) = doing.rows("SELECT coalesce(max(number), 0) AS number FROM probe_checks")
    row: Row = {
        "number": last["number"] + 1,
        "at": instant_text(doing.now),
        "probe": name,
        "water": water,
        "degrees": f"{float(degrees):g}",
        "unit": unit,
        "ok": int(good),
        "by": doing.who.by,
        "station": doing.who.station,
        "entered": instant_text(doing.file.clock.now()),
    }
    doing.put("probe_checks", row)
    before = "" if good else _("out of tolerance")
    after = f"{float(degrees):g} °{unit}"
    doing.log("probe checked", prep=name, before=before, after=after, why=_should(water, unit))


def _should(water: Water, unit: Unit) -> str:
    said = _("ice water, {true} ± {stray} °{unit}") if water == "ice" else _("boiling water, {true} ± {stray} °{unit}")
    return said.format(true=f"{float(on_scale(TRUE[water], 'C', unit)):g}", stray=MAY_STRAY[unit], unit=unit)


def _said(doing: Doing, name: str, water: Water, degrees: str, unit: Unit, good: bool) -> str:
    should = _should(water, unit)
    if good:
        return _("Probe {name}: {degrees}, good: {should}").format(name=name, degrees=degrees, should=should)
    said = _("Probe {name}: {degrees} is out of tolerance: {should}. Set it right or put it away. {touched}")
    parts = [said.format(name=name, degrees=degrees, should=should, touched=_touched(doing, name, water))]
    if water == "boiling":
        parts.append(_("Where water boils below 100 °C, check it in ice water."))
    return " ".join(parts)


def _touched(doing: Doing, name: str, water: Water) -> str:
    """The readings between the good checks on either side of this one; of the same second it is not known which came
    first, so they are in it."""
    now = instant_text(doing.now)
    (before,) = doing.rows(GOOD.format(which="max", side="<"), name, water, now)
    (after,) = doing.rows(GOOD.format(which="min", side=">"), name, water, now)
    found = doing.rows(TOUCHED, name, before["at"] or "", after["at"] or "9999")
    since = _("before its first good check")
    if before["at"]:
        since = _("since {time}, its last good check").format(time=doing.time(instant(before["at"])))
    if not found:
        return _("No reading was taken with it {since}.").format(since=since)
    count = some("{n} reading", "{n} readings", len(found))
    of = Counter((row["kind"], row["of"]) for row in found)
    what = ", ".join(_of_what(doing, kind, code) + (f" ({n})" if n > 1 else "") for (kind, code), n in of.items())
    said = _("Read with it {since}: {count}, of {what}. Read again what is still there.")
    return said.format(since=since, count=count, what=what)


def _of_what(doing: Doing, kind: str, code: str) -> str:
    if kind == "batch":
        batch = doing.row("batches", code=code)
        return f"{name_of(doing, batch)} {code}" if batch else code
    if kind == "run":
        run = doing.row("runs", code=code)
        return f"{doing.book.name(run['prep'])} {code}" if run else code
    place = doing.book.places.get(code)
    return place.name if place else doing.book.name(code)
