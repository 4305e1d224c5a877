"""The record for an inspector, as text, for scripts and as a page to print: readings, batches, discards, corrections.

It says by which rule book and on which clock it was written, what the kitchen's own plan has looser, whether the log
proves unbroken, and the log's seal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from html import escape
from typing import TYPE_CHECKING

from prepboard.book.amounts import UNITS, Measure
from prepboard.book.book import Place, Task
from prepboard.book.saying import say_amount
from prepboard.paper.lists.rules import loosened_texts
from prepboard.paper.records.label import long_day
from prepboard.paper.text.evidence import exempted, plan_text
from prepboard.paper.text.heading import Section
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.reasons import why_text
from prepboard.paper.text.saying import Voice, is_known, listed
from prepboard.paper.text.shape import Json, Shape
from prepboard.paper.text.why_words import why_word
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.past.record import Record, Recorded


def objects(lines: Iterable[Recorded], voice: Voice) -> list[Json]:
    """For scripts. `ok` is null where no limit applies; `taken_back` says who did that and when. Each line names its
    basis, so that a row of a spreadsheet can stand alone."""
    shape = Shape(voice)
    kitchen = voice.book.kitchen
    basis: Json = {
        "rule_book": kitchen.rules.id,
        "looser": [rule.key for rule in kitchen.rules.loosened],
        "clock": "by hand" if voice.set_by_hand else "machine",
    }
    return [
        {
            "at": shape.at(line.at),
            "by": plain(line.by),
            "kind": line.kind,
            "what": _what(line, voice),
            "value": _value(line, voice) or None,
            "limit": _limit(line, voice) or None,
            "ok": line.ok,
            "station": line.station or None,
            "taken_back": {"by": plain(line.back[0]), "at": shape.at(line.back[1])} if line.back else None,
            **basis,
        }
        for line in lines
    ]


def beside(found: Record, voice: Voice) -> Json:
    """What stands beside the lines: on which basis, and whether the log proves unbroken."""
    kitchen = voice.book.kitchen
    return {
        "rule_book": kitchen.rules.title,
        "caution": " ".join(kitchen.rules.caution.split()),
        "approved_plan": plan_text(kitchen.approved_plan) or None,
        "exempt": exempted(voice.book),
        "looser": loosened_texts(voice),
        "clock_set_by_hand": voice.set_by_hand,
        "proved_from_line": found.first,
        "seal": found.seal,
        "broken": list(found.broken),
    }


def record(lines: Iterable[Recorded], found: Record, voice: Voice, width: int) -> Section:
    """As people read it on a terminal; `lines` are those of the record that are asked for."""
    rows = [
        Row(
            (
                voice.time(line.at), _kind(line.kind), _what(line, voice), _value(line, voice),
                listed((_verdict(line), why_word(_limit(line, voice)), _back(line, voice))), plain(line.by),
            )
        )
        for line in lines
    ]  # fmt: skip
    page = section(_("RECORD"), table(rows, "<<<<<<", width), _("Nothing was recorded in that time."), width)
    foot = [text for text in _foot(found, voice) if text]
    return [*page, "", *(line for text in foot for line in paragraph(text, width, 1))]


def as_page(lines: Iterable[Recorded], found: Record, voice: Voice, span: tuple[datetime, datetime]) -> str:
    """A page to print, complete in itself, for the time from the first up to the second moment."""
    titles = (_("When"), _("Kind"), _("What"), _("Value"), _("Limit"), _("Within"), _("Who"), _("Taken back"))
    head = "".join(f"<th>{escape(title)}</th>" for title in titles)
    body = "\n".join(_table_row(line, voice) for line in lines)
    kitchen = voice.book.kitchen
    title = _("{kitchen}: record from {begin} to {end}").format(
        kitchen=plain(kitchen.name), begin=_moment(voice, span[0]), end=_moment(voice, span[1])
    )
    foot = "\n".join(f"<p>{escape(text)}</p>" for text in _foot(found, voice) if text)
    nothing = "" if body else f"<p>{escape(_('Nothing was recorded in that time.'))}</p>"
    return (
        f'<!doctype html>\n<html lang="{escape(kitchen.language)}">\n<meta charset="utf-8">\n'
        f"<title>{escape(title)}</title>\n<style>\n{_STYLE}\n</style>\n<h1>{escape(title)}</h1>\n"
        f"<p>{escape(_('Printed {when}.').format(when=_moment(voice, voice.now)))}</p>\n"
        f"<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{body}\n</tbody>\n</table>\n{nothing}\n{foot}\n</html>"
    )


_STYLE = """body { font: 10pt/1.35 sans-serif; margin: 12mm; color: #000; background: #fff; }
h1 { font-size: 13pt; }
table { border-collapse: collapse; width: 100%; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th, td { border-bottom: 1px solid #999; padding: 2px 8px 2px 0; text-align: left; vertical-align: top; }
.out { font-weight: bold; }
p { margin: 4px 0; }"""


def _table_row(line: Recorded, voice: Voice) -> str:
    cells = (
        _moment(voice, line.at), _kind(line.kind), _what(line, voice), _value(line, voice),
        why_word(_limit(line, voice)), _verdict(line), plain(line.by), _back(line, voice),
    )  # fmt: skip
    out = ' class="out"' if line.ok is False else ""
    return f"<tr{out}>" + "".join(f"<td>{escape(cell)}</td>" for cell in cells) + "</tr>"


def _foot(found: Record, voice: Voice) -> list[str]:
    rules = voice.book.kitchen.rules
    faults = "; ".join(found.broken)
    whole = _("The log is unbroken from line {first}, the first of this record, to its last.").format(first=found.first)
    return [
        _("Judged by {rules}. {caution}").format(rules=plain(rules.title), caution=" ".join(rules.caution.split())),
        *loosened_texts(voice),
        *exempted(voice.book),
        _("Clock set by hand.") if voice.set_by_hand else _("Clock of this machine."),
        _("THE LOG IS BROKEN: {faults}").format(faults=faults) if faults else whole,
        _("Seal of the log: {seal}").format(seal=found.seal),
    ]


def _kind(kind: str) -> str:
    return {
        "reading": _("reading"),
        "batch": _("batch"),
        "discard": _("discard"),
        "correction": _("correction"),
    }[kind]


def _what(line: Recorded, voice: Voice) -> str:
    """The name of what was read, made or thrown away, and its code; of what concerns the file nothing."""
    book = voice.book
    named = plain(line.name)
    own: Mapping[str, Task | Place] = book.tasks if line.did == "task" else book.places
    if not named and line.item in own:
        named = plain(own[line.item].name)
    return " ".join(part for part in (named or (voice.name(line.item) if line.item else ""), line.batch) if part)


def _value(line: Recorded, voice: Voice) -> str:
    if line.kind == "correction":
        did = _("undone") if line.did == "undo" else _(line.did)
        return ": ".join(part for part in (did, plain(line.value)) if part)
    if line.amount is None:
        return _("open") if line.kind == "batch" else plain(line.value)
    return _amount(line, voice)


def _amount(line: Recorded, voice: Voice) -> str:
    amount = line.amount or 0
    if is_known(voice.book, line.item):
        return voice.amount(line.item, amount)
    return say_amount(Measure(UNITS[line.unit].kind, line.unit), amount, voice.book.kitchen.units)


def _limit(line: Recorded, voice: Voice) -> str:
    if line.kind != "batch":
        return plain(line.limit)
    good = voice.good(line.use_by)
    why = why_text(line.did, voice.book.kitchen.rules)
    return _("{good} ({why})").format(good=good, why=why) if line.use_by else good


def _verdict(line: Recorded) -> str:
    if line.ok is None:
        return ""
    return _("within") if line.ok else _("OUT OF RANGE")


def _back(line: Recorded, voice: Voice) -> str:
    if not line.back:
        return ""
    return _("undone by {who}, {time}").format(who=plain(line.back[0]), time=voice.time(line.back[1]))


def _moment(voice: Voice, at: datetime) -> str:
    local = voice.days.local(at)
    return f"{long_day(local.date())} {local.year} {voice.wall(at)}"
