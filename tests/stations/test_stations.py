"""Several real processes on one file: they start together, press together, are killed, and lose nothing."""

from __future__ import annotations

import random
import sqlite3
import time

from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.stock import count
from prepboard.store.file.who import Who
from prepboard.store.health.health import check

LITRE = 1000 * 1_000_000

START = """
ready()
new = KitchenFile.open(Path(sys.argv[2]), CLOCK, create=True)
with new.looking() as db:
    (tables,) = db.execute("SELECT count(*) FROM sqlite_master WHERE type = 'table'").fetchone()
book = KitchenFile.open(PATH, CLOCK).read().book
say(f"{tables} tables; {book.kitchen.name} {len(book.stations)}")
"""

PRESS_DONE = """
file = KitchenFile.open(PATH, CLOCK)
who = Who(sys.argv[2], "sauce")
ready()
try:
    say(done(file, who, prep="lamb-jus", line=Line("lamb-jus", "dinner.2026-10-31", 0)).text)
except Refused as refused:
    say(refused)
"""

TAKE_TURNS = """
file = KitchenFile.open(PATH, CLOCK)
who = Who(sys.argv[2], "sauce")
ready()
for turn in range(20):
    did = use(file, who, "brown-stock", 1_000_000, "tasting", action=f"{sys.argv[2]}-{turn}")
say("fed")
"""

UNTIL_KILLED = """
file = KitchenFile.open(PATH, CLOCK)
who = Who(sys.argv[2], "sauce")
turn = 0
while True:
    turn += 1
    say(done(file, who, prep="onion-crisp", action=f"{sys.argv[2]}-{turn}").action)
"""

NOT_SAVED = """
file = KitchenFile.open(PATH, CLOCK)
file.patience = 1.0
ready()
try:
    done(file, Who("jp", "sauce"), prep="lamb-jus")
except StoreFault as fault:
    say(fault)
"""

ONE_ID = """
file = KitchenFile.open(PATH, CLOCK)
ready()
say(done(file, Who("jp", "sauce"), prep="lamb-jus", action="sauce-17").text)
"""


def test_eight_stations_that_start_together_open_a_new_file_and_then_an_old_one(stations, tmp_path):
    """The old one is from before the last change of the tables, with a book that another program checked."""
    old(stations.path)
    said = stations.together([(START, str(tmp_path / "new.db"))] * 8)
    assert len(set(said)) == 1
    assert said[0].endswith("tables; Test Kitchen 2\n")
    with sqlite3.connect(stations.path) as db:
        assert db.execute("SELECT count(*) FROM checked_books WHERE form != 'old'").fetchone() == (1,)
    db.close()


def old(path) -> None:
    """Takes back the last change of the tables, as if it had never been carried out."""
    with sqlite3.connect(path) as db:
        for name in ("moves_to_place", "batches_of_place", "batches_that_are_packs", "tasks_done_at"):
            db.execute(f"DROP INDEX {name}")
        db.execute("DELETE FROM _sqlite_migrations WHERE name = 'm055_indexes_for_years'")
        db.execute("UPDATE checked_books SET form = 'old', checked = '{}'")
    db.close()


def test_two_that_press_done_on_one_line_make_one_batch_and_the_second_is_told_who(stations, file):
    said = stations.together([(PRESS_DONE, initials) for initials in ("jp", "lm", "ab")])
    batches = [batch for batch in file.read().batches if batch.prep == "lamb-jus"]
    assert len(batches) == 1
    first = batches[0].by
    told = [answer for answer in said if answer.startswith("Lamb jus was done at")]
    assert told == [f"Lamb jus was done at 14:00 by {first} at Sauce: batch {batches[0].code}\n"] * 2
    assert sum(answer.startswith("Lamb jus: 1.2 l, batch") for answer in said) == 1


def test_the_same_action_sent_twice_at_once_counts_once(stations, file):
    said = stations.together([(ONE_ID,)] * 3)
    assert len(set(said)) == 1
    assert len(file.read().batches) == 1


def test_four_that_draw_on_one_batch_lose_no_spoonful(stations, file):
    done(file, Who("dk", "sauce"), prep="brown-stock")
    assert stations.together([(TAKE_TURNS, initials) for initials in "abcd"]) == ["fed\n"] * 4
    assert sum(batch.left for batch in file.read().batches) == 8 * LITRE - 4 * 20 * 1_000_000
    assert check(file) == []


def test_stations_that_are_killed_lose_nothing_they_were_told_is_saved(stations, file):
    """What was acknowledged is there; what is there beyond it was cut off between saving and saying so."""
    dice = random.Random(5)
    acknowledged: list[str] = []
    for round_ in range(3):
        running = [stations.open(UNTIL_KILLED, f"r{round_}s{n}") for n in range(3)]
        for station in running:
            acknowledged.append(station.stdout.readline().strip())  # it is at work
        time.sleep(dice.uniform(0.05, 0.4))
        for station in running:
            station.kill()
            acknowledged += station.stdout.read().split("\n")[:-1]
    with file.looking() as db:
        stored = {row[0] for row in db.execute("SELECT id FROM actions WHERE did = 'done'").fetchall()}
    assert len(acknowledged) >= 9
    assert set(acknowledged) <= stored
    assert len(stored - set(acknowledged)) <= 9, "at most the one that each was at"
    assert check(file) == []
    assert count(file, Who("dk", "sauce"), "onion-crisp", 0).text, "and the file can be written to"


def test_a_lock_that_another_program_holds_is_not_saved_in_words(stations, file):
    holder = sqlite3.connect(stations.path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    began = time.monotonic()
    (said,) = stations.together([(NOT_SAVED,)])
    assert said == "not saved: another program kept kitchen.db locked for 1 s\n"
    assert time.monotonic() - began < 20
    holder.execute("ROLLBACK")
    holder.close()
    assert file.read().batches == ()
