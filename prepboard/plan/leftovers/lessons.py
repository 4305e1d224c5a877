"""Lessons: what the waste of a stretch of time says to change, and at what risk, from what really happened to each
batch. Nothing is supposed: a batch that went whole would have been short by whatever less there had been of it.

Two things can be changed. A smaller par: each batch's run would have given that much less; what it saves is what would
not have been thrown away, its risk the batches that would have been short. Smaller sizes: what even the smallest
allowed run left over, and what half of that size would have. One in ten batches short is as far as it goes, and fewer
than five batches say nothing (both common practice, no source).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.plan.given.past import Gone, Past
from prepboard.plan.leftovers.waste import UNNEEDED, over_by_size
from prepboard.plan.runs.costs import cost_of

LEAST_BATCHES = 5
SHORT_AT_MOST = 10
"""One batch in so many may come out short."""


class SmallerPar(Struct, frozen=True):
    """A par smaller by `by` would have saved `saved` over `batches`, and left `short` of them short."""

    item: str
    by: int
    saved: int
    cost: Fraction
    batches: int
    short: int


class SmallerSizes(Struct, frozen=True):
    """Made beyond the need because of recipe size: `over`; sizes of half of it would have left `saved` less."""

    item: str
    over: int
    saved: int
    cost: Fraction
    """Of what would have been saved."""


Lesson = SmallerPar | SmallerSizes


def lessons(book: Book, past: Past, station: str = "") -> tuple[Lesson, ...]:
    """What to change, the most money first; without a known price nothing is said. Of one station where it is named."""
    thrown = _thrown(past.gone, station)
    found: list[Lesson] = []
    for item, of in thrown.items():
        made = sum(1 for run in past.runs if not run.lost and run.outputs.get(item) and station in ("", run.station))
        found += filter(None, (_smaller_par(book, item, of, made), _smaller_sizes(book, item, of)))
    return tuple(sorted((one for one in found if one.cost > 0), key=lambda one: (-one.cost, one.item)))


def _thrown(gone: Iterable[Gone], station: str) -> Mapping[str, Mapping[str, tuple[Gone, int]]]:
    """By item, by batch: one entry of it, and all that was thrown away of it since nobody needed it."""
    found: dict[str, dict[str, tuple[Gone, int]]] = defaultdict(dict)
    for one in gone:
        needless = one.kind == "discard" and one.reason in UNNEEDED and one.run
        if needless and one.run and one.item in one.run.recipe.driven_by and station in ("", one.station):
            before = found[one.item].get(one.batch, (one, 0))[1]
            found[one.item][one.batch] = one, before + one.amount
    return found


def _smaller_par(book: Book, item: str, of: Mapping[str, tuple[Gone, int]], made: int) -> SmallerPar | None:
    """The largest step down that leaves at most one batch in `SHORT_AT_MOST` short. What sizes cost is no par's."""
    batches = max(made, len(of))
    if batches < LEAST_BATCHES:
        return None
    left = sorted([0] * (batches - len(of)) + [amount - _over(one, amount) for one, amount in of.values()])
    by = left[batches // SHORT_AT_MOST]
    saved = sum(min(by, amount) for amount in left)
    short = sum(amount < by for amount in left)
    return SmallerPar(item, by, saved, cost_of(book, item, saved) or Fraction(0), batches, short) if by else None


def _smaller_sizes(book: Book, item: str, of: Mapping[str, tuple[Gone, int]]) -> SmallerSizes | None:
    over = sum(_over(one, amount) for one, amount in of.values())
    saved = over - sum(_over(one, amount, half=True) for one, amount in of.values())
    return SmallerSizes(item, over, saved, cost_of(book, item, saved) or Fraction(0)) if saved > 0 else None


def _over(one: Gone, thrown: int, *, half: bool = False) -> int:
    """How much of what was thrown away of a batch even the smallest run that covers what was used would leave."""
    if one.run is None:
        return 0
    recipe = one.run.recipe
    if half:
        sizes = recipe.sizes
        recipe = replace(recipe, sizes=replace(sizes, smallest=sizes.smallest / 2, step=sizes.step / 2))
    return over_by_size(recipe, one.item, one.made, thrown)
