"""Plates left: the rows of what a bench can still serve, and of what is 86 or low anywhere. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from functools import partial

from prepboard.boards.rows.lists import RowCache, voice_of
from prepboard.boards.widgets.row import Row, clean
from prepboard.paper.sentences.left import left_words, none_counted, others_words
from prepboard.paper.text.saying import Voice, listed
from prepboard.paper.text.sittings import sittings_served, sittings_that_run
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import Left
from prepboard.texts import _


def dishes_left(board: Board, stations: tuple[str, ...]) -> list[Left]:
    """Dishes with a prep of these benches on the plate, and below them every other that is 86 or low: what comes and
    goes there moves none of the bench's own."""
    preps = board.state.book.preps

    def ours(left: Left) -> bool:
        return any(part.prep in preps and preps[part.prep].station in stations for part in left.preps)

    seen = [left for left in board.left if left.eighty_six or left.low or ours(left)]
    running = bool(sittings_that_run(board))
    return sorted(seen, key=lambda left: (not ours(left), _presses(board, left) if running else ()))


def _presses(board: Board, left: Left) -> tuple[int, datetime]:
    """In service the dishes with limits lead: none for a reason and what runs out, the first to end first; then 86, and
    what lasts."""
    if left.low:
        return 0, left.runs_out_at or board.now
    return (1 if left.eighty_six else 2), board.now


def left_over(board: Board, stations: tuple[str, ...], said: RowCache | None = None) -> tuple[Row, ...]:
    """Rows of the plates left."""
    said = said or RowCache()
    return tuple(said.row(left, partial(_left_row, board, left)) for left in dishes_left(board, stations))


def short_names(board: Board) -> dict[str, str]:
    """The names of dishes up to the first comma, where no other dish that is counted begins like it."""
    voice = voice_of(board)
    names = {left.dish: clean(voice.name(left.dish)) for left in board.left}
    begins = Counter(name.partition(",")[0] for name in names.values())
    return {dish: begin if begins[begin := name.partition(",")[0]] == 1 else name for dish, name in names.items()}


def _left_row(board: Board, left: Left) -> Row:
    voice = voice_of(board)
    limit, more = left_words(left, voice), listed(beside(board, left, voice))
    return Row(
        key=left.dish,
        what=voice.name(left.dish),
        amount="–" if left.not_yet else str(left.plates_left),
        words=limit or more,
        extra=more if limit else "",
        tone="strong" if left.eighty_six or left.low else "plain",
    )


def beside(board: Board, left: Left, voice: Voice) -> Iterator[str]:
    """What is to be known beside plates and words: of which service where several run, what others take, up to when it
    is counted, and how many are there to sell when all goes on as expected."""
    if len(sittings_served(board)) > 1 and left.service:
        yield voice.service(left.service, left.day)
    yield from others_words(left, voice)
    if left.basis == "expected":
        if not none_counted(board.left):
            yield _("not counted")
    elif left.counted_to:
        yield _("counted to {time}").format(time=voice.time(left.counted_to))
    if left.in_mix != left.plates_left:
        yield _("about {n} to sell").format(n=left.in_mix)
