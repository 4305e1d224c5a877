"""The board's read with a million old moves in the file against the same read with none, in the same run.

Run it by hand: python tests/benchmarks/old_moves.py
"""

from __future__ import annotations

import sqlite3
import statistics
import tempfile
import time
from pathlib import Path

from prepboard.demo import build
from prepboard.store.kitchen_file import KitchenFile

OLD_MOVES, OLD_BATCHES = 1_000_000, 125_000


def reads(paths: list[Path], times: int = 101) -> list[float]:
    """The median milliseconds of one snapshot of each file, read in turns."""
    files = [KitchenFile.open(path) for path in paths]
    spent: list[list[float]] = [[] for _ in files]
    for _ in range(times):
        for file, of_file in zip(files, spent, strict=True):
            began = time.process_time()
            file.read()
            of_file.append((time.process_time() - began) * 1000)
    for file in files:
        file.close()
    return [statistics.median(of_file) for of_file in spent]


def age(path: Path) -> None:
    """Copies the file's own rows far into the past until a million moves stand behind them."""
    db = sqlite3.connect(path)
    db.row_factory = sqlite3.Row
    batch = dict(db.execute("SELECT * FROM batches LIMIT 1").fetchone())
    move = dict(db.execute("SELECT * FROM moves LIMIT 1").fetchone())
    batch |= {"state": "closed", "left": 0}
    codes = [f"old{number}" for number in range(OLD_BATCHES)]
    _fill(db, "batches", batch, ({"code": code} for code in codes))
    first = db.execute("SELECT max(number) FROM moves").fetchone()[0] + 1
    _fill(db, "moves", move, ({"number": first + n, "batch": codes[n // 8]} for n in range(OLD_MOVES)))
    db.commit()
    db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    db.close()


def _fill(db: sqlite3.Connection, table: str, like: dict, rows) -> None:
    names = ", ".join(f'"{name}"' for name in like)
    marks = ", ".join(f":{name}" for name in like)
    db.executemany(f"INSERT INTO {table} ({names}) VALUES ({marks})", (like | row for row in rows))


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / name / "kitchen.db" for name in ("young", "old")]
        for path in paths:
            path.parent.mkdir()
            build(path)
        age(paths[1])
        young, old = reads(paths)
    print(f"one read: {young:.2f} ms with no old moves, {old:.2f} ms with {OLD_MOVES:,}, ratio {old / young:.2f}")


if __name__ == "__main__":
    main()
