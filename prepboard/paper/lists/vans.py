"""What comes, what is to be loaded for whom, and what to order, in words and as objects."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from itertools import groupby

from prepboard.book.amounts import MILLION, UNITS, Measure
from prepboard.book.saying import say_amount
from prepboard.paper.lists.sheets import Line, Part, Sheet
from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, is_known, listed
from prepboard.paper.text.shape import Json, Shape
from prepboard.plan.given.group import Order, Transfer, TransferState
from prepboard.plan.given.state import State
from prepboard.plan.leftovers.vans import Load, Proposed, ToSend, coming, to_answer_for
from prepboard.texts import _, told


def amount_text(voice: Voice, prep: str, unit: str, amount: int) -> str:
    """An amount of what went between kitchens, also of what this book does not know."""
    if prep and is_known(voice.book, prep):
        return voice.amount(prep, amount)
    return say_amount(Measure(UNITS[unit].kind, unit), amount, voice.book.kitchen.units)


def state_text(state: TransferState) -> str:
    """Where it is, in words."""
    return {
        "on the van": _("on the van"),
        "received": _("received"),
        "short": _("came short"),
        "refused": _("not taken in"),
        "received on paper": _("received"),
        "taken back": _("back again"),
        "crossed": _("said to be back, and received all the same"),
    }[state]


def name_text(one: Transfer, voice: Voice) -> str:
    return voice.name(one.prep) if one.prep and is_known(voice.book, one.prep) else plain(one.name)


def coming_section(state: State, voice: Voice, width: int) -> Section:
    """What is on its way here, then what does not agree."""
    on_the_way = [_coming_row(one, voice) for one in coming(state)]
    differ = [_differs_row(one, voice) for one in to_answer_for(state, voice.now)]
    said = section(_("COMING"), table(on_the_way, "<><<", width), _("Nothing is on its way here."), width)
    return [*said, *section(_("DOES NOT AGREE"), table(differ, "<<<", width), "", width)] if differ else said


def _coming_row(one: Transfer, voice: Voice) -> Row:
    left = _("left at {degrees}").format(degrees=one.degrees)
    words = listed((held_text(one, voice), by_text(one, voice), voice.good(one.use_by), left))
    return Row((one.note, amount_text(voice, one.prep, one.unit, one.amount), name_text(one, voice), words))


def held_text(one: Transfer, voice: Voice) -> str:
    """That it is held back before it is here: it is taken in, and stands apart."""
    return _("DO NOT USE: {why}; set it apart").format(why=plain(told(one.held))) if one.held else ""


def by_text(one: Transfer, voice: Voice) -> str:
    """From where, and by which van."""
    kitchen = voice.kitchen(one.sender)
    if not one.van or one.day is None:
        return _("from {kitchen}").format(kitchen=kitchen)
    return _("from {kitchen}, {van}").format(kitchen=kitchen, van=voice.van(one.van))


def _differs_row(one: Transfer, voice: Voice) -> Row:
    return Row((one.note, name_text(one, voice), differs_text(one, voice)))


def differs_text(one: Transfer, voice: Voice) -> str:
    """What left, and what the other side says of it."""
    said = amount_text(voice, one.prep, one.unit, one.amount)
    if one.state == "short":
        came = amount_text(voice, one.prep, one.unit, one.got_amount)
        what = _("{sent} left, {came} came").format(sent=said, came=came)
    elif one.state == "refused":
        what = _("{sent} not taken in: {why}").format(sent=said, why=plain(told(one.got_why)))
    elif one.state == "on the van":
        left = _("{sent} left {time}, and nobody took it in")
        what = left.format(sent=said, time=voice.time(one.sent_at))
    else:
        what = _("{sent} said to be back, and received all the same").format(sent=said)
    other = one.receiver if one.sender == voice.book.kitchen.member else one.sender
    return listed((what, voice.kitchen(other), plain(one.got_by)))


def loads_section(loads: Iterable[Load], voice: Voice, width: int) -> Section:
    """The packing list of each van: for each kitchen what is to go, what is loaded, what is missing."""
    said: Section = []
    for load in loads:
        rows: list[Row] = []
        for kitchen, lines in groupby(load.lines, lambda line: line.kitchen):
            rows.append(Row((voice.kitchen(kitchen), "", "")))
            rows += [_load_row(line, voice) for line in lines]
        said += section(van_heading(load, voice), table(rows, "<><", width), _("Nothing is ordered by it."), width)
    return said or section(_("VANS"), [], _("No van leaves from here."), width)


def van_heading(load: Load, voice: Voice) -> str:
    """ "EARLY VAN, leaves Sun 06:30"."""
    trip, name = load.trip, plain(load.trip.van.name).upper()
    left = trip.leaves <= voice.now
    said = _("{van}, left {time}") if left else _("{van}, leaves {time}")
    return said.format(van=name, time=voice.time(trip.leaves))


def _load_row(line: ToSend, voice: Voice) -> Row:
    ordered = amount_text(voice, line.prep, line.unit, line.ordered) if line.ordered else ""
    return Row(("  " + plain(line.name), ordered, load_text(line, voice)))


def load_text(line: ToSend, voice: Voice) -> str:
    """What is loaded of it, what is missing, and what waits for an answer."""
    notes = ", ".join(one.note for one in line.notes)
    loaded = amount_text(voice, line.prep, line.unit, line.sent)
    parts = [_("{amount} loaded ({notes})").format(amount=loaded, notes=notes) if line.notes else ""]
    if line.lacks:
        lacks = amount_text(voice, line.prep, line.unit, line.lacks)
        parts.append(_("{amount} to load").format(amount=lacks))
    for order in line.waiting:
        asked = amount_text(voice, order.prep, order.unit, order.amount)
        parts.append(_("{amount} more asked for too late: say yes or no").format(amount=asked))
    return listed(parts)


def packing_sheets(loads: Iterable[Load], voice: Voice) -> list[Sheet]:
    """The packing lists for the printer: a page for each van, on it a part for each kitchen."""
    book = voice.book
    return [
        Sheet(
            van_heading(load, voice),
            voice.time(voice.now),
            plain(book.kitchen.name),
            tuple(_packing_parts(load, voice)) or (Part("", (), _("Nothing is ordered by it.")),),
            _("Tick what stands in the van. Each box goes with its delivery note."),
            book.kitchen.language,
        )
        for load in loads
    ]


def _packing_parts(load: Load, voice: Voice) -> list[Part]:
    """A part for each kitchen, a box to tick before each line."""
    found = []
    for kitchen, lines in groupby(load.lines, lambda line: line.kitchen):
        drawn = [
            Line(
                when="",
                what=plain(line.name),
                amount=amount_text(voice, line.prep, line.unit, line.ordered or line.sent),
                words=load_text(line, voice),
            )
            for line in lines
        ]
        found.append(Part(voice.kitchen(kitchen), tuple(drawn), ""))
    return found


def proposed_section(found: Iterable[Proposed], voice: Voice, width: int) -> Section:
    """What to order by the next van, with the last moment for it."""
    said: Section = []
    for one in found:
        heading = _("{van}: order by {time}").format(
            van=plain(one.trip.van.name).upper(), time=voice.time(one.trip.closes)
        )
        rows = [
            Row(
                (
                    voice.amount(line.prep, line.amount),
                    voice.name(line.prep),
                    _("short until {time}").format(time=voice.time(one.until)),
                )
            )
            for line in one.lines
        ]
        said += section(heading, table(rows, "><<", width), _("Nothing is short until the van after it."), width)
    return said


def orders_section(state: State, voice: Voice, width: int) -> Section:
    """What was ordered, by van: here, or from here."""
    rows = [
        Row(
            (
                voice.van(one.van),
                one.day.isoformat(),
                voice.kitchen(one.kitchen),
                amount_text(voice, one.prep, one.unit, one.amount),
                voice.name(one.prep),
                answer_text(one),
            )
        )
        for one in state.orders
    ]
    return section(_("ORDERS"), table(rows, "<<<><<", width), _("Nothing is ordered."), width)


def answer_text(one: Order) -> str:
    """Whether it will be sent, as far as anybody knows."""
    if one.answer == "no":
        return _("not sent: {why}").format(why=plain(told(one.answer_why)))
    if one.answer == "yes":
        return _("will be sent")
    return _("asked for too late: waits for an answer") if one.late else _("ordered in time")


# --- for scripts ------------------------------------------------------------------------------------------


def transfer_object(one: Transfer, voice: Voice) -> Json:
    """A transfer, both halves; null for what nobody has said yet."""
    shape = Shape(voice)
    return {
        "note": one.note,
        "state": one.state,
        "from": one.sender,
        "to": one.receiver,
        "van": one.van or None,
        "day": shape.day(one.day) if one.day else None,
        "prep": one.prep or None,
        "name": plain(one.name),
        "amount": _amount(one.prep, one.unit, one.amount, shape),
        "use_by": shape.at(one.use_by),
        "degrees": one.degrees,
        "batch_there": one.batch,
        "lots": [{"goods": goods, "lot": lot or None} for goods, lot in one.lots],
        "allergens": list(one.allergens) if one.allergens is not None else None,
        "left_at": shape.at(one.sent_at),
        "left_by": one.sent_by,
        "got": one.got or None,
        "got_amount": _amount(one.prep, one.unit, one.got_amount, shape) if one.got else None,
        "got_at": shape.at(one.got_at),
        "got_degrees": one.got_degrees or None,
        "batch": one.ours or None,
        "to_answer_for": one.differs or (one.sender == voice.book.kitchen.member and one.missing(voice.now)),
        "held_back": plain(told(one.held)) or None,
    }


def _amount(prep: str, unit: str, amount: int, shape: Shape) -> Json:
    if prep and is_known(shape.voice.book, prep):
        return shape.amount(prep, amount)
    exact = Fraction(amount, MILLION)
    return {"amount": int(exact) if exact.denominator == 1 else float(exact), "unit": unit}


def coming_objects(state: State, voice: Voice) -> list[Json]:
    return [transfer_object(one, voice) for one in (*coming(state), *to_answer_for(state, voice.now))]


def loads_objects(loads: Iterable[Load], voice: Voice) -> list[Json]:
    shape = Shape(voice)
    return [
        {
            "van": load.trip.van.id,
            "day": shape.day(load.trip.day),
            "leaves": shape.at(load.trip.leaves),
            "kitchen": line.kitchen,
            "prep": line.prep,
            "name": plain(line.name),
            "ordered": _amount(line.prep, line.unit, line.ordered, shape),
            "loaded": _amount(line.prep, line.unit, line.sent, shape),
            "to_load": _amount(line.prep, line.unit, line.lacks, shape),
            "notes": [one.note for one in line.notes],
            "waits_for_answer": bool(line.waiting),
        }
        for load in loads
        for line in load.lines
    ]


def proposed_objects(found: Iterable[Proposed], voice: Voice) -> list[Json]:
    shape = Shape(voice)
    return [
        {
            "van": one.trip.van.id,
            "day": shape.day(one.trip.day),
            "order_by": shape.at(one.trip.closes),
            "prep": line.prep,
            "amount": shape.amount(line.prep, line.amount),
            "short": shape.amount(line.prep, line.short),
            "coming": shape.amount(line.prep, line.coming),
            "ordered": shape.amount(line.prep, line.ordered),
        }
        for one in found
        for line in one.lines
    ]


def orders_objects(state: State, voice: Voice) -> list[Json]:
    shape = Shape(voice)
    return [
        {
            "van": one.van,
            "day": shape.day(one.day),
            "kitchen": one.kitchen,
            "from": one.maker,
            "prep": one.prep,
            "amount": _amount(one.prep, one.unit, one.amount, shape),
            "at": shape.at(one.at),
            "by": one.by,
            "late": one.late,
            "answer": one.answer or None,
            "why": plain(one.answer_why) or None,
            "order": one.id,
        }
        for one in state.orders
    ]
