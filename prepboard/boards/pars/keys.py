"""What the keys of the sous chef's board do with the line under the cursor."""

from __future__ import annotations

from datetime import date

from prepboard.boards.acts.desk import Desk
from prepboard.boards.acts.handover import write_note
from prepboard.boards.pars import saving
from prepboard.boards.pars.adding import add_sitting
from prepboard.boards.pars.history import dishes_of, new_recipe, special_day
from prepboard.boards.pars.moving import move_sitting
from prepboard.boards.pars.rows import PARS, runs_for
from prepboard.boards.pars.saving_words import to_open
from prepboard.boards.pars.typed_numbers import NumbersBoard, TypedNumbers
from prepboard.boards.pars.view import Lists, number_of
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.columns import ColumnRow
from prepboard.boards.widgets.number_list import NumberList
from prepboard.boards.widgets.row import Row
from prepboard.plan.board import Board
from prepboard.plan.changing.drafts import in_force, set_to
from prepboard.plan.given.guests import Guests
from prepboard.plan.given.numbers import Number
from prepboard.plan.given.state import Sitting
from prepboard.plan.shown.lines import MakeLine
from prepboard.texts import _

PAGES: tuple[Lists, ...] = ("pars", "dishes", "today")
"""What the middle list shows, one after the other."""


class ParsKeys:
    """What the keys do; the lists are the board's."""

    def __init__(self, screen: NumbersBoard, typed: TypedNumbers) -> None:
        self.screen, self.typed = screen, typed

    @property
    def here(self) -> ColumnRow | None:
        """The row under the cursor."""
        focused = self.screen.focused
        row = focused.row if isinstance(focused, NumberList) else None
        return row if isinstance(row, ColumnRow) else None

    def _number(self, kind: str = "") -> Number | None:
        return number_of(self.here, kind, self.screen.sitting, self._made_on)

    @property
    def _made_on(self) -> date | None:
        """The business day on which the prep of this line would be made."""
        if self.typed.preview is None:
            return None
        line, days = self._line_here(), self.typed.preview.state.book.kitchen.days
        return days.business_day(max(line.begins, self.typed.preview.now) if line else self.typed.preview.now)

    def action_type_number(self, sign: str = "") -> None:
        if self.screen.entry.open:
            self.screen.entry.type(sign)
        else:
            self.typed.type_number(self._number(), sign)

    def action_by_hand(self) -> None:
        self.typed.type_number(self._number())

    def action_percent(self) -> None:
        self.typed.type_number(self._number("percent"))

    def action_count(self) -> None:
        self.typed.type_number(self._number("count"))

    def action_standing(self) -> None:
        self.typed.type_number(self._number("standing par"))

    def action_weekday(self) -> None:
        self.typed.type_number(self._number("weekday par"))

    def action_give(self) -> None:
        self.typed.type_number(self._number("given"))

    def action_portion(self) -> None:
        self.screen.ask(self._portion())

    async def _portion(self) -> None:
        if self.typed.preview is not None:
            portion = await which_portion(self.screen.desk, self.typed.preview, self._number(), self.screen.sitting)
            if portion:
                self.typed.type_number(portion)

    def action_add(self) -> None:
        if self.screen.sitting and self.typed.preview:
            self.screen.ask(add_sitting(self.screen.desk, self.typed.preview, self.screen.sitting))

    def action_move(self) -> None:
        if self.screen.sitting and self.screen.sitting[0] and self.typed.preview:
            self.screen.ask(move_sitting(self.screen.desk, self.typed.preview, self.screen.sitting))

    def action_note(self) -> None:
        if self.screen.board is not None:
            sitting = Guests(self.screen.sitting).whom if self.screen.sitting and self.screen.sitting[0] else None
            self.screen.ask(write_note(self.screen.desk, self.screen.board, sitting))

    def action_off(self) -> None:
        """Cancels a sitting or takes a dish off, for which it asks why; the other way round, at once."""
        number = self._number()
        if self.screen.board is None or self.typed.preview is None:
            return
        if self.here and self.screen.list_of("services").has_focus and self.screen.sitting:
            number = Number("cancelled", self.screen.sitting) if self.screen.sitting[0] else None
        elif number and number.of == "mix":
            number = self._number("off")
        else:
            number = None
        if number is None:
            self.screen.tell(_("That is for a service, or for a dish (their page is to the right)."))
        elif set_to(self.typed.preview.state, number) is not None:
            self.typed.set_at_once(number, self.screen.board.state, None)
        elif number.of == "cancelled":
            self.typed.set_at_once(number, self.screen.board.state, 1)
        else:
            self.typed.type_number(number)

    def action_free(self) -> None:
        """Back to booked, computed, or the book's."""
        if self.screen.board is None:
            return
        before = self.typed.drafting.draft
        for kind in ("", "count", "standing par", "weekday par"):
            number = self._number(kind)
            if number and self.typed.drafting.draft == before:
                self.typed.drafting.free([number], self.screen.board.state)
        if self.typed.drafting.draft == before:
            self.screen.tell(_("Nothing was set by hand here."))
        self.typed.draft_changed()

    def action_mix(self) -> None:
        self.screen.switch_to("dishes")

    def action_today(self) -> None:
        self.screen.switch_to("today")

    def action_look(self) -> None:
        """The recipe for the run of this line, and why this much."""
        line = self._line_here()
        if line is None or self.typed.preview is None:
            self.screen.tell(_("Nothing is to be made for this line."))
            return
        from prepboard.boards.pages.line_read import Look

        self.screen.app.push_screen(Look(self.typed.preview, line))

    def action_order(self) -> None:
        """What to buy, as things stand with what is typed."""
        from prepboard.boards.pages.order_page import OrderPage

        if self.typed.preview is not None:
            self.screen.app.push_screen(OrderPage(self.screen.file, self.typed.preview))

    def action_save(self) -> None:
        """Saves what is typed; with nothing typed, a menu of what can be done with this line."""
        if self.screen.board is None:
            return
        self.screen.ask(saving.save(self.typed) if self.typed.drafting.draft else self._choose())

    def action_as_it_was(self) -> None:
        self.typed.drop()

    def action_menu(self) -> None:
        """What can be done with this line, also while something is typed."""
        if self.screen.board is not None:
            self.screen.ask(self._choose())

    def action_next_page(self) -> None:
        self._turn(1)

    def action_last_page(self) -> None:
        self._turn(-1)

    def _turn(self, by: int) -> None:
        self.screen.switch_to(PAGES[(PAGES.index(self.screen.which) + by) % len(PAGES)])

    async def _choose(self) -> None:
        from prepboard.boards.pars.menus import MENUS, Menu

        row, number = self.here, self._number()
        if (
            number is None
            and self.screen.sitting
            and self.screen.sitting[0]
            and self.screen.list_of("services").has_focus
        ):
            number = Number("cancelled", self.screen.sitting)
        if row is None or number is None or number.of not in MENUS:
            self.screen.tell(_("Go to a line first; the menu is about the line under the cursor."))
            return
        action: str | None = await self.screen.app.push_screen_wait(Menu(row.what, number.of))
        if action:
            await self.screen.run_action(action)

    def action_changes(self) -> None:
        """All that would change, where the list below has no room for it."""
        from prepboard.boards.pars.changes_page import Changes

        if self.typed.before is None or self.typed.preview is None or not self.typed.drafting.draft:
            self.screen.tell(_("Nothing is typed, so nothing would change."))
            return
        lines = to_open(self.typed.before, self.typed.preview, self.screen.sitting)
        self.screen.app.push_screen(Changes(_("IF YOU SAVE"), self.typed.preview, lines, agree=False))

    def action_chart(self) -> None:
        """What the dishes of this line sold lately."""
        dishes = dishes_of(self.typed.preview, self._number(), self.screen.sitting) if self.typed.preview else ()
        if self.typed.preview is None or not dishes:
            self.screen.tell(_("That is for a dish, or for a prep on a plate."))
            return
        from prepboard.boards.pages.sales import Sales

        self.screen.app.push_screen(Sales(self.typed.preview, dishes))

    def action_new_recipe(self) -> None:
        dishes = dishes_of(self.typed.preview, self._number(), self.screen.sitting) if self.typed.preview else ()
        if dishes and self.typed.preview:
            self.screen.ask(new_recipe(self.screen.desk, self.typed.preview, dishes))
        else:
            self.screen.tell(_("That is for a dish, or for a prep on a plate."))

    def action_special(self) -> None:
        if self.screen.sitting and self.screen.sitting[0] and self.screen.board:
            self.screen.ask(special_day(self.screen.desk, self.screen.board, self.screen.sitting))

    def _line_here(self) -> MakeLine | None:
        if self.typed.preview is None or self.here is None:
            return None
        number = self.here.number
        for par in self.typed.preview.pars if number and number.of in PARS else ():
            if number and (par.prep, (par.service, par.day)) == (number.item, self.screen.sitting):
                return next(iter(runs_for(self.typed.preview, par)), None)
        return next((line for line in self.typed.preview.make if str(line.line) == self.here.key), None)


async def which_portion(desk: Desk, board: Board, par: Number | None, sitting: Sitting | None) -> Number | None:
    """The portion of a prep that changes; asks of which dish, where it is on several plates."""
    if par is None or par.of not in PARS or sitting is None:
        desk.tell(_("That is for a par: a prep on a plate."))
        return None
    voice = voice_of(board)
    plates = [
        Number("portion", item=par.item, day=sitting[1], on=dish.id)
        for dish in board.state.book.dishes.values()
        if par.item in dish.plate and sitting[0] in dish.services
    ]
    if not plates:
        desk.tell(_("{prep} is on no plate of this service.").format(prep=voice.name(par.item)))
        return None
    chosen: str | None = plates[0].on
    if len(plates) > 1:
        now = {number.on: in_force(board.state, number) for number in plates}
        rows = tuple(
            Row(dish, what=voice.name(dish), amount=voice.amount(par.item, value) if isinstance(value, int) else "")
            for dish, value in now.items()
        )
        title = _("{prep}: on which plate?").format(prep=voice.name(par.item))
        chosen = await desk.app.push_screen_wait(AskWhich(title, rows))
    return next((number for number in plates if number.on == chosen), None)
