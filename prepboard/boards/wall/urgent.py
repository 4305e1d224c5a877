"""What the wall says in letters of three lines while a service runs, in this order: 86 and since when, what runs out
and about when, what is overdue. Pure."""

from __future__ import annotations

from msgspec import Struct
from rich.cells import cell_len

from prepboard.boards.rows import lists
from prepboard.boards.rows.due_rows import due, row_key
from prepboard.boards.rows.left_rows import short_names
from prepboard.boards.wall.large import large, width_of
from prepboard.boards.widgets.row import Piece, Tone, filled
from prepboard.paper.text.saying import Voice
from prepboard.paper.text.sittings import sittings_that_run
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import Left, UnderWay
from prepboard.texts import _

LINES = 4
"""Lines of one of them, with the blank one below."""


class Urgent(Struct, frozen=True):
    """One of them; `key` is that of the row that need not say it again."""

    key: str
    name: str
    words: str
    tone: Tone = "strong"


def urgent(board: Board) -> list[Urgent]:
    """None where no service runs: then there is time to read."""
    if not sittings_that_run(board):
        return []
    voice, named = lists.voice_of(board), short_names(board)
    off = [_off(voice, left, named[left.dish]) for left in board.left if left.eighty_six]
    low = sorted((left for left in board.left if left.low), key=lambda left: left.runs_out_at or board.now)
    return [*off, *(_low(voice, left, named[left.dish]) for left in low), *_overdue(board, voice)]


def _off(voice: Voice, left: Left, name: str) -> Urgent:
    since = _("since {time}").format(time=voice.wall(left.since)) if left.since else ""
    return Urgent(left.dish, _("86 {dish}").format(dish=name), since)


def _low(voice: Voice, left: Left, name: str) -> Urgent:
    if left.lacks:
        lack = left.lacks[0]
        words = _("none until {time}").format(time=voice.wall(lack.until)) if lack.until else _("none: count")
        return Urgent(left.dish, name, words)
    at = voice.wall(left.runs_out_at) if left.runs_out_at else ""
    said = _("{n}, to {time}") if at else _("{n} left")
    return Urgent(left.dish, name, said.format(n=left.plates_left, time=at))


def _overdue(board: Board, voice: Voice) -> list[Urgent]:
    """Steps that cannot wait, and probes, of all benches."""
    found = []
    for one in due(board, tuple(board.state.book.stations)):
        if isinstance(one.what, UnderWay) and one.what.overdue_minutes:
            words = _("overdue {n} min").format(n=one.what.overdue_minutes)
            found.append(Urgent(row_key(one), voice.name(one.what.prep), words, "late"))
        elif one.is_probe:
            probed = one.what
            name = voice.name(getattr(probed, "prep", "")) or getattr(probed, "of", "")
            found.append(Urgent(row_key(one), _("probe {prep}").format(prep=name), ""))
    return found


def _as_fits(name: str, room: int) -> str:
    """The name, else up to its first comma, else as many whole words of that as there is room for."""
    if width_of(name) <= room:
        return name
    short = name.partition(",")[0]
    words, cut = short.split(), short
    while width_of(cut) > room and words:
        cut = " ".join(words[:-1]) + "…" if len(words) > 1 else words[0][: max(1, len(cut.rstrip("…")) - 1)] + "…"
        words = words[:-1] if len(words) > 1 else [cut.rstrip("…")] if len(cut) > 2 else []
    return cut


def _small(words: str) -> tuple[str, str, str]:
    """The words in plain letters, half way up."""
    return " " * cell_len(words), words, " " * cell_len(words)


def large_lines(said: Urgent, width: int) -> list[list[Piece]]:
    """It on three lines and a blank one: the words whole at the right, of the name what there is room for. A name of
    which one word or less would be left leaves plain letters to the words: it has to be known which food it is."""
    words = large(said.words, width - 2)
    cut = _as_fits(said.name, _beside(words, width))
    if cut.endswith("…") and " " not in cut:
        words = _small(said.words)
    room = _beside(words, width)
    name = large(_as_fits(said.name, room), room)
    across = cell_len(words[0])
    lines: list[list[Piece]] = []
    for left, right in zip(name, words, strict=True):
        lines.append(filled([(" " + left.ljust(width - 2 - across) + right, said.tone)], width))
    return [*lines, filled([], width)]


def _beside(words: tuple[str, str, str], width: int) -> int:
    """Cells for the name beside the words."""
    across = max(map(cell_len, words))
    return width - 2 - across - (3 if across else 0)
