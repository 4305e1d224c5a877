"""The demo's afternoon, done twice from the same file: by people who read English, and by people of other letters."""

from __future__ import annotations

import shutil
from datetime import time
from pathlib import Path
from random import Random

import pytest
from languages.other_letters import WORD
from languages.pseudo import Pseudo, speaking

from prepboard import demo
from prepboard.clock import FixedClock
from prepboard.demo_book import demo_words
from prepboard.plan.planner import Planner
from prepboard.store.kitchen_file import KitchenFile

UNTIL = time(16, 30)
"""Late enough for runs that begin, go on, are done and are lost, for readings, counts and notes."""

PLANS_FROM = time(16, 20)
"""From then on each press plans, and keeps of its plan what it would; nothing else depends on it."""


def _afternoon(made_demo: Path, folder: Path) -> Path:
    path = Path(shutil.copy(made_demo, folder / "kitchen.db"))
    file = KitchenFile.open(path, FixedClock(demo.NOW), random=Random(1))
    demo.go_on(file, demo.NOW, demo.later(PLANS_FROM))
    file.makes_planner = Planner
    demo.go_on(file, demo.later(PLANS_FROM), demo.later(UNTIL))
    file.close()
    return path


@pytest.fixture(scope="session")
def of_the_book() -> frozenset[str]:
    """All words that people wrote in the demo: names, steps and notes of its book and of its story."""
    return frozenset(word.lower() for text in demo_words("es") for word in WORD.findall(text))


@pytest.fixture(scope="session")
def in_english(made_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _afternoon(made_demo, tmp_path_factory.mktemp("english"))


@pytest.fixture(scope="session")
def in_letters(made_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    with speaking(Pseudo()):
        return _afternoon(made_demo, tmp_path_factory.mktemp("letters"))
