"""What the keys of the sous chef's board do with the line under the cursor."""

from __future__ import annotations

from abc import abstractmethod
from datetime import date

from prepboard.boards.acts.handover import write_note
from prepboard.boards.pars.adding import add_sitting
from prepboard.boards.pars.learning import dishes_of, new_recipe, special_day
from prepboard.boards.pars.moving import move_sitting
from prepboard.boards.pars.rows import PARS, runs_for
from prepboard.boards.pars.saving_words import to_open
from prepboard.boards.pars.typing_screen import TypingScreen
from prepboard.boards.pars.view import Lists, number_of
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.plan.changing.drafts import in_force, set_to
from prepboard.plan.given.guests import Guests
from prepboard.plan.given.numbers import Number
from prepboard.plan.given.state import Sitting
from prepboard.plan.shown.lines import MakeLine
from prepboard.texts import _

PAGES: tuple[Lists, ...] = ("pars", "dishes", "today")
"""What the middle list shows, one after the other."""


class ParsKeys(TypingScreen):
    """The keys; the lists are the board's."""

    which: Lists = "pars"

    @property
    @abstractmethod
    def sitting(self) -> Sitting | None:
        """The sitting whose numbers are shown."""

    @abstractmethod
    def switch_to(self, which: Lists) -> None:
        """Shows other numbers in the middle list, or the pars again."""

    def _number(self, kind: str = "") -> Number | None:
        return number_of(self.here, kind, self.sitting, self._made_on)

    @property
    def _made_on(self) -> date | None:
        """The business day on which the prep of this line would be made."""
        if self.preview is None:
            return None
        line, days = self._line_here(), self.preview.state.book.kitchen.days
        return days.business_day(max(line.begins, self.preview.now) if line else self.preview.now)

    def action_type_number(self, sign: str = "") -> None:
        if self.entry.open:
            self.entry.type(sign)
        else:
            self.type_number(self._number(), sign)

    def action_by_hand(self) -> None:
        self.type_number(self._number())

    def action_percent(self) -> None:
        self.type_number(self._number("percent"))

    def action_count(self) -> None:
        self.type_number(self._number("count"))

    def action_standing(self) -> None:
        self.type_number(self._number("standing par"))

    def action_weekday(self) -> None:
        self.type_number(self._number("weekday par"))

    def action_give(self) -> None:
        self.type_number(self._number("given"))

    def action_portion(self) -> None:
        self.ask(ask_portion(self, self._number(), self.sitting))

    def action_add(self) -> None:
        if self.sitting:
            self.ask(add_sitting(self, self.sitting))

    def action_move(self) -> None:
        if self.sitting and self.sitting[0]:
            self.ask(move_sitting(self, self.sitting))

    def action_note(self) -> None:
        if self.board is not None:
            sitting = Guests(self.sitting).whom if self.sitting and self.sitting[0] else None
            self.ask(write_note(self.desk, self.board, sitting))

    def action_off(self) -> None:
        """Cancels a sitting or takes a dish off, for which it asks why; the other way round, at once."""
        number = self._number()
        if self.board is None or self.preview is None:
            return
        if self.here and self.list_of("services").has_focus and self.sitting:
            number = Number("cancelled", self.sitting) if self.sitting[0] else None
        elif number and number.of == "mix":
            number = self._number("off")
        else:
            number = None
        if number is None:
            self.tell(_("That is for a service, or for a dish (their page is to the right)."))
        elif set_to(self.preview.state, number) is not None:
            self.set_at_once(number, self.board.state, None)
        elif number.of == "cancelled":
            self.set_at_once(number, self.board.state, 1)
        else:
            self.type_number(number)

    def action_free(self) -> None:
        """Back to booked, computed, or the book's."""
        if self.board is None:
            return
        before = self.drafting.draft
        for kind in ("", "count", "standing par", "weekday par"):
            number = self._number(kind)
            if number and self.drafting.draft == before:
                self.drafting.free([number], self.board.state)
        if self.drafting.draft == before:
            self.tell(_("Nothing was set by hand here."))
        self.draft_changed()

    def action_mix(self) -> None:
        self.switch_to("dishes")

    def action_today(self) -> None:
        self.switch_to("today")

    def action_look(self) -> None:
        """The recipe for the run of this line, and why this much."""
        line = self._line_here()
        if line is None or self.preview is None:
            self.tell(_("Nothing is to be made for this line."))
            return
        from prepboard.boards.pages.line_read import Look

        self.app.push_screen(Look(self.preview, line))

    def action_order(self) -> None:
        """What to buy, as things stand with what is typed."""
        from prepboard.boards.pages.order_page import OrderPage

        if self.preview is not None:
            self.app.push_screen(OrderPage(self.file, self.preview))

    def action_save(self) -> None:
        """Saves what is typed; with nothing typed, a menu of what can be done with this line."""
        if self.drafting.draft or self.board is None:
            super().action_save()
        else:
            self.ask(self._choose())

    def action_menu(self) -> None:
        """What can be done with this line, also while something is typed."""
        if self.board is not None:
            self.ask(self._choose())

    def action_next_page(self) -> None:
        self._turn(1)

    def action_last_page(self) -> None:
        self._turn(-1)

    def _turn(self, by: int) -> None:
        self.switch_to(PAGES[(PAGES.index(self.which) + by) % len(PAGES)])

    async def _choose(self) -> None:
        from prepboard.boards.pars.menus import MENUS, Menu

        row, number = self.here, self._number()
        if number is None and self.sitting and self.sitting[0] and self.list_of("services").has_focus:
            number = Number("cancelled", self.sitting)
        if row is None or number is None or number.of not in MENUS:
            self.tell(_("Go to a line first; the menu is about the line under the cursor."))
            return
        action: str | None = await self.app.push_screen_wait(Menu(row.what, number.of))
        if action:
            await self.run_action(action)

    def action_changes(self) -> None:
        """All that would change, where the list below has no room for it."""
        from prepboard.boards.pars.changes_page import Changes

        if self.before is None or self.preview is None or not self.drafting.draft:
            self.tell(_("Nothing is typed, so nothing would change."))
            return
        lines = to_open(self.before, self.preview, self.sitting)
        self.app.push_screen(Changes(_("IF YOU SAVE"), self.preview, lines, agree=False))

    def action_chart(self) -> None:
        """What the dishes of this line sold lately."""
        dishes = dishes_of(self.preview, self._number(), self.sitting) if self.preview else ()
        if self.preview is None or not dishes:
            self.tell(_("That is for a dish, or for a prep on a plate."))
            return
        from prepboard.boards.pages.sales import Sales

        self.app.push_screen(Sales(self.preview, dishes))

    def action_new_recipe(self) -> None:
        dishes = dishes_of(self.preview, self._number(), self.sitting) if self.preview else ()
        if dishes:
            self.ask(new_recipe(self, dishes))
        else:
            self.tell(_("That is for a dish, or for a prep on a plate."))

    def action_special(self) -> None:
        if self.sitting and self.sitting[0]:
            self.ask(special_day(self, self.sitting))

    def _line_here(self) -> MakeLine | None:
        if self.preview is None or self.here is None:
            return None
        number = self.here.number
        for par in self.preview.pars if number and number.of in PARS else ():
            if number and (par.prep, (par.service, par.day)) == (number.item, self.sitting):
                return next(iter(runs_for(self.preview, par)), None)
        return next((line for line in self.preview.make if str(line.line) == self.here.key), None)


async def ask_portion(screen: TypingScreen, par: Number | None, sitting: Sitting | None) -> None:
    """Asks of which dish the portion of a prep changes, where it is on several plates; then it is typed."""
    board = screen.preview
    if board is None or par is None or par.of not in PARS or sitting is None:
        screen.tell(_("That is for a par: a prep on a plate."))
        return
    voice = voice_of(board)
    plates = [
        Number("portion", item=par.item, day=sitting[1], on=dish.id)
        for dish in board.state.book.dishes.values()
        if par.item in dish.plate and sitting[0] in dish.services
    ]
    if not plates:
        screen.tell(_("{prep} is on no plate of this service.").format(prep=voice.name(par.item)))
        return
    chosen: str | None = plates[0].on
    if len(plates) > 1:
        now = {number.on: in_force(board.state, number) for number in plates}
        rows = tuple(
            Row(dish, what=voice.name(dish), amount=voice.amount(par.item, value) if isinstance(value, int) else "")
            for dish, value in now.items()
        )
        title = _("{prep}: on which plate?").format(prep=voice.name(par.item))
        chosen = await screen.app.push_screen_wait(AskWhich(title, rows))
    if chosen:
        screen.type_number(next(number for number in plates if number.on == chosen))
