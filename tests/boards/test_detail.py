"""An open line: the recipe for this run, why this much, and what it rests on."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from fractions import Fraction
from types import SimpleNamespace

from msgspec.structs import replace

from prepboard.boards.rows.find import find
from prepboard.boards.rows.line_page import detail, why_this_much
from prepboard.boards.rows.lists import run_key
from prepboard.plan.board import Board
from prepboard.plan.shown.lines import DishSales, MakeLine, Serves

Boards = Callable[..., Board]
MILLION = 1_000_000


def opened(board: Board, key: str) -> tuple[str, dict[str, list[str]]]:
    shown = find(board, key)
    assert shown is not None
    title, blocks = detail(board, shown)
    assert all(lines for _heading, lines in blocks), "a heading without anything under it"
    assert len(dict(blocks)) == len(blocks), "two blocks with one heading"
    return title, dict(blocks)


def line_key(board: Board, prep: str) -> str:
    return next(str(line.line) for line in board.make if line.prep == prep)


def test_why_this_much_names_par_basis_stock_and_what_covers_it(board: Boards) -> None:
    jus = next(line for line in board().make if line.prep == "jus")
    assert list(why_this_much(board(), jus)) == [
        "par 1.6 l for 92 covers (mix, 95 in 100)",
        "on hand 400 ml; under way 0 ml; short 1.2 l; 1 recipe covers it, 1.2 l",
        "all of it for dinner",
    ]


def test_an_open_line_says_where_its_number_comes_from_in_a_chefs_words(board: Boards) -> None:
    now = board()
    jus = next(line for line in now.make if line.prep == "jus")
    par = next(par for par in now.pars if par.prep == "jus")
    lamb = DishSales("lamb", "measured", 40, 57, 60, False, 36.6, None, 31.2, 18, True, (date(2026, 10, 24),))
    known = replace(now, pars=(replace(par, source="history", stage="measured", dishes=(lamb,)),))
    assert list(why_this_much(known, jus))[1:3] == [
        f"{now.state.book.dishes['lamb'].name}: usually 31 on a Saturday, raised to 37 by 18 covers above usual, as"
        " they did before; on top a margin as large as our misses. Odd, and counted in part only: Sat 24.",
        f"{now.state.book.dishes['lamb'].name}, covered 57 of the last 60",
    ]


def test_a_run_for_another_run_says_so_and_has_no_par(
    board: Boards, make: Callable[..., MakeLine], moment: Callable[..., datetime]
) -> None:
    serves = (Serves(None, "jus", date(2026, 10, 31), 2 * MILLION),)
    stock = make("stock", 2 * MILLION, moment("9:00"), serves=serves, par=None, short=2 * MILLION, size=Fraction(3, 2))
    said = list(why_this_much(board(make=(stock,)), stock))
    assert said[0].endswith("1½ recipes cover it, 2 ml")
    assert said[1] == "2 ml for Lamb jus"


def test_a_run_for_two_services_says_how_much_is_for_which(board: Boards) -> None:
    oil = next(line for line in board().make if line.prep == "chive-oil")
    assert list(why_this_much(board(), oil))[-2:] == ["300 ml for dinner", "200 ml for Sun lunch"]


def test_the_recipe_is_that_of_this_run(board: Boards) -> None:
    """Amounts are scaled, every step says its hands-on, its wait, its oven and its temperatures."""
    now = board()
    title, blocks = opened(now, line_key(now, "jus"))
    assert title == "Lamb jus   1.2 l   1 recipe"
    assert blocks["GOES IN"] == ["3 kg  Lamb bones  (step 1)", "2 l   Brown stock  (step 2)"]
    assert blocks["STEPS"] == [
        "1  roast the bones   14:40",
        "   10 min hands-on, then 45 min to wait, deck oven, at 220 °C, roast",
        "2  simmer and skim   15:35",
        "   20 min hands-on, then 2 h to 4 h to wait",
        "   never a rolling boil",
        "3  strain, reduce to a coat   17:15",
        "   15 min hands-on, core 75 °C",
    ]
    assert blocks["ALLERGENS"] == ["celery"]
    assert blocks["WATCH"] == ["200 ml spare: nothing planned needs it"]
    assert blocks["NOTE"] == ["Mount with butter at the pass."]


def test_a_line_says_when_to_start_and_on_what_its_life_rests(board: Boards) -> None:
    now = board()
    _title, blocks = opened(now, line_key(now, "jus"))
    assert blocks[""] == [
        "start by 14:40 (in 18 min), ready by 17:30",
        "once made, good to Sun, by A made-up rule book",
    ]


def test_a_late_line_says_when_it_would_be_ready(board: Boards) -> None:
    now = board()
    _title, blocks = opened(now, line_key(now, "soubise"))
    assert blocks[""][:2] == [
        "begins 14:22, ready 17:42: ready 12 min late; needed by 17:30",
        "if started now: ready 17:42",
    ]


def test_a_run_under_way_says_what_is_next(board: Boards) -> None:
    now = board()
    title, blocks = opened(now, run_key(now.under_way[0]))
    assert title.startswith("Lamb shoulder, braised   3.2 kg")
    assert blocks[""] == ["started 11:10 by LM; ready 16:40", "next, 15:40: out of the deck oven"]


def test_a_batch_says_on_what_its_use_by_rests(board: Boards) -> None:
    """Whoever is told that food is good is told by which rules, and that they are not the law of the place."""
    title, blocks = opened(board(), "K7F")
    assert title == "Parsnip purée   1.1 kg   K7F"
    said = "\n".join(blocks[""])
    assert "good to midnight, its own life" in said
    (basis,) = blocks["BASIS"]
    assert "A made-up rule book" in basis
    assert "not the law of the place" in basis


def test_a_dish_says_what_each_plate_takes_and_what_is_there(board: Boards, parts: SimpleNamespace) -> None:
    title, blocks = opened(board(), "lamb")
    assert title == "Pressed lamb shoulder   34"
    assert "lasts to about 20:40 (lamb jus)" in blocks[""]
    assert blocks["ON HAND"] == ["Lamb jus: 1.36 l, 40 ml on a plate"]
    assert blocks["FINISH"] == ["Glaze under the grill, 4 min."]
    assert blocks["ALLERGENS"] == ["celery"]
    expected = board(given_left=(parts.left("lamb", 3, "jus", 40, "jus", basis="expected"),))
    assert any("not counted" in line for line in opened(expected, "lamb")[1][""])


def test_a_dish_that_is_86_says_what_it_lacks_and_not_when_that_ends(
    board: Boards, parts: SimpleNamespace, moment: Callable[..., datetime]
) -> None:
    gone = parts.left("lamb", 0, "jus", 40, "jus", eighty_six=True, runs_out_at=moment("14:22"))
    says = opened(board(given_left=(gone,)), "lamb")[1][""]
    assert "86, no lamb jus" in says
    assert not any("runs out" in line or "ends first" in line for line in says)
