"""The record for an inspector, as text and for scripts: what was read, made, moved, counted, thrown away, put right and
signed; `record_page.py` draws the page to print.

It says by which rule book and on which clock it was written, what the kitchen's own plan has looser, what is exempt and
by which evidence, what the book leaves open, what nothing here checks, whether the log proves unbroken, and its seal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from prepboard.book.amounts import UNITS, Measure
from prepboard.book.book import Place, Station, Task
from prepboard.book.safety.may_use import WITHHELD
from prepboard.book.safety.silent import SILENT
from prepboard.book.safety.unshown import unshown
from prepboard.book.saying import say_amount
from prepboard.paper.lists.rules import loosened_texts
from prepboard.paper.sentences.evidence import dated, exempted, plan_text
from prepboard.paper.sentences.heading import Section
from prepboard.paper.sentences.reasons import why_text
from prepboard.paper.sentences.why_words import why_word
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, is_known, listed, weekday
from prepboard.paper.text.shape import Json, Shape
from prepboard.plan.given.state import Batch
from prepboard.texts import _, meant, recognized

if TYPE_CHECKING:
    from prepboard.store.past.probes import Check
    from prepboard.store.past.record import Record, Recorded

Batches = Mapping[str, Batch]
"""What is there now, by code: asked whether it may be used."""

SAME_MINUTE = timedelta(minutes=1)


def objects(lines: Iterable[Recorded], found: Record, voice: Voice, batches: Batches) -> list[Json]:
    """For scripts. `ok` is null where no limit applies; `taken_back` says who did that and when; `entered` is when it
    was typed; `may_be_used` is of a batch that is still there. Each line names its basis: it can stand alone."""
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
            "entered": shape.at(line.entered or line.at),
            "by": plain(line.by),
            "kind": line.kind,
            "did": line.did or None,
            "what": what(line, voice),
            "value": value(line, voice) or None,
            "limit": limit(line, found, voice) or None,
            "ok": line.ok,
            "station": line.station or None,
            "from_record": plain(line.source) or None,
            "probe": plain(line.probe) or None,
            "probe_checked": shape.at(line.checked.at) if line.checked else None,
            "probe_good": line.checked.good and line.found_out is None if line.checked else None,
            "taken_back": {"by": plain(line.back[0]), "at": shape.at(line.back[1])} if line.back else None,
            "replaced_by": line.replaced_by or None,
            "in_place_of": line.in_place_of or None,
            "may_be_used": batches[line.batch].answer(voice.now).may if of_a_batch(line, batches) else None,
            **basis,
        }
        for line in lines
    ]


def beside(found: Record, voice: Voice) -> Json:
    """What stands beside the lines: on which basis, and whether the log proves unbroken."""
    kitchen = voice.book.kitchen
    return {
        "rule_book": kitchen.rules.title,
        "caution": kitchen.rules.says,
        "approved_plan": plan_text(kitchen.approved_plan) or None,
        "exempt": exempted(voice.book),
        "looser": loosened_texts(voice),
        "left_open": [said for _section, _id, said in unshown(voice.book)],
        "not_checked": list(SILENT.values()),
        "book_loaded_by": plain(found.book_of[0]) if found.book_of else None,
        "clock_set_by_hand": voice.set_by_hand or found.clock_set is not None,
        "proved_from_line": found.first,
        "seal": found.seal,
        "broken": list(found.broken),
    }


def record(lines: Iterable[Recorded], found: Record, voice: Voice, batches: Batches, width: int) -> Section:
    """As people read it on a terminal; `lines` are those of the record that are asked for."""
    rows = [
        Row(
            (
                voice.time(line.at), kind_word(line), what(line, voice), value(line, voice),
                listed((verdict(line), limit(line, found, voice))), plain(line.by),
            ),
            tuple(filter(None, (entered(line, voice), remark(line, voice, batches)))),
        )
        for line in lines
    ]  # fmt: skip
    page = section(_("RECORD"), table(rows, "<<<<<<", width), _("Nothing was recorded in that time."), width)
    return [*page, "", *(line for text in foot(found, voice) for line in paragraph(text, width, 1))]


# --- one line -----------------------------------------------------------------------------------------------


def kind_word(line: Recorded) -> str:
    """What sort of line it is, in words."""
    if line.kind == "correction":
        return _corrective(line.did)
    return {
        "reading": _("reading"),
        "batch": _("batch"),
        "discard": meant("record", "discard"),
        "place": _("place"),
        "count": meant("record", "count"),
        "delivery": _("delivery"),
        "sign-off": _("sign-off"),
        "task": _("task"),
        "run": _("run"),
        "rules": _("rules"),
        "clock": _("clock"),
        "incident": _("incident"),
        "probe": _("probe"),
    }[line.kind]


def _corrective(did: str) -> str:
    if did in ("corrected", "unblocked"):
        return _("corrective action")
    if did in ("counts on", "relabelled"):
        return _("answered for") if did == "counts on" else _("label")
    return _("held back") if did in ("blocked", "withdrawn") else _("correction")


def what(line: Recorded, voice: Voice) -> str:
    """The name of what was read, made or thrown away, and its code; of what concerns the file nothing."""
    book = voice.book
    if line.kind == "sign-off":
        station, _blank, _day = line.limit.partition(" ")
        return voice.station(station)
    if line.kind == "rules":
        return _("the book")
    if line.kind == "task":
        return plain(line.limit)
    if line.kind == "probe":
        return plain(line.item)
    named = plain(line.name)
    own: Mapping[str, Task | Place | Station] = book.tasks if line.did == "task" else book.places
    if not named and line.item in own:
        named = plain(own[line.item].name)
    return " ".join(part for part in (named or (voice.name(line.item) if line.item else ""), line.batch) if part)


BETWEEN_KITCHENS = frozenset({"dispatched", "taken back", "received", "refused", "arrived there", "settled"})
"""Of the deliveries those from one kitchen of a group to another."""


def value(line: Recorded, voice: Voice) -> str:
    """What was read, how much it was, or what was done."""
    if line.kind == "sign-off":
        day = dated(date.fromisoformat(line.limit.partition(" ")[2]))
        return _("close of {day}, signed {initials}").format(day=day, initials=plain(line.value))
    if line.kind == "rules":
        return _("loaded, version {n}").format(n=plain(line.value))
    if line.kind == "task":
        return _("done")
    if (
        line.did in BETWEEN_KITCHENS
        or line.did == "sent back"
        or line.kind in ("correction", "place", "run", "incident", "clock")
    ):
        did = {"undo": _("undone"), "incident": _("served all the same"), "clock": _("set by hand")}
        return ": ".join(part for part in (did.get(line.did, meant("log", line.did)), plain(line.value)) if part)
    if line.amount is None:
        return meant("a pack", "open") if line.kind == "batch" else plain(recognized(line.value))
    return _amount(line, voice)


def _amount(line: Recorded, voice: Voice) -> str:
    amount = line.amount or 0
    if is_known(voice.book, line.item):
        return voice.amount(line.item, amount)
    return say_amount(Measure(UNITS[line.unit].kind, line.unit), amount, voice.book.kitchen.units)


def limit(line: Recorded, found: Record, voice: Voice) -> str:
    """What it is held to, with its figure and its section; of a batch its last moment and what set it; of a book what
    in it is looser than its code."""
    if line.kind == "sign-off":
        return ""
    if line.kind == "rules":
        book = found.loaded.get(line.value)
        looser = [*loosened_texts(Voice(book, voice.now)), *exempted(book)] if book else []
        code = plain(book.kitchen.rules.named) if book else ""
        return ": ".join(filter(None, (code, " ".join(looser) or _("nothing in it is looser than its code"))))
    if line.kind == "task":
        return ""
    if line.kind != "batch":
        return why_word(plain(line.limit))
    if line.use_by is None:
        return _("no date mark")
    return _("use by {moment} ({why})").format(
        moment=full_moment(line.use_by, voice, end=True), why=why_text(line.did, voice.book.kitchen.rules)
    )


def verdict(line: Recorded) -> str:
    if line.ok is None:
        return ""
    if line.kind == "probe" and not line.ok:
        return _("OUT OF TOLERANCE")
    if line.ok and line.found_out:
        return _("within as read, counts as not read")
    if line.ok and line.meant == "cooling":
        return _("in time")
    return _("within") if line.ok else _("OUT OF RANGE")


def entered(line: Recorded, voice: Voice) -> str:
    """When it was typed, where that was not as it happened; and from which record."""
    if line.entered is None or abs(line.entered - line.at) < SAME_MINUTE:
        return ""
    said = _("entered {moment}").format(moment=full_moment(line.entered, voice))
    return _("{entered}, from {record}").format(entered=said, record=plain(line.source)) if line.source else said


def remark(line: Recorded, voice: Voice, batches: Batches) -> str:
    """What became of it: taken back and by what replaced, and whether what was made may be used now."""
    parts = [with_probe(line, voice)]
    if line.back:
        moment = full_moment(line.back[1], voice)
        parts.append(_("undone by {who}, {moment}").format(who=plain(line.back[0]), moment=moment))
    if line.replaced_by and line.replaced_at:
        moment = full_moment(line.replaced_at, voice)
        parts.append(_("in its place {value}, {moment}").format(value=line.replaced_by, moment=moment))
    if line.in_place_of:
        parts.append(_("in place of {value}, undone").format(value=line.in_place_of))
    if of_a_batch(line, batches):
        parts.append(_stands(batches[line.batch], voice))
    return "; ".join(filter(None, parts))


def with_probe(line: Recorded, voice: Voice) -> str:
    """What it was read with, and that probe's checks on either side."""
    if not line.probe:
        return ""
    name, last, after = plain(line.probe), line.checked, line.found_out
    said = _("probe {name}, not checked before").format(name=name)
    if last:
        moment = full_moment(last.at, voice)
        said = _("probe {name}, checked {moment}: {check}").format(name=name, moment=moment, check=_check(last))
    if after:
        moment = full_moment(after.at, voice)
        said += "; " + _("found out later, {moment}: {check}").format(moment=moment, check=_check(after))
    return said


def _check(check: Check) -> str:
    said = _("{degrees} in ice water") if check.water == "ice" else _("{degrees} in boiling water")
    return said.format(degrees=check.degrees) + ("" if check.good else ", " + _("OUT OF TOLERANCE"))


def of_a_batch(line: Recorded, batches: Batches) -> bool:
    """Whether something of what a line says was made is still there."""
    return line.kind == "batch" and line.batch in batches


def _stands(batch: Batch, voice: Voice) -> str:
    found = batch.answer(max(voice.now, batch.made_at))
    if found.may:
        return ""
    why = batch.blocked if found.row == WITHHELD and batch.blocked else found.why
    return _("may not be used: {why}").format(why=plain(_(why)) or _("expired"))


def full_moment(at: datetime, voice: Voice, *, end: bool = False) -> str:
    """ "Sat 31 Oct 2026 16:30"; of an `end` at midnight the day that it ends: "Sat 31 Oct 2026, to midnight"."""
    local = voice.days.local(at)
    if end and (local.hour, local.minute) == (0, 0):
        last = local.date() - timedelta(days=1)
        return _("{day}, to midnight").format(day=f"{weekday(last)} {dated(last)}")
    return f"{weekday(local.date())} {dated(local.date())} {voice.wall(at)}"


# --- below all lines ----------------------------------------------------------------------------------------


def foot(found: Record, voice: Voice) -> list[str]:
    """On which basis it stands, what is looser and exempt, what is not checked, and whether the log is whole."""
    rules = voice.book.kitchen.rules
    faults = "; ".join(found.broken)
    whole = _("The log is unbroken from line {first}, the first of this record, to its last.").format(first=found.first)
    left_open = "; ".join(said for _section, _id, said in unshown(voice.book))
    return [
        _("Readings are held to {rules}, with its figure on each line. {caution}").format(
            rules=plain(rules.named), caution=rules.says
        ),
        *_loaded_by(found, voice),
        *loosened_texts(voice),
        *exempted(voice.book),
        *([_("Left open by the book: {what}.").format(what=left_open)] if left_open else []),
        _("Not checked here: {what}.").format(what="; ".join(_(text) for text in SILENT.values())),
        _clock(found, voice),
        _("THE LOG IS BROKEN: {faults}").format(faults=faults) if faults else whole,
        _("Seal of the log: {seal}").format(seal=found.seal),
    ]


def _loaded_by(found: Record, voice: Voice) -> list[str]:
    if found.book_of is None:
        return []
    who, at = found.book_of
    looser = bool(loosened_texts(voice) or exempted(voice.book))
    said = _("The book that counts now was loaded by {who}, {moment}.")
    if looser:
        said = _("The book that counts now, and all that is looser or exempt in it, was loaded by {who}, {moment}.")
    return [said.format(who=plain(who), moment=full_moment(at, voice))]


def _clock(found: Record, voice: Voice) -> str:
    if found.clock_set is not None:
        said = _("The clock of this file was set by hand, first on {moment}: its times are that clock's.")
        return said.format(moment=full_moment(found.clock_set, voice))
    return _("Clock set by hand.") if voice.set_by_hand else _("Clock of this machine.")
