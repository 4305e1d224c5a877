"""Asks for an amount; Enter alone takes what is offered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.pad import DIGITS
from prepboard.boards.questions.typed import Typed
from prepboard.book.amounts import Amount, Measure, read_amount
from prepboard.paper.text.saying import listed
from prepboard.texts import _, typed


class Given(Struct, frozen=True):
    """The answer: millionths, or None for "as offered"."""

    amount: int | None
    beside: Mapping[str, int] = {}
    """What was typed behind it, of what comes from the same pot."""


class AskAmount(Dialog[Given], keys="answer"):
    """`planned` is what Enter alone takes, in words ("": an amount must be typed). Of what comes from the same pot, the
    amounts `beside` may be typed behind it, divided by ";"."""

    def __init__(
        self,
        title: str,
        planned: str,
        measure: Measure,
        notes: Sequence[str] = (),
        *,
        why_planned: str = "",
        beside: Mapping[str, Measure] | None = None,
        typed: str = "",
    ) -> None:
        self._planned, self._measure, self._beside = planned, measure, beside or {}
        taken = (why_planned or _("Enter: {planned}, as planned.")).format(planned=planned) if planned else ""
        said, signs = [taken, _units(measure), *notes], [*DIGITS, ";"] if beside else DIGITS
        super().__init__(title, Typed(self._amount, offered=planned, typed=typed, notes=said, signs=signs))

    def _amount(self, text: str) -> Given:
        if not text and self._planned:
            return Given(None)
        first, *more = (part.strip() for part in text.split(";"))
        if len(more) > len(self._beside):
            raise ValueError(_("That is more than comes of it."))
        pairs = zip(self._beside.items(), more, strict=False)
        beside = {item: measure.millionths(read_amount(typed(part))) for (item, measure), part in pairs if part}
        as_offered = not first and self._planned
        return Given(None if as_offered else self._measure.millionths(read_amount(typed(first))), beside)


def _units(measure: Measure) -> str:
    if measure.containers:
        said = _("How many {units}? (or {containers})")
        return said.format(
            units=unit_name(measure.unit), containers=listed(f"1 {measure.one(name)}" for name in measure.containers)
        )
    return _("How many {units}?").format(units=unit_name(measure.unit))


def unit_name(unit: str) -> str:
    """A unit as people say it when they are asked for an amount: "litres"."""
    names = {
        "mg": _("milligrams"), "g": _("grams"), "kg": _("kilos"), "oz": _("ounces"), "lb": _("pounds"),
        "ml": _("millilitres"), "l": _("litres"), "tsp": _("teaspoons"), "tbsp": _("tablespoons"), "cup": _("cups"),
        "pint": _("pints"), "quart": _("quarts"), "gal": _("gallons"), "fl-oz": _("fluid ounces"), "each": _("pieces"),
    }  # fmt: skip
    return names.get(unit, unit)


class AskAnyAmount(Dialog[Amount], keys="answer"):
    """Asks for an amount of something whose unit nobody knows yet."""

    def __init__(self, title: str) -> None:
        notes = [_("Like 1.2 kg or 500 ml; a number alone is pieces.")]
        super().__init__(title, Typed(read_amount, notes=notes, signs=DIGITS))
