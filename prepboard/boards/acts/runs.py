"""What the keys of a station do with runs and plates: what is asked, and which action of the store follows.

Each takes the line as it was shown when the key was pressed; the store checks again whether it still stands so.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.book.safety.life import is_hot
from prepboard.paper.text.saying import listed, measure_of
from prepboard.plan.board import Board
from prepboard.plan.probes.unread import asks_for_reading
from prepboard.plan.shown.lines import MakeLine, UnderWay
from prepboard.texts import _, some

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.store.file.who import Did
    from prepboard.store.food.running import Shown


def shown(run: UnderWay) -> Shown:
    """How far a run is on the screen: whoever acts on it acts on that."""
    from prepboard.store.food.running import Shown

    return Shown(run.step, dict(run.outputs))


async def start(desk: Desk, line: MakeLine | UnderWay, at: datetime | None = None) -> Did | None:
    """Starts a line, back-dated to `at` if that is given; what is under way goes on to its next step."""
    from prepboard.store.actions.food import making

    who = await desk.who()
    if who is None or not await desk.meant():
        return None
    if isinstance(line, UnderWay):
        return await desk.carry_out(partial(making.step, desk.file, who, line.run, shown=shown(line), at=at))
    return await desk.carry_out(partial(making.start, desk.file, who, line.prep, line.size, line.line, at=at))


async def began(desk: Desk, board: Board, line: MakeLine | UnderWay) -> Did | None:
    """Starts a line as of a moment that has been."""
    from prepboard.boards.questions.when import AskWhen

    voice = voice_of(board)
    title = (
        _("{prep}: when did it start?") if isinstance(line, MakeLine) else _("{prep}: when did the next step begin?")
    )
    asked = AskWhen(title.format(prep=voice.name(line.prep)), voice.days, desk.file.clock.now())
    at = await desk.app.push_screen_wait(asked)
    return await start(desk, line, at) if at else None


async def done(desk: Desk, board: Board, line: MakeLine | UnderWay) -> Did | None:
    """Marks a line done; one that was not started is started and done in one."""
    from prepboard.store.actions.food import making

    who = await desk.who()
    if who is None:
        return None
    outputs = await real_outputs(desk, board, line)
    if outputs is None:
        return None
    if isinstance(line, UnderWay):
        write = partial(making.done, desk.file, who, run=line.run, outputs=outputs or None, shown=shown(line))
    else:
        off_heat = await _off_the_heat(desk, board, line)
        if off_heat is None:
            return None
        new = partial(making.done, desk.file, who, prep=line.prep, size=line.size, line=line.line)
        write = partial(new, outputs=outputs or None, how=making.How(off_heat=off_heat[0] if off_heat else None))
    return await _ended(desk, board, await desk.carry_out(write))


async def _off_the_heat(desk: Desk, board: Board, line: MakeLine) -> tuple[datetime] | tuple[()] | None:
    """When food that cools and that nobody saw start came off the heat; nothing where nobody knows, None where the
    question was left."""
    from prepboard.boards.questions.pad import DIGITS
    from prepboard.boards.questions.typed import AskTyped
    from prepboard.book.moments import read_past

    book = board.state.book
    prep, rules = book.preps[line.prep], book.kitchen.rules
    if not asks_for_reading(book, line.prep) or not any(is_hot(step, rules) for step in prep.steps):
        return ()
    voice, now = voice_of(board), desk.file.clock.now()
    title = _("{prep}: off the heat at?").format(prep=voice.name(line.prep))
    notes = [
        _("A time such as {clock}, or minutes ago: 20.").format(clock=f"{voice.days.local(now):%H:%M}"),
        _("Enter alone: nobody knows. Then no reading shows that it cooled in time."),
    ]
    read = partial(read_past, voice.days, now)
    asked = AskTyped(title, lambda text: (read(text),) if text else (), notes=notes, signs=DIGITS, longest=12)
    return await desk.app.push_screen_wait(asked)


async def _ended(desk: Desk, board: Board, did: Did | None) -> Did | None:
    """What cools is asked for its reading; then which key shows the labels is said."""
    from prepboard.boards.acts.readings import as_done

    await as_done(desk, board, did)
    return _offering_label(desk, did)


def _offering_label(desk: Desk, did: Did | None) -> Did | None:
    """Says which key shows the labels of what was made."""
    if did and did.batches:
        desk.made = did.batches
        desk.tell(_("{did}   l: label").format(did=did.text))
    return did


async def part_ready(desk: Desk, board: Board, run: UnderWay) -> Did | None:
    """A part of a run is there, and the run goes on; the part is a batch of its own."""
    from prepboard.boards.questions.amount import AskAmount
    from prepboard.store.actions.food import making

    who = await desk.who()
    if who is None:
        return None
    gave: dict[str, int] = {}
    planned, voice = {run.prep: run.amount, **run.outputs}, voice_of(board)
    for item, amount in planned.items():
        title = _("{prep}: how much is ready? The rest goes on.").format(prep=voice.name(item))
        share = round(amount * gave[run.prep] / run.amount) if gave and run.amount else 0
        offered = voice.amount(item, share) if share else ""
        why = _("Enter: {planned}, in proportion.")
        asked = AskAmount(title, offered, measure_of(board.state.book, item), why_planned=why)
        answer = await desk.app.push_screen_wait(asked)
        if answer is None:
            return None
        gave[item] = share if answer.amount is None else answer.amount
    how = making.How(more=True)
    write = partial(making.done, desk.file, who, run=run.run, outputs=gave, how=how, shown=shown(run))
    return await _ended(desk, board, await desk.carry_out(write))


async def done_onto(desk: Desk, board: Board, run: UnderWay) -> Did | None:
    """A run is done and tops up a batch that is there; the earliest dates count for all of it."""
    from prepboard.boards.questions.which import AskWhich
    from prepboard.store.actions.food import making

    who = await desk.who()
    if who is None:
        return None
    voice, given = voice_of(board), {run.prep, *run.outputs}
    there = [
        batch
        for batch in board.state.batches
        if batch.prep in given and not batch.blocked and (batch.use_by is None or batch.use_by > board.now)
    ]
    # Its earlier dates count for all: the fewest days are lost on the newest.
    there.sort(key=lambda batch: (batch.use_by is None, batch.use_by or batch.made_at, batch.made_at), reverse=True)
    rows = [
        Row(
            batch.code,
            what=voice.name(batch.prep),
            amount=voice.left(batch),
            words=f"{batch.code}  {voice.good_to(batch.use_by)}",
        )
        for batch in there
    ]
    title = _("{prep}: onto which batch? Its earlier dates count for all.").format(prep=voice.name(run.prep))
    onto = await desk.app.push_screen_wait(AskWhich(title, rows, empty=_("There is no batch to put it onto.")))
    outputs = await real_outputs(desk, board, run) if onto else None
    if onto is None or outputs is None:
        return None
    how = making.How(onto=onto)
    write = partial(making.done, desk.file, who, run=run.run, outputs=outputs or None, how=how, shown=shown(run))
    return await _ended(desk, board, await desk.carry_out(write))


async def real_outputs(desk: Desk, board: Board, line: MakeLine | UnderWay) -> dict[str, int] | None:
    """Asks once for what came of a run; empty for "all as planned", None for escape.

    What is made together comes in proportion to the first, unless its amount is typed behind it: "12; 300".
    """
    from prepboard.boards.questions.amount import AskAmount

    voice = voice_of(board)
    planned = {line.prep: line.amount, **line.outputs}
    others = {item: amount for item, amount in planned.items() if item != line.prep}
    notes = [_("Nobody pressed start; done starts it too.")] if isinstance(line, MakeLine) else []
    if others:
        named = listed(f"{voice.name(item)} {voice.amount(item, amount)}" for item, amount in others.items())
        notes.append(_("From the same pot, in proportion: {others}; or typed behind it: 12; 300.").format(others=named))
    asked = AskAmount(
        _("{prep}: how much is there?").format(prep=voice.name(line.prep)),
        voice.amount(line.prep, line.amount),
        measure_of(board.state.book, line.prep),
        notes,
        beside={item: measure_of(board.state.book, item) for item in others},
    )
    answer = await desk.app.push_screen_wait(asked)
    if answer is None or (answer.amount is None and not answer.beside):
        return None if answer is None else {}
    first = line.amount if answer.amount is None else answer.amount
    share = first / line.amount if line.amount else 1.0
    in_proportion = {item: round(amount * share) for item, amount in others.items()}
    return {line.prep: first, **in_proportion, **answer.beside}


async def done_together(desk: Desk, board: Board, lines: Sequence[MakeLine | UnderWay]) -> Did | None:
    """Marks several lines done at once, each with what was planned."""
    from prepboard.boards.questions.sure import AskAll
    from prepboard.store.actions.food.several import Ended, done_together

    who = await desk.who()
    if who is None:
        return None
    voice = voice_of(board)
    said = [f"{voice.name(line.prep)}   {voice.amount(line.prep, line.amount)}" for line in lines]
    title = some("Is this done, as planned?", "Are these {n} done, each as planned?", len(lines))
    if not await desk.app.push_screen_wait(AskAll(title, said)):
        return None
    ended = [
        Ended(run=line.run, shown=shown(line))
        if isinstance(line, UnderWay)
        else Ended(prep=line.prep, size=line.size, line=line.line)
        for line in lines
    ]
    return await desk.carry_out(partial(done_together, desk.file, who, ended))


async def undo(desk: Desk) -> Did | None:
    """Says what this person's own last change was, and takes it back."""
    from prepboard.boards.questions.sure import AskTakeBack
    from prepboard.store.actions import undoing
    from prepboard.store.file.faults import StoreFault

    who = await desk.who()
    if who is None:
        return None
    try:
        change = undoing.last(desk.file, who)
    except StoreFault as fault:
        desk.tell(str(fault))
        return None
    if change is None:
        desk.tell(_("You have changed nothing that could be undone."))
        return None
    if not await desk.app.push_screen_wait(AskTakeBack(change.text)):
        return None
    return await desk.carry_out(partial(undoing.undo, desk.file, who, change.action))
