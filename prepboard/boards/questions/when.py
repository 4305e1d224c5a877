"""Asks for a moment that has been."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import partial

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.pad import DIGITS
from prepboard.boards.questions.typed import Typed
from prepboard.book.days import Days
from prepboard.book.moments import read_past
from prepboard.texts import _


class AskWhen(Dialog[datetime], keys="answer"):
    """Answers with an instant in UTC, never one that is still to come."""

    def __init__(self, title: str, days: Days, now: datetime, notes: Sequence[str] = ()) -> None:
        said = _("A time such as {clock}, or minutes ago: 20.").format(clock=f"{days.local(now):%H:%M}")
        super().__init__(title, Typed(partial(read_past, days, now), notes=[said, *notes], signs=DIGITS))
