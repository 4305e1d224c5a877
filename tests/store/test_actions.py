"""What is true of every action: it counts once, it is logged, and what is recorded stays recorded."""

from __future__ import annotations

import sqlite3

import pytest

from prepboard.book.reading.faults import Faults
from prepboard.store.actions.food.making import done
from prepboard.store.actions.food.stock import discard
from prepboard.store.actions.loading import load_book, set_clock
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.night.tonight import covers
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.who import Did, Refused, Who, answer_text, read_answer
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.past.log import log_rows


def test_the_same_action_id_counts_once_and_answers_as_the_first_time(kitchen):
    first = done(kitchen.file, kitchen.jp, prep="lamb-jus", action="sauce-1")
    before = kitchen.size_of_tables(), kitchen.state.version
    kitchen.later(minutes=3)
    assert done(kitchen.file, kitchen.jp, prep="lamb-jus", action="sauce-1") == first
    assert (kitchen.size_of_tables(), kitchen.state.version) == before
    assert done(kitchen.file, kitchen.jp, prep="lamb-jus", action="sauce-2").batches != first.batches


def test_every_change_makes_the_version_grow(kitchen):
    versions = [kitchen.state.version]
    covers(kitchen.file, kitchen.sous, kitchen.dinner, 70)
    versions.append(kitchen.state.version)
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    versions.append(kitchen.state.version)
    with pytest.raises(Refused):
        covers(kitchen.file, kitchen.sous, kitchen.dinner, -1)
    assert versions == [versions[0], versions[0] + 1, versions[0] + 2]
    assert kitchen.state.version == versions[-1], "what was refused changed nothing"


@pytest.mark.parametrize("table", ["moves", "log"])
@pytest.mark.parametrize("sql", ["UPDATE {table} SET at = ''", "DELETE FROM {table}"])
def test_moves_and_log_are_only_ever_added_to(kitchen, table, sql):
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    raw = sqlite3.connect(kitchen.file.path)
    with pytest.raises(sqlite3.IntegrityError, match=f"{table}: rows are only ever added"):
        raw.execute(sql.format(table=table))
    raw.close()


def test_what_is_read_is_read_only(kitchen):
    with pytest.raises(StoreFault), kitchen.file.looking() as db:
        db.execute("DELETE FROM batches")


def test_the_log_says_who_when_where_and_what(kitchen):
    code = done(kitchen.file, kitchen.jp, prep="lamb-jus").batches[0]
    began = kitchen.later(minutes=5)
    discard(kitchen.file, kitchen.lm, code, None, "dropped")
    (row,) = log_rows(kitchen.file, since=began)
    assert (row.at, row.by, row.station, row.did) == (began, "lm", "roast", "discarded")
    assert (row.batch, row.prep, row.before, row.after, row.why) == (code, "lamb-jus", "1.2 l", "0 ml", "dropped")
    assert [row.did for row in log_rows(kitchen.file, until=began)][-1] == "made"


def test_the_file_can_be_read_by_a_person(kitchen):
    """Instants are UTC text of fixed width, days ISO text, amounts whole millionths with their unit beside them."""
    done(kitchen.file, kitchen.jp, prep="lamb-jus")
    rows = kitchen.select("SELECT prep, left, unit, made_at, day_one, use_by, state FROM batches")
    assert rows == [
        ("lamb-jus", 1_200_000_000, "ml", "2026-10-31T14:00:00Z", "2026-10-31", "2026-11-05T00:00:00Z", "live")
    ]


def test_names_from_people_are_kept_as_they_are_and_are_never_sql(kitchen):
    odd = Who("'); DROP TABLE log; --", "[b]sauce[/b]")
    done(kitchen.file, odd, prep="lamb-jus")
    assert kitchen.batches("lamb-jus")[0].by == odd.by
    assert kitchen.log("made")[0]["station"] == odd.station


# Loading a book


def test_a_book_is_loaded_as_a_new_version_and_the_same_book_is_not(kitchen, book_folder):
    assert load_book(kitchen.file, kitchen.sous, book_folder).text == "Test Kitchen: the book is as it was"
    kitchen_toml = book_folder / "kitchen.toml"
    kitchen_toml.write_text(kitchen_toml.read_text().replace("Test Kitchen", "Tried Kitchen"))
    load_book(kitchen.file, kitchen.sous, book_folder)
    assert kitchen.book.kitchen.name == "Tried Kitchen"
    assert kitchen.select("SELECT version FROM book") == [(1,), (2,)]


def test_a_bad_book_changes_nothing(kitchen, book_folder):
    before = kitchen.size_of_tables()
    (book_folder / "preps.toml").write_text("[preps.jus]\nname = 'Jus'\nkepes = '3 days'\n", encoding="utf-8")
    with pytest.raises(Faults):
        load_book(kitchen.file, kitchen.sous, book_folder)
    assert kitchen.size_of_tables() == before
    assert "lamb-jus" in kitchen.book.preps


def test_what_the_new_book_has_lost_is_kept(kitchen, book_folder):
    """Batches, pars and plates of ids that are gone stay in the file and are shown; they are no fault."""
    done(kitchen.file, kitchen.lm, prep="onion-crisp")
    plate(kitchen.file, kitchen.lm, kitchen.dinner, "lamb-toast")
    for name in ("preps", "dishes"):
        path = book_folder / f"{name}.toml"
        text = path.read_text(encoding="utf-8")
        cut = text.index("[preps.onion-crisp]" if name == "preps" else "[dishes.lamb-toast]")
        path.write_text(text[:cut], encoding="utf-8")
    load_book(kitchen.file, kitchen.sous, book_folder)
    assert [batch.prep for batch in kitchen.state.batches] == ["onion-crisp"]
    code = kitchen.state.batches[0].code
    assert discard(kitchen.file, kitchen.lm, code, None, "not-needed").text.startswith(f"onion-crisp {code}: 38")


def test_only_the_sous_loads_a_book_once_people_are_listed(staffed, book_folder):
    with pytest.raises(Refused, match="only a sous chef"):
        load_book(staffed.file, staffed.jp, book_folder)


# The clock that is kept in the file


def test_all_stations_of_a_demo_show_the_time_that_is_kept_in_the_file(kitchen):
    set_clock(kitchen.file, kitchen.clock.at)
    other = KitchenFile.open(kitchen.file.path)
    assert other.clock.set_by_hand
    assert abs((other.clock.now() - kitchen.clock.at).total_seconds()) < 60
    assert other.read().clock_set_by_hand
    other.close()


def test_a_file_without_a_clock_of_its_own_shows_the_real_time(kitchen):
    other = KitchenFile.open(kitchen.file.path)
    assert not other.clock.set_by_hand
    other.close()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "⟦",
        "⟦[1]",
        "2 out",
        '⟦["a"]⟧ and more',
        '⟦["{n} out", {"n": 2}]⟧',
        "⟦{}⟧",
        '⟦["{a}", {"a": "⟦[\\"b\\"]⟧"}]⟧',
    ],
)
def test_an_answer_is_kept_as_its_facts_and_read_as_it_was(text):
    assert read_answer("id", answer_text(Did(text, "id", "R22", ("B33",)))) == Did(text, "id", "R22", ("B33",))


def test_an_answer_of_one_message_keeps_its_facts_as_they_are():
    """Not as a text within a text: there are hundreds of thousands of them."""
    kept = answer_text(Did('⟦["{dish}: {n} out", {"dish": "Crème", "n": 2}]⟧', "id"))
    assert kept == '{"text":["{dish}: {n} out",{"dish":"Crème","n":2}]}'
