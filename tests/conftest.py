"""Small kitchens for the rules of the plan: a book as text, a moment on the kitchen's clock, batches on hand."""

from __future__ import annotations

import fcntl
import gc
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Callable, Generator, Hashable
from contextlib import contextmanager
from datetime import UTC, date, datetime, time
from fractions import Fraction
from itertools import count, islice
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.internal.conjecture import providers

from prepboard.book.amounts import read_amount
from prepboard.book.book import Book
from prepboard.book.reading.reader import read_texts
from prepboard.clock import FixedClock
from prepboard.demo import NOW, build, go_on, later
from prepboard.plan import outline
from prepboard.plan.board import Board, plan
from prepboard.plan.floor import pinned, placing
from prepboard.plan.given.state import Batch, Run, State
from prepboard.plan.shown.lines import MakeLine, ParLine
from prepboard.store.actions.loading import load_book
from prepboard.store.file import checked
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import speak, spoken

gc.disable()
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
"""Byte code is kept, by these processes and by those that the tests start: without it each of them would read all
sources anew, and half of a minute went into that."""

MEMORY = Path("/dev/shm")
if MEMORY.is_dir() and shutil.disk_usage(MEMORY).free > 2 * 10**9:
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))
    os.environ.setdefault("TMPDIR", str(MEMORY))
    tempfile.tempdir = None
"""Kitchens of tests lie in memory where there is room, and so does what servers and browsers keep for them: no test
pulls the plug, and on a disk each of their thousands of transactions waits, and a server for each database it lays."""

SLOW_MACHINE = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("the same draws", derandomize=True, **SLOW_MACHINE)
settings.register_profile("new draws", print_blob=True, **SLOW_MACHINE)
settings.load_profile("the same draws")
"""A change is judged by what it changes, not by a draw of that day; `pytest --hypothesis-profile "new draws"` draws
anew, and what it finds becomes a case of its own."""


def drawn_of(cases: int) -> int:
    """How many of the cases that are drawn for a rule the suite goes through: the first third of them, but four; all
    with PREPBOARD_LONG."""
    return cases if "PREPBOARD_LONG" in os.environ else max(4, cases // 3)


def pytest_configure(config: pytest.Config) -> None:
    """The same draws take no numbers and words out of our own files, which would be those of the modules that a process
    has loaded so far: another order of tests, or a line changed anywhere, would draw anew."""
    if not config.getoption("--hypothesis-profile", default=None) and hasattr(providers, "_get_local_constants"):
        providers._get_local_constants = lambda: providers._local_constants


def pytest_xdist_auto_num_workers() -> int:
    """At least three at once, also on two cores: some tests wait for a page or for other processes. Each one more reads
    all tests, for four seconds of processor."""
    return max(3, os.cpu_count() or 1)


def pytest_sessionstart(session: pytest.Session) -> None:
    """What went well before and after a test, and that one begins or ends, need not be told the process that counts: of
    five messages a test that leaves two."""
    plugins = session.config.pluginmanager.get_plugins()
    teller: Any = next((one for one in plugins if type(one).__name__ == "WorkerInteractor"), None)
    if teller is None:
        return
    tell, all_is_asked = teller.sendevent, session.config.option.durations is not None

    def sendevent(name: str, **what: Any) -> None:
        said = what.get("data", {})
        went_well = name == "testreport" and said["when"] != "call" and said["outcome"] == "passed"
        if name not in ("logstart", "logfinish") and (all_is_asked or not went_well):
            tell(name, **what)

    teller.sendevent = sendevent


LONGEST = (
    "tests/boards/web/",
    "tests/group/",
    "test_obedient.py",
    "test_pictures_of_all.py",
    "test_a_day_by_taps.py",
    "test_two_names.py",
    "test_evening.py",
    "test_every_command_of_the_other_pages_runs_on_the_demo",
    "test_drawn_histories_are_answered_as_the_codes_say",
    "test_on_screen.py test_a_third_language.py test_catalogues.py test_no_text_outside.py",
    "test_stations.py",
    "test_drawn_race.py",
    "test_invariants.py",
    "test_kept.py",
    "test_story.py",
    "test_a_close_of_sixty_batches_in_at_most_eighty_presses",
    "test_what_is_taken_is_what_a_new_plan_would_be",
)
"""Files, folders and tests that take seconds. Those of one line stay together: they share what they build, those of a
group one PostgreSQL, those of a page one browser, those of our texts all that is found in our sources, which a second
worker would have to begin anew. Pages wait for most of a minute: whoever opens them begins with that."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest first, dealt out to those that run at once, so that none is left alone with one at the end: each of
    them begins with an equal part of the list, and whoever is done takes from the end of another's."""
    at_once = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    long = {
        item: next((one for one in LONGEST if any(part in item.nodeid for part in one.split())), "") for item in items
    }
    rest = [item for item in items if not long[item]]
    first: list[list[pytest.Item]] = [[] for _worker in range(at_once)]
    for number, name in enumerate(one for one in LONGEST if one in long.values()):
        first[number % at_once] += [item for item in items if long[item] == name]
    share, dealt = -(-len(items) // at_once), iter(rest)
    items[:] = [item for mine in first for item in (*mine, *islice(dealt, max(0, share - len(mine))))]
    items += dealt


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """One of those that run at once reads the tests alone and keeps their byte code; the others wait for that and take
    it, instead of each writing the same at the same time."""
    with Path(__file__).open() as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            fcntl.flock(lock, fcntl.LOCK_SH)
            fcntl.flock(lock, fcntl.LOCK_UN)
        return (yield)


def kitchen_file(folder: Path, at: datetime, who: Who, *, seed: int = 1, **written: str) -> KitchenFile:
    """A new file in a folder of its own, open at that moment, with the book loaded that is `written`: names of files
    and their text. What codes it gives is drawn with `seed`."""
    book, shared = folder / "book", folder / "shared"
    for one in (book, shared):
        one.mkdir(parents=True)
    for name, text in written.items():
        (book / f"{name}.toml").write_text(text, encoding="utf-8")
    path = shared / "kitchen.db"

    def load() -> None:
        file = KitchenFile.open(path, FixedClock(at), create=True, random=Random(seed))
        load_book(file, who, book)
        file.close()

    once((at, who, seed, *sorted(written.items())), path, load)
    return KitchenFile.open(path, FixedClock(at), random=Random(seed))


_MADE: dict[Hashable, bytes] = {}


def once(key: Hashable, path: Path, make: Callable[[], object]) -> None:
    """Has `make` write the file at `path` and close it; whoever asks for the same again gets a copy."""
    if key in _MADE:
        path.write_bytes(_MADE[key])
    else:
        make()
        _MADE[key] = path.read_bytes()


def pytest_collection_finish() -> None:
    """What was imported stays: it need not be gone through each time garbage is looked for, and none was looked for
    until here. That is done less often than usual, since what a test leaves behind is small."""
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)
    gc.enable()


def pytest_sessionfinish() -> None:
    """Looks for garbage once; pytest does so five times over all that the tests have left."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session", autouse=True)
def presses() -> Generator[None]:
    # What these load reads the environment, which others set first.
    from new_files import tables_are_made_once
    from screens import presses_wait_for_rest
    from styling import (
        colours_are_mixed_once,
        parts_are_styled_when_asked_for,
        rules_are_looked_for_once,
        style_sheets_are_read_once,
    )

    with (
        tables_are_made_once(),
        presses_wait_for_rest(),
        style_sheets_are_read_once(),
        rules_are_looked_for_once(),
        parts_are_styled_when_asked_for(),
        colours_are_mixed_once(),
    ):
        yield


_folders = count()


@pytest.fixture
def tmp_path(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """As pytest's own, which looks through all that there are for the next free number."""
    name = re.sub(r"\W", "_", request.node.name)[:30]
    folder = tmp_path_factory.getbasetemp() / f"{name}-{next(_folders)}"
    folder.mkdir(mode=0o700)
    return folder


@pytest.fixture(autouse=True)
def in_the_language_from_before() -> Generator[None]:
    """A board that follows whoever presses leaves its language behind."""
    before = spoken()
    yield
    if spoken() != before:
        speak(before)


BUDGET, SOME = placing._budget, outline.SOME
"""As plans are made but for `any_plan`."""


@contextmanager
def any_plan() -> Generator[None]:
    """Plans take the first order in which everything lies somewhere, nobody makes way, needs and places are worked out
    from each other twice at most, and no press has all begun from nothing, for tests of words and of commands: how good
    a plan is has tests of its own."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(placing, "_budget", lambda _runs: 0)
        patched.setattr(placing, "_tries", lambda _runs: 1)
        patched.setattr(pinned, "MOST_PLACED", 0)
        patched.setattr(outline, "SOME", -1)
        patched.setattr(outline, "MOST_ROUNDS", 2)
        patched.setattr(outline, "MORE_ROUNDS", 0)
        yield


BOOKS = 40
"""So many books are known at once, the last ones."""


@contextmanager
def books_are_read_once(before: dict[str, Book] | None = None) -> Generator[None]:
    """Commands that a test calls one after the other on one kitchen share the book that its file keeps, as those of an
    open board do, and with it what plans remember; those that were read `before` stay too."""
    known = {} if before is None else before
    read = checked.from_kept

    def from_kept(text: str) -> Book:
        if text not in known:
            if len(known) >= BOOKS:
                del known[next(iter(known))]
            known[text] = read(text)
        return known[text]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(checked, "from_kept", from_kept)
        yield


@pytest.fixture(scope="session")
def made_demo(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """The demo kitchen at 14:20, made once for all that run at once: to be read and copied, never to be written to."""
    return made_once(tmp_path_factory, worker_id, "made-demo", build)


EVENING = (time(16), time(17, 20), time(19, 45), time(23))


@pytest.fixture(scope="session")
def demo_at(tmp_path_factory: pytest.TempPathFactory, worker_id: str, made_demo: Path) -> Callable[[time], Path]:
    """The same kitchen taken on to a time of `EVENING`, each time from the one before, as `demo --at` does: to be read
    and copied, too."""

    def at(when: time) -> Path:
        number = EVENING.index(when)
        before, since = (at(EVENING[number - 1]), later(EVENING[number - 1])) if number else (made_demo, NOW)

        def taken_on(path: Path) -> None:
            shutil.copy(before, path)
            file = KitchenFile.open(path, FixedClock(since), random=Random(number + 1))
            go_on(file, since, later(when))
            file.close()

        return made_once(tmp_path_factory, worker_id, f"demo-at-{when:%H-%M}", taken_on)

    return at


def made_once(
    tmp_path_factory: pytest.TempPathFactory, worker_id: str, name: str, make: Callable[[Path], object]
) -> Path:
    """A file that the first who asks for it makes, while the others wait."""
    folder = tmp_path_factory.getbasetemp()
    folder = folder if worker_id == "master" else folder.parent
    made = folder / name / "kitchen.db"
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            made.parent.mkdir()
            half_made = made.with_name("half-made.db")
            with pytest.MonkeyPatch.context() as patched:
                # All that run at once share it, also those that look at how good its plan is.
                patched.setattr(placing, "_budget", BUDGET)
                patched.setattr(outline, "SOME", SOME)
                make(half_made)
            half_made.rename(made)
    return made


@pytest.fixture
def demo_file(made_demo: Path, tmp_path: Path) -> Path:
    """A demo kitchen of one's own."""
    return Path(shutil.copy(made_demo, tmp_path / "kitchen.db"))


KITCHEN = """
name = "Test kitchen"
time_zone = "UTC"
day_starts = "04:00"
rules = "food-code-2022"
"""
INDEPENDENT = "spread = 0\n"
"""Guests choose independently, as in the textbooks that most of these tests' values come from."""

NO_SLACK = 'ready_before = "0 min"\n'
"""What is needed by 18:00 may be ready at 18:00, so that a test's times can be added up by hand."""


class Kitchen:
    """A book and what stands in its walk-in, to be planned at a moment. Saturday 31 October 2026 is "today"."""

    def __init__(self, text: str, settings: str = "") -> None:
        spread = "" if "spread" in settings else INDEPENDENT
        slack = "" if "ready_before" in settings else NO_SLACK
        self.book: Book = read_texts({"kitchen.toml": KITCHEN + spread + slack + settings, "book.toml": text})
        self.batches: list[Batch] = []
        self.runs: list[Run] = []
        self.tonight: dict[tuple[str, date], object] = {}
        self.more: dict[str, object] = {}

    @property
    def state(self) -> State:
        return State(self.book, batches=tuple(self.batches), runs=tuple(self.runs), tonight=self.tonight, **self.more)

    def amount(self, item: str, text: str) -> int:
        return self.book.measure(item).millionths(read_amount(text))

    def on_hand(self, prep: str, amount: str, use_by: str | None = "2026-12-31 00:00", **more: object) -> Batch:
        recipe = self.book.preps[prep]
        batch = Batch(
            code=f"B{len(self.batches)}",
            prep=prep,
            left=self.amount(prep, amount),
            made_at=at("2026-10-30 12:00"),
            day_one=date(2026, 10, 30),
            use_by=at(use_by) if use_by else None,
            why="keeps",
            store=recipe.store,
            place=recipe.store,
            station=recipe.station,
            by="LM",
        )
        for name, value in more.items():
            setattr(batch, name, value)
        self.batches.append(batch)
        return batch

    def under_way(self, prep: str, size: str = "1", *, started: str, step: int = 0, taken: tuple[str, ...] = ()) -> Run:
        recipe = self.book.preps[prep]
        run = Run(
            code=f"R{len(self.runs)}",
            line=None,
            recipe=recipe,
            size=Fraction(size),
            outputs={item: round(amount * Fraction(size)) for item, amount in recipe.outputs.items()},
            started=at(started),
            step=step,
            step_began=at(started),
            taken=frozenset(taken),
            by="LM",
            station=recipe.station,
        )
        self.runs.append(run)
        return run

    def plan(self, now: str = "2026-10-31 09:00") -> Board:
        return plan(self.state, at(now))

    def lines(self, prep: str, now: str = "2026-10-31 09:00") -> list[MakeLine]:
        return [line for line in self.plan(now).make if line.prep == prep]

    def par(self, prep: str, now: str = "2026-10-31 09:00") -> ParLine:
        return next(par for par in self.plan(now).pars if par.prep == prep)


def at(text: str) -> datetime:
    """A moment in UTC, which is also these kitchens' wall clock."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.fixture
def kitchen() -> Callable[..., Kitchen]:
    return Kitchen


@pytest.fixture
def moment() -> Callable[[str], datetime]:
    return at
