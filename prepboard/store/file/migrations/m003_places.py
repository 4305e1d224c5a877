"""The tables that places, opened goods and traces need: columns of batches and runs, and more kinds of moves."""

from __future__ import annotations

from sqlite3 import Connection

PLACES = (
    *(
        f"ALTER TABLE batches ADD COLUMN {column}"
        for column in (
            # What its life is counted from: its own day 1, the earliest one it inherited, a maker's date, where it was
            # kept from when on as [[storage, instant]], and whether it was read cold while out of the fridge.
            "first_day TEXT",
            "inherited TEXT",
            "safety TEXT",
            "stays TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(stays))",
            "cold INTEGER NOT NULL DEFAULT 0",
            # The batch that it is a part of; the lot of opened goods, which are counted in packs.
            "parent TEXT REFERENCES batches (code)",
            "pack INTEGER NOT NULL DEFAULT 0",
            "lot TEXT NOT NULL DEFAULT ''",
            # What it holds where that is not what its recipe says: allergens as JSON, and what took whose place.
            "allergens TEXT CHECK (allergens IS NULL OR json_valid(allergens))",
            # Why it is kept though nothing ahead needs it; "withdrawn" where no single batch was meant.
            "kept TEXT NOT NULL DEFAULT ''",
            "blocked_for TEXT NOT NULL DEFAULT ''",
        )
    ),
    "UPDATE batches SET first_day = day_one, inherited = passes_on, stays = json_array(json_array(store, made_at))",
    "CREATE INDEX batches_of_parent ON batches (parent) WHERE parent IS NOT NULL",
    "CREATE INDEX batches_of_lot ON batches (lot) WHERE lot != ''",
    "ALTER TABLE runs ADD COLUMN first_safety TEXT",
    "ALTER TABLE runs ADD COLUMN instead TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(instead))",
    "CREATE INDEX moves_of_run ON moves (run) WHERE run IS NOT NULL",
    """CREATE TABLE blocked_places (
        place TEXT PRIMARY KEY, why TEXT NOT NULL, at TEXT NOT NULL, by TEXT NOT NULL) STRICT""",
)

MOVES_AGAIN = (
    """CREATE TABLE moves_with_places (
        number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), at TEXT NOT NULL,
        batch TEXT NOT NULL REFERENCES batches (code),
        kind TEXT NOT NULL CHECK (kind IN ('made', 'opened', 'used', 'plated', 'counted', 'gone', 'discarded',
            'moved', 'frozen', 'thawed', 'split', 'undone')),
        amount INTEGER NOT NULL, run TEXT REFERENCES runs (code), plate INTEGER REFERENCES plates (number),
        why TEXT NOT NULL DEFAULT '', gives_back INTEGER REFERENCES moves_with_places (number)) STRICT""",
    """INSERT INTO moves_with_places (number, action, at, batch, kind, amount, run, plate, why, gives_back)
        SELECT number, action, at, batch, kind, amount, run, plate, why, gives_back FROM moves""",
    "DROP TABLE moves",
    "ALTER TABLE moves_with_places RENAME TO moves",
    "CREATE INDEX moves_of_batch ON moves (batch, amount)",
    "CREATE INDEX moves_of_action ON moves (action)",
    "CREATE INDEX moves_of_plate ON moves (plate) WHERE plate IS NOT NULL",
    "CREATE INDEX moves_given_back ON moves (gives_back) WHERE gives_back IS NOT NULL",
    *(
        f"CREATE TRIGGER moves_are_never_{done} BEFORE {change} ON moves "
        f"BEGIN SELECT RAISE(ABORT, 'moves: rows are only ever added'); END"
        for done, change in (("changed", "UPDATE"), ("deleted", "DELETE"))
    ),
)
"""The moves, with the kinds that places bring; SQLite changes a list of allowed words only by making the table anew."""


def change(db: Connection) -> None:
    for statement in (*MOVES_AGAIN, *PLACES):
        db.execute(statement)
