"""IF YOU SAVE: what the numbers typed would change, as a list, the worst first. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from prepboard.boards.pars.rows import amount_about
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Piece, Tone, filled, fit
from prepboard.book.saying import say_duration
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.layout import wrap
from prepboard.paper.text.nights import runs_out
from prepboard.paper.text.saying import Voice
from prepboard.plan.board import Board
from prepboard.plan.changing.difference import Difference, Later, difference
from prepboard.plan.changing.hurts import Hurt, Inside, hurts, insides
from prepboard.plan.given.state import Sitting
from prepboard.plan.shown.lines import MakeLine, StationWork, UnderWay
from prepboard.texts import _, some

NAMED = 3
"""So many lines, preps and stations are named; of more it is said how many."""

Line = tuple[str, Tone]


def if_you_save(before: Board, board: Board, sitting: Sitting | None) -> list[Line]:
    """What would change, one thing a line, the worst first: guests who are hurt, what is in an oven that fails, benches
    that cannot do it, what else is late; then what is more to make, and what is left over. `board` is the one as it
    would be, `before` as it is."""
    return [line for line, _opens in to_open(before, board, sitting)]


def to_open(before: Board, board: Board, sitting: Sitting | None) -> list[tuple[Line, MakeLine | UnderWay | None]]:
    """The same with what each line is about, of `board`; None of what is about several or about none."""
    voice, cost = voice_of(board), difference(before, board)
    found = hurts(cost, board)
    hurt = {str(one.line.line) for one in found}
    made = next(iter((*cost.more, *cost.larger, *cost.smaller)), None)
    lines: list[tuple[str, Tone, MakeLine | UnderWay | None]] = [(_hurt(voice, one), "late", one.line) for one in found]
    lines += [(_inside(voice, board, one), "late", one.run) for one in insides(before, board)]
    lines += [(_short_handed(voice, work), "strong", None) for work in cost.over]
    lines += [(_late(voice, one), "late", one.line) for one in cost.later if str(one.line.line) not in hurt]
    lines += [
        (f"{voice.name(one.line.prep)}: {note_text(one.note, voice)}", "plain", one.line) for one in cost.troubles
    ]
    lines += [
        (_make(voice, cost), "plain", made),
        (_work(voice, board, cost), "plain", None),
        (_earlier(voice, cost), "plain", next(iter(cost.earlier), None)),
        (_left(voice, cost), "plain", None),
        (_stand(cost, sitting), "plain", None),
        (_in_time(voice, cost), "plain", next(iter(cost.in_time), None)),
    ]
    said = {(text, tone): opens for text, tone, opens in reversed(lines) if text}
    ordered = [(line, said[line]) for line in dict.fromkeys((text, tone) for text, tone, _opens in lines if text)]
    return ordered or [((_("The plan stays as it is."), "plain"), None)]


def _hurt(voice: Voice, one: Hurt) -> str:
    """ "Dinner: no Milk rolls after 31; 45 guests"."""
    said = _("{service}: no {prep} after {there}, more {time}; {guests}")
    if one.ready is None:
        said = _("{service}: no {prep} after {there}; {guests}") if one.there else _("{service}: no {prep}; {guests}")
    elif not one.there:
        said = _("{service}: no {prep} before {time}; {guests}")
    return said.format(
        service=voice.service(*one.sitting),
        prep=voice.name(one.line.prep),
        there=one.there,
        time=voice.time(one.ready) if one.ready else "",
        guests=some("{n} guest", "{n} guests", one.guests),
    )


def _inside(voice: Voice, board: Board, one: Inside) -> str:
    said = _("{prep} ({run}) is in the {equipment} to {time}: it needs another place")
    return said.format(
        prep=voice.name(one.run.prep),
        run=one.run.run,
        equipment=board.state.book.equipment[one.equipment].name,
        time=voice.time(one.until),
    )


def _short_handed(voice: Voice, work: StationWork) -> str:
    said = _("{station}: needs {time} of help before {until}")
    return said.format(
        station=voice.station(work.station), time=say_duration(work.over_minutes), until=voice.time(work.before)
    )


def _late(voice: Voice, one: Later) -> str:
    said = _("{prep}: ready {ready}, {late} late ({station})")
    if one.before:
        said = _("{prep}: ready {ready}, {late} late, now {before} ({station})")
    return said.format(
        prep=voice.name(one.line.prep),
        ready=voice.time(one.line.ready_at),
        late=say_duration(one.line.late_minutes),
        before=say_duration(one.before),
        station=voice.station(one.line.station),
    )


def _make(voice: Voice, cost: Difference) -> str:
    more, fewer = (_some_of([voice.name(line.prep) for line in lines]) for lines in (cost.more, cost.fewer))
    sizes = len(cost.larger) + len(cost.smaller)
    return "; ".join(
        filter(
            None,
            (
                _("more to make: {preps}").format(preps=more) if more else "",
                _("not to make: {preps}").format(preps=fewer) if fewer else "",
                some("{n} of another size", "{n} of another size", sizes) if sizes else "",
            ),
        )
    )


def _work(voice: Voice, board: Board, cost: Difference) -> str:
    """How much more work that is, for which benches, and as far as which service the plan looks."""
    if not cost.work:
        return ""
    total = _more_or_less(cost.work_minutes) if cost.work_minutes else _("as much work in all")
    by_size = sorted(cost.work.items(), key=lambda item: -abs(item[1]))
    stations = [
        _("{station} {minutes}").format(station=voice.station(station), minutes=_signed(minutes))
        for station, minutes in by_size
    ]
    last = max(board.sittings, key=lambda one: one.ends, default=None)
    until = _(" until {service}").format(service=voice.service(last.service, last.day)) if last else ""
    return f"{total}{until}: {_some_of(stations)}"


def _earlier(voice: Voice, cost: Difference) -> str:
    if not cost.earlier:
        return ""
    first = cost.earlier[0]
    said = some("{n} to start earlier", "{n} to start earlier", len(cost.earlier))
    when = voice.time(first.begins)
    return _("{said}, the first {prep} by {time}").format(said=said, prep=voice.name(first.prep), time=when)


def _more_or_less(minutes: int) -> str:
    said = _("{time} more work") if minutes > 0 else _("{time} less work")
    return said.format(time=say_duration(abs(minutes)))


def _signed(minutes: int) -> str:
    return f"{'+' if minutes > 0 else '−'}{say_duration(abs(minutes))}"


def _in_time(voice: Voice, cost: Difference) -> str:
    names = [voice.name(line.prep) for line in cost.in_time]
    return _("late no more: {preps}").format(preps=_some_of(names)) if names else ""


def _left(voice: Voice, cost: Difference) -> str:
    said = [
        _("{amount} {prep}, {good}").format(
            amount=amount_about(voice, left.prep, left.amount),
            prep=voice.name(left.prep),
            good=voice.good(left.good_until),
        )
        for left in cost.left_over
    ]
    return _("more left over: {food}").format(food=_some_of(said, "; ")) if said else ""


def _stand(cost: Difference, sitting: Sitting | None) -> str:
    chance = next((one for one in cost.chances if one.sitting == sitting), None)
    if chance is None or chance.after is None:
        return ""
    before, after = runs_out(chance.before), runs_out(chance.after)
    if before == after:
        return ""
    return _("{after}; now {before}").format(after=after, before=before) if before else after


def _some_of(said: Sequence[str], between: str = ", ") -> str:
    rest = len(said) - NAMED
    more = [_("{n} more").format(n=rest)] if rest > 0 else []
    return between.join([*said[:NAMED], *more])


def under_heading(heading: str, lines: Sequence[Line], width: int, most: int) -> list[list[Piece]]:
    """A list beside a heading; where it is longer than `most` lines the last one says how much more there is."""
    margin = cell_len(heading) + 4 if width >= 60 else 3
    room = most - (margin == 3)
    drawn = _drawn(lines, width, margin, room)
    if margin == 3:
        return [
            filled([(f" {heading}", "strong")], width),
            *(filled([("   ", "plain"), piece], width) for piece in drawn),
        ]
    first = [(f" {heading}   ", "strong"), *drawn[:1]]
    return [filled(first, width), *(filled([(" " * margin, "plain"), piece], width) for piece in drawn[1:])]


def _drawn(lines: Sequence[Line], width: int, margin: int, room: int) -> list[Piece]:
    """Each thing wrapped where all have room, else on one line each, and of the rest how many they are."""
    cells = width - margin - 1
    whole = [(part, tone) for text, tone in lines for part in wrap(text, cells)]
    if len(whole) <= room:
        return whole
    short = [(fit(text, cells).rstrip(), tone) for text, tone in lines]
    if len(short) <= room:
        return short
    rest: Piece = (_("… {n} more: v shows all").format(n=len(short) - room + 1), "plain")
    return [*short[: room - 1], rest]
