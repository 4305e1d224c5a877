"""The demo's afternoon, done twice from the same file: by people who read English, and by people of other letters."""

from __future__ import annotations

import shutil
from collections.abc import Generator
from datetime import time
from functools import partial
from pathlib import Path
from random import Random
from weakref import WeakKeyDictionary

import click
import pytest
from conftest import any_plan, books_are_read_once, made_once
from languages.other_letters import WORD
from languages.pseudo import Pseudo, speaking

from prepboard import demo, texts
from prepboard.clock import FixedClock
from prepboard.demo_book import demo_words
from prepboard.plan.planner import Planner
from prepboard.store.kitchen_file import KitchenFile

UNTIL = time(16, 30)
"""Late enough for runs that begin, go on, are done and are lost, for readings, counts and notes."""

PLANS_FROM = time(16, 20)
"""From then on each press plans, and keeps of its plan what it would; nothing else depends on it."""


@pytest.fixture(autouse=True)
def words_are_looked_at() -> Generator[None]:
    """Not how good a plan is."""
    with any_plan(), books_are_read_once():
        yield


@pytest.fixture(scope="session", autouse=True)
def help_is_said_anew_in_each_language() -> Generator[None]:
    """The library keeps its own line of a help page as it was first said: a program speaks one language, tests speak
    several."""
    get, said_in = click.Command.get_help_option, WeakKeyDictionary[click.Command, object]()

    def get_anew(command: click.Command, context: click.Context) -> click.Option | None:
        if said_in.get(command) is not texts._catalogue:
            command._help_option, said_in[command] = None, texts._catalogue
        return get(command, context)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(click.Command, "get_help_option", get_anew)
        yield


def _afternoon(made_demo: Path, path: Path) -> None:
    shutil.copy(made_demo, path)
    file = KitchenFile.open(path, FixedClock(demo.NOW), random=Random(1))
    until_half_past_four(file)
    file.close()


def until_half_past_four(file: KitchenFile) -> None:
    with any_plan():
        demo.go_on(file, demo.NOW, demo.later(PLANS_FROM))
        file.makes_planner = Planner
        demo.go_on(file, demo.later(PLANS_FROM), demo.later(UNTIL))


@pytest.fixture(scope="session")
def of_the_book() -> frozenset[str]:
    """All words that people wrote in the demo: names, steps and notes of its book and of its story."""
    return frozenset(word.lower() for text in demo_words("es") for word in WORD.findall(text))


@pytest.fixture(scope="session")
def in_english(made_demo: Path, tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    return made_once(tmp_path_factory, worker_id, "afternoon-in-english", partial(_afternoon, made_demo))


@pytest.fixture(scope="session")
def in_letters(made_demo: Path, tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    with speaking(Pseudo()):
        return made_once(tmp_path_factory, worker_id, "afternoon-in-letters", partial(_afternoon, made_demo))
