"""One registry of keys: what can be pressed is what can be read, and the footer stays short."""

from __future__ import annotations

import re

import pytest
from textual.binding import BindingsMap

from prepboard.boards.app.looks import THEMES
from prepboard.boards.closing.board import FOOTERS, ClosingScreen
from prepboard.boards.closing.waste import WastePage
from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.boards.key_signs import key_table
from prepboard.boards.keys import ABOUT_THE_ROW, GROUPS, KEYS, named, of
from prepboard.boards.pages.allergens_page import AllergensPage
from prepboard.boards.pages.label_page import LabelPage
from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.pages.vans_page import VansPage
from prepboard.boards.pars.board import ParsScreen
from prepboard.boards.pars.changes_page import Changes
from prepboard.boards.pars.menus import MENUS, Menu, menu
from prepboard.boards.questions.amount import AskAmount, AskAnyAmount
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.questions.dish import AskDish
from prepboard.boards.questions.mine_or_theirs import MineOrTheirs
from prepboard.boards.questions.minutes import AskMinutes
from prepboard.boards.questions.pin import AskPin
from prepboard.boards.questions.sure import AskAll, AskTakeBack, Sure
from prepboard.boards.questions.typed import AskText, AskTyped
from prepboard.boards.questions.when import AskWhen
from prepboard.boards.questions.which import AskWhich
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
    "vans": VansPage,
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


def test_the_registry_holds_exactly_what_can_be_pressed() -> None:
    for board, whose in WHOSE.items():
        bound = {(key, binding.action) for key, binding in BindingsMap(whose.BINDINGS)}
        listed = {(name, key.action_of(name)) for key in of(board) if not key.menu for name in key.keys.split(",")}
        assert bound == listed, board


SAME = {
    "throw_away": "bin", "discard": "bin", "other_use": "use", "staff_meal": "use", "handle": "hold", "freeze": "hold",
    "whole": "all of it", "changes": "all of it", "filter": "find", "find_batch": "find", "line_down": "down",
    "line_up": "up", "back": "back or quit", "quit": "back or quit",
}  # fmt: skip
"""Actions that are one thing to whoever presses: what a batch, a count or a list of another board makes of it."""
BOARDS = ("station", "closing", "pars", "wall", "waste", "list", "board", "line", "bring", "vans", "label", "timeline")


def test_a_letter_means_the_same_on_every_board_or_is_not_used() -> None:
    """Who has learned the bench's keys presses nothing wrong at the close. In a menu the words stand beside the key,
    and a letter that closes the page that it opened is the same one."""
    meant: dict[str, set[str]] = {}
    for key in of(*BOARDS):
        for name in key.keys.split(","):
            if len(name) == 1 and name.isalpha() and not key.menu and not (key.action == "back" and name != "q"):
                meant.setdefault(name, set()).add(SAME.get(key.action, key.action))
    assert {letter: said for letter, said in meant.items() if len(said) > 1} == {}


def test_a_menu_has_each_of_its_keys_once() -> None:
    for kind in MENUS:
        signs = [row.when for row in menu(kind)]
        assert len(set(signs)) == len(signs), kind


def test_every_group_of_keys_is_shown_under_a_heading() -> None:
    assert {key.board for key in KEYS} == {board for board, _title in GROUPS} == set(WHOSE)


def test_every_key_has_its_action() -> None:
    """On the board, the page or the list itself, or on the part of a board that its keys are handed to."""
    does = {group: (whose, *getattr(whose, "keyed", ())) for group, whose in WHOSE.items()}
    assert [
        (key.board, key.action)
        for key in KEYS
        if not any(hasattr(one, f"action_{key.action}") for one in does[key.board])
    ] == []


def test_every_question_takes_its_answer_by_the_same_key() -> None:
    for question in (AskTyped, AskText, AskWhen, AskAmount, AskAnyAmount, AskPin, AskWhich, AskDish, AskMinutes, Menu):
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
        ("vans",),
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
