"""Goods from a spreadsheet: into the recipe book's own files, since the book is where goods are written down."""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation
from pathlib import Path

from prepboard.book.book import Book
from prepboard.book.reading.faults import Faults
from prepboard.book.reading.folder import texts_of
from prepboard.book.reading.goods_lines import new_goods, with_cost
from prepboard.book.reading.reader import read_texts
from prepboard.commands.given.reading import find
from prepboard.commands.tables.spreadsheet import Sheet
from prepboard.store.file.who import Refused
from prepboard.texts import _

NEW_GOODS = "goods-imported.toml"
_ID = re.compile(r"[a-z0-9][a-z0-9-]*")


def goods_into(folder: Path, sheet: Sheet) -> list[str]:
    """Takes over the costs of goods that the book has, and adds those that it does not have; answers the names of the
    files that changed. Faults, and nothing changed, when a line does not fit or the book would not be right."""
    before, faults = texts_of(folder)
    if faults:
        raise Faults(faults)
    book, after = read_texts(before), dict(before)
    for line, row in sheet.rows:
        try:
            _take_over(book, after, row)
        except Refused as fault:
            sheet.fault(line, str(fault))
    sheet.check()
    read_texts(after)
    changed = [name for name, text in after.items() if text != before.get(name)]
    for name in changed:
        _write(folder / name, after[name])
    return changed


def _take_over(book: Book, texts: dict[str, str], row: dict[str, str]) -> None:
    cost = _cost(row["cost"])
    goods = _known(book, row["goods"])
    if goods is None:
        texts[NEW_GOODS] = "\n".join(filter(None, (texts.get(NEW_GOODS, ""), _new(texts, row, cost))))
    elif cost is not None:
        name, text = _with_cost(texts, goods, cost)
        texts[name] = text


def _known(book: Book, word: str) -> str | None:
    if not word:
        raise Refused(_("goods is empty"))
    try:
        return find(word, book.goods, "goods")
    except Refused:
        if _ID.fullmatch(word):
            return None
        raise


def _with_cost(texts: dict[str, str], goods: str, cost: Decimal) -> tuple[str, str]:
    for name, text in texts.items():
        changed = with_cost(text, goods, cost)
        if changed is not None:
            return name, changed
    raise Refused(_("{goods} is written so that only a person can change its cost").format(goods=goods))


def _new(texts: dict[str, str], row: dict[str, str], cost: Decimal | None) -> str:
    if f"[goods.{row['goods']}]" in texts.get(NEW_GOODS, "").split("\n"):
        raise Refused(_("{goods} has a line already").format(goods=row["goods"]))
    if not row.get("unit"):
        raise Refused(_("{goods} is new to the book and needs a unit").format(goods=row["goods"]))
    allergens = [word.strip() for word in re.split(r"[;,]", row.get("allergens", "")) if word.strip()]
    values = {"name": row.get("name", ""), "unit": row["unit"], "cost": "" if cost is None else cost}
    return new_goods(row["goods"], {**values, **({"allergens": allergens} if allergens else {})})


def _cost(text: str) -> Decimal | None:
    if not text:
        return None
    try:
        cost = Decimal(text.replace(",", ".") if text.count(",") == 1 and "." not in text else text)
    except InvalidOperation:
        cost = Decimal(-1)
    if not 0 <= cost < 1_000_000 or not cost.is_finite():
        raise Refused(_("'{text}' is no cost").format(text=text))
    return cost


def _write(path: Path, text: str) -> None:
    """All of it or nothing: no reader ever finds half a file. Lines end as they did."""
    ends = "\r\n" if path.exists() and b"\r\n" in path.read_bytes() else "\n"
    part = path.with_name(f".{path.name}.part")
    part.write_text(text, encoding="utf-8", newline=ends)
    part.replace(path)
