"""A key of a book in words, and what is said alike of many of them."""

from __future__ import annotations

from msgspec import Struct


class Key(Struct, frozen=True):
    """One key. `beside` is what a recipe or an entry must say too, so that the example alone is no fault."""

    means: str
    written: str
    default: str
    example: str
    beside: str = ""


TEXT, YES = "text", "true or false"
SAID = "text, or a text by language"
DURATION = "a duration: 30 s, 45 min, 1 h 30 min, 2 days"
AMOUNT = "an amount: 1.2 kg, 2.5 l, 13½ each"
CLOCK = 'a time: "17:30"'
DAY = 'a date: "2026-12-25"'
PART, CHANCE = "0 to 1", "between 0 and 1"
DEGREES = "degrees C or F"
WAS = Key(
    "The id that it had before. What hangs on that one stays with it: batches, pars, plates, what history learned.",
    "an id that is gone", "none", 'was = "old-name"',
)  # fmt: skip
PLAN = 'approved_plan = { number = "HACCP 7", by = "City food office", on = "2026-03-02" }'
EVIDENCE = 'exempt = { why = "acid", measured = "pH 3.6", on = "2026-09-02", by = "LM" }'
PARASITES = 'parasites = { how = "frozen", by = "Quayside Fish", on = "2026-09-02" }'
NOTE = Key("Said wherever the entry is opened.", SAID, "none", 'note = "Skim twice."')
