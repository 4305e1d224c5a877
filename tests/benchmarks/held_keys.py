"""All keys of all boards, each held for five seconds at thirty a second: how many changes came of each.

python tests/benchmarks/held_keys.py [SECONDS]
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
import time
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from boards.at_a_station import ANOTHER, BOOK, KITCHEN, NOW
from boards.conftest import _until
from boards.test_held_keys import BOARDS, fill, hold, keys_of

from prepboard.boards.app.app import BoardApp
from prepboard.clock import FixedClock
from prepboard.store.actions.loading import load_book
from prepboard.store.kitchen_file import KitchenFile


def opened(folder: Path) -> KitchenFile:
    book = folder / "book"
    book.mkdir()
    (book / "kitchen.toml").write_text(KITCHEN, encoding="utf-8")
    (book / "book.toml").write_text(BOOK, encoding="utf-8")
    (folder / "shared").mkdir()
    file = KitchenFile.open(folder / "shared" / "kitchen.db", FixedClock(NOW), create=True, random=Random(1))
    load_book(file, ANOTHER, book)
    return fill(file)


async def main(seconds: float) -> None:
    for name, make in BOARDS.items():
        file, began = opened(Path(tempfile.mkdtemp())), time.process_time()
        board = make(file)
        async with BoardApp(board).run_test(size=(120, 36)) as pilot:
            found = await hold(pilot, _until, board, keys_of(name), seconds)
        told = ", ".join(f"{key} {n}" for key, n in found.items() if n)
        print(f"{name}: {len(found)} keys, {seconds:g} s each, {time.process_time() - began:.0f} s of processor")
        print(f"  changes: {told or 'none'}; keys with more than one: {[key for key, n in found.items() if n > 1]}")
        file.close()


if __name__ == "__main__":
    asyncio.run(main(float((sys.argv[1:] or ["5"])[0])))
