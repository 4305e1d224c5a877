"""Plates left: the rows of what a bench can still serve, and of what is 86 or low anywhere. Pure."""

from __future__ import annotations

from collections import Counter
from functools import partial

from prepboard.boards.rows.lists import Said, voice_of
from prepboard.boards.widgets.row import Row, clean
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
    return sorted(seen, key=lambda left: not ours(left))


def left_over(board: Board, stations: tuple[str, ...], said: Said | None = None) -> tuple[Row, ...]:
    """Rows of the plates left."""
    said = said or Said()
    return tuple(said.row(left, partial(_left_row, board, left)) for left in dishes_left(board, stations))


def short_names(board: Board) -> dict[str, str]:
    """The names of dishes up to the first comma, where no other dish that is counted begins like it."""
    voice = voice_of(board)
    names = {left.dish: clean(voice.name(left.dish)) for left in board.left}
    begins = Counter(name.partition(",")[0] for name in names.values())
    return {dish: begin if begins[begin := name.partition(",")[0]] == 1 else name for dish, name in names.items()}


def _left_row(board: Board, left: Left) -> Row:
    voice = voice_of(board)
    words = ""
    if left.taken_off:
        words = _("86, taken off")
    elif left.not_yet:
        words = _("no {prep} yet").format(prep=voice.name(left.limiting)) if left.limiting else _("none yet")
    elif left.eighty_six:
        words = _("86, no {prep}").format(prep=voice.name(left.limiting)) if left.limiting else _("86")
    elif left.ends_first and left.runs_out_at:
        said = _("low: lasts to about {time} ({prep})") if left.low else _("lasts to about {time} ({prep})")
        words = said.format(prep=voice.name(left.ends_first), time=voice.time(left.runs_out_at))
    mix = "" if left.in_mix == left.plates_left else _("about {n} to sell").format(n=left.in_mix)
    return Row(
        key=left.dish,
        what=voice.name(left.dish),
        amount=str(left.plates_left),
        words=words,
        extra=mix,
        tone="strong" if left.eighty_six or left.low else "plain",
    )
