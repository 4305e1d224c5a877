"""IF YOU SAVE: what the numbers typed would cost, in a few lines. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from prepboard.boards.pars.rows import amount_about
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Piece, Tone, filled, fit
from prepboard.book.saying import say_duration
from prepboard.paper.text.layout import wrap
from prepboard.paper.text.nights import runs_out
from prepboard.paper.text.notes import note_text
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.changing.difference import Difference
from prepboard.plan.given.state import Sitting
from prepboard.texts import _, some

NAMED = 2
"""So many lines, preps and stations are named; of more it is said how many."""

Line = tuple[str, Tone]


def if_you_save(board: Board, cost: Difference, sitting: Sitting | None) -> list[Line]:
    """What would change, the weightiest first; `board` is the one as it would be."""
    voice = voice_of(board)
    lines: list[Line] = [(_make(cost), "plain"), (_later(voice, cost), "late"), (_work(voice, cost), "plain")]
    lines[2:2] = [(_troubles(voice, cost), "plain"), (_over(voice, cost), "plain"), (_earlier(voice, cost), "plain")]
    lines += [(_left(voice, cost), "plain"), (_stand(cost, sitting), "plain"), (_in_time(voice, cost), "plain")]
    said = [line for line in lines if line[0]]
    return said or [(_("The plan stays as it is."), "plain")]


def _make(cost: Difference) -> str:
    more, sizes = len(cost.more) - len(cost.fewer), len(cost.larger) + len(cost.smaller)
    said = some("{n} more to make", "{n} more to make", more) if more > 0 else ""
    if more < 0:
        said = some("{n} fewer to make", "{n} fewer to make", -more)
    return listed((said, some("{n} of another size", "{n} of another size", sizes) if sizes else ""))


def _work(voice: Voice, cost: Difference) -> str:
    if not cost.work:
        return ""
    total = _more_or_less(cost.work_minutes) if cost.work_minutes else _("as much work in all")
    by_size = sorted(cost.work.items(), key=lambda item: -abs(item[1]))
    stations = [
        _("{station} {minutes}").format(station=voice.station(station), minutes=_signed(minutes))
        for station, minutes in by_size
    ]
    return f"{total}: {_some_of(stations)}"


def _troubles(voice: Voice, cost: Difference) -> str:
    said = [f"{voice.name(one.line.prep)}: {note_text(one.note, voice)}" for one in cost.troubles]
    return _some_of(said, "; ")


def _earlier(voice: Voice, cost: Difference) -> str:
    if not cost.earlier:
        return ""
    first = cost.earlier[0]
    said = some("{n} to start earlier", "{n} to start earlier", len(cost.earlier))
    when = voice.time(first.begins)
    return _("{said}, the first {prep} by {time}").format(said=said, prep=voice.name(first.prep), time=when)


def _over(voice: Voice, cost: Difference) -> str:
    said = [
        _("{station} {time} of work over its hands").format(
            station=voice.station(work.station), time=say_duration(work.over_minutes)
        )
        for work in cost.over
    ]
    return _some_of(said)


def _more_or_less(minutes: int) -> str:
    said = _("{time} more work") if minutes > 0 else _("{time} less work")
    return said.format(time=say_duration(abs(minutes)))


def _signed(minutes: int) -> str:
    return f"{'+' if minutes > 0 else '−'}{say_duration(abs(minutes))}"


def _later(voice: Voice, cost: Difference) -> str:
    said = [
        _("{prep} {late} ({station})").format(
            prep=voice.name(one.line.prep),
            late=voice.begins(one.line),
            station=voice.station(one.line.station),
        )
        for one in cost.later
    ]
    return _some_of(said)


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
    """Lines beside a heading, wrapped; where there are more than `most` they run on, and then end in dots."""
    margin = cell_len(heading) + 4 if width >= 60 else 3
    drawn = _drawn(lines, width, margin)
    if len(drawn) + (margin == 3) > most:
        drawn, room = _drawn(_run_on(lines), width, margin), most - (margin == 3)
        if len(drawn) > room:
            text, tone = drawn[room - 1]
            drawn = [*drawn[: room - 1], (fit(f"{text} …", width - margin - 1).rstrip(), tone)]
    if margin == 3:
        return [
            filled([(f" {heading}", "strong")], width),
            *(filled([("   ", "plain"), piece], width) for piece in drawn),
        ]
    first = [(f" {heading}   ", "strong"), *drawn[:1]]
    return [filled(first, width), *(filled([(" " * margin, "plain"), piece], width) for piece in drawn[1:])]


def _run_on(lines: Sequence[Line]) -> list[Line]:
    """What is late, and what two typed, stays by itself, and first; all else runs on."""
    first = [line for line in lines if line[1] != "plain"]
    rest = "; ".join(text for text, tone in lines if tone == "plain")
    return [*first, (rest, "plain")] if rest else first


def _drawn(lines: Sequence[Line], width: int, margin: int) -> list[Piece]:
    return [(part, tone) for text, tone in lines for part in wrap(text, width - margin - 1)]
