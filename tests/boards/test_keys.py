"""One registry of keys: what can be pressed is what can be read, and the footer stays short."""

from __future__ import annotations

import re

import pytest
from textual.binding import BindingsMap

from prepboard.boards.app.themes import THEMES
from prepboard.boards.closing.board import FOOTERS, ClosingScreen
from prepboard.boards.closing.waste import WastePage
from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.boards.keys import ABOUT_THE_ROW, GROUPS, KEYS, key_table, named, of
from prepboard.boards.pages.allergens_page import AllergensPage
from prepboard.boards.pages.label_page import LabelPage
from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.pars.board import ParsScreen
from prepboard.boards.pars.changes_page import Changes
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.mine_or_theirs import MineOrTheirs
from prepboard.boards.questions.sure import AskAll, AskTakeBack, Sure
from prepboard.boards.questions.typed import AskTyped
from prepboard.boards.questions.which import Which
from prepboard.boards.station.board import StationScreen
from prepboard.boards.station.bring import BringScreen
from prepboard.boards.timeline.screen import TimelineScreen
from prepboard.boards.wall.board import WallScreen
from prepboard.boards.widgets.entry import NumberInput
from prepboard.boards.widgets.line_list import LineList
from prepboard.boards.widgets.plain_line import KeyLine

WHOSE = {
    "station": StationScreen,
    "closing": ClosingScreen,
    "waste": WastePage,
    "board": BoardScreen,
    "list": LineList,
    "line": LineScreen,
    "dialog": Dialog,
    "answer": AskTyped,
    "sure": Sure,
    "wall": WallScreen,
    "timeline": TimelineScreen,
    "bring": BringScreen,
    "label": LabelPage,
    "allergens": AllergensPage,
    "several": AskAll,
    "take back": AskTakeBack,
    "changes": Changes,
    "pars": ParsScreen,
    "number": NumberInput,
    "clash": MineOrTheirs,
}
FORBIDDEN = re.compile(r"\b(bump|fire|ticket|expo|all-day|recall|in-window|order-up|queue)", re.IGNORECASE)


@pytest.mark.parametrize("board", WHOSE)
def test_the_registry_holds_exactly_what_can_be_pressed(board: str) -> None:
    bound = {(key, binding.action) for key, binding in BindingsMap(WHOSE[board].BINDINGS)}
    listed = {(name, key.action_of(name)) for key in of(board) for name in key.keys.split(",")}
    assert bound == listed


def test_every_group_of_keys_is_shown_under_a_heading() -> None:
    assert {key.board for key in KEYS} == {board for board, _title in GROUPS} == set(WHOSE)


@pytest.mark.parametrize("key", KEYS, ids=lambda key: f"{key.board} {key.action}")
def test_every_key_has_its_action(key: object) -> None:
    assert hasattr(WHOSE[key.board], f"action_{key.action}")  # type: ignore[attr-defined]


def test_every_question_takes_its_answer_by_the_same_key() -> None:
    for question in (AskTyped, Which):
        assert {(key, bound.action) for key, bound in BindingsMap(question.BINDINGS)} == {("enter", "take")}


@pytest.mark.parametrize("boards", [("station", "board"), ("pars", "board"), ("line",)])
def test_the_footer_has_at_most_six_keys(boards: tuple[str, ...]) -> None:
    left_out = ParsScreen.not_in_footer if "pars" in boards else frozenset()
    assert len(KeyLine(*boards, without=left_out).keys) <= 6


@pytest.mark.parametrize("actions", FOOTERS.values(), ids=FOOTERS)
def test_the_footer_of_the_close_follows_the_cursor_with_at_most_six_keys(actions: tuple[str, ...]) -> None:
    keys = named("closing", "list", "board", actions=actions)
    assert len(keys) <= 6
    assert [key.action for key in keys[-2:]] == ["undo", "all_keys"], "undo and all keys are always in sight"


@pytest.mark.parametrize(
    "together",
    [
        ("station", "board", "list"),
        ("closing", "board", "list"),
        ("waste",),
        ("line",),
        ("bring",),
        ("label",),
        ("dialog", "answer"),
        ("dialog", "sure"),
        ("pars", "board"),
        ("number",),
        ("dialog", "clash"),
    ],
)
def test_no_key_means_two_things_in_one_place(together: tuple[str, ...]) -> None:
    names = [name for key in of(*together) for name in key.keys.split(",")]
    assert len(names) == len(set(names))


def test_every_action_has_a_single_key_and_no_chord() -> None:
    assert not [key for key in KEYS if "+" in key.keys]


def test_no_key_is_a_capital_letter_since_those_are_a_scanners() -> None:
    assert not [key for key in KEYS for name in key.keys.split(",") if len(name) == 1 and name.isupper()]


def test_the_key_table_names_every_key() -> None:
    table = key_table()
    assert all(f"| {key.help} |" in table for key in KEYS)
    assert not FORBIDDEN.search(table)


def test_late_and_discard_look_different_in_every_theme() -> None:
    for theme in THEMES.values():
        colours = theme.variables
        assert len({colours["late"], colours["discard"], colours["cursor"], theme.foreground}) == 4


def test_what_is_about_the_row_under_the_cursor_is_there():
    assert {key.action for key in KEYS} >= ABOUT_THE_ROW
