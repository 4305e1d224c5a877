"""Allergens for the floor: every dish that is offered, and what is on its plate, on one sheet."""

from __future__ import annotations

from prepboard.paper.text.contains import in_dish, unlisted
from prepboard.paper.text.heading import Section
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.saying import Voice, listed
from prepboard.paper.text.shape import Json
from prepboard.plan.given.state import State
from prepboard.texts import _


def as_objects(state: State, voice: Voice) -> list[Json]:
    """One object a dish; `not_stated` are things on it of which the book states nothing at all."""
    return [
        {
            "dish": dish,
            "name": voice.name(dish),
            "allergens": list(in_dish(state, dish)),
            "not_stated": [voice.name(item) for item in unlisted(state, dish)],
        }
        for dish in state.book.dishes
    ]


def allergens(state: State, voice: Voice, width: int) -> Section:
    """What each dish holds, in the order of the law, and what nobody stated."""
    rows = []
    for dish in state.book.dishes:
        unknown = unlisted(state, dish)
        names = listed(_(name) for name in in_dish(state, dish)) or _("none stated")
        more = (_("nothing stated of {items}").format(items=listed(voice.name(item) for item in unknown)),)
        rows.append(Row((voice.name(dish), names), more if unknown else ()))
    said = _("As the book and the batches on hand have it; check the packets, and ask before you promise.")
    return [
        "",
        *section(_("ALLERGENS"), table(rows, "<<", width), _("No dish."), width),
        "",
        *paragraph(said, width, 1),
    ]
