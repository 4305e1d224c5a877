"""Asks which dish goes out, and how many plates: a number first, then letters or the cursor."""

from __future__ import annotations

from msgspec import Struct

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.pad import BACK, Pad
from prepboard.boards.questions.which import Choices, letters_typed
from prepboard.boards.widgets.row import Row
from prepboard.texts import _, some


class Plates(Struct, frozen=True):
    """So many plates of a row's dish; below nothing takes back a miscount."""

    dish: str
    n: int


class AskDish(Dialog[tuple[Plates, ...]], keys="answer"):
    """Digits typed before any letter say how many; a minus before them takes that many back. A plus goes on with
    another dish: all go out together. A course is a row too, of all its plates: it takes no number and goes out by
    itself, so that it is not there any more once a number or a plus was typed."""

    DEFAULT_CSS = """
    AskDish > #question { width: 76; }
    """

    def __init__(self, title: str, dishes: tuple[Row, ...], first: str = "", courses: tuple[Row, ...] = ()) -> None:
        self._dishes, self._courses = dishes, courses
        self._number = ""
        self._more: tuple[Plates, ...] = ()
        """What goes out together with the dish that is being chosen."""
        self._names: tuple[str, ...] = ()
        self.choices = Choices(
            (*courses, *dishes),
            answer=self._chosen,
            said=self._said,
            sign=self.take_sign,
            empty=_("No dish is on this service."),
            first=first,
        )
        super().__init__(title, Pad("1234567890-+", id="signs"), self.choices)

    @property
    def n(self) -> int:
        digits = self._number.removeprefix("-") or "1"
        return -int(digits) if self._number.startswith("-") else int(digits)

    def take_sign(self, sign: str) -> bool:
        """Digits and a minus are the number, as long as no letter is there; a plus keeps the row under the cursor."""
        if sign == "+":
            self.keep()
            return True
        if self.choices.letters:
            return False
        if sign == "backspace":
            self._number = self._number[:-1]
        elif (not self._number and sign == "-") or (sign.isascii() and sign.isdigit() and len(self._number) < 4):
            self._number += sign
        else:
            return False
        self._offer()
        self.choices.say()
        return True

    def _offer(self) -> None:
        """Courses are there to choose from as long as nothing but letters was typed; the cursor stays on its row."""
        choices = self.choices
        rows = self._dishes if self._number or self._more else (*self._courses, *self._dishes)
        if rows != choices.rows:
            first, here = choices.first, choices.here
            choices.rows, choices.first = rows, here.key if here else first
            choices.narrow(choices.letters)
            choices.first = first

    def keep(self) -> None:
        """Goes on with another dish; the one under the cursor goes out with it."""
        row = self.choices.here
        if row and row not in self._courses:
            self._more += (Plates(row.key, self.n),)
            self._names += (f"{self.n} {row.what}",)
            self._number = ""
            self._offer()
            self.choices.narrow("")

    def _said(self, letters: str) -> str:
        """How many go out, and what was typed."""
        if self._courses and not self._number and not self._more:
            said = _("a course goes out whole, of a dish 1 plate")
        elif self.n < 0:
            said = some("{n} plate comes off the count", "{n} plates come off the count", -self.n)
        else:
            said = some("{n} plate goes out", "{n} plates go out", self.n)
        kept = _("{dishes}, and ").format(dishes=", ".join(self._names)) if self._names else ""
        return f"{kept}{said}; {letters_typed(letters)}"

    def on_pad_sign_tapped(self, event: Pad.SignTapped) -> None:
        event.stop()
        if event.sign == BACK:
            self.choices.take_back()
        else:
            self.take_sign(event.sign)

    def _chosen(self, row: Row) -> tuple[Plates, ...]:
        return (*self._more, Plates(row.key, self.n))
