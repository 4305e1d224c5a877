"""How often something goes wrong inside: of 10,000 books, 5,000 tables, 10,000 command lines, 500 damaged files.

Prints each kind of thing that went wrong with the first that showed it. Run it by hand:
PYTHONPATH=. python tests/benchmarks/anything.py [--books 10000] [--tables 5000] [--lines 10000] [--seed 1]
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable
from itertools import islice
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from commands.conftest import BOOK, NOW, Typed
from commands.test_anything import CELLS, IMPORTS, WORDS
from mutating import books, command_lines, filled, flipped, look_at, read, run, tables

from prepboard.resources import fixtures_folder

AFRESH = 500
"""Command lines after which the kitchen is what it was."""


def tell(what: str, n: int, found: Iterable[tuple[str, object]], began: float) -> None:
    counted: Counter[str] = Counter()
    first: dict[str, object] = {}
    for said, by in found:
        kind = said[:100]
        counted[kind] += 1
        if first.setdefault(kind, by) is by:
            print(f"  {kind}\n      {str(by)[:300]!r}", flush=True)
    print(f"{what}: {counted.total()} of {n} went wrong inside ({time.monotonic() - began:.0f} s)", flush=True)
    for kind, times in counted.most_common(20):
        print(f"  {times} x {kind}", flush=True)


def main() -> None:
    asked = argparse.ArgumentParser()
    for name, n in (("books", 10_000), ("tables", 5_000), ("lines", 10_000), ("files", 500), ("seed", 1)):
        asked.add_argument(f"--{name}", type=int, default=n)
    wanted = asked.parse_args()
    print(f"seed {wanted.seed}")
    texts = {path.name: path.read_text("utf-8") for path in (fixtures_folder() / "demo").rglob("*.toml")}
    began = time.monotonic()
    drawn = islice(books(texts, Random(wanted.seed)), wanted.books)
    tell("books", wanted.books, ((said, changed(texts, book)) for book in drawn if (said := read(book))), began)
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        (here / "kitchen.toml").write_text(BOOK, encoding="utf-8")
        Typed(here).done("load", folder)
        shutil.copy(here / "kitchen.db", here / "first.db")
        began = time.monotonic()
        tell("tables", wanted.tables, of_tables(here, wanted.seed, wanted.tables), began)
        began = time.monotonic()
        tell("command lines", wanted.lines, of_lines(here, wanted.seed, wanted.lines), began)
        began = time.monotonic()
        shutil.copy(here / "first.db", here / "kitchen.db")
        tell("files with a bit turned over", wanted.files, of_files(here, wanted.seed, wanted.files), began)


def changed(texts: dict[str, str], book: dict[str, str]) -> list[str]:
    """The lines that are not in the book as it was."""
    return [line for name in book for line in book[name].splitlines() if line not in texts[name].splitlines()][:4]


def of_tables(here: Path, seed: int, n: int) -> Iterable[tuple[str, object]]:
    for words, columns in IMPORTS.items():
        for held in islice(tables(Random(seed), columns, CELLS), n // len(IMPORTS)):
            (here / "table.csv").write_bytes(held)
            if said := run([*words, "table.csv"], here, NOW):
                yield said, held


def of_files(here: Path, seed: int, n: int) -> Iterable[tuple[str, object]]:
    held = filled(here, NOW)
    for number, damaged in enumerate(islice(flipped(held, Random(seed)), n)):
        for line, said in look_at(damaged, here, NOW).items():
            yield said, (number, line)


def of_lines(here: Path, seed: int, n: int) -> Iterable[tuple[str, object]]:
    slow: list[tuple[float, str]] = []
    for number, line in enumerate(islice(command_lines(Random(seed), WORDS), n)):
        if number % AFRESH == 0:
            for beside in ("-wal", "-shm"):
                (here / f"kitchen.db{beside}").unlink(missing_ok=True)
            shutil.copy(here / "first.db", here / "kitchen.db")
        began = time.monotonic()
        if said := run(line, here, NOW):
            yield said, line
        slow.append((time.monotonic() - began, " ".join(line)[:120]))
        if number % 1000 == 999:
            print(f"  {number + 1} command lines", flush=True)
    for seconds, text in sorted(slow)[-3:]:
        print(f"  slowest: {seconds:.2f} s {text!r}")


if __name__ == "__main__":
    main()
