"""What comes, what is to be loaded, what to order, and what other kitchens hold back, as rows. Pure."""

from __future__ import annotations

from typing import cast

from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Piece, Row, Tone
from prepboard.paper.lists.holds import held_name, is_here_text, seen_text
from prepboard.paper.lists.vans import amount_text, by_text, differs_text, held_text, load_text, name_text
from prepboard.paper.text.layout import wrap
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.plan.given.group import Hold, Order, ToldHold, Transfer
from prepboard.plan.given.state import State
from prepboard.plan.leftovers.vans import Load, Proposed, ToSend, coming, loads, proposed, to_answer_for
from prepboard.texts import _, some, told

Asks = Transfer | Hold | Proposed | Order | ToSend
"""What Enter does something about."""


def unseen(board: Board) -> list[Hold]:
    """What other kitchens hold back, and nobody here has looked for yet."""
    return [hold for hold in board.state.holds if hold.lifted_at is None and hold.seen_at is None]


def rows(board: Board) -> tuple[Row, ...]:
    """All of it, what cannot wait first."""
    voice, state = voice_of(board), board.state
    found = [_hold_row(hold, state, voice) for hold in unseen(board)]
    found += [_coming_row(one, voice) for one in coming(state)]
    found += [
        Row(f"note {one.note}", what=name_text(one, voice), words=differs_text(one, voice), extra=one.note)
        for one in to_answer_for(state, board.now)
    ]
    found += [_told_row(one, state, voice) for one in state.told_holds if one.not_seen]
    found += [_proposed_row(one, voice) for one in _proposed(board)]
    for load in loads(state, board.now):
        found += [_load_row(load, line, voice) for line in load.lines]
    return tuple(found)


def whole(row: Row) -> str:
    """All that a row says, for below the list."""
    return f"{' '.join(filter(None, (row.what, row.amount, row.extra)))}: {row.words}"


def asked_by(board: Board, key: str) -> Asks | None:
    """What a row asks for; None for one that is only read."""
    state = board.state
    known: dict[str, Asks] = {f"note {one.note}": one for one in (*coming(state), *to_answer_for(state, board.now))}
    known |= {f"hold {hold.id}": hold for hold in unseen(board)}
    known |= {f"van {one.trip.van.id} {one.trip.day}": one for one in _proposed(board)}
    for load in loads(state, board.now):
        not_gone = load.trip.leaves > board.now
        known |= {_load_key(load, line): line for line in load.lines if line.lacks and not_gone}
        known |= {_load_key(load, line): line.waiting[0] for line in load.lines if line.waiting}
    return known.get(key)


def _proposed(board: Board) -> list[Proposed]:
    return [one for one in proposed(board.state, board.pars, board.make, board.now) if one.lines]


def _hold_row(hold: Hold, state: State, voice: Voice) -> Row:
    why = _("held back by {kitchen}: {why}").format(kitchen=voice.kitchen(hold.sender), why=plain(told(hold.why)))
    words = f"{is_here_text(hold)}; {why}"
    what = held_name(hold, state, voice)
    return Row(f"hold {hold.id}", when=voice.time(hold.at), what=what, words=words, tone="late")


def _told_row(one: ToldHold, state: State, voice: Voice) -> Row:
    words = f"{seen_text(one, voice)}; {plain(told(one.why))}"
    return Row(f"told {one.id}", when=voice.time(one.at), what=held_name(one, state, voice), words=words, tone="strong")


def _coming_row(one: Transfer, voice: Voice) -> Row:
    words = listed((held_text(one, voice), by_text(one, voice), voice.good(one.use_by)))
    amount, tone = amount_text(voice, one.prep, one.unit, one.amount), "late" if one.held else "strong"
    name = name_text(one, voice)
    return Row(f"note {one.note}", what=name, amount=amount, words=words, extra=one.note, tone=cast(Tone, tone))


def _proposed_row(one: Proposed, voice: Voice) -> Row:
    what = _("order by {van}").format(van=plain(one.trip.van.name))
    short = listed(f"{voice.name(line.prep)} {voice.amount(line.prep, line.amount)}" for line in one.lines)
    key = f"van {one.trip.van.id} {one.trip.day}"
    return Row(key, when=voice.time(one.trip.closes), what=what, words=short, tone="strong")


def _load_key(load: Load, line: ToSend) -> str:
    return f"load {load.trip.van.id} {load.trip.day} {line.kitchen} {line.prep}"


def _load_row(load: Load, line: ToSend, voice: Voice) -> Row:
    words = listed((voice.kitchen(line.kitchen), load_text(line, voice)))
    ordered = amount_text(voice, line.prep, line.unit, line.ordered) if line.ordered else ""
    when, open_still = voice.time(load.trip.leaves), bool(line.lacks or line.waiting)
    return Row(
        _load_key(load, line), when=when, what=plain(line.name), amount=ordered, words=words,
        tone="strong" if open_still else "plain",
    )  # fmt: skip


def reminder(board: Board) -> str:
    """What of it cannot wait until somebody looks: what others hold back, what is on its way, what to order within the
    hour; "" where nothing is."""
    voice, said = voice_of(board), []
    if held := unseen(board):
        kitchens = listed(dict.fromkeys(voice.kitchen(hold.sender) for hold in held))
        said.append(_("{kitchens} holds something back").format(kitchens=kitchens))
    if boxes := len(coming(board.state)):
        said.append(some("{n} box on its way here", "{n} boxes on their way here", boxes))
    for one in _proposed(board):
        closes = (one.trip.closes - board.now).total_seconds() / 60
        if 0 < closes <= 60:
            van = plain(one.trip.van.name)
            said.append(_("{van} closes {time}").format(van=van, time=voice.time(one.trip.closes)))
    return _("{what}: >").format(what=listed(said)) if said else ""


def van_lines(board: Board, width: int) -> list[list[Piece]]:
    """The reminder as lines of at most `width` cells; none in a kitchen by itself."""
    said = reminder(board) if board.state.book.kitchen.member else ""
    tone: Tone = "late" if said and unseen(board) else "strong"
    return [[(f" {line}", tone)] for line in wrap(said, width - 2)] if said else []
