"""An open line in words: the recipe scaled to this run, step by step, and why this much. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import TYPE_CHECKING

from prepboard.boards.rows import bring_rows, handover_rows
from prepboard.boards.rows import temperature_rows as watched
from prepboard.boards.rows.batch_page import batch_page, batch_title
from prepboard.boards.rows.due_rows import timer_row
from prepboard.boards.rows.find import Shown
from prepboard.boards.rows.lists import serves, voice_of
from prepboard.boards.rows.recipe_page import Block, recipe_blocks
from prepboard.book.saying import say_size
from prepboard.paper.lists.pars import percent
from prepboard.paper.lists.recipe import maker
from prepboard.paper.lists.use_first import outlet_text
from prepboard.paper.sentences.basis import basis, covered, said_beside, why
from prepboard.paper.sentences.contains import allergen_list, in_dish, unlisted
from prepboard.paper.sentences.left import in_words, left_words, others_words
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.sentences.waiting import due_words, if_started_now, waits_for_words
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.given.state import HandOver, Timer
from prepboard.plan.probes.watching import Flag
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import Bring, Expiring, Left, LeftPrep, MakeLine, ParLine, UnderWay
from prepboard.texts import _, told

if TYPE_CHECKING:
    from prepboard.store.past.batch_story import BatchStory

WORTH_SAYING = timedelta(minutes=5)
"""How much earlier than its start-by a run must be able to start for that to be worth a line."""


def detail(board: Board, shown: Shown, story: BatchStory | None = None) -> tuple[str, list[Block]]:
    """The title of an open line, and what stands below it; of a batch also where it came from and went."""
    voice = voice_of(board)
    if isinstance(shown, MakeLine):
        title = f"{voice.name(shown.prep)}   {voice.amount(shown.prep, shown.amount)}   {say_size(shown.size)}"
        return title, [block for block in _make(board, voice, shown) if block[1]]
    if isinstance(shown, UnderWay):
        title = f"{voice.name(shown.prep)}   {voice.amount(shown.prep, shown.amount)}   {say_size(shown.size)}"
        return title, [block for block in _run(board, voice, shown) if block[1]]
    if isinstance(shown, Expiring):
        first, *rest = batch_page(board, voice, shown, story)
        blocks = [first, (_("USE IT FIRST"), list(_outlets(board, voice, shown))), *rest]
        return batch_title(voice, shown), [block for block in blocks if block[1]]
    if isinstance(shown, Flag):
        return watched.flagged(board, voice, shown)
    if isinstance(shown, HandOver):
        return handover_rows.note_page(board, voice, shown)
    if isinstance(shown, TaskLine):
        return handover_rows.task_page(voice, shown)
    if isinstance(shown, Bring):
        return bring_rows.bring_page(board, voice, shown)
    if isinstance(shown, Timer):
        row = timer_row(voice, shown)
        return row.what, [("", [f"{row.words}, {row.when}", _("s or d stops it")])]
    title = f"{voice.name(shown.dish)}   {shown.plates_left}"
    return title, [block for block in _left(board, voice, shown) if block[1]]


# --- a line to make --------------------------------------------------------------------------------------


def _make(board: Board, voice: Voice, line: MakeLine) -> Iterator[Block]:
    start, ready = voice.time(line.begins), voice.time(line.ready_by)
    if line.late_minutes:
        said = _("begins {start}, ready {at}: {late}; needed by {ready}")
        times = [said.format(start=start, at=voice.time(line.ready_at), late=voice.begins(line), ready=ready)]
        times.append(_("if started now: {ready}").format(ready=if_started_now(line, voice)))
        times += [waits_for_words(line.waits_for, voice)] if line.waits_for else []
    else:
        said = _("start by {start} ({urgency}), ready by {ready}")
        times = [said.format(start=start, urgency=voice.urgency(line.begins), ready=ready)]
    if line.due_at:
        times.insert(0, due_words(line, voice))
    if not line.late_minutes and line.begins - line.can_start_from >= WORTH_SAYING:
        times.append(_("can start from {time}").format(time=voice.time(line.can_start_from)))
    if line.use_by:
        rules = board.state.book.kitchen.rules.named
        times.append(_("once made, {good}, by {rules}").format(good=voice.good(line.use_by), rules=rules))
    yield "", times
    yield _("WHY THIS MUCH"), list(why_this_much(board, line))
    yield _("WATCH"), [note_text(note, voice) for note in line.notes]
    recipe = maker(board.state.book, line.prep)
    if recipe:
        placed = {step.step: step.begins for step in line.steps}
        yield from recipe_blocks(board, voice, recipe, line.size, placed, now_at=None)


def why_this_much(board: Board, line: MakeLine) -> Iterator[str]:
    """Par, what it rests on, what is there, what is missing, and what covers it."""
    voice = voice_of(board)

    def much(amount: int) -> str:
        return voice.amount(line.prep, amount)

    needed = serves(voice, line)
    covers = _("{size} covers it, {amount}") if line.size <= 1 else _("{size} cover it, {amount}")
    earlier = _("; of earlier runs {amount}").format(amount=much(line.left_over)) if line.left_over else ""
    there = _("on hand {on_hand}; under way {under_way}{earlier}; short {short}; {covered}").format(
        on_hand=much(line.on_hand),
        under_way=much(line.under_way),
        earlier=earlier,
        short=much(line.short),
        covered=covers.format(size=say_size(line.size), amount=much(line.amount)),
    )
    if line.par is not None:
        par = next((par for par in board.pars if _is_par_of(par, line)), None)
        yield _par(par, voice, line)
        yield from _said_of(par, voice) if par else ()
    yield there
    for use in line.serves:
        named = voice.service(use.service, use.day) if use.service else voice.name(use.run_of or "")
        if len(line.serves) > 1 or use.run_of:
            yield _("{amount} for {what}").format(amount=much(use.amount), what=named)
    if needed and len(line.serves) == 1 and not line.serves[0].run_of:
        yield _("all of it for {what}").format(what=needed)


def _par(par: ParLine | None, voice: Voice, line: MakeLine) -> str:
    said = _("par {amount}").format(amount=voice.amount(line.prep, line.par or 0))
    if par is None:
        return said
    if par.covers:
        said += " " + _("for {n} covers").format(n=par.covers)
    return f"{said} ({listed((*basis(par), percent(par.chance)))})"


def _said_of(par: ParLine, voice: Voice) -> Iterator[str]:
    """How far the promises of the dishes that take it were kept, and what is to be known beside the par."""
    for sales in par.dishes:
        if sales.expected is not None and par.stage:
            yield why(sales, voice, par.day)
            yield listed((voice.name(sales.dish), covered(sales)))
    yield from said_beside([par], voice)


def _is_par_of(par: ParLine, line: MakeLine) -> bool:
    return par.prep == line.prep and line.line.need == f"{par.service or 'open'}.{par.day}"


# --- a run under way -------------------------------------------------------------------------------------


def _run(board: Board, voice: Voice, run: UnderWay) -> Iterator[Block]:
    started = _("started {time} by {who}; ready {ready}").format(
        time=voice.time(run.started), who=run.by, ready=voice.time(run.ready_at)
    )
    next_thing = run.next or _("mark it done")
    yield "", [started, _("next, {time}: {step}").format(time=voice.time(run.next_at), step=next_thing)]
    yield from watched.measured(board, voice, run.run)
    kept = next((kept for kept in board.state.runs if kept.code == run.run), None)
    recipe = kept.recipe if kept else maker(board.state.book, run.prep)
    if recipe:
        yield from recipe_blocks(board, voice, recipe, run.size, {}, now_at=run.step)


# --- a dish ----------------------------------------------------------------------------------------------


def _outlets(board: Board, voice: Voice, ending: Expiring) -> Iterator[str]:
    """Where a batch that expires or is left over could go."""
    for line in board.using_up:
        if line.source == "batch" and line.name == ending.batch.code:
            yield from (outlet_text(outlet, line.prep, voice) for outlet in line.outlets)


def _left(board: Board, voice: Voice, left: Left) -> Iterator[Block]:
    says = [_("plates left: {n}").format(n=left.plates_left)]
    if words := left_words(left, voice):
        says.append(words)
    elif left.limiting:
        says.append(_("limited by {prep}").format(prep=in_words(left.limiting, voice)))
    says += others_words(left, voice)
    if left.in_mix != left.plates_left:
        says.append(_("about {n} to sell when the other dishes go on as expected").format(n=left.in_mix))
    if left.runs_out_at and not left.eighty_six:
        said = _("it runs out with a chance of {n} in 100, as likely before {time} as after")
        says.append(said.format(n=round(100 * left.chance_out), time=voice.time(left.runs_out_at)))
    if left.counted_to:
        said = _("counted to {time}; what guests are expected to have had since is taken off")
        says.append(said.format(time=voice.time(left.counted_to)))
    elif left.basis == "expected":
        says.append(_("expected, not counted: no plates were counted in this service"))
    yield "", says
    yield _("ON HAND"), [_part(part, voice) for part in left.preps]
    # What the book says, and what really went into the batches on hand.
    found = in_dish(board.state, left.dish) if left.dish in board.state.book.dishes else ()
    unknown = unlisted(board.state, left.dish) if left.dish in board.state.book.dishes else ()
    names = allergen_list(found, board.state.book) or _("none written in the book")
    said = _("nothing stated of {items}").format(items=listed(voice.name(item) for item in unknown))
    yield _("ALLERGENS"), [names, said] if unknown else [names]
    finish = board.state.book.dishes.get(left.dish)
    yield _("FINISH"), [told(finish.finish)] if finish and finish.finish else []


def _part(part: LeftPrep, voice: Voice) -> str:
    """What there is of one prep of a dish, what a plate takes, and what is under way."""
    said = _("{prep}: {on_hand}, {plate} on a plate").format(
        prep=voice.name(part.prep),
        on_hand=voice.amount(part.prep, part.on_hand),
        plate=voice.amount(part.prep, part.per_plate),
    )
    more = _("{amount} under way, ready {time}")
    ends = _("{amount} more is there and ends before").format(amount=voice.amount(part.prep, part.ends_before))
    return listed(
        (
            said,
            ends if part.ends_before else "",
            *(more.format(amount=voice.amount(part.prep, n), time=voice.time(at)) for at, n in part.coming),
        )
    )
