"""What lifts the cold or the date mark: figures, a day and a name, by the code's own table; never a bare text."""

from __future__ import annotations

from fractions import Fraction

import pytest

from prepboard.book.reading.faults import Faults
from prepboard.book.reading.reader import read_accepted, read_texts
from prepboard.book.safety.needs_control import needs_control
from prepboard.store.actions.food import places, stock
from prepboard.store.actions.loading import load_book
from prepboard.store.file.who import Refused
from tests.food.conftest import LITRE

PICKLE = """
[preps.pickle]
name = "Pickle"
store = "ambient"
keeps = "60 days"
makes = "1 kg"
par = "1 kg"
{more}
"""
EVIDENCE = 'exempt = {{ why = "acid", measured = "{figures}", on = "2026-09-02", by = "LM" }}'
CHEESE = """
[goods.parmesan]
name = "Parmesan"
store = "chilled"
keeps_open = "30 days"
exempt = {{ why = "{why}", on = "2026-09-02", by = "LM" }}
"""
CREAM = '[goods.cream]\nstore = "chilled"\nallergens = ["milk"]'


def pickle(more, rules="food-code-2022", kitchen=""):
    return {"book.toml": f'rules = "{rules}"\n{kitchen}\n' + PICKLE.format(more=more)}


def measured(figures):
    return EVIDENCE.format(figures=figures)


def said_of(texts):
    with pytest.raises(Faults) as found:
        read_texts(texts)
    return " ".join(fault.said for fault in found.value.faults)


def test_a_bare_text_lifts_nothing_and_says_what_to_write():
    said = said_of(pickle('exempt = "acid, pH 3.6 measured"'))
    assert "a text lifts nothing" in said
    assert 'measured = "pH 3.6"' in said
    assert "bread" in said


def test_an_older_book_with_a_bare_text_opens_and_lives_by_the_shorter_reading():
    loosened = 'approved_plan = "any text"\nrules_of_the_house = { cold_holding = "12 C" }'
    book = read_accepted(pickle('exempt = "x"', kitchen=loosened))
    assert book.preps["pickle"].exempt is None
    assert needs_control(book, "pickle")
    assert book.kitchen.approved_plan is None
    assert book.kitchen.rules.rules["cold_holding"].value == 5


def test_a_plan_has_a_number_a_name_and_a_day():
    text = 'approved_plan = "any text"\nrules_of_the_house = { cold_holding = "12 C" }'
    assert "a text is no plan" in said_of(pickle("", kitchen=text))
    table = 'approved_plan = { number = "7" }\nrules_of_the_house = { cold_holding = "6 C" }'
    assert "by` whom it was approved" in said_of(pickle("", kitchen=table))


@pytest.mark.parametrize(
    ("figures", "lifts"),
    [
        # FDA Food Code 2022, 1-201.10(B), Table B, from memory: its cells at their edges.
        ("pH 4.1", True),
        ("pH 4.2", False),
        ("aw 0.87", True),
        ("aw 0.88", False),
        ("pH 5.0, aw 0.90", True),
        ("pH 5.1, aw 0.90", False),
        ("pH 4.6 and aw 0.92", True),
        ("pH 4.7, aw 0.92", False),
        ("pH 4.6, aw 0.93", False),
    ],
)
def test_only_what_the_codes_table_covers_is_lifted(figures, lifts):
    texts = pickle(measured(figures))
    if lifts:
        book = read_texts(texts)
        assert not needs_control(book, "pickle")
        return
    assert "1-201.10" in said_of(texts)
    assert needs_control(read_accepted(texts), "pickle")


@pytest.mark.parametrize("rules", ["uk", "uk-scotland", "ireland", "fsanz"])
def test_where_the_law_names_no_figure_the_shorter_stands(rules):
    assert not needs_control(read_texts(pickle(measured("aw 0.84"), rules)), "pickle")
    assert "lift no cold" in said_of(pickle(measured("aw 0.85"), rules))
    assert "lift no cold" in said_of(pickle(measured("pH 4.5, aw 0.88"), rules))


def test_bought_goods_that_the_code_lists_need_no_mark_and_still_need_the_cold():
    """FDA Food Code 2022, 3-501.17: hard cheese bears no date mark; 3-501.16 asks for the cold all the same."""
    from datetime import UTC, date, datetime

    from prepboard.book.safety.life import History, good_until, opened_food
    from prepboard.book.safety.stays import Stay

    book = read_texts(
        {"book.toml": 'rules = "food-code-2022"\n' + PICKLE.format(more="") + CHEESE.format(why="hard cheese")}
    )
    food, store = opened_food(book.goods["parmesan"], book.kitchen.rules)
    opened = datetime(2026, 11, 2, 9, tzinfo=UTC)
    limit = good_until(book.kitchen, food, History(date(2026, 11, 2), opened, (Stay(store, opened),)))
    assert limit is not None
    assert limit.until == datetime(2026, 12, 2, tzinfo=UTC)
    assert needs_control(book, "parmesan", pack=True)
    assert "only the date mark" in said_of(pickle(CHEESE.format(why="it is fine")))
    assert "evidence has" in said_of(pickle(CHEESE.format(why="hard cheese"), "uk"))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('stable = "bread"\nsteps = [{ do = "Mix", hands_on = "5 min" }]', "90 °C"),
        ('stable = "bread"\nsteps = [{ do = "Bake", at = "89 C" }]', "90 °C"),
        ('stable = "crisp"\nuses = { cream = "1 kg" }\n'
         'steps = [{ do = "Bake", at = "150 C" }, { do = "Fill", uses = ["cream"] }]\n' + CREAM, "needs cold and"),
        ('stable = "sugar work"\nuses = { cream = "1 kg" }\nsteps = [{ do = "Boil", at = "110 C" }]\n' + CREAM,
         "no egg and no dairy"),
        ('stable = "fat"\nuses = { garlic = "1 kg" }\n[goods.garlic]\nstable = "whole produce"', "not without water"),
        ('stable = "dried"\nuses = { cream = "1 kg" }\n' + CREAM, "animal food"),
    ],
)  # fmt: skip
def test_what_is_called_stable_is_held_to_its_list(text, said):
    assert said in said_of(pickle(text))
    assert needs_control(read_accepted(pickle(text)), "pickle")


@pytest.mark.parametrize(
    ("goods", "said"),
    [
        ('stable = "dry"\nstore = "chilled"', "needs it"),
        ('stable = "preserve"\nstore = "frozen"', "comes frozen"),
        ('stable = "whole produce"\nallergens = ["fish"]', "no fish in it"),
    ],
)
def test_goods_that_are_kept_cold_are_not_dry(goods, said):
    texts = pickle(f"[goods.meat]\n{goods}")
    assert said in said_of(texts)
    assert needs_control(read_accepted(texts), "meat", pack=True)


def test_shell_eggs_stand_warm_only_where_the_code_lets_them():
    """FDA Food Code 2022, 3-501.16(B): 7 °C; in the UK and Ireland at an even temperature (from memory)."""
    eggs = '[goods.eggs]\nunit = "each"\nstable = "shell eggs"\n'
    assert not needs_control(read_texts(pickle(eggs, "uk")), "eggs", pack=True)
    assert "shell eggs are kept cold" in said_of(pickle(eggs))
    assert needs_control(read_accepted(pickle(eggs)), "eggs", pack=True)


def load(fda, text, moment):
    fda.go(moment)
    folder = fda.file.path.parent / "book"
    (folder / "pickle.toml").write_text(text, encoding="utf-8")
    load_book(fda.file, fda.who, folder)


def on_the_shelf(fda, prep, moment):
    return fda.made(prep, moment)


def test_evidence_lapses_when_what_was_measured_is_made_otherwise_and_batches_keep_theirs(fda):
    steps = 'uses = {{ cream = "{n} ml" }}\nsteps = [{{ do = "Boil", at = "{heat} C", wait = "10 min" }}]\n'
    evidence = measured("pH 3.6")
    load(fda, PICKLE.format(more=evidence + "\n" + steps.format(n=100, heat=95)), "06:00")
    before = on_the_shelf(fda, "pickle", "06:10")
    assert fda.asks(before, "sat 12:00").may
    for other in (steps.format(n=200, heat=95), steps.format(n=100, heat=91)):
        with pytest.raises(Refused, match="measure it again"):
            load(fda, PICKLE.format(more=evidence + "\n" + other), "06:20")
    load(fda, PICKLE.format(more=steps.format(n=200, heat=95)), "06:30")
    after = on_the_shelf(fda, "pickle", "06:40")
    assert fda.ends(after) <= fda.at("10:50")
    assert fda.asks(before, "sat 12:00").may
    again = evidence.replace("2026-09-02", "2026-11-02")
    load(fda, PICKLE.format(more=again + "\n" + steps.format(n=200, heat=95)), "06:50")
    assert not fda.asks(after, "sat 12:00").may


def test_something_else_in_the_run_was_not_measured(fda):
    """With soy in the cream's place it is another food: cold, and with a date mark."""
    text = PICKLE.replace('store = "ambient"', 'place = "walk-in"').format(more=measured("pH 3.6"))
    text += 'uses = { cream = "100 ml" }\n[goods.soy]\nname = "Soy"\nunit = "l"\n'
    load(fda, text, "06:00")
    as_written = fda.made("pickle", "06:10")
    other = fda.done(fda.start("pickle", "06:20"), "06:30", instead={"cream": "soy"})
    assert fda.ends(as_written).date() > fda.at("+mon 00:00").date()
    assert fda.ends(other) == fda.at("+mon 00:00")
    fda.temp("batch", other, 4, "07:00")
    fda.move(other, "bench", "07:00")
    assert fda.ends(other) == fda.at("11:00")


def test_food_of_an_older_file_lives_by_the_shorter_reading_from_the_next_change(fda):
    """Its book had a bare text, and its label and marks were worked out by that."""
    import json

    text = PICKLE.replace('store = "ambient"', 'place = "walk-in"')
    load(fda, text.format(more=measured("pH 3.6")), "06:00")
    batch = fda.made("pickle", "06:10")
    assert fda.ends(batch).date() > fda.at("+mon 00:00").date()
    with fda.file.writing() as db:
        version, texts = db.execute("SELECT version, texts FROM book ORDER BY version DESC LIMIT 1").fetchone()
        older = {name: one.replace(measured("pH 3.6"), 'exempt = "x"') for name, one in json.loads(texts).items()}
        db.execute("UPDATE book SET texts = ? WHERE version = ?", [json.dumps(older), version])
        db.execute("DELETE FROM checked_books")
        db.execute("UPDATE settings SET value = '1' WHERE name = 'food folded'")
    fda.file._books.clear()
    fda.made("salad", "07:00")
    assert fda.ends(batch) == fda.at("+mon 00:00")


def test_what_was_measured_on_a_day_to_come_is_refused(fda):
    with pytest.raises(Refused, match="still to come"):
        load(fda, PICKLE.format(more=measured("pH 3.6").replace("2026-09-02", "2026-11-03")), "06:00")


def test_figures_stand_on_label_rules_and_record():
    from datetime import UTC, datetime

    from prepboard.paper.lists.rules import rules
    from prepboard.paper.sentences.evidence import evidence_text, exempted
    from prepboard.paper.text.saying import Voice

    book = read_texts(pickle(measured("pH 3.6")))
    evidence = book.preps["pickle"].exempt
    assert evidence is not None
    assert (evidence.ph, evidence.aw) == (Fraction("3.6"), None)
    assert evidence_text(evidence) == "acid: pH 3.6, measured 2 Sep 2026 by LM"
    assert exempted(book) == [
        "Pickle needs no cold and no date mark (1-201.10(B), Time/temperature control for safety food, Table B): "
        "acid: pH 3.6, measured 2 Sep 2026 by LM."
    ]
    shown = " ".join(" ".join(rules(Voice(book, datetime(2026, 11, 2, tzinfo=UTC)), 80)).split())
    assert "WITHOUT COLD OR DATE MARK" in shown
    assert "pH below 4.2, or aw below 0.88" in shown
    assert "measured 2 Sep 2026 by LM" in shown


def test_what_no_run_gave_lives_by_the_book_it_was_taken_in_under_where_that_is_shorter(fda):
    """Counted, and opened, before anything was measured: today's evidence speaks of neither."""
    cheese = "[goods.cheese]\nstore = 'chilled'\nready_to_eat = true\n"
    load(fda, PICKLE.replace('store = "ambient"', 'place = "walk-in"').format(more="") + cheese, "06:00")
    stock.count(fda.file, fda.who, "pickle", LITRE, made_at=fda.at("06:00"))
    (pickled,) = (one.code for one in fda.file.read().batches)
    opened = fda.open("L1", "", "06:05", goods="cheese")
    part = places.split(fda.file, fda.who, pickled, [LITRE // 2]).batches[0]
    evidence = measured("pH 3.6")
    text = PICKLE.format(more=evidence).replace('store = "ambient"', 'place = "walk-in"')
    load(fda, text + cheese.rstrip() + f"\nkeeps_open = '30 days'\n{evidence}\n", "06:30")
    after = fda.open("L2", "", "06:35", goods="cheese")
    for batch, out in ((pickled, True), (part, True), (opened, True), (after, False)):
        fda.temp("batch", batch, 4, "06:40")
        fda.move(batch, "bench", "06:40")
        assert (fda.ends(batch) == fda.at("10:40")) is out, batch
    made = fda.made("pickle", "06:45")
    fda.temp("batch", made, 4, "06:50")
    fda.move(made, "bench", "06:50")
    assert fda.ends(made) > fda.at("+mon 00:00")
