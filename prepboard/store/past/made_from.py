"""By which book and recipe a batch was made, and what took whose place in it."""

from __future__ import annotations

import json

from prepboard.book.book import Book, Prep
from prepboard.store.kitchen_file import KitchenFile

RUN_OF = """
    SELECT runs.book, runs.prep, runs.instead FROM batches JOIN runs ON runs.code = batches.run
    WHERE batches.code = ?1"""
WHOLE_OF = "SELECT parent FROM batches WHERE code = ? AND parent IS NOT NULL"


def made_from(file: KitchenFile, batch: str) -> tuple[Book, Prep, dict[str, str]] | None:
    """Of a part that of the whole; None where no run gave it."""
    with file.looking() as db:
        found = db.execute(RUN_OF, [batch]).fetchone()
        while found is None and (whole := db.execute(WHOLE_OF, [batch]).fetchone()):
            batch = whole[0]
            found = db.execute(RUN_OF, [batch]).fetchone()
        if found is None:
            return None
        version, prep, instead = found
        book = file.book(db, version)
    recipe = book.preps.get(prep)
    return (book, recipe, json.loads(instead)) if recipe is not None else None
