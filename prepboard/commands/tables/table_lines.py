"""What a table says, as what an action takes: each line is checked, and the lines that do not fit are all named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from statistics import median
from typing import TYPE_CHECKING

from prepboard.commands.given.reading import Named, amount_of, day, find, find_prep, moment
from prepboard.commands.tables.spreadsheet import Sheet
from prepboard.plan.changing.usual import usual_there
from prepboard.plan.demand.occasions import AsBooked, end_of
from prepboard.plan.given.numbers import Change, Number, far_more
from prepboard.plan.given.state import Sitting
from prepboard.store.actions.food.first_stock import OnTheShelf
from prepboard.store.actions.past_plates import PastSitting, counted
from prepboard.store.file.who import Refused, Unsure
from prepboard.texts import _, some

if TYPE_CHECKING:
    from prepboard.commands.given.kitchen import Kitchen


def past_sittings(kitchen: Kitchen, sheet: Sheet) -> list[PastSitting]:
    """Past services, a line a dish: day, service, dish, plates and the covers of the whole sitting; where there is a
    column `special`, whether it was a special day."""
    special: set[Sitting] = set()
    plates: dict[Sitting, dict[str, int]] = {}
    covers: dict[Sitting, tuple[int, int]] = {}
    known = counted(kitchen.file)
    for line, row in sheet.rows:
        try:
            sitting, dish, n = _past(kitchen, row, known)
            came = _whole(row["covers"], _("covers"))
            if _yes(row.get("special", "")):
                special.add(sitting)
        except Refused as fault:
            sheet.fault(line, str(fault))
            continue
        first, said = covers.setdefault(sitting, (line, came))
        if came != said:
            text = _("{came} covers here, {said} in line {first}: a sitting has one number of covers")
            sheet.fault(line, text.format(came=came, said=said, first=first))
        elif dish in plates.setdefault(sitting, {}):
            sheet.fault(line, _("{dish} of that sitting has a line already").format(dish=row["dish"]))
        else:
            plates[sitting][dish] = n
    sheet.check()
    services = kitchen.book.services
    ended = {key: end_of(kitchen.book, services[key[0]], key[1]) for key in plates}
    return [
        PastSitting(*key, ended[key], covers[key][1], plates[key], key in special)
        for key in sorted(plates, key=ended.__getitem__)
    ]


FEW_PLATES = 20
"""So many plates of a small dish are no slip, however few are usual."""
MOST_LISTED = 12


def check_past(kitchen: Kitchen, sittings: Sequence[PastSitting]) -> None:
    """Unsure, with all of them, where guests or plates are more than three times what is usual: in the table itself
    (the middle one of a service, or of a dish), or by the book, whichever is more. Special days are what they are."""
    sittings = [one for one in sittings if not one.special]
    guests: dict[str, list[int]] = {}
    sold: dict[str, list[int]] = {}
    for one in sittings:
        guests.setdefault(one.service, []).append(one.came)
        for dish, n in one.plates.items():
            sold.setdefault(dish, []).append(n)
    book, far = kitchen.book, []
    for one in sittings:
        at = f"{book.services[one.service].name} {one.day.isoformat()}"
        usual = max(median(guests[one.service]), book.services[one.service].covers.on(one.day) or 0)
        if far_more(one.came, round(usual)):
            far.append(_("{what}: {amount}, usually {usual}").format(what=at, amount=one.came, usual=round(usual)))
        for dish, n in one.plates.items():
            asked = max(median(sold[dish]), float(book.dishes[dish].share) * min(one.came, usual))
            if n > FEW_PLATES and far_more(n, round(asked)):
                what = f"{at}, {book.dishes[dish].name}"
                far.append(_("{what}: {amount}, usually {usual}").format(what=what, amount=n, usual=round(asked)))
    if far:
        more = [some("{n} more", "{n} more", len(far) - MOST_LISTED)] if len(far) > MOST_LISTED else []
        said = "; ".join([*far[:MOST_LISTED], *more])
        raise Unsure(_("more than three times what is usual: {numbers}").format(numbers=said))


def _yes(text: str) -> bool:
    word = text.strip().casefold()
    if word in ("", "no", "0", "false"):
        return False
    if word in ("yes", "1", "true"):
        return True
    raise Refused(_("'{text}' says neither yes nor no: write yes for a special day").format(text=text))


def _past(kitchen: Kitchen, row: Mapping[str, str], known: set[tuple[str, str]]) -> tuple[Sitting, str, int]:
    on, service = _sitting(kitchen, row)
    dish, n = _find(row["dish"], kitchen.book.dishes, "dish"), _whole(row["plates"], _("plates"))
    if end_of(kitchen.book, kitchen.book.services[service], on) > kitchen.now:
        raise Refused(_("that sitting is not over"))
    if (on.isoformat(), service) in known:
        raise Refused(_("that sitting has plates already"))
    return (service, on), dish, n


def covers_ahead(kitchen: Kitchen, sheet: Sheet) -> list[Change]:
    """Booked covers of sittings ahead: day, service, covers."""
    found: dict[Number, Change] = {}
    for line, row in sheet.rows:
        try:
            on, service = _sitting(kitchen, row)
            n = _whole(row["covers"], _("covers"))
            if not kitchen.book.services[service].held_on(on):
                raise Refused(_("there is no such sitting on that day"))
            if end_of(kitchen.book, kitchen.book.services[service], on) <= kitchen.now:
                raise Refused(_("that sitting is over; what it sold belongs to history import"))
        except Refused as fault:
            sheet.fault(line, str(fault))
            continue
        tonight = kitchen.state.tonight.get((service, on), AsBooked)
        change = Change(Number("covers", (service, on)), tonight.covers, n)
        if row.get("source") and _is_booked(kitchen, change):
            continue
        # A table of pars has a line a prep, and says the same covers in each.
        if found.get(change.number) != change:
            _add(sheet, line, found, change)
    sheet.check()
    return list(found.values())


def pars(kitchen: Kitchen, sheet: Sheet) -> list[Change]:
    """Pars by hand: prep, amount, and for one sitting day and service; without them it is a standing par.

    A table that `show pars --csv` wrote says where each par comes from: those that are still as computed stay computed.
    """
    found: dict[Number, Change] = {}
    for line, row in sheet.rows:
        try:
            change = _par(kitchen, row)
            if row.get("source") and _is_computed(kitchen, change):
                continue
        except Refused as fault:
            sheet.fault(line, str(fault))
            continue
        _add(sheet, line, found, change)
    sheet.check()
    return list(found.values())


def _par(kitchen: Kitchen, row: Mapping[str, str]) -> Change:
    _filled(row["prep"], _("prep"))
    prep = find_prep(kitchen, row["prep"]).id
    amount = amount_of(kitchen, prep, [_filled(row["amount"], _("amount"))])
    if not row.get("service") and not row.get("day"):
        return Change(Number("standing par", None, prep), kitchen.state.standing.get(prep), amount)
    on, service = _sitting(kitchen, row)
    tonight = kitchen.state.tonight.get((service, on), AsBooked)
    return Change(Number("par", (service, on), prep), tonight.pars.get(prep), amount)


def _is_booked(kitchen: Kitchen, change: Change) -> bool:
    """Whether covers are those of the book, with nobody having set them."""
    service, on = change.number.sitting or ("", date.min)
    return change.seen is None and kitchen.book.services[service].covers.on(on) == change.to


def _is_computed(kitchen: Kitchen, change: Change) -> bool:
    """Whether a number is what the plan has anyway, with nobody having set it."""
    number = change.number
    same = (line for line in kitchen.board.pars if (line.service, line.day) == number.sitting)
    return change.seen is None and any(line.prep == number.item and line.par == change.to for line in same)


def shelves(kitchen: Kitchen, sheet: Sheet) -> list[OnTheShelf]:
    """What is there: prep, amount, made_at, and where; a line without an amount is passed over."""
    found = []
    for line, row in sheet.rows:
        if not row["amount"]:
            continue
        try:
            found.append(_on_the_shelf(kitchen, row))
        except Refused as fault:
            sheet.fault(line, str(fault))
    sheet.check()
    return found


def _on_the_shelf(kitchen: Kitchen, row: Mapping[str, str]) -> OnTheShelf:
    if row.get("batch"):
        raise Refused(_("batch {batch} is in the file already").format(batch=row["batch"]))
    prep = find_prep(kitchen, _filled(row["prep"], _("prep")))
    made = _filled(row["made_at"], _("made_at"))
    try:
        on = day(kitchen, made)
    except Refused:
        on = None
    days = kitchen.book.kitchen.days
    when = days.opens(on) if on else moment(kitchen, made) or kitchen.now
    place = _find(row["place"], kitchen.book.places, "place") if row.get("place") else ""
    amount, usual = amount_of(kitchen, prep.id, [row["amount"]]), usual_there(kitchen.board, prep.id)
    return OnTheShelf(prep.id, amount, when, place, on, usual)


def _add(sheet: Sheet, line: int, found: dict[Number, Change], change: Change) -> None:
    if change.number in found:
        sheet.fault(line, _("that number has a line already"))
    found.setdefault(change.number, change)


def _sitting(kitchen: Kitchen, row: Mapping[str, str]) -> tuple[date, str]:
    on = day(kitchen, _filled(row.get("day", ""), _("day")))
    return on, _find(row.get("service", ""), kitchen.book.services, "service")


def _find(word: str, known: Mapping[str, Named], kind: str) -> str:
    return find(_filled(word, _(kind)), known, kind)


def _filled(text: str, column: str) -> str:
    if not text:
        raise Refused(_("{column} is empty").format(column=column))
    return text


def _whole(text: str, what: str) -> int:
    if not (text.isascii() and text.isdigit()) or len(text) > 6:
        raise Refused(_("'{text}' is no number of {what}").format(text=text, what=what))
    return int(text)
