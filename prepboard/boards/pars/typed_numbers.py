"""Numbers that are typed on a board: into a draft, with the plan worked out at once as it would be with them."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from typing import Any, Protocol

from textual.app import App
from textual.widget import Widget

from prepboard.boards.pages.host import Host
from prepboard.boards.pars.clash_words import SetBy, who_set
from prepboard.boards.pars.drafting import Drafting
from prepboard.boards.pars.view import Lists
from prepboard.boards.rows.number_words import number_name, read, typed_text, value_words
from prepboard.boards.widgets.entry import End, Entry
from prepboard.boards.widgets.number_list import NumberList
from prepboard.book.amounts import AmountFault
from prepboard.plan.board import Board, plan
from prepboard.plan.changing.drafts import in_force
from prepboard.plan.given.numbers import Number
from prepboard.plan.given.state import Sitting, State
from prepboard.texts import _, some

OF_A_SITTING = frozenset({"covers", "percent", "cancelled"})
"""Numbers that are typed on a sitting's own row."""


class NumbersBoard(Host, Protocol):
    """A board on which numbers are typed: it has lists of them, and the line in which they are typed."""

    which: Lists
    """What the middle list shows."""

    @property
    def app(self) -> App[Any]: ...

    @property
    def focused(self) -> Widget | None: ...

    @property
    def entry(self) -> Entry: ...

    @property
    def sitting(self) -> Sitting | None:
        """The sitting whose numbers are shown."""

    def switch_to(self, which: Lists) -> None:
        """Shows other numbers in the middle list, or the pars again."""

    async def run_action(self, action: str) -> None: ...

    def list_of(self, name: str) -> NumberList:
        """The list that has this name: "services" or "numbers"."""

    def put(self) -> None:
        """Shows the preview."""

    def show_title(self) -> None: ...

    def set_focus(self, widget: Widget | None, scroll_visible: bool = True) -> None: ...

    def run_worker(self, work: Coroutine[Any, Any, None], *, group: str) -> object: ...


class TypedNumbers:
    """The draft of a board, the board as it would be with it, and the number that is being typed."""

    def __init__(self, screen: NumbersBoard) -> None:
        self.screen = screen
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

    # --- the plan with the draft -------------------------------------------------------------------------

    def saw(self, board: Board) -> None:
        """A newer board: the draft stays, what the file has by now is typed no more, and others' changes are said."""
        self.drafting.saw(board.state)
        before, self.set_by = self.set_by, who_set(self.screen.file, self.drafting.clashes(board.state))
        if self.set_by and self.set_by != before:
            self.screen.tell(_("Somebody else changed what you typed: see below; nothing is overwritten."), "strong")
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
            self.screen.run_worker(self._catch_up(), group="preview")

    async def _catch_up(self) -> None:
        try:
            while self._behind and self.screen.board is not None:
                self._behind = False
                before, with_draft = self.screen.board, self.drafting.laid_over(self.screen.board.state)
                alters = self.drafting.alters
                preview = await asyncio.to_thread(plan, with_draft, before.now, moving=True) if alters else before
                if not self.screen.app.is_running:
                    return  # The board is being closed, and its lists are going.
                if self._behind:
                    continue  # What was worked out is no longer what is typed.
                # What is saved is compared with nothing any more.
                self.before, self.preview = before if self.drafting.draft else preview, preview
                self.screen.put()
        finally:
            self.catching_up = False

    # --- typing ------------------------------------------------------------------------------------------

    def type_number(self, number: Number | None, text: str = "") -> None:
        """Opens the line in which a number is typed, with what is typed of it so far."""
        if self.screen.board is None or self.preview is None:
            return
        if number is None:
            self.screen.tell(_("There is no such number on this line; go to a line that has it."))
            return
        self.screen.tell(self._who_may())
        self.drafting.begin(number, self.screen.board.state)
        was = value_words(self.preview, number, in_force(self.preview.state, number))
        if number in self.drafting.draft and not text:
            text = typed_text(self.preview, number, self.drafting.draft[number].to)
        self._was = _("now {value}   enter saves   down: next   esc leaves").format(value=was)
        self.screen.entry.begin(number_name(self.preview, number), text, self._was)
        if text:
            self.take(text)

    def _who_may(self) -> str:
        """Said before anything is typed: who may save it, where that is somebody else; "" where this one may."""
        from prepboard.store.file.who import Who, role_of, who_may

        book = self.screen.board.state.book if self.screen.board else None
        who = Who(self.screen.desk.known, self.screen.desk.station)
        if not who.by or role_of(who, book) in ("sous", "open"):
            return ""
        return _("You may look and try; a sous chef{people} saves it.").format(people=who_may(book, "sous"))

    def take(self, text: str) -> None:
        typing = self.drafting.typing
        if typing is None or self.preview is None:
            return
        try:
            self.drafting.set(read(self.preview, typing.number, text) if text.strip() else None)
        except AmountFault as fault:
            self.screen.entry.say(str(fault))
            return
        self.screen.entry.say(self._was)
        self.draft_changed()

    def end(self, how: End) -> None:
        """Typing ends: what was typed is kept, or left as it was, and the cursor goes where it is wanted."""
        number = self.drafting.typing.number if self.drafting.typing else None
        self.drafting.end(keep=how != "leave")
        self.screen.entry.end()
        list_ = self.screen.list_of("services" if number and number.of in OF_A_SITTING else "numbers")
        self.screen.set_focus(list_, scroll_visible=False)
        self.draft_changed()
        if how == "down":
            list_.action_line_down()
        elif how == "up":
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

    # --- what is not saved -------------------------------------------------------------------------------

    def drop(self) -> None:
        """Everything as it was."""
        if not self.drafting.draft:
            self.screen.tell(_("Nothing is typed; everything is as it was."))
            return
        n = len(self.drafting.draft)
        self.drafting.draft, self.set_by = {}, {}
        self.draft_changed()
        said = some("As it was: {n} number typed is dropped.", "As it was: {n} numbers typed are dropped.", n)
        self.screen.tell(said)

    def may_close(self) -> bool:
        """What is typed and not saved is not left behind without a word; asked again it is."""
        n = len(self.drafting.draft)
        if not n or self._warned:
            return True
        self._warned = True
        said = some(
            "{n} number is not saved: enter saves, q again closes.",
            "{n} numbers are not saved: enter saves, q again closes.",
            n,
        )
        self.screen.tell(said, "strong")
        return False
