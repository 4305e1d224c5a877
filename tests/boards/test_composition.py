"""What a board, a page, a question or a widget does stands in it, in the parts that it holds, and in at most one class
below it: nobody has to read up a tower to know what a key or a message does."""

from __future__ import annotations

import inspect
import pkgutil
from importlib import import_module

import prepboard.boards
from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.boards.pages.page import Page
from prepboard.boards.questions.dialog import Dialog
from prepboard.boards.widgets.line_list import LineList

MOST = 2
"""Classes of our own in which the code of one lies: itself, and what it is built on."""


def ours() -> list[type]:
    """Every class that boards/ writes, with those inside another."""
    found: list[type] = []
    for module in pkgutil.walk_packages(prepboard.boards.__path__, "prepboard.boards."):
        written = vars(import_module(module.name)).values()
        found += [one for one in written if inspect.isclass(one) and one.__module__ == module.name]
    return found


def test_no_class_of_a_board_is_built_on_more_than_one_other_of_ours() -> None:
    classes = ours()
    assert len(classes) > 100
    assert {BoardScreen, Page, Dialog, LineList} <= {*classes}, "screens, pages, questions and widgets are looked at"
    towers = {
        one.__qualname__: [below.__qualname__ for below in one.__mro__ if below.__module__.startswith("prepboard.")]
        for one in classes
    }
    assert {name: tower for name, tower in towers.items() if len(tower) > MOST} == {}
