"""What a board must have is known before anybody opens it."""

from __future__ import annotations

from importlib import import_module

import pytest

from prepboard.boards.app.registry import KINDS
from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.commands.house.many import NOT_HERE
from prepboard.commands.house.serve import add


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_what_is_registered_is_what_the_screen_says(kind):
    screen = getattr(import_module(f"prepboard.boards.{kind.name}.board"), kind.screen)
    assert issubclass(screen, BoardScreen)
    assert screen.board_name == kind.name
    assert set(kind.shared_keys) <= {*screen.shared_keys}
    assert screen.not_in_footer == kind.without


def test_a_board_without_title_lists_keys_or_style_sheet_is_refused_when_its_class_is_made():
    with pytest.raises(TypeError, match=r"lacks compose_lists, show, title_of, keys of 'nothing', .*gone\.tcss"):

        class Bare(BoardScreen):
            board_name = "nothing"
            CSS_PATH = ("gone.tcss",)


def test_a_board_of_which_a_key_does_nothing_is_refused_when_its_class_is_made():
    with pytest.raises(TypeError, match=r"lacks action_next_page$"):

        class Deaf(BoardScreen):
            board_name = "wall"
            CSS_PATH = ()
            compose_lists = show = title_of = BoardScreen.explain


def test_a_part_of_a_board_needs_none_of_it():
    class Part(BoardScreen):
        pass

    assert issubclass(Part, BoardScreen)


def test_every_board_is_shown_in_a_browser_too():
    """A bench's is what a device shows that names no other."""
    flags = {option.flag_value for option in add.params if option.name == "board"}
    assert flags == {*KINDS} - {"station"}


def test_a_script_opens_no_board():
    assert {*KINDS} <= {*NOT_HERE}
