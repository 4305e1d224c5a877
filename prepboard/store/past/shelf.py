"""What is on the shelf of goods that a kitchen counts: the last count, what came since, less what runs took since."""

from __future__ import annotations

from fractions import Fraction

from prepboard.book.book import Book
from prepboard.store.file.times import instant_text
from prepboard.store.kitchen_file import KitchenFile

LAST = """
    SELECT goods, number, at, amount FROM goods_counted AS own WHERE kind = 'counted'
    AND number = (SELECT max(number) FROM goods_counted WHERE goods = own.goods AND kind = 'counted')"""


def on_the_shelf(file: KitchenFile, book: Book) -> dict[str, int]:
    """Goods that were counted -> what is there now, as bought, in millionths; never less than nothing. What plates take
    of goods is not known, so it is not taken off."""
    now = instant_text(file.clock.now())
    found = {}
    with file.looking() as db:
        for goods, number, at, amount in db.execute(LAST).fetchall():
            if goods not in book.goods:
                continue
            came = (
                "SELECT coalesce(sum(amount), 0) FROM goods_counted"
                " WHERE kind = 'delivered' AND goods = ? AND number > ?"
            )
            gone = "SELECT coalesce(sum(amount), 0) FROM goods_discarded WHERE goods = ? AND at > ?"
            runs = "SELECT prep, size FROM runs WHERE state != 'undone' AND started > ? AND started <= ?"
            there = (
                amount + db.execute(came, [goods, number]).fetchone()[0] - db.execute(gone, [goods, at]).fetchone()[0]
            )
            for prep, size in db.execute(runs, [at, now]):
                there -= _taken(book, prep, Fraction(size), goods)
            found[goods] = max(0, there)
    return found


def _taken(book: Book, prep: str, size: Fraction, goods: str) -> int:
    """What a run of this size takes of a good, as bought."""
    recipe = book.preps.get(prep)
    usable = sum(use.amount for use in recipe.uses if use.item == goods) if recipe else 0
    return -int(-usable * size // book.goods[goods].usable)
