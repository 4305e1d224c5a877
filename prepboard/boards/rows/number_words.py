"""Numbers in words, and words as numbers: what is typed on the sous chef's board. Pure."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import cast

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.letters import starts
from prepboard.book.amounts import AmountFault, read_amount
from prepboard.book.amounts import read_number as number_at_start
from prepboard.book.saying import say_duration
from prepboard.paper.text.saying import whole_weekday
from prepboard.plan.board import Board
from prepboard.plan.given.numbers import Number, Value
from prepboard.texts import _, typed

AMOUNTS = frozenset({"par", "standing par", "weekday par", "portion"})
WHOLE = {"percent": (-90, 300), "hands": (0, 99), "equipment": (0, 99), "staying": (0, 240)}
"""Whole numbers, from and to; covers and counts have their own."""
MOST = 20_000
NOBODY_KNOWS = "?"
A_MONDAY = date(2024, 1, 1)
"""Any Monday: only its weekday is said."""


def number_name(board: Board, number: Number) -> str:
    """A number in words: "Dinner, covers", "standing par of Lamb jus, for good"."""
    voice, book = voice_of(board), board.state.book
    item = book.equipment[number.item].name if number.item in book.equipment else voice.name(number.item)
    item = voice.station(number.item) if number.of in ("hands", "staying") else item
    said = {
        "covers": _("covers"),
        "percent": _("all pars, in %"),
        "cancelled": _("cancelled or held"),
        "mix": _("share of {item}, in %"),
        "count": _("fixed count of {item}"),
        "off": _("86 {item}, why"),
        "par": _("par of {item}"),
        "standing par": _("standing par of {item}, every day"),
        "weekday par": _("standing par of {item}, every {day}"),
        "portion": _("{item} on a plate of {dish}"),
        "hands": _("{item}, cooks"),
        "equipment": _("{item}, places that work"),
        "given": _("{item}, made by"),
        "staying": _("{item}, a cook stays from {time}"),
        "missing": _("{item} missing until"),
    }[number.of]
    day = whole_weekday(A_MONDAY + timedelta(days=int(number.on))) if number.of == "weekday par" else ""
    text = said.format(item=item, dish=voice.name(number.on), day=day, time=number.on)
    return f"{voice.service(*number.sitting)}, {text}" if number.sitting else text


def value_words(board: Board, number: Number, value: object) -> str:
    """A value of a number in words."""
    voice = voice_of(board)
    if number.of == "cancelled":
        return _("cancelled") if value else _("held")
    if value is None:
        none = {"covers": _("as booked"), "mix": _("as in the book"), "count": _("no fixed count")}
        none |= {"off": _("on the menu"), "missing": _("there"), "staying": _("nobody stays")}
        return none.get(number.of, _("now computed"))
    if isinstance(value, datetime):
        return _("missing until {time}").format(time=voice.time(value))
    if number.of == "given":
        return voice.station(str(value))
    if number.of == "missing":
        return _("missing, nobody knows until when")
    if number.of == "mix":
        return share_words(value)
    if number.of == "staying" and isinstance(value, int):
        return say_duration(value)
    if number.of == "percent":
        return f"{value:+d} %"
    return voice.amount(number.item, value) if number.of in AMOUNTS and isinstance(value, int) else str(value)


def share_words(share: object) -> str:
    """A share as a percentage: "22 %"."""
    return f"{float(share) * 100:.3g} %"  # type: ignore[arg-type]


def typed_text(board: Board, number: Number, value: Value) -> str:
    """A value as it would be typed."""
    if value is None:
        return ""
    if number.of == "mix":
        return f"{float(cast(Fraction, value)) * 100:.4g}"
    if isinstance(value, datetime):
        return f"{voice_of(board).days.local(value):%H:%M}"
    if number.of == "missing":
        return NOBODY_KNOWS
    return value_words(board, number, value) if number.of in (*AMOUNTS, "given") else str(value)


def read(board: Board, number: Number, text: str) -> Value:
    """What was typed as a value; AmountFault in words when it is none. A bare share is in per cent, a bare amount in
    the prep's own unit."""
    if number.of in AMOUNTS:
        return board.state.book.measure(number.item).millionths(read_amount(typed(text)))
    if number.of == "off":
        return text.strip()
    if number.of == "given":
        return _station(board, text)
    if number.of == "missing":
        return _until(board, text)
    value, rest = number_at_start(text)
    if rest not in (("", "%") if number.of in ("mix", "percent") else ("",)):
        raise AmountFault(_("'{text}' is no number").format(text=text))
    if number.of == "mix":
        if value < 0:
            raise AmountFault(_("a share is never less than zero"))
        return value / 100
    if value.denominator != 1:
        raise AmountFault(_("whole numbers only"))
    least, most = WHOLE.get(number.of, (0, MOST))
    if not least <= value <= most:
        raise AmountFault(_("from {least} to {most}").format(least=least, most=most))
    return int(value)


def _station(board: Board, text: str) -> str:
    """The station that begins with these letters."""
    voice = voice_of(board)
    found = [one for one in board.state.book.stations if starts(text.strip(), voice.station(one))]
    if len(found) != 1:
        among = found or list(board.state.book.stations)
        raise AmountFault(_("which station: {names}?").format(names=", ".join(map(voice.station, among))))
    return found[0]


def _until(board: Board, text: str) -> Value:
    """A moment still to come on the kitchen's clock; "" for nobody knows."""
    if text.strip() == NOBODY_KNOWS:
        return ""
    hours, _colon, minutes = text.strip().partition(":")
    if not (hours.isdecimal() and minutes.isdecimal() and len(minutes) == 2 and int(hours) < 24 and int(minutes) < 60):
        raise AmountFault(_("write when it comes, like 16:00, or ? where nobody knows"))
    days = voice_of(board).days
    today, clock = days.business_day(board.now), time(int(hours), int(minutes))
    at = days.in_day(today, clock)
    return at if at > board.now else days.in_day(today + timedelta(days=1), clock)
