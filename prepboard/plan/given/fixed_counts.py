"""Counted: what of the fixed counts of a function is left to go out."""

from __future__ import annotations

from collections.abc import Mapping


def rest_of(counts: Mapping[str, int], out: Mapping[str, int], percent: int = 0) -> dict[str, int]:
    """Plates of each dish that are counted, as scaled for the sitting, and have not gone out; without those of which
    none is left."""
    rest = {dish: round(n * (100 + percent) / 100) - out.get(dish, 0) for dish, n in counts.items()}
    return {dish: n for dish, n in rest.items() if n > 0}
