"""Which food needs temperature control: all that is neither stable, sealed nor exempt from cold; raw food too."""

from __future__ import annotations

from prepboard.book.book import Book


def needs_control(book: Book, item: str, *, pack: bool = False) -> bool:
    """Of a prep, or of goods once opened; what the book does not know needs it."""
    if not pack and item in book.preps:
        prep = book.preps[item]
        return not prep.stable and not prep.exempt
    if item in book.goods:
        goods = book.goods[item]
        return goods.stable in ("", "sealed") and not (goods.exempt is not None and goods.exempt.cold)
    return True
