"""A batch's way as a script and as a page have it: what it was made from, what it went into, each with its own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import Protocol

from prepboard.book.amounts import UNITS, Measure
from prepboard.book.saying import say_amount
from prepboard.paper.lists.stations import batch_name
from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed, long_day
from prepboard.paper.text.shape import Json, Shape, number
from prepboard.texts import _, some

_KEYS = {"made from": "made_from", "went into": "went_into"}


class Link(Protocol):
    """One thing on the way, as the store traces it."""

    @property
    def kind(self) -> str: ...
    @property
    def code(self) -> str: ...
    @property
    def item(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def unit(self) -> str: ...
    @property
    def amount(self) -> int | None: ...
    @property
    def lot(self) -> str: ...
    @property
    def made_at(self) -> datetime | None: ...
    @property
    def use_by(self) -> datetime | None: ...
    @property
    def blocked(self) -> str: ...
    @property
    def run(self) -> str: ...
    @property
    def service(self) -> str: ...
    @property
    def day(self) -> date | None: ...
    @property
    def plates(self) -> int: ...
    @property
    def why(self) -> str: ...
    @property
    def seen(self) -> bool: ...
    @property
    def links(self) -> Iterable[Link]: ...


class Trace(Protocol):
    @property
    def batch(self) -> Link: ...
    @property
    def made_from(self) -> Iterable[Link]: ...
    @property
    def went_into(self) -> Iterable[Link]: ...


def as_object(trace: Trace, voice: Voice) -> Json:
    """For scripts. A batch that stands further up already has `"seen": true` and its links there."""
    return {
        **_of_batch(trace.batch, Shape(voice), voice),
        "made_from": [_object(link, "made_from", voice) for link in trace.made_from],
        "went_into": [_object(link, "went_into", voice) for link in trace.went_into],
    }


def rows(trace: Trace, voice: Voice) -> Iterator[Json]:
    """One row a link, for a spreadsheet: the way, how deep, and what it is."""
    for way, links in (("made_from", trace.made_from), ("went_into", trace.went_into)):
        for depth, link in _deep(links):
            shown = _object(link, way, voice)
            amount = shown.get("amount")
            yield {**shown, "way": way, "depth": depth, "amount": amount, "plates": link.plates or None}


def page(trace: Trace, voice: Voice, width: int) -> Section:
    """The way as an indented list, for people."""
    made = [Row((_indented(link, depth, voice),)) for depth, link in _deep(trace.made_from)]
    went = [Row((_indented(link, depth, voice),)) for depth, link in _deep(trace.went_into)]
    nothing = _("Nothing is known of where it came from.")
    own = Row((_named(trace.batch, voice), _facts(trace.batch, voice)))
    return [
        *section(_("BATCH"), table([own], "<<", width), "", width),
        *section(_("MADE FROM"), table(made, "<", width), nothing, width),
        *section(_("WENT INTO"), table(went, "<", width), _("All of it is still there."), width),
    ]


def _object(link: Link, way: str, voice: Voice) -> Json:
    shape = Shape(voice)
    if link.kind == "goods":
        return {"goods": link.item, "lot": plain(link.lot) or None, "run": link.run or None}
    if link.kind == "dish":
        day = shape.day(link.day) if link.day else None
        return {"dish": link.item, "service": link.service, "day": day, "plates": link.plates}
    if link.kind in ("gone", "discarded"):
        return {link.kind: plain(link.why), "amount": _amount(link)}
    if link.kind == "sent":
        return {"kitchen": link.name or None, "note": link.why, "amount": _amount(link)}
    if link.kind == "came":
        lots = [_object(one, way, voice) for one in link.links]
        return {"kitchen": link.name, "note": link.why, "batch_there": link.code, way: lots}
    if link.kind == "run":
        return {"run": link.code, "prep": link.item, "state": link.why, "amount": _amount(link)}
    shown = {**_of_batch(link, shape, voice), "run": link.run or None, "amount": _amount(link)}
    if link.seen:
        shown["seen"] = True
    return {**shown, way: [_object(one, way, voice) for one in link.links]}


def _of_batch(link: Link, shape: Shape, voice: Voice) -> Json:
    is_goods = link.item in voice.book.goods
    return {
        "batch": link.code,
        "prep": None if is_goods else link.item,
        "goods": link.item if is_goods else None,
        "lot": plain(link.lot) or None,
        "made_at": shape.at(link.made_at),
        "use_by": shape.at(link.use_by),
        "blocked": plain(link.blocked) or None,
    }


def _amount(link: Link) -> Json | None:
    if link.amount is None or not link.unit:
        return None
    return {"amount": number(_measure(link.unit).number(link.amount)), "unit": link.unit}


def _measure(unit: str) -> Measure:
    return Measure(UNITS[unit].kind, unit)


def _deep(links: Iterable[Link], depth: int = 0) -> Iterator[tuple[int, Link]]:
    for link in links:
        yield depth, link
        yield from _deep(link.links, depth + 1)


def _indented(link: Link, depth: int, voice: Voice) -> str:
    # The layout wraps at spaces; no-break ones keep the depth.
    return "\u00a0" * (2 * min(depth, 12)) + listed((_named(link, voice), _facts(link, voice)))


def _named(link: Link, voice: Voice) -> str:
    if link.kind == "dish":
        plates = some("{n} plate", "{n} plates", link.plates)
        return _("{plates} of {dish}").format(plates=plates, dish=voice.name(link.item))
    if link.kind in ("gone", "discarded"):
        said = _("gone: {why}") if link.kind == "gone" else _("discarded: {why}")
        return said.format(why=plain(link.why))
    if link.kind in ("sent", "came"):
        kitchen = voice.kitchen(link.name)
        return (
            kitchen
            if link.kind == "sent"
            else _("{kitchen}, batch {code} there").format(kitchen=kitchen, code=link.code)
        )
    named = batch_name(link.item, link.name, voice)
    return f"{named} {link.code}".strip()


def _facts(link: Link, voice: Voice) -> str:
    amount = ""
    if link.amount is not None and link.unit:
        amount = say_amount(_measure(link.unit), link.amount, voice.book.kitchen.units)
    if link.kind == "dish":
        return listed(
            (voice.service(link.service, link.day) if link.day else "", long_day(link.day) if link.day else "")
        )
    if link.kind in ("sent", "came"):
        return listed((amount, _("note {note}").format(note=link.why)))
    if link.kind == "goods":
        return _("lot {lot}").format(lot=plain(link.lot)) if link.lot else _("lot not written down")
    if link.kind == "run":
        return listed((amount, _(link.why)))
    made = _("made {time}").format(time=voice.time(link.made_at)) if link.made_at else ""
    if link.lot or link.item in voice.book.goods:
        made = _("opened {time}").format(time=voice.time(link.made_at)) if link.made_at else ""
    held = _("held back: {why}").format(why=plain(link.blocked)) if link.blocked else ""
    if link.kind != "batch":
        return amount
    return listed((amount, made, voice.good(link.use_by), held, _("see above") if link.seen else ""))
