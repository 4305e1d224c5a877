"""On whose word food keeps longer than its rule book says, or is asked for less: as a book writes it down."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Literal

from msgspec import Struct


class Evidence(Struct, frozen=True, gc=False):
    """Why food needs no date mark: what was measured, when and by whom. `cold` says whether the figures, by the rule
    book's own table, lift the cold as well."""

    why: str
    on: date
    by: str
    ph: Fraction | None = None
    aw: Fraction | None = None
    cold: bool = False


class Parasites(Struct, frozen=True, gc=False):
    """Why nobody need ask of fish whether it was frozen against parasites, and on whose word."""

    how: Literal["frozen", "farmed", "species", "cooked"]
    by: str
    on: date


class Plan(Struct, frozen=True, gc=False):
    """The kitchen's own plan for keeping food safe, as the authority knows it."""

    number: str
    by: str
    """Who approved it."""
    on: date
