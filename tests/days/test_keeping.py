"""Where runs lie changes in the transaction of a person's action, and undo gives back exactly the plan from before."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from datetime import date, timedelta
from fractions import Fraction
from types import SimpleNamespace

import pytest
from conftest import any_plan
from days.obedient import COOK, MINUTE, opened
from msgspec.structs import replace
from random_kitchens import NOW, kitchen, text_of

from prepboard.boards.frame.live import _keep_shorts as keep_shorts
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.text.saying import Voice
from prepboard.plan import memory, outline
from prepboard.plan.board import plan
from prepboard.plan.given.state import Lies, Placed, Placement
from prepboard.store.actions.food.making import start
from prepboard.store.actions.food.stock import count
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.night.today import hands
from prepboard.store.actions.night.tonight import covers
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Who
from prepboard.store.read.schedules import PLACED_FOR
from prepboard.store.transaction import keeping_placements


def test_undo_gives_back_exactly_the_plan_from_before_also_later_and_with_boards_open(tmp_path):
    file = opened(tmp_path, text_of(11, 8, tight=True), NOW)
    try:
        before = file.read()
        board = plan(before, NOW)
        assert before.placements
        assert board.placing.digest == before.placed_for
        line = next(line for line in board.make if line.steps)
        for change in (
            lambda: hands(file, COOK, date(2026, 10, 31), next(iter(before.book.stations)), 0),
            lambda: start(file, COOK, line.prep, line.size, line.line),
        ):
            change()
            assert file.read().placements != before.placements
            plan(file.read(), NOW + MINUTE)  # a board looks
            undo(file, COOK)
            after = file.read()
            assert (after.placements, after.placed_for) == (before.placements, before.placed_for)
            memory.forget()
            assert plan(after, NOW).make == board.make
    finally:
        file.close()


@pytest.mark.parametrize("seed", [7, 34])
@pytest.mark.parametrize("order", ["abcd", "dcba", "bdac"])
@any_plan()
def test_what_four_cooks_did_and_all_took_back_leaves_the_plan_from_before(tmp_path, seed, order):
    """Others pressed between: whoever takes back first leaves a plan with what of theirs stands, the last one none."""
    file = opened(tmp_path, text_of(seed, 8, tight=True), NOW)
    try:
        before = file.read()
        board = plan(before, NOW)
        first, second = [line for line in board.make if line.steps][:2]
        for cook, change in {
            "a": lambda who: start(file, who, first.prep, first.size, first.line),
            "b": lambda who: start(file, who, first.prep, first.size),
            "c": lambda who: covers(file, who, ("dinner", date(2026, 10, 31)), 20),
            "d": lambda who: start(file, who, second.prep, second.size),
        }.items():
            change(Who(cook, ""))
            file.clock.at += MINUTE
            plan(file.read(), file.clock.at)  # a board looks
        assert file.read().placements != before.placements
        for cook in order:
            undo(file, Who(cook, ""))
            file.clock.at += MINUTE
        after = file.read()
    finally:
        file.close()
    assert (after.placements, after.placed_for, after.placed_at) == (before.placements, before.placed_for, NOW)
    memory.forget()
    assert plan(after, NOW).make == board.make


def test_what_was_taken_back_between_leaves_standing_what_others_moved(tmp_path):
    """The second cook's change stands: the first one's undo plans with it, as if the first had never been."""
    file = opened(tmp_path, ONE_COOK, NOW)
    try:
        first, second = sorted(plan(file.read(), NOW).make, key=lambda line: line.begins)
        start(file, Who("a", ""), first.prep, first.size, first.line)
        start(file, Who("b", ""), second.prep, second.size, second.line)
        undo(file, Who("a", ""))
        (again,) = [line for line in plan(file.read(), NOW).make if line.steps]
        assert (again.line, again.begins) == (first.line, second.begins)
    finally:
        file.close()


def test_what_was_taken_back_while_it_moved_nothing_is_taken_back_too(tmp_path):
    """The soup is found, then there are no guests: that the soup was not there after all moves nothing, until the
    guests come back."""
    file = opened(tmp_path, ONE_COOK, NOW)
    try:
        before = file.read()
        count(file, Who("a", ""), "soup", 4 * 10**9, made_at=NOW)
        covers(file, Who("b", ""), ("dinner", date(2026, 10, 31)), 0)
        file.clock.at += MINUTE
        no_guests = file.read()
        undo(file, Who("a", ""))
        assert file.read().placed_at == no_guests.placed_at
        undo(file, Who("b", ""))
        after = file.read()
    finally:
        file.close()
    assert {line.partition("#")[0] for line in before.placements} == {"barley", "soup"}
    assert (after.placements, after.placed_for, after.placed_at) == (before.placements, before.placed_for, NOW)


def test_a_press_that_moves_nothing_keeps_what_all_follows_from_by_now(tmp_path):
    """What that was when somebody last pressed is another thing, or nobody knows it: else each board plans around what
    was kept once more, and each press takes the same for news."""
    file = opened(tmp_path, ONE_COOK, NOW)
    try:
        before = file.read()
        with closing(sqlite3.connect(file.path)) as db, db:
            db.execute("DELETE FROM settings WHERE name = ?", [PLACED_FOR])
        file.clock.at += MINUTE
        count(file, COOK, "salad", 10**9, made_at=NOW)
        after = file.read()
    finally:
        file.close()
    assert (after.placements, after.placed_for, after.placed_at) == (before.placements, before.placed_for, NOW + MINUTE)


def looked(file):
    """What an open board shows, once it has kept since when something is short."""
    for _ in range(2):
        board = plan(file.read(), file.clock.at)
        keep_shorts(file, board)
    return board


@pytest.mark.parametrize("by_somebody", [False, True])
def test_undo_of_a_count_leaves_short_what_was_short_since_it_was(tmp_path, by_somebody):
    """Barley is short since 18:30. Twenty minutes later somebody counts some by mistake; with a board open it was short
    since the undo. Somebody else may press between."""
    file = opened(tmp_path, ONE_COOK, NOW + timedelta(hours=32, minutes=30))
    try:
        looked(file)
        file.clock.at += 20 * MINUTE
        before = looked(file).make
        count(file, COOK, "barley", 4 * 10**9, made_at=file.clock.at)
        assert [line.prep for line in looked(file).make] == ["soup"]
        if by_somebody:
            count(file, Who("b", ""), "salad", 10**9, made_at=file.clock.at)
            hands(file, Who("b", ""), date(2026, 10, 31), "hot", 2)
        undo(file, COOK)
        after = looked(file).make
    finally:
        file.close()
    assert [(line.prep, line.ready_by) for line in after] == [(line.prep, line.ready_by) for line in before]
    assert (after == before) is not by_somebody


@pytest.mark.parametrize(
    ("shown_lost", "moving_lost", "still_lost", "moves"),
    [
        ([], [], [], True),
        ([], ["soup"], [], False),
        ([], ["soup"], ["soup"], True),
        ([], ["soup", "pie"], ["soup"], False),
        (["soup"], ["soup"], [], True),
        ([], ["soup"], ["pie"], True),
        ([], ["soup"], ["stock@soup"], True),
        ([], ["stock@soup"], [], False),
        (["stock@soup"], ["soup"], ["stock@soup"], False),
    ],
)
def test_a_press_loses_nothing_that_was_for_its_guests_and_is_so_still_where_all_lay(
    shown_lost, moving_lost, still_lost, moves
):
    """What can no longer be saved is lost all the same, and what one plan loses and the other does not decides. A dish
    is lost with what it takes, also where nobody asked for that before."""
    lay = {line: Placement(Fraction(1), None, None, ()) for line in ("soup", "pie")}
    asked = []

    def where_runs_lie(state, _now, moving):
        asked.append((moving, state.placements))
        return Lies("moved" if moving else "still", lay, {}, frozenset(moving_lost if moving else still_lost))

    before = Lies("shown", lay, {}, frozenset(shown_lost))
    state = replace(kitchen(11, 3), placements={})
    planner = SimpleNamespace(where_runs_lie=where_runs_lie)
    assert keeping_placements._placed(planner, state, before, NOW).digest == ("moved" if moves else "still")
    assert asked[1:] == ([(False, lay)] if set(moving_lost) - set(shown_lost) else [])


@pytest.mark.parametrize("news", [False, True], ids=["as foreseen", "news"])
@pytest.mark.parametrize(
    ("plates", "late", "better"),
    [(39, 60, True), (40, 40, True), (40, 51, False), (41, 0, False)],
    ids=["fewer plates", "less late", "a little less late", "more plates"],
)
def test_what_nobody_foresaw_may_lose_what_was_said_where_that_is_better(news, plates, late, better):
    """Where all lay the soup is an hour late and the pie is lost; a new plan loses the soup: that is taken only where
    it loses fewer plates, or as many with more than ten weighed minutes less, and only after something else happened
    than boards said."""
    lay = {line: Placement(Fraction(1), None, None, ()) for line in ("soup", "pie")}
    before = Lies("shown", lay, {}, frozenset({"pie"}))
    found = {
        True: Lies("moved", lay, {}, frozenset({"soup"}), plates, Fraction(late), news),
        False: Lies("still", lay, {}, frozenset({"pie"}), 40, Fraction(60)),
    }
    planner = SimpleNamespace(where_runs_lie=lambda _state, _now, moving: found[moving])
    pressed = keeping_placements._placed(planner, replace(kitchen(11, 3), placements={}), before, NOW)
    assert pressed.digest == ("moved" if news and better else "still")


@pytest.mark.parametrize(
    ("moved", "still", "keeps"),
    [
        (Lies("", {}, {}, frozenset(), 0, Fraction(12)), Lies("", {}, {}, frozenset(), 0, Fraction(22)), True),
        (Lies("", {}, {}, frozenset(), 0, Fraction(12)), Lies("", {}, {}, frozenset(), 0, Fraction(23)), False),
        (Lies("", {}, {}, frozenset(), 0, Fraction(12)), Lies("", {}, {}, frozenset(), 0, Fraction(45, 2)), False),
        (Lies("", {}, {}, frozenset(), 0, Fraction(12)), Lies("", {}, {}, frozenset(), 1, Fraction(0)), False),
    ],
    ids=["as good but for a little", "later by more", "later by half a minute more", "more is lost"],
)
@pytest.mark.parametrize("minutes", [0, 1])
def test_a_press_makes_nothing_later_than_was_said_where_it_need_not(moved, still, keeps, minutes):
    """Where all lay nothing is later, and a new plan would make one dish later for another: what was said stands,
    unless that is better by more than a little."""
    lies = [
        {"soup": Placement(Fraction(1), None, None, (Placed(0, NOW, NOW, NOW + late * timedelta(minutes=1)),))}
        for late in (0, minutes)
    ]
    before = Lies("shown", lies[0], {}, frozenset())
    found = {True: replace(moved, digest="moved", placements=lies[1]), False: replace(still, digest="still")}
    planner = SimpleNamespace(where_runs_lie=lambda _state, _now, moving: found[moving])
    state = replace(kitchen(11, 3), placements={})
    pressed = keeping_placements._placed(planner, state, before, NOW)
    assert pressed.digest == ("still" if keeps and minutes else "moved")


@pytest.mark.parametrize("seed", [101, 129])
def test_what_came_within_the_plans_span_stays_where_it_was_first_said_until_somebody_presses(seed):
    """The next lunch comes two hours after the last press, and the plan is seen each hour until something is to begin:
    nothing moves, whatever is remembered."""
    state = kitchen(seed, 7, tight=True)
    first = plan(state, NOW)
    kept = replace(state, placements=first.placing.placements, placed_for=first.placing.digest, placed_at=NOW)
    lies = [{str(line.line): line.steps for line in plan(kept, NOW + hours * HOUR).make} for hours in range(3, 18)]
    assert not any("lunch" in str(line.line) for line in first.make)
    assert any("lunch" in line for line in lies[0])
    assert lies[1:] == lies[:-1]
    memory.forget()
    assert {str(line.line): line.steps for line in plan(kept, NOW + 17 * HOUR).make} == lies[-1]


EVERY_DAY = """
time_zone = "UTC"
rules = "food-code-2022"
[stations.sauce]
name = "Sauce"
[services.dinner]
name = "Dinner"
starts = "18:00"
ends = "22:00"
covers = 40
[preps.jus]
name = "Jus"
station = "sauce"
keeps = "1 day"
makes = "2 l"
steps = [{ do = "Reduce", hands_on = "20 min", wait = "2 h" }]
[dishes.duck]
name = "Duck"
services = ["dinner"]
share = 1
plate = { jus = "40 ml" }
"""


def test_after_a_closed_season_a_plan_is_one_plan(tmp_path, monkeypatch):
    """Nobody pressed for 40 days, on each of which something came within the plan's span: it is no chain of plans for
    all of them, each made of the one before, which takes minutes."""
    file = opened(tmp_path, EVERY_DAY, NOW)
    made = []
    real = outline._planned
    monkeypatch.setattr(outline, "_planned", lambda *asked: made.append(asked[1]) or real(*asked))
    try:
        for days, least, most in ((1, 2, 4), (3, 2, 8), (40, 1, 1)):
            file.clock.at = NOW + timedelta(days=days)
            memory.forget()
            made.clear()
            assert plan(file.read(), file.clock.at).make
            assert least <= len(made) <= most, (days, made)
    finally:
        file.close()


def test_where_nothing_was_kept_a_press_leaves_all_where_boards_showed_it(tmp_path):
    """Three hours before dinner, much of it late; the next line is begun as the board says."""
    file = opened(tmp_path, text_of(8619, 10, tight=True), NOW + 30 * HOUR)
    try:
        now = file.clock.at
        with closing(sqlite3.connect(file.path)) as db, db:
            db.execute("DELETE FROM schedules")
            db.execute("DELETE FROM settings WHERE name = ?", [PLACED_FOR])
        before = plan(file.read(), now)
        line = next(line for line in before.make if line.begins == now and line.can_start_from <= now)
        start(file, COOK, line.prep, line.size, line.line)
        after = {line.line: line.begins for line in plan(file.read(), now).make}
    finally:
        file.close()
    assert sum(line.late_minutes > 0 for line in before.make) >= 3
    assert after == {one.line: one.begins for one in before.make if one is not line}


def test_undo_has_every_row_of_a_first_load_word_for_word(tmp_path):
    file = opened(tmp_path, text_of(11, 8, tight=True), NOW)
    try:
        with file.looking() as db:
            names = [column[0] for column in db.execute("SELECT * FROM schedules").description]
            rows = [dict(zip(names, row, strict=True)) for row in db.execute("SELECT * FROM schedules")]
            asked = "SELECT key, before, after FROM changes WHERE row_of = 'schedules'"
            found = [(json.loads(key), before, json.loads(after)) for key, before, after in db.execute(asked)]
    finally:
        file.close()
    assert len(rows) > 1
    assert sorted(found, key=str) == sorted((({"line": row["line"]}, None, row) for row in rows), key=str)


def test_a_file_says_when_its_placements_were_kept(tmp_path):
    file = opened(tmp_path, text_of(11, 8, tight=True), NOW)
    try:
        assert file.read().placed_at == NOW
        file.clock.at = NOW + HOUR
        hands(file, COOK, date(2026, 10, 31), next(iter(file.read().book.stations)), 0)
        assert file.read().placed_at == NOW + HOUR
        undo(file, COOK)
        assert file.read().placed_at == NOW
    finally:
        file.close()


@pytest.mark.parametrize("take_back", [False, True])
def test_a_file_says_which_lines_were_lost_when_its_placements_were_kept(tmp_path, take_back):
    """No cook is there on a day: undo has them back, and lost is what was lost before."""
    file = opened(tmp_path, text_of(15, 8), NOW)
    try:
        first = file.read().lost
        for bench in file.read().book.stations:
            hands(file, COOK, date(2026, 10, 31), bench, 0)
        then = file.read()
        found = outline.outline(then, NOW)
        assert then.lost == frozenset(outline.lost(found.needs, found.placing, found.run_times)) != first
        for _ in file.read().book.stations if take_back else ():
            undo(file, COOK)
        assert file.read().lost == (first if take_back else then.lost)
    finally:
        file.close()


def test_looking_at_a_board_keeps_nothing(tmp_path):
    file = opened(tmp_path, text_of(11, 8, tight=True), NOW)
    try:
        before = file.read()
        for minutes in (1, 90, 700):
            file.clock.at = NOW + minutes * MINUTE
            plan(file.read(), file.clock.at)
        assert file.read().version == before.version
        assert file.read().placements == before.placements
    finally:
        file.close()


HOUR = timedelta(hours=1)
ONE_COOK = """
[stations.hot]
name = "Hot"
cooks = 1
[services.dinner]
name = "Dinner"
on = "2026-10-31"
starts = "18:00"
ends = "22:00"
covers = 40
[dishes.duck]
name = "Duck"
services = ["dinner"]
share = 1
plate = { barley = "50 g", soup = "50 g" }
[preps.barley]
name = "Barley"
station = "hot"
keeps = "3 days"
makes = "4 kg"
steps = [{ do = "Cook", hands_on = "1 h" }]
[preps.soup]
name = "Soup"
station = "hot"
keeps = "3 days"
makes = "4 kg"
steps = [{ do = "Cook", hands_on = "1 h" }]
[preps.salad]
name = "Salad"
station = "hot"
keeps = "3 days"
makes = "4 kg"
"""
"""Two hours of one cook's hands before 18:00: whatever comes first pushes the other."""


STEPS_OF_TWO = 'steps = [{ do = "Cook", hands_on = "30 min" }, { do = "Dress", hands_on = "30 min" }]'


def moved(file) -> dict[str, str]:
    """What lines say of what moved them."""
    board = plan(file.read(), file.clock.now())
    voice = Voice.of(board)
    return {line.prep: note_text(note, voice) for line in board.make for note in line.notes if note.kind == "moved"}


def test_a_line_that_an_action_moved_says_from_when_and_why_for_an_hour(tmp_path):
    file = opened(tmp_path, ONE_COOK, NOW)
    try:
        first, second = sorted(plan(file.read(), NOW).make, key=lambda line: line.begins)
        was = f"{second.begins:%H:%M}"
        late = first.begins + timedelta(minutes=25, seconds=7)
        file.clock.at = late
        assert moved(file) == {}, "time alone tells nobody: the line that is due says so"
        count(file, COOK, "salad", 10**9, made_at=late)
        assert moved(file) == {second.prep: f"moved from {was}: {first.prep.capitalize()} not begun"}
        undo(file, COOK)
        assert moved(file) == {}
        start(file, COOK, first.prep, first.size, first.line)
        assert moved(file) == {second.prep: f"moved from {was}: {first.prep.capitalize()} began late"}
        file.clock.at = late + timedelta(minutes=61)
        assert moved(file) == {}
    finally:
        file.close()


def test_a_run_under_way_that_does_not_go_on_is_named_as_what_it_makes(tmp_path):
    book = ONE_COOK.replace('steps = [{ do = "Cook", hands_on = "1 h" }]', STEPS_OF_TWO, 1)
    file = opened(tmp_path, book, NOW)
    try:
        start(file, COOK, "barley", Fraction(1))
        (soup,) = [line for line in plan(file.read(), NOW).make if line.prep == "soup"]
        file.clock.at = soup.begins - timedelta(minutes=15)
        count(file, COOK, "salad", 10**9, made_at=file.clock.at)
        assert [said.partition(": ")[2] for said in moved(file).values()] == ["Barley does not go on"]
    finally:
        file.close()


def test_what_moves_a_line_is_said_of_hands_too_and_nothing_is_said_where_nothing_moves(tmp_path):
    file = opened(tmp_path, ONE_COOK.replace("cooks = 1", "cooks = 2"), NOW)
    try:
        was = {line.prep: f"{line.begins:%H:%M}" for line in plan(file.read(), NOW).make}
        hands(file, COOK, date(2026, 10, 31), "hot", 1)
        said = moved(file)
        assert len(said) == 1, "one of them is pushed by the other"
        assert all(text == f"moved from Sat {was[prep]}: more or fewer cooks" for prep, text in said.items())
        hands(file, COOK, date(2026, 10, 31), "hot", 1)
        assert moved(file) == said
    finally:
        file.close()


def test_a_book_that_is_as_it_was_is_taken_without_a_plan(tmp_path, monkeypatch):
    file = opened(tmp_path, text_of(11, 8, tight=True), NOW)
    try:
        before = file.read()
        planned = []
        monkeypatch.setattr(type(file.planner), "where_runs_lie", lambda *given, **how: planned.append(given))
        assert "as it was" in load_book(file, COOK, tmp_path / "book").text
        after = file.read()
        assert (planned, after.placements, after.placed_for) == ([], before.placements, before.placed_for)
    finally:
        file.close()
