"""A recipe made otherwise than it is written: in another piece of equipment, or with something else in it."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field
from msgspec.structs import replace

from prepboard.book.book import Prep


class Otherwise(Struct, frozen=True):
    """What takes the place of what in one run, by id."""

    instead: Mapping[str, str] = field(default_factory=dict)
    """Of goods and preps that the recipe uses."""
    places: Mapping[str, str] = field(default_factory=dict)
    """Of equipment that its steps name."""


AS_WRITTEN = Otherwise()


def made_otherwise(recipe: Prep, how: Otherwise) -> Prep:
    """The recipe as it is made then; itself where it is made as it is written."""
    if how == AS_WRITTEN:
        return recipe
    return replace(
        recipe,
        uses=tuple(replace(use, item=how.instead.get(use.item, use.item)) for use in recipe.uses),
        steps=tuple(
            replace(step, equipment=step.or_in) if _goes_into(step.or_in, step.equipment, how) else step
            for step in recipe.steps
        ),
    )


def _goes_into(or_in: str | None, equipment: str | None, how: Otherwise) -> bool:
    return or_in is not None and how.places.get(equipment or "") == or_in


def places_of(recipe: Prep, equipment: str) -> dict[str, str]:
    """What a run has to go into instead of what to be made in a piece of equipment; nothing where the book does not
    say that it may be."""
    return {step.equipment: equipment for step in recipe.steps if step.equipment and step.or_in == equipment}
