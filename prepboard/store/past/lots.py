"""Which lots of which goods are in a batch, however far down; what came from another kitchen has its own list."""

from __future__ import annotations

from collections.abc import Callable

from prepboard.book.book import Book
from prepboard.store.past.reach import Reach
from prepboard.store.read.came import lots_that_came

TYPED = "SELECT goods, lot FROM run_lots WHERE run = ?"


def lots_in(reach: Reach, code: str, book_of: Callable[[int], Book]) -> tuple[tuple[str, str], ...]:
    """(goods, lot) of all that went in, each once, in order; the lot is "" where nobody wrote it down."""
    found: set[tuple[str, str]] = set()
    seen: set[str] = set()
    ahead = [code]
    while ahead:
        batch = ahead.pop()
        row = reach.batch(batch)
        if row is None or batch in seen:
            continue
        seen.add(batch)
        if row["pack"]:
            found.add((row["prep"], row["lot"]))
            continue
        for lots in lots_that_came(reach.db, batch):
            found.update(lots)
        ahead += [row["parent"]] if row["parent"] else []
        for run in reach.runs_of(batch):
            used = [source for source, _amount in reach.used_by(run)]
            ahead += used
            found |= _without_packs(reach, run, used, book_of)
    return tuple(sorted(found))


def _without_packs(reach: Reach, run: str, used: list[str], book_of: Callable[[int], Book]) -> set[tuple[str, str]]:
    """The goods of a run's recipe of which no pack is on record, by the lot that was typed later."""
    row = reach.run(run)
    book, instead = book_of(row["book"]), reach.instead(run)
    typed = {one["goods"]: one["lot"] for one in reach.rows(TYPED, run)}
    packs = {found["prep"] for code in used if (found := reach.batch(code)) and found["pack"]}
    recipe = book.preps[row["prep"]]
    named = {instead.get(use.item, use.item) for use in (*recipe.uses, *recipe.takes_if_there)}
    return {(item, typed.get(item, "")) for item in named if item in book.goods and item not in packs}
