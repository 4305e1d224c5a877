"""What needs no cold: a closed list, each with its words for a label. FDA Food Code 2022, 1-201.10: food that does not
support pathogens is no time/temperature control for safety food; which things these are is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

GOODS: Mapping[str, str] = {
    "dry": "dry goods",
    "whole produce": "whole raw produce",
    "preserve": "oil, vinegar, wine, honey or mustard",
    "sealed": "sealed",
    "shell eggs": "shell eggs",
}
"""Of goods only; what is sealed is ordinary once it is opened, and shell eggs only where the code lets them stand."""

PREPS: Mapping[str, str] = {
    "bread": "bread",
    "crisp": "biscuit or crisp",
    "cake": "unfilled cake",
    "meringue": "meringue",
    "roasted nuts": "roasted nuts",
    "sugar work": "sugar work",
    "dried": "dried",
    "fat": "fat without water",
}

DRY_HEAT = frozenset({"bread", "crisp", "cake", "meringue", "roasted nuts", "sugar work"})
"""These need a step at 90 °C or more, and nothing that needs cold after it begins. The figure is common practice."""
