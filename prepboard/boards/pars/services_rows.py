"""From two boards to the sittings that a sous chef sets numbers for. Pure."""

from __future__ import annotations

from datetime import timedelta

from prepboard.boards.pars.rows import Table
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.columns import Cell, Column, ColumnRow
from prepboard.paper.text.nights import nights_brief, runs_out
from prepboard.paper.text.saying import listed, near_day
from prepboard.plan.board import Board
from prepboard.plan.changing.drafts import Draft
from prepboard.plan.given.guests import about_guests
from prepboard.plan.given.numbers import Number
from prepboard.plan.given.state import Sitting
from prepboard.plan.shown.lines import SittingLine
from prepboard.texts import _, some


def sitting_key(sitting: Sitting) -> str:
    return f"{sitting[0]}.{sitting[1].isoformat()}"


def sittings_of(before: Board, preview: Board) -> list[Sitting]:
    """What a sous chef can choose: the sittings ahead by time, those cancelled for these days, then the days on which
    only standing pars are needed."""
    lines = {
        (line.service, line.day): line.starts for line in (*before.sittings, *preview.sittings) if not line.last_plates
    }
    days, kitchen = voice_of(preview).days, before.state.book.kitchen
    today = days.business_day(before.now)
    last = max([days.business_day(before.now + timedelta(minutes=kitchen.plan_ahead)), *(day for _id, day in lines)])
    off = [
        sitting
        for sitting, tonight in before.state.tonight.items()
        if tonight.cancelled and today <= sitting[1] <= last and sitting[0] in before.state.book.services
    ]
    alone = dict.fromkeys((par.service, par.day) for par in preview.pars if not par.service)
    held = sorted(lines, key=lambda sitting: lines[sitting])
    return [*held, *(sitting for sitting in off if sitting not in lines), *alone]


def services(before: Board, preview: Board, draft: Draft) -> Table:
    """The sittings ahead, with what is set for them."""
    columns = (
        Column(_("service")),
        Column(_("covers"), right=True),
        Column(_("was"), right=True),
        Column(_("starts"), gives=3),
        Column(_("how often"), gives=2),
        Column(_("set for it"), gives=1),
    )
    lines = {(line.service, line.day): line for line in preview.sittings}
    rows = [
        _service_row(before, preview, draft, sitting, lines.get(sitting)) for sitting in sittings_of(before, preview)
    ]
    return columns, tuple(rows)


def _service_row(before: Board, preview: Board, draft: Draft, sitting: Sitting, line: SittingLine | None) -> ColumnRow:
    voice, key = voice_of(preview), sitting_key(sitting)
    if line is None:
        name = _("{day}, no service").format(day=near_day(voice.days, sitting[1], voice.now))
        state = ""
        if sitting[0]:
            name, state = voice.service(*sitting), _("cancelled")
        if Number("cancelled", sitting) in draft:
            state = f"[ {state} ]"
        cells = (Cell(name, tone="dim"), *(Cell() for _column in range(4)), Cell(state, tone="strong"))
        return ColumnRow(key, what=name, words=state, cells=cells)
    name = voice.service(*sitting)
    change = draft.get(Number("covers", sitting))
    covers = f"[ {line.covers} ]" if change else f"{line.covers}  "
    was = ""
    if change:
        old = next((one for one in before.sittings if (one.service, one.day) == sitting), None)
        was = str(old.covers) if old else ""
    stand = runs_out(line.chance_all_stand)
    done = _set_for(preview, draft, sitting, line)
    starts = voice.wall(line.starts)
    return ColumnRow(
        key,
        when=starts,
        what=name,
        amount=_("{n} covers").format(n=covers.strip()),
        words=listed((_("was {n}").format(n=was) if was else "", stand)),
        extra=done,
        cells=(
            Cell(name),
            Cell(covers, tone="strong" if change else "plain"),
            Cell(was),
            Cell(starts),
            Cell(stand, nights_brief(line.chance_all_stand)),
            Cell(done, tone="dim"),
        ),
        number=Number("covers", sitting),
    )


def _set_for(preview: Board, draft: Draft, sitting: Sitting, line: SittingLine) -> str:
    """What is set by hand for a sitting, typed or saved."""
    parts = [_("{n} booked").format(n=line.booked)] if line.covers != line.booked else []
    about = [guests for note in preview.notes if note.done_at is None and (guests := about_guests(note.whom))]
    notes = sum(guests.sitting == sitting for guests in about)
    if notes:
        parts.append(some("{n} note", "{n} notes", notes))
    tonight = preview.state.tonight.get(sitting)
    if tonight is None:
        return listed(parts)
    if tonight.percent:
        typed = Number("percent", sitting) in draft
        said = _("all pars {percent:+d} %").format(percent=tonight.percent)
        parts.append(f"[ {said} ]" if typed else said)
    if tonight.shares:
        parts.append(_("mix by hand"))
    if tonight.counts:
        parts.append(some("{n} count", "{n} counts", len(tonight.counts)))
    if tonight.pars:
        parts.append(some("{n} par by hand", "{n} pars by hand", len(tonight.pars)))
    if tonight.off:
        parts.append(
            _("86: {dishes}").format(dishes=listed(sorted(voice_of(preview).name(dish) for dish in tonight.off)))
        )
    return listed(parts)
