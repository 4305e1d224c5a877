"""Which language a reader reads: what they asked for, else their own, else their bench's, else the kitchen's."""

from __future__ import annotations

from collections.abc import Sequence

from prepboard.book.book import Book


def language_of(book: Book, asked: str = "", by: str = "", stations: Sequence[str] = ()) -> str:
    """The language for whoever asked for one, or is called by these initials, or stands at these benches (ids of the
    book); several benches in one board count where they agree."""
    if asked:
        return asked
    for initials, person in book.people.items():
        if by and person.language and by.casefold() in (initials.casefold(), person.initials.casefold()):
            return person.language
    of_benches = {book.stations[station].language for station in stations if station in book.stations}
    if len(of_benches) == 1 and (own := of_benches.pop()):
        return own
    return book.kitchen.language
