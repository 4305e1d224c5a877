"""What a sous chef has typed and not saved, and the number being typed: no screen, no file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import groupby
from typing import cast

from msgspec import Struct, field

from prepboard.plan.changing.drafts import (
    Draft,
    changed_under,
    lay_over,
    mine,
    share_freed,
    share_typed,
    still_open,
    theirs,
    typed,
)
from prepboard.plan.given.numbers import Change, Number, Value
from prepboard.plan.given.state import Sitting, State


class Typing(Struct, frozen=True):
    """A number that is being typed: the draft and the state as they were when it was begun."""

    number: Number
    base: Draft
    state: State


class Drafting(Struct):
    """The draft of one board."""

    draft: Draft = field(default_factory=dict)
    typing: Typing | None = None
    awaited: Draft = field(default_factory=dict)
    """What was saved here and stands in no state that was read by now: it is shown, and typed no more."""
    known_by: int = 0
    """The version of a state that knows of it, or of what somebody else set since."""

    def begin(self, number: Number, state: State) -> None:
        self.typing = Typing(number, self.draft, state)

    def set(self, value: Value) -> None:
        """What is typed so far; None for nothing typed, which leaves the number as it was."""
        now = self.typing
        if now is None:
            return
        if value is None:
            self.draft = now.base
        elif now.number.of == "mix" and now.number.sitting:
            self.draft = share_typed(now.base, now.state, now.number.sitting, now.number.item, cast(Fraction, value))
        else:
            self.draft = typed(now.base, now.state, now.number, value)

    def end(self, *, keep: bool) -> None:
        """Ends the typing; what was typed stays in the draft, or not."""
        if self.typing and not keep:
            self.draft = self.typing.base
        self.typing = None

    def free(self, numbers: Iterable[Number], state: State) -> None:
        """The numbers as the book has them, or computed; a share with its whole course."""
        for number in numbers:
            if number.of == "mix" and number.sitting:
                self.draft = share_freed(self.draft, state, number.sitting, number.item)
            else:
                self.draft = typed(self.draft, state, number, 0 if number.of == "percent" else None)

    def saw(self, state: State) -> None:
        """A newer state was read: what it has already is typed no more."""
        self.draft = still_open(self.draft, state)
        self.awaited = still_open(self.awaited, state) if state.version < self.known_by else {}

    @property
    def alters(self) -> bool:
        """Whether there is anything to be laid over a state."""
        return bool(self.draft or self.awaited)

    def laid_over(self, state: State) -> State:
        return lay_over(state, {**self.awaited, **self.draft}.values())

    def clashes(self, state: State) -> list[list[Change]]:
        """What somebody else changed of the numbers typed; the shares of one sitting go together."""
        changed = sorted(changed_under(self.draft, state), key=_together)
        return [list(group) for _key, group in groupby(changed, key=_together)]

    def keep_mine(self, changes: Sequence[Change], state: State) -> None:
        self.draft = mine(self.draft, state, [change.number for change in changes])

    def take_theirs(self, changes: Sequence[Change]) -> None:
        self.draft = theirs(self.draft, [change.number for change in changes])

    def saved(self, changes: Iterable[Change], state: State) -> None:
        """These are in the file, but not in this state, the last one that was read; what was typed since stays."""
        done = {change.number: change for change in changes}
        # The save is one write more; where somebody else wrote too, theirs may be what counts by then.
        self.awaited, self.known_by = {**self.awaited, **done}, state.version + 2
        self.draft = {number: change for number, change in self.draft.items() if done.get(number) != change}


def _together(change: Change) -> tuple[str, str, str]:
    number = change.number
    sitting: Sitting | tuple[str, str] = number.sitting or ("", "")
    return number.of, str(sitting), "" if number.of == "mix" else number.item
