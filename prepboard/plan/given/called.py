"""Batches by what is called across a kitchen, or scanned: our own code, or the one on the label that food came with."""

from __future__ import annotations

from prepboard.plan.given.group import Transfer
from prepboard.plan.given.state import Batch, State


def batch_called(state: State, text: str) -> Batch | None:
    """The batch with something left that a text names: its code, with this kitchen's letter before it or without, or
    with another's the code that it has there."""
    code = text.strip().upper()
    kitchens = state.book.kitchens
    own = kitchens.get(state.book.kitchen.member)
    code = code.removeprefix(f"{own.letter}-") if own else code
    codes = [code, *(one.ours for one in state.transfers if one.ours and _theirs(state, one) == code)]
    return next((batch for batch in state.batches if batch.code in codes), None)


def _theirs(state: State, one: Transfer) -> str:
    """What a batch that came is called on the label that it came with."""
    sender = state.book.kitchens.get(one.sender)
    return f"{sender.letter}-{one.batch}" if sender else ""


def note_called(state: State, text: str) -> str:
    """The note that a text names, with its letter before it or, where only one ends so, without; else as it stands."""
    wanted = text.strip().upper()
    fits = {one.note for one in state.transfers if wanted in (one.note, one.note.partition("-")[2])}
    return fits.pop() if len(fits) == 1 else wanted
