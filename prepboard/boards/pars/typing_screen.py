"""A board on which numbers are typed: into a draft, with the plan worked out at once as it would be with them."""

from __future__ import annotations

import asyncio
from abc import abstractmethod
from typing import TYPE_CHECKING

from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.boards.pars import saving
from prepboard.boards.pars.clash_words import SetBy
from prepboard.boards.pars.drafting import Drafting
from prepboard.boards.rows.number_words import number_name, read, typed_text, value_words
from prepboard.boards.widgets.columns import ColumnRow
from prepboard.boards.widgets.entry import Entry
from prepboard.boards.widgets.number_list import NumberList
from prepboard.book.amounts import AmountFault
from prepboard.plan.board import Board, plan
from prepboard.plan.changing.drafts import in_force
from prepboard.plan.given.numbers import Number
from prepboard.plan.given.state import State
from prepboard.texts import _, some

if TYPE_CHECKING:
    from prepboard.store.kitchen_file import KitchenFile

OF_A_SITTING = frozenset({"covers", "percent", "cancelled"})
"""Numbers that are typed on a sitting's own row."""


class TypingScreen(BoardScreen):
    """What a board of numbers gives: `put`, which shows the preview, and `list_of`."""

    own_at_once = False
    """A number that was saved here stands with what the plan makes of it; until then what was typed stays in sight."""

    def __init__(self, file: KitchenFile, station: str, by: str) -> None:
        super().__init__(file, station, by)
        self.drafting = Drafting()
        self.preview: Board | None = None
        """The board as it would be; the board as it stands where nothing is typed."""
        self.before: Board | None = None
        """The board as it stands that the preview belongs to."""
        self.set_by: SetBy = {}
        """Who changed a typed number meanwhile, and when."""
        self.catching_up = False
        self._behind = self._warned = False
        self._was = ""

    @abstractmethod
    def put(self) -> None:
        """Shows the preview."""

    @abstractmethod
    def list_of(self, name: str) -> NumberList:
        """The list that has this name: "services" or "numbers"."""

    @property
    def entry(self) -> Entry:
        return self.query_one(Entry)

    @property
    def here(self) -> ColumnRow | None:
        """The row under the cursor."""
        row = self.focused.row if isinstance(self.focused, NumberList) else None
        return row if isinstance(row, ColumnRow) else None

    # --- the plan with the draft -------------------------------------------------------------------------

    def show(self, board: Board) -> None:
        """A newer board: the draft stays, what the file has by now is typed no more, and others' changes are said."""
        self.drafting.saw(board.state)
        before, self.set_by = self.set_by, saving.who_set(self.file, self.drafting.clashes(board.state))
        if self.set_by and self.set_by != before:
            self.tell(_("Somebody else changed what you typed: see below; nothing is overwritten."), "strong")
        self.work_out()

    def draft_changed(self) -> None:
        """The draft is another now: the board is worked out with it."""
        self._warned = False
        self.work_out()

    def work_out(self) -> None:
        """Works the board out with the draft, in a thread of its own; typing goes on, and the newest draft counts."""
        self._behind = True
        if not self.catching_up:
            self.catching_up = True
            self.run_worker(self._catch_up(), group="preview")

    async def _catch_up(self) -> None:
        try:
            while self._behind and self.board is not None:
                self._behind = False
                before, with_draft = self.board, self.drafting.laid_over(self.board.state)
                alters = self.drafting.alters
                preview = await asyncio.to_thread(plan, with_draft, before.now, moving=True) if alters else before
                if not self.app.is_running:
                    return  # The board is being closed, and its lists are going.
                if self._behind:
                    continue  # What was worked out is no longer what is typed.
                # What is saved is compared with nothing any more.
                self.before, self.preview = before if self.drafting.draft else preview, preview
                self.put()
        finally:
            self.catching_up = False

    # --- typing ------------------------------------------------------------------------------------------

    def type_number(self, number: Number | None, text: str = "") -> None:
        """Opens the line in which a number is typed, with what is typed of it so far."""
        if self.board is None or self.preview is None:
            return
        if number is None:
            self.tell(_("There is no such number on this line; go to a line that has it."))
            return
        self.tell(self._who_may())
        self.drafting.begin(number, self.board.state)
        was = value_words(self.preview, number, in_force(self.preview.state, number))
        if number in self.drafting.draft and not text:
            text = typed_text(self.preview, number, self.drafting.draft[number].to)
        self._was = _("now {value}   enter saves   down: next   esc leaves").format(value=was)
        self.entry.begin(number_name(self.preview, number), text, self._was)
        if text:
            self._typed(text)

    def _who_may(self) -> str:
        """Said before anything is typed: who may save it, where that is somebody else; "" where this one may."""
        from prepboard.store.file.who import Who, role_of, who_may

        book = self.board.state.book if self.board else None
        who = Who(self.desk.known, self.desk.station)
        if not who.by or role_of(who, book) in ("sous", "open"):
            return ""
        return _("You may look and try; a sous chef{people} saves it.").format(people=who_may(book, "sous"))

    def on_entry_typed(self, event: Entry.Typed) -> None:
        self._typed(event.text)

    def _typed(self, text: str) -> None:
        typing = self.drafting.typing
        if typing is None or self.preview is None:
            return
        try:
            self.drafting.set(read(self.preview, typing.number, text) if text.strip() else None)
        except AmountFault as fault:
            self.entry.say(str(fault))
            return
        self.entry.say(self._was)
        self.draft_changed()

    def on_entry_ended(self, event: Entry.Ended) -> None:
        number = self.drafting.typing.number if self.drafting.typing else None
        self.drafting.end(keep=event.how != "leave")
        self.entry.end()
        list_ = self.list_of("services" if number and number.of in OF_A_SITTING else "numbers")
        self.set_focus(list_, scroll_visible=False)
        self.draft_changed()
        if event.how == "save":
            self.action_save()
        elif event.how == "down":
            list_.action_line_down()
        elif event.how == "up":
            list_.action_line_up()

    def set_at_once(self, number: Number, state: State, to: int | None) -> None:
        """Puts something into the draft that needs no typing."""
        self.drafting.begin(number, state)
        if to is None:
            self.drafting.end(keep=True)
            self.drafting.free([number], state)
        else:
            self.drafting.set(to)
            self.drafting.end(keep=True)
        self.draft_changed()

    # --- saving ------------------------------------------------------------------------------------------

    def action_save(self) -> None:
        if self.board is not None:
            self.ask(saving.save(self))

    def action_as_it_was(self) -> None:
        if not self.drafting.draft:
            self.tell(_("Nothing is typed; everything is as it was."))
            return
        n = len(self.drafting.draft)
        self.drafting.draft, self.set_by = {}, {}
        self.draft_changed()
        self.tell(some("As it was: {n} number typed is dropped.", "As it was: {n} numbers typed are dropped.", n))

    def action_quit(self) -> None:
        """What is typed and not saved is not left behind without a word."""
        n = len(self.drafting.draft)
        if not n or self._warned:
            super().action_quit()
            return
        self._warned = True
        one = "{n} number is not saved: enter saves, q again closes."
        many = "{n} numbers are not saved: enter saves, q again closes."
        self.tell(some(one, many, n), "strong")
