"""How many presses it takes in service, and that a key acts only on what is seen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time, timedelta
from typing import Any

from boards.at_a_station import ANOTHER, JUS, NOW

from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.questions.amount import AskAmount
from prepboard.boards.questions.dish import AskDish
from prepboard.boards.questions.sure import AskAll
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.widgets.line_list import LineList
from prepboard.store.actions.food.making import done, start
from prepboard.store.actions.night.service import plate
from prepboard.store.actions.night.services import NewService, add_service
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

DINNER = ("dinner", date(2026, 10, 31))


async def test_several_dishes_go_out_from_one_dialog(desk: Callable[..., Any]) -> None:
    """p, 2, p(ressed), +, o(eufs), Enter."""
    async with desk() as it:
        await it.press("p")
        await it.on(AskDish)
        await it.press("2", "p", "+", "o")
        await it.choose("enter")
        await it.answered("Pressed lamb: 2 out")
        plated = it.file.read().plated
        assert plated == {(*DINNER, "lamb"): 2, (*DINNER, "oyster"): 1}
        await it.press("u")
        await it.choose("enter")
        await it.until(it.pilot, lambda: not any(it.file.read().plated.values()))


async def test_a_functions_course_goes_out_by_one_press(desk: Callable[..., Any], another: KitchenFile) -> None:
    """p, Enter: the next course whole. Once a number is typed only dishes are there to choose from."""
    feast = "feast", date(2026, 10, 31)
    new = NewService("Feast", time(14), time(19), 40, counts={"lamb": 30, "oyster": 20})
    async with desk() as it:
        add_service(another, ANOTHER, feast[1], new)
        await it.until(it.pilot, lambda: it.board.board.served[-1].service.id == "feast")
        await it.press("p")
        await it.on(AskDish)
        rows = it.app.screen.query_one(LineList).rows
        assert [(row.what, row.amount) for row in rows[:2]] == [("main", "30"), ("first", "20")]
        await it.press("2")
        rows = it.app.screen.query_one(LineList).rows
        assert {row.what for row in rows} == {"Pressed lamb", "Œufs à l'oseille"}
        await it.press("escape")
        await it.press("p")
        await it.choose("enter")
        await it.answered("Pressed lamb: 30 out, Feast")
        assert it.file.read().plated == {(*feast, "lamb"): 30}
        await it.press("u")
        await it.choose("enter")
        await it.until(it.pilot, lambda: not any(it.file.read().plated.values()))
        it.file.clock.at = another.clock.at = it.file.clock.at.replace(hour=18, minute=30)
        plate(another, ANOTHER, DINNER, "lamb")
        await it.until(it.pilot, lambda: len(it.board.board.served) == 2)
        await it.press("p")
        await it.on(AskDish)
        rows = it.app.screen.query_one(LineList)
        assert (rows.rows[0].what, rows.row.what) == ("main", "Pressed lamb"), "beside dinner never by habit"


async def test_86_and_back_are_two_presses_on_the_dish(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.go_to("left", "Pressed lamb")
        await it.press("8")
        await it.on(AskWhich)
        await it.choose("enter")
        await it.until(it.pilot, lambda: "lamb" in it.file.read().tonight.get(DINNER, _nothing()).off)
        assert it.file.read().tonight[DINNER].why_off == {"lamb": "none left"}
        await it.until(it.pilot, lambda: it.board.board.left[0].taken_off)
        await it.press("8")
        await it.on(AskAmount)
        assert "how many plates are there?" in str(it.app.screen.query_one(".title").render())
        assert "lamb" not in it.file.read().tonight.get(DINNER, _nothing()).off


def _nothing() -> Any:
    from prepboard.plan.given.state import Tonight

    return Tonight()


async def test_a_smaller_portion_is_set_on_the_bench(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.go_to("left", "Œufs à l'oseille")
        await it.press("w")
        await it.on(AskAmount)
        await it.type("8 ml")
        await it.until(it.pilot, lambda: set(it.file.read().portions.values()) == {8 * 10**6})


async def test_no_more_presses_than_this(desk: Callable[..., Any], file: KitchenFile) -> None:
    """From the cursor on the line: back-dated 4, next step 1, done with another amount of two products 4, a reading 4,
    part of a dropped batch 5. Keys that are typed ahead of their dialog arrive."""
    (soubise,) = done(file, ANOTHER, prep="soubise", at=NOW - timedelta(days=3)).batches
    async with desk(shows=[JUS, "Chive oil", "Rye crumb"]) as it:

        async def takes(presses: str, most: int, came: Callable[[], bool]) -> None:
            keys = presses.split()
            assert len(keys) <= most
            for key in keys:
                await it.press(key)
            await it.until(it.pilot, came)

        def state() -> Any:
            return it.file.read()

        await it.go_to("to-make", JUS)
        await takes("b 2 5 enter", 4, lambda: [run.started for run in state().runs] == [NOW - timedelta(minutes=25)])
        await it.shows("due", [JUS])
        await it.go_to("due", JUS)
        await takes("s", 1, lambda: state().runs[0].step == 1)
        await it.go_to("to-make", "Rye crumb")
        await takes("d 2 enter", 4, lambda: {"crumb", "crust"} <= {batch.prep for batch in state().batches})
        crumb, crust = (next(one for one in state().batches if one.prep == prep) for prep in ("crumb", "crust"))
        assert (crumb.left, crust.left) == (2 * 10**9, 400 * 10**6)
        await it.go_to("goes-off", "Onion soubise")
        await takes("t 4 enter", 4, lambda: [one.of for one in state().readings] == [soubise])
        await it.go_to("goes-off", "Onion soubise")
        left = [2 * 10**9]
        await takes(
            "x d enter 1 enter", 5, lambda: [one.left for one in state().batches if one.code == soubise] == left
        )


async def test_a_code_picks_its_batch_and_what_fits_nothing_takes_nothing(desk: Callable[..., Any]) -> None:
    """A typed code never loses a sign: what is left of it would pick something else."""
    async with desk() as it:
        who = Who("LM", "sauce")
        code = done(it.file, who, prep="oil").batches[0]
        other = done(it.file, who, prep="soubise").batches[0]
        await it.until(it.pilot, lambda: len(it.board.board.state.batches) == 2)
        await it.press("x")
        await it.on(AskWhich)
        await it.press(*code.lower())
        rows = it.app.screen.query_one(LineList).rows
        assert [row.key for row in rows] == [code]
        for _sign in code:
            await it.press("backspace")
        await it.press(*"n9q")
        assert it.app.screen.query_one(LineList).rows == ()
        await it.press("enter")
        assert isinstance(it.app.screen, AskWhich), "nothing was taken"
        assert code != other


async def test_a_scanned_code_opens_a_page_on_which_it_can_be_dealt_with(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        code = done(it.file, Who("LM", "sauce"), prep="oil").batches[0]
        await it.until(it.pilot, lambda: bool(it.board.board.state.batches))
        await it.press(*code, "enter")
        await it.on(LineScreen)
        keys = {key.action for key in it.app.screen.query_one("#keys").keys}
        assert {"done", "count", "throw_away", "temperature", "other_use", "label"} <= keys
        await it.press("d")
        await it.on(AskAll)
        await it.choose("enter")
        await it.until(it.pilot, lambda: not it.file.read().batches)


async def test_the_code_of_a_run_opens_the_run(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        run = start(it.file, Who("LM", "sauce"), "oil", 1).run
        await it.until(it.pilot, lambda: bool(it.board.board.under_way))
        await it.press(*run, "enter")
        await it.on(LineScreen)
        assert it.app.screen.row.key == f"run {run}"


async def test_done_does_not_reach_a_line_that_the_filter_hides(desk: Callable[..., Any]) -> None:
    """With only the soubise in sight d is not for the oil that is under way."""
    async with desk() as it:
        start(it.file, ANOTHER, "oil", 1)
        await it.until(it.pilot, lambda: bool(it.board.board.under_way))
        it.board._show_only("soubise")
        await it.press("d")
        await it.answered("Nothing is under way.")


async def test_what_is_due_goes_on_before_anything_new_is_started(desk: Callable[..., Any]) -> None:
    """The oil was blended two hours ago and nobody has gone on: bare s is for that, not for the jus."""
    async with desk() as it:
        start(it.file, Who("LM", "sauce"), "crumb", 1)
        start(it.file, Who("LM", "sauce"), "jus", 1, at=it.file.clock.now() - timedelta(hours=3))
        await it.until(it.pilot, lambda: len(it.board.board.under_way) == 2)
        runs = {run.prep: run.next for run in it.board.board.under_way}
        await it.press("s")
        if runs["jus"]:
            await it.until(it.pilot, lambda: any(run.step == 1 for run in it.file.read().runs))
        else:
            await it.answered("done is next")
        assert JUS not in it.names("to-make")


async def test_a_line_of_another_business_day_is_asked_for_first(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        board = it.board.board
        from msgspec.structs import replace

        later = replace(board.make[0], begins=board.now + timedelta(days=1))
        it.board.board = replace(board, make=(later, *board.make[1:]))
        await it.go_to("to-make", JUS)
        await it.press("s")
        await it.on(AskAll)
        await it.press("escape")
        assert it.file.read().runs == ()


async def test_a_run_belongs_to_its_recipes_bench_whoever_starts_it(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        start(it.file, Who("LM", ""), "oil", 1)
        start(it.file, ANOTHER, "soubise", 1)
        assert [run.station for run in it.file.read().runs] == ["sauce", "sauce"]
        await it.until(it.pilot, lambda: set(it.names("under-way")) == {"Chive oil", "Onion soubise"})


async def test_the_newest_batch_is_offered_first_to_be_topped_up(desk: Callable[..., Any]) -> None:
    """Its earlier dates count for all of it: the old one would make fresh oil old."""
    async with desk() as it:
        who = Who("LM", "sauce")
        old = done(it.file, who, prep="oil", at=it.file.clock.now() - timedelta(days=3)).batches[0]
        new = done(it.file, who, prep="oil").batches[0]
        start(it.file, who, "oil", 1)
        await it.until(it.pilot, lambda: bool(it.names("under-way")))
        await it.go_to("under-way", "Chive oil")
        await it.press("g")
        await it.on(AskWhich)
        assert [row.key for row in it.app.screen.query_one(LineList).rows] == [new, old]
