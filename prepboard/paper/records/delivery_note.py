"""The delivery note that goes with food from one kitchen of a group to another.

It reads well without any screen: what it is, how much, until when it is good, what is in it, how warm it left. The
square beside each box holds all of it (QR Code, ISO/IEC 18004), so that it is taken in with every line down.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from html import escape

from prepboard.book.vans import Trip
from prepboard.paper.lists.vans import amount_text
from prepboard.paper.records.label import long_day, square
from prepboard.paper.sentences.contains import allergen_list
from prepboard.paper.text.layout import wrap
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, is_known, listed
from prepboard.paper.text.shape import Json
from prepboard.store.read.delivery_note import Sent, word_of_note, written
from prepboard.texts import _, decimal

SIDE = 150
"""Of the square, in the drawing's units; a note holds some four hundred characters, so it is printed large."""

STYLE = """
* { box-sizing: border-box; }
body { font: 11pt/1.35 sans-serif; color: #000; background: #fff; margin: 1.2em; }
h1 { font-size: 15pt; margin: 0; }
header { border-bottom: 1.5pt solid #000; padding-bottom: 4pt; margin-bottom: 6pt; }
article { display: flex; gap: 6mm; border-bottom: .6pt solid #000; padding: 6pt 0; break-inside: avoid; }
article > div { flex: 1; }
h2 { font-size: 13pt; margin: 0; }
p { margin: 1pt 0; }
svg { width: 46mm; height: 46mm; flex: none; }
h2 + p { font-weight: bold; }
.hand { margin-top: 6pt; }
footer { margin-top: 8pt; font-size: 8.5pt; }
@page { size: A4; margin: 10mm; }
@media print { body { margin: 0; } }
@media screen and (max-width: 34em) {
  article { flex-direction: column; gap: 4mm; }
  svg { width: 60mm; height: 60mm; align-self: center; }
}
"""


def as_text(notes: Sequence[Sent], voice: Voice, trip: Trip | None, width: int) -> str:
    """The note as text, a box below another."""
    lines = [line for said in _head(notes, voice, trip) for line in wrap(said, width)]
    for sent in notes:
        lines += ["", *(line for said in _box(sent, voice) for line in wrap(said, width))]
        lines += [line for said in _by_hand() for line in wrap(said, width)]
    return "\n".join([*lines, "", *wrap(_how(), width)])


def as_page(notes: Sequence[Sent], voice: Voice, trip: Trip | None, language: str) -> str:
    """The note as a page to print, a square beside each box; no page break falls into one."""
    first, *rest = _head(notes, voice, trip)
    head = "".join(f"<p>{escape(said)}</p>" for said in rest)
    return (
        f'<!doctype html>\n<html lang="{escape(language)}"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(first)}</title>"
        f"<style>{STYLE}</style></head>\n<body><header><h1>{escape(first)}</h1>{head}</header>\n"
        f"{''.join(_article(sent, voice) for sent in notes)}<footer>{escape(_how())}</footer></body></html>"
    )


def objects(notes: Sequence[Sent]) -> list[Json]:
    """Each note in plain values, with the text that its square holds."""
    return [{**word_of_note(sent), "square": written(sent)} for sent in notes]


def _article(sent: Sent, voice: Voice) -> str:
    name, *rest = _box(sent, voice)
    said = "".join(f"<p>{escape(line)}</p>" for line in rest)
    hand = "".join(f'<p class="hand">{escape(line)}</p>' for line in _by_hand())
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIDE} {SIDE}" role="img" '
        f'aria-label="{escape(sent.note)}">{square(written(sent), 0, 0, SIDE)}</svg>'
    )
    return f"<article><div><h2>{escape(name)}</h2>{said}{hand}</div>{drawn}</article>\n"


def _head(notes: Sequence[Sent], voice: Voice, trip: Trip | None) -> list[str]:
    said = [_("Delivery note")]
    if notes:
        names = {"sender": voice.kitchen(notes[0].sender), "receiver": voice.kitchen(notes[0].receiver)}
        said.append(_("From {sender} to {receiver}").format(**names))
    if trip is not None:
        said.append(_("{van}, leaves {time}").format(van=plain(trip.van.name), time=_moment(voice, trip.leaves)))
    return said


def _box(sent: Sent, voice: Voice) -> list[str]:
    """What stands on the note of one box, the name first."""
    name = voice.name(sent.prep) if sent.prep and is_known(voice.book, sent.prep) else plain(sent.name)
    degrees = f"{decimal(sent.degrees)} °{sent.degrees_unit}"
    left = _("Left {moment}, {degrees}").format(moment=_moment(voice, sent.sent_at), degrees=degrees)
    return [
        f"{name}, {amount_text(voice, sent.prep, sent.unit, sent.amount)}",
        _use_by(sent, voice),
        listed((_("Note {note}").format(note=sent.note), _("Batch {code}").format(code=sent.batch))),
        _("Made {moment}").format(moment=_moment(voice, sent.made_at)),
        _allergens(sent, voice),
        _lots(sent, voice),
        listed((left, plain(sent.sent_by))),
    ]


def _use_by(sent: Sent, voice: Voice) -> str:
    if sent.use_by is None:
        return _("No date mark")
    local = voice.days.local(sent.use_by)
    if local.time() == time():
        return _("Use by {day}, to midnight").format(day=long_day(local.date() - timedelta(days=1)))
    return _("Use by {moment}").format(moment=_moment(voice, sent.use_by))


def _moment(voice: Voice, at: datetime) -> str:
    return f"{long_day(voice.days.local(at).date())} {voice.wall(at)}"


def _allergens(sent: Sent, voice: Voice) -> str:
    if sent.allergens is None:
        return _("Allergens: not stated")
    return _("Allergens: {names}").format(names=allergen_list(sent.allergens, voice.book) or _("none stated"))


def _lots(sent: Sent, voice: Voice) -> str:
    """The lots in it; goods whose lot nobody wrote down are named all the same."""
    known = [f"{voice.name(goods)} {plain(lot)}" for goods, lot in sent.lots if lot]
    unknown = [voice.name(goods) for goods, lot in sent.lots if not lot]
    said = _("Lots: {lots}").format(lots=listed(known)) if known else ""
    lacking = _("lot not written down: {goods}") if known else _("Lot not written down: {goods}")
    more = lacking.format(goods=listed(unknown)) if unknown else ""
    return "; ".join(filter(None, (said, more)))


def _by_hand() -> list[str]:
    return [_("Came at ______ °C   amount ____________   time ________   initials ______")]


def _how() -> str:
    return _(
        "Scan the square of each box, or type its note, and how warm it is. Above its limit it is not taken in: probe"
        " another box of it, then send it back or bin it. The codes are those of the kitchen that sent it."
    )
