"""Which numbers of a rule book prepboard holds food to, and where. What is not here is told with the code for people to
keep by themselves; a kitchen that wants to change it in its book is told that it would change nothing."""

from __future__ import annotations

from collections.abc import Mapping

CHECKED: Mapping[str, str] = {
    "hot_holding": "hot places, hot food, and where a cooling begins",
    "cold_holding": "cold places and cold food",
    "cold_holding_cooked": "food that was cooked and cooled",
    "frozen_storage": "freezers",
    "cooling_first": "the first stage of a cooling",
    "cooling_first_to": "the first stage of a cooling",
    "cooling_second": "the second stage of a cooling",
    "cooling_total": "a whole cooling",
    "cooling_to": "a whole cooling",
    "cooling_from_ambient": "food made without heat that cools",
    "cook_core": "every `core` of a recipe",
    "cook_whole": "a `core` of fish and whole cuts",
    "cook_ground": "a `core` of ground meat and pooled eggs",
    "cook_poultry": "a `core` of poultry and stuffed food",
    "reheat": "food brought from the cold into the hot",
    "reheat_within": "food brought from the cold into the hot",
    "date_mark": "the days of food that is eaten as it is",
    "time_control": "food out of temperature control",
    "time_control_cold": "cold food out of temperature control",
    "time_control_cold_limit": "cold food out of temperature control",
    "time_control_return": "food that goes back into the cold",
    "thawed_goods": "goods frozen before their maker's date",
    "parasites_frozen_to": "fish that no step of the book cooks",
    "parasites_frozen_for": "fish that no step of the book cooks",
    "reduced_oxygen_cook_chill": "the days of what is packed without oxygen",
    "reduced_oxygen_short": "what is packed without oxygen and without an approved plan",
}
"""By the key of a rule book: what is held to it."""
