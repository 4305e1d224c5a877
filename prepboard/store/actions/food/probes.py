"""The check of a probe in ice water or in boiling water, and which readings one out of tolerance touches."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import datetime
from fractions import Fraction
from functools import partial
from typing import Literal

from prepboard.book.safety.boiling import boiling
from prepboard.book.safety.temperatures import Unit, on_scale
from prepboard.store.file.times import instant, instant_text
from prepboard.store.file.who import Did, Refused
from prepboard.store.food.freezers import follow_again
from prepboard.store.food.handing_down import renew_made_by
from prepboard.store.food.probes import probe_name
from prepboard.store.food.refused import why_not
from prepboard.store.food.taking import name_of
from prepboard.store.transaction.doing import Doing, Row, action
from prepboard.store.transaction.marks import in_place
from prepboard.texts import _, decimal, some

Water = Literal["ice", "boiling"]

MAY_STRAY: dict[Unit, int] = {"C": 1, "F": 2}
"""FDA Food Code 2022, 4-203.11, from memory: accurate to ±1 °C, or ±2 °F where the probe shows only °F."""

GOOD = "SELECT {which}(at) AS at FROM probe_checks WHERE probe = ? AND water = ? AND ok = 1 AND at {side} ?"

ALL_LIVE = "SELECT * FROM batches WHERE state = 'live'"

TOUCHED = """
    SELECT readings.kind, readings.of, readings.at FROM readings JOIN actions ON actions.id = readings.action
    WHERE actions.undone_by IS NULL AND readings.probe = ?1 AND readings.probe != '' AND readings.meant != 'exposed'
    AND readings.at >= ?2 AND readings.at <= ?3
    UNION ALL SELECT 'task', task, at FROM tasks_done AS own
    WHERE probe = ?1 AND probe != '' AND at >= ?2 AND at <= ?3 AND NOT EXISTS (
        SELECT 1 FROM readings WHERE readings.kind = 'place' AND readings.probe = own.probe AND readings.at = own.at)
    ORDER BY 3"""


@action("probe")
def check_probe(
    doing: Doing, probe: str, water: Water, degrees: Fraction, unit: Unit,
    *, action: str | None = None, at: datetime | None = None,
) -> Did:  # fmt: skip
    """What a probe read in ice water or boiling water, in the unit that it shows, and whether that is near enough.

    Out of tolerance the answer says which readings since its last good check in the same water it touches: how many,
    and of what. They count as not read from then on, the shorter life; what they found out of range stays so. A good
    check in ice says nothing of the hot end, so each water counts for itself. Refused for a probe without a name.
    """
    name = probe_name(probe)
    if not name:
        raise Refused(_("say which probe"))
    good = abs(degrees - on_scale(_true(doing, water), "C", unit)) <= MAY_STRAY[unit]
    keep = partial(_keep, doing, name, water, degrees, unit, good)
    stopped = keep() if good else _found_out(doing, name, water, keep)
    shown = f"{decimal(f'{float(degrees):g}')} °{unit}"
    return doing.answer(_said(doing, name, water, shown, unit, good, stopped or ()))


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
    doing.log("probe checked", prep=name, before=before, after=after, why=_should(doing, water, unit))


def _true(doing: Doing, water: Water) -> Fraction:
    """Degrees C of melting ice, or of water that boils as high above the sea as the book says; to a tenth."""
    return Fraction(0) if water == "ice" else boiling(doing.book.kitchen.altitude)


def _should(doing: Doing, water: Water, unit: Unit) -> str:
    said = _("ice water, {true} ± {stray} °{unit}") if water == "ice" else _("boiling water, {true} ± {stray} °{unit}")
    true = round(float(on_scale(_true(doing, water), "C", unit)), 1)
    return said.format(true=decimal(f"{true:g}"), stray=decimal(str(MAY_STRAY[unit])), unit=unit)


def _said(
    doing: Doing, name: str, water: Water, degrees: str, unit: Unit, good: bool, stopped: Sequence[str] = ()
) -> str:
    should = _should(doing, water, unit)
    if good:
        return _("Probe {name}: {degrees}, good: {should}").format(name=name, degrees=degrees, should=should)
    said = _("Probe {name}: {degrees} is out of tolerance: {should}. Set it right or put it away. {touched}")
    parts = [said.format(name=name, degrees=degrees, should=should, touched=_touched_text(doing, name, water))]
    if stopped:
        parts.append(_("Not to be used any more: {foods}.").format(foods="; ".join(stopped)))
    if water == "boiling" and doing.book.kitchen.altitude is None:
        parts.append(_("Sea level is assumed: where the kitchen stands higher, write `altitude` into the book."))
    return " ".join(parts)


def _touched(doing: Doing, name: str, water: Water) -> list[Row]:
    """The readings between the good checks on either side of this one; of the same second it is not known which came
    first, so they are in it."""
    before, after = _good(doing, name, water)
    return doing.rows(TOUCHED, name, before or "", after or "9999")


def _good(doing: Doing, name: str, water: Water) -> tuple[str | None, str | None]:
    """When its last good check before now was, and its first one after."""
    now = instant_text(doing.now)
    (before,) = doing.rows(GOOD.format(which="max", side="<"), name, water, now)
    (after,) = doing.rows(GOOD.format(which="min", side=">"), name, water, now)
    return before["at"], after["at"]


def _touched_text(doing: Doing, name: str, water: Water) -> str:
    found, (before, _after) = _touched(doing, name, water), _good(doing, name, water)
    since = _("before its first good check")
    if before:
        since = _("since {time}, its last good check").format(time=doing.time(instant(before)))
    if not found:
        return _("No reading was taken with it {since}.").format(since=since)
    count = some("{n} reading", "{n} readings", len(found))
    of = Counter((row["kind"], row["of"]) for row in found)
    what = ", ".join(_of_what(doing, kind, code) + (f" ({n})" if n > 1 else "") for (kind, code), n in of.items())
    said = _(
        "Read with it {since}: {count}, of {what}. That counts as not read: read again with another probe what is still"
        " there. What it found out of range stays so."
    )
    return said.format(since=since, count=count, what=what)


def _found_out(doing: Doing, name: str, water: Water, keep: Callable[[], None]) -> list[str]:
    """What was read with a probe that is out of tolerance counts as not read, in freezers and for makers' dates too;
    answers the food that may not be used any more for it."""
    touched = _touched(doing, name, water)
    places = {row["of"] for row in touched if row["kind"] == "place"}
    codes = {row["of"] for row in touched if row["kind"] == "batch"}
    batches = [row for row in doing.rows(ALL_LIVE) if row["code"] in codes or row["place"] in places]
    before = {row["code"]: why_not(doing, row) for row in batches}
    keep()
    for place in sorted(places & set(doing.book.places)):
        first = min(row["at"] for row in touched if row["of"] == place)
        stood = sorted(code for _kind, code in in_place(doing.files, place, first))
        follow_again(doing, doing.book.places[place], stood)
    for run in sorted({row["of"] for row in touched if row["kind"] == "run"}):
        renew_made_by(doing, run)
    doing.mark()
    now = sorted((row for row in doing.rows(ALL_LIVE) if row["code"] in before), key=lambda row: str(row["code"]))
    return [
        f"{name_of(doing, row)} {row['code']} ({why})"
        for row in now
        if not before[row["code"]] and (why := why_not(doing, row))
    ]


def _of_what(doing: Doing, kind: str, code: str) -> str:
    if kind == "batch":
        batch = doing.row("batches", code=code)
        return f"{name_of(doing, batch)} {code}" if batch else code
    if kind == "run":
        run = doing.row("runs", code=code)
        return f"{doing.book.name(run['prep'])} {code}" if run else code
    if kind == "task":
        return doing.book.tasks[code].name if code in doing.book.tasks else code
    place = doing.book.places.get(code)
    return place.name if place else doing.book.name(code)
