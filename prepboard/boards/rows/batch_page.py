"""An open batch in words: until when it is good and why, what it was made from, and where it went. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from prepboard.boards.rows import temperature_rows as watched
from prepboard.book.amounts import UNITS, Measure
from prepboard.book.saying import say_amount
from prepboard.paper.lists.stations import batch_name
from prepboard.paper.sentences.reasons import why_text
from prepboard.paper.text.saying import Voice, is_known, listed, measure_of
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import Expiring
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.past.batch_story import BatchStory, Entry, Source


def batch_title(voice: Voice, ending: Expiring) -> str:
    """Name, what is left, code."""
    batch = ending.batch
    named = batch_name(batch.prep, batch.name, voice)
    return f"{named}   {voice.left(batch)}   {batch.code}"


def batch_page(
    board: Board, voice: Voice, ending: Expiring, story: BatchStory | None
) -> Iterator[tuple[str, list[str]]]:
    """Headings and their lines; without a `story` only what the board knows."""
    yield "", _good_until(voice, ending)
    yield from watched.measured(board, voice, ending.batch.code)
    if story:
        yield _("MADE FROM"), [_source(voice, source) for source in story.made_from] or [_("no other batch")]
        measure = _measure(voice, ending.batch.prep, ending.batch.unit)
        yield _("WHERE IT WENT"), [_entry(voice, measure, entry) for entry in story.entries]
    rules = board.state.book.kitchen.rules
    yield _("BASIS"), [_("Reckoned by {rules}. {caution}").format(rules=rules.named, caution=rules.says)]


def _good_until(voice: Voice, ending: Expiring) -> list[str]:
    batch = ending.batch
    reason = why_text(batch.why, voice.book.kitchen.rules)
    lines = [
        listed((voice.good(batch.use_by), reason)),
        _("made {time} by {who}").format(time=voice.time(batch.made_at), who=batch.by),
    ]
    place = voice.book.places.get(batch.place)
    lines.append(_("kept in {place}").format(place=place.name if place else batch.place))
    if batch.use_by is not None and batch.use_by <= voice.now:
        lines.append(_("bin it"))
    elif ending.use_first:
        lines.append(_("use it first"))
    if fresh := voice.plates_to(batch):
        lines.append(fresh)
    if batch.to_relabel:
        lines.append(voice.relabel(batch))
    if since := batch.not_shown(voice.now):
        said = _("cooling not shown since {time}: a sous chef lets it count on at the close")
        lines.append(said.format(time=voice.time(since)))
    if batch.blocked:
        lines.append(_("do not use: {why}").format(why=_(batch.blocked)))
    return lines


def _measure(voice: Voice, prep: str, unit: str) -> Measure:
    if unit and not is_known(voice.book, prep):
        return Measure(UNITS[unit].kind, unit)
    return measure_of(voice.book, prep)


def _said(voice: Voice, measure: Measure, amount: int) -> str:
    return say_amount(measure, amount, voice.book.kitchen.units)


def _source(voice: Voice, source: Source) -> str:
    named = source.name or voice.name(source.prep)
    return f"{_said(voice, _measure(voice, source.prep, source.unit), source.amount)}  {named}  {source.batch}"


def _entry(voice: Voice, measure: Measure, entry: Entry) -> str:
    amount = _said(voice, measure, abs(entry.amount))
    place = voice.book.places.get(entry.why)
    if entry.kind == "counted":
        said = _("{amount} less, counted") if entry.amount < 0 else _("{amount}, counted")
    else:
        said = {
            "made": _("{amount} made"),
            "used": _("{amount} into {into}"),
            "plated": _("{amount} onto plates, {into}"),
            "gone": _("{amount} gone: {why}"),
            "discarded": _("{amount} thrown away: {why}"),
            "opened": _("opened"),
            "moved": _("into {place}"),
            "frozen": _("frozen, in {place}"),
            "thawed": _("thawed, in {place}"),
            "split": _("{amount} apart, {why}") if entry.amount < 0 else _("{amount}, a part of {why}"),
            "sent": _("{amount} to another kitchen, note {why}"),
            "received": _("{amount} from another kitchen"),
            "undone": _("{amount} put right: a change was undone"),
        }.get(entry.kind, "{amount} " + entry.kind)
    into = voice.name(entry.into) if entry.into else ""
    text = said.format(amount=amount, into=into, why=entry.why, place=place.name if place else entry.why)
    return f"{voice.time(entry.at)}  {text}  {entry.by}".rstrip()
