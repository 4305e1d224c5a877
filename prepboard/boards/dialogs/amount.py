"""Asks how much was really made; Enter alone takes what was planned."""

from __future__ import annotations

from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from prepboard.boards.dialogs.dialog import Dialog
from prepboard.book.amounts import AmountFault, Measure, read_amount
from prepboard.texts import _


@dataclass(frozen=True, slots=True)
class Given:
    """The answer: millionths, or None for "as planned"."""

    amount: int | None


class AskAmount(Dialog[Given]):
    """`planned` is the amount in words, `beside` what comes out of the same run, in words."""

    def __init__(self, name: str, planned: str, measure: Measure, beside: str = "") -> None:
        super().__init__()
        self._name, self._planned, self._measure, self._beside = name, planned, measure, beside

    def compose(self) -> ComposeResult:
        with Vertical(id="question"):
            yield Static(Content(_("{prep}: how much is there?").format(prep=self._name)), classes="title")
            yield Input(placeholder=self._planned, compact=True)
            yield Static(Content(""), classes="fault")
            said = _("Enter: {planned}, as planned. A bare number is in {unit}.")
            yield Static(Content(said.format(planned=self._planned, unit=self._measure.unit)), classes="quiet")
            if self._beside:
                yield Static(Content(self._beside))
            yield Static(Content(_("esc leaves it")), classes="quiet")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Takes the amount, or says what is wrong with it."""
        text = event.value.strip()
        if not text:
            self.dismiss(Given(None))
            return
        try:
            self.dismiss(Given(self._measure.millionths(read_amount(text))))
        except AmountFault as fault:
            self.query_one(".fault", Static).update(Content(str(fault)))
