"""Tracing: a batch's whole way, from the goods that it was made of to the plates that it went out on."""

from __future__ import annotations

import json
from datetime import date, datetime
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from prepboard.book.book import Book
from prepboard.store.file.times import day_or_none, instant, instant_or_none
from prepboard.store.file.who import Refused
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.reach import Reach, Row
from prepboard.store.read.live_batches import WITHDRAWN
from prepboard.texts import _, as_kept, told

Way = Literal["made from", "went into"]

DEEPEST = 100
"""Links below one another; beyond it what follows is listed flat, nothing is left out."""


class Link(Struct, frozen=True):
    """One thing on a batch's way: a "batch", opened goods too; "goods" of which no pack was opened; a "run" that gave
    nothing (yet); a "dish"; what was "gone" or "discarded"; what was "sent" to another kitchen or "came" from one
    (`name` its id, `why` the note, of what came `code` the one it has there).

    `amount` is what went from the one into the other, in millionths of the food that was taken; None where nobody
    measured it. A batch that stands higher up already is `seen`: its own links are there.
    """

    kind: Literal["batch", "goods", "run", "dish", "gone", "discarded", "sent", "came"]
    code: str = ""
    item: str = ""
    name: str = ""
    unit: str = ""
    amount: int | None = None
    lot: str = ""
    made_at: datetime | None = None
    use_by: datetime | None = None
    blocked: str = ""
    run: str = ""
    service: str = ""
    day: date | None = None
    plates: int = 0
    why: str = ""
    seen: bool = False
    links: tuple[Link, ...] = ()


class Trace(Struct, frozen=True):
    batch: Link
    made_from: tuple[Link, ...]
    went_into: tuple[Link, ...]


def trace(file: KitchenFile, code: str) -> Trace:
    """A batch's way to both ends, whether or not anything is left of it. Refused for a code that no batch ever had."""
    with file.looking() as db:
        tracer = _Tracer(Reach(db), file)
        row = tracer.reach.batch(code.upper())
        if row is None:
            raise Refused(_("there is no batch {batch}").format(batch=code))
        own = _batch(row, None)
        return Trace(own, tracer.way(row, "made from"), tracer.way(row, "went into"))


class _Tracer:
    """Follows one way; every batch is opened once, where it comes first."""

    def __init__(self, reach: Reach, file: KitchenFile) -> None:
        self.reach, self.file = reach, file
        self._seen: set[str] = set()

    def way(self, row: Row, way: Way) -> tuple[Link, ...]:
        self._seen = {row["code"]}
        return self._links(row["code"], way, 0)

    def _links(self, code: str, way: Way, depth: int) -> tuple[Link, ...]:
        if depth >= DEEPEST:
            return tuple(self._flat(code, way))
        return tuple(self._opened(link, way, depth) for link in self._next(code, way))

    def _opened(self, link: Link, way: Way, depth: int) -> Link:
        if link.kind != "batch":
            return link
        if link.code in self._seen:
            return replace(link, seen=True)
        self._seen.add(link.code)
        return replace(link, links=self._links(link.code, way, depth + 1))

    def _flat(self, code: str, way: Way) -> list[Link]:
        found: list[Link] = []
        ahead = [code]
        while ahead:
            for link in self._next(ahead.pop(), way):
                if link.kind == "batch" and link.code not in self._seen:
                    self._seen.add(link.code)
                    ahead.append(link.code)
                found.append(link)
        return found

    def _next(self, code: str, way: Way) -> list[Link]:
        return self._sources(code) if way == "made from" else self._uses(code)

    def _sources(self, code: str) -> list[Link]:
        row = self.reach.batch(code)
        whole = self.reach.batch(row["parent"]) if row and row["parent"] else None
        links = [_batch(whole, None)] if whole else []
        links += self._came(code)
        for run in self.reach.runs_of(code):
            packs: set[str] = set()
            for source, amount in self.reach.used_by(run):
                found = self.reach.batch(source)
                if found:
                    packs |= {found["prep"]} if found["pack"] else set()
                    links.append(_batch(found, None if found["pack"] else amount, run))
            links += self._goods(run, packs)
        return links

    def _came(self, code: str) -> list[Link]:
        """The kitchen that a batch came from, and the lots of goods that it was made of there."""
        came = self.reach.came(code)
        if came is None:
            return []
        lots = tuple(Link("goods", item=item, lot=lot) for item, lot in json.loads(came["lots"]))
        return [Link("came", came["code"], name=came["sender"], why=came["note"], links=lots)]

    def _goods(self, run: str, packs: set[str]) -> list[Link]:
        """The goods of a run's recipe of which no pack was opened: nobody wrote their lot down."""
        row = self.reach.run(run)
        book: Book = self.file.book(self.reach.db, row["book"])
        instead = self.reach.instead(run)
        used = [instead.get(use.item, use.item) for use in book.preps[row["prep"]].uses]
        names = (item for item in dict.fromkeys(used) if item in book.goods and item not in packs)
        return [Link("goods", item=item, run=run) for item in names]

    def _uses(self, code: str) -> list[Link]:
        links = [_batch(part, None) for part in map(self.reach.batch, self.reach.parts_of(code)) if part]
        own = self.reach.batch(code)
        measured = own is not None and not own["pack"]
        for run, amount in self.reach.used_in(code):
            taken = amount if measured else None
            made = [batch for batch in map(self.reach.batch, self.reach.made_by(run)) if batch]
            links += [_of(_batch(batch, taken, run), own) for batch in made]
            if not made:
                row = self.reach.run(run)
                links.append(_of(Link("run", run, row["prep"], amount=taken, run=run, why=row["state"]), own))
        for plates in self.reach.plated(code):
            day = day_or_none(plates["day"])
            links.append(Link("dish", item=plates["dish"], service=plates["service"], day=day, plates=plates["n"]))
        for away in self.reach.away(code):
            if away["kind"] == "sent":
                to = self.reach.sent_to(away["why"], code)
                links.append(_of(Link("sent", name=to, amount=away["amount"], why=away["why"]), own))
                continue
            kind: Literal["gone", "discarded"] = "gone" if away["kind"] == "gone" else "discarded"
            links.append(_of(Link(kind, amount=away["amount"], why=away["why"]), own))
        return links


def _batch(row: Row, amount: int | None, run: str = "") -> Link:
    return Link(
        "batch",
        row["code"],
        row["prep"],
        told(row["name"]),
        row["unit"],
        amount,
        row["lot"],
        instant(row["made_at"]),
        instant_or_none(row["use_by"]),
        told(as_kept(row["blocked"], WITHDRAWN)),
        run,
    )


def _of(link: Link, own: Row | None) -> Link:
    """The amount is one of what was taken, so it has its unit."""
    return replace(link, unit=own["unit"] if own else "")
