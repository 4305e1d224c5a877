"""Keeping a board live: a change, a minute, and a file that cannot be read."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from prepboard.boards.frame import live
from prepboard.boards.frame.live import NotLive, follow
from prepboard.clock import FixedClock

NOW = datetime(2026, 10, 31, 14, 2, 30, tzinfo=UTC)


@dataclass
class Shown:
    """Stands for a board: the state it was made of, and its moment."""

    state: str
    now: datetime
    new_shorts: dict[tuple[str, str], date] = field(default_factory=dict)
    ended_shorts: dict[tuple[str, str], date] = field(default_factory=dict)
    new_run_outs: dict[tuple[str, date], dict[str, datetime]] = field(default_factory=dict)
    new_learned: None = None


@dataclass
class File:
    """A file whose states are given, and that can break."""

    clock: FixedClock = field(default_factory=lambda: FixedClock(NOW))
    state: str = "first"
    broken: str = ""
    changed: asyncio.Event = field(default_factory=asyncio.Event)
    looked: int = 0
    seen: int = 0
    acted: bool = False
    planner: None = None

    def read(self) -> Any:
        self.looked += 1
        if self.broken:
            raise OSError(self.broken)
        return self.state


@pytest.fixture
def file(monkeypatch: pytest.MonkeyPatch) -> File:
    async def changes(file: File, _since: int) -> AsyncIterator[None]:
        while True:
            await file.changed.wait()
            file.changed.clear()
            yield

    monkeypatch.setattr("prepboard.store.watch.changes", changes)
    monkeypatch.setattr(live, "plan", Shown)
    monkeypatch.setattr(live, "_tend", lambda _file, wrote: None)
    monkeypatch.setattr(live, "only_told", lambda old, state: state.startswith(f"{old} and told"))
    monkeypatch.setattr(live, "recorded", lambda _before, state, now: Shown(f"{state}, as recorded", now))
    return File()


async def soon(boards: AsyncIterator[Any]) -> Any:
    return await asyncio.wait_for(anext(boards), 5)


async def test_a_change_of_the_file_is_a_new_board(file: File) -> None:
    boards: Any = follow(file)  # type: ignore[arg-type]
    assert (await soon(boards)).state == "first"
    file.state = "second"
    file.changed.set()
    assert (await soon(boards)).state == "second, as recorded"
    assert (await soon(boards)).state == "second"
    await boards.aclose()


async def test_plates_that_go_out_one_after_the_other_are_shown_one_by_one_and_cost_one_plan(
    file: File, monkeypatch: pytest.MonkeyPatch
) -> None:
    planned: list[str] = []

    def counted(state: str, now: datetime) -> Shown:
        planned.append(state)
        return Shown(state, now)

    monkeypatch.setattr(live, "plan", counted)
    boards: Any = follow(file)  # type: ignore[arg-type]
    await soon(boards)
    for plate in ("1 out", "2 out", "3 out"):
        file.state = plate
        file.changed.set()
        assert (await soon(boards)).state == f"{plate}, as recorded"
    assert (await soon(boards)).state == "3 out"
    assert planned == ["first", "3 out"]
    await boards.aclose()


async def test_a_service_that_never_pauses_is_planned_all_the_same(file: File, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live, "AT_MOST", 0.1)
    monkeypatch.setattr(live, "QUIET", 60.0)
    boards: Any = follow(file)  # type: ignore[arg-type]
    await soon(boards)
    file.state = "second"
    file.changed.set()
    assert (await soon(boards)).state == "second, as recorded"
    assert (await soon(boards)).state == "second"
    await boards.aclose()


async def test_ones_own_change_is_planned_at_once(file: File, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live, "QUIET", 60.0)
    boards: Any = follow(file)  # type: ignore[arg-type]
    await soon(boards)
    file.state, file.acted = "mine", True
    file.changed.set()
    assert (await soon(boards)).state == "mine, as recorded"
    assert (await soon(boards)).state == "mine"
    await boards.aclose()


async def test_a_board_of_numbers_shows_its_own_change_with_what_the_plan_makes_of_it(file: File) -> None:
    """Else a number that was just saved would stand there as it was before, until the plan is ready."""
    boards: Any = follow(file, own_at_once=False)  # type: ignore[arg-type]
    await soon(boards)
    file.state, file.acted = "mine", True
    file.changed.set()
    assert (await soon(boards)).state == "mine"
    file.state, file.acted = "theirs", False
    file.changed.set()
    assert (await soon(boards)).state == "theirs, as recorded"
    await boards.aclose()


async def test_what_people_only_tell_each_other_is_shown_and_costs_no_plan(
    file: File, monkeypatch: pytest.MonkeyPatch
) -> None:
    planned, kept_up = [], []
    monkeypatch.setattr(live, "plan", lambda state, now: planned.append(state) or Shown(state, now))
    monkeypatch.setattr(live, "_tend", lambda _file, wrote: kept_up.append(wrote))
    for name in ("QUIET", "SPREAD", "PAINTED"):
        monkeypatch.setattr(live, name, 0.0)
    boards: Any = follow(file, own_at_once=False)  # type: ignore[arg-type]
    await soon(boards)
    for state, acted in (("first and told", False), ("first and told and told", True)):
        file.state, file.acted = state, acted
        file.changed.set()
        assert (await soon(boards)).state == f"{state}, as recorded"
    coming = asyncio.ensure_future(anext(boards))
    await asyncio.sleep(0.1)
    assert planned == ["first"]
    assert (kept_up, file.acted) == ([False, True], False), "what was written here is copied all the same"
    file.state = "second"
    file.changed.set()
    assert (await asyncio.wait_for(coming, 5)).state == "second, as recorded"
    assert (await soon(boards)).state == "second"
    await boards.aclose()


async def test_what_is_told_while_a_plan_is_made_is_still_there_when_that_is_ready(
    file: File, monkeypatch: pytest.MonkeyPatch
) -> None:
    ready = threading.Event()

    def slow(state: str, now: datetime) -> Shown:
        assert state == "first" or ready.wait(5)
        return Shown(state, now)

    monkeypatch.setattr(live, "plan", slow)
    for name in ("QUIET", "SPREAD"):
        monkeypatch.setattr(live, name, 0.0)
    boards: Any = follow(file)  # type: ignore[arg-type]
    await soon(boards)
    for state in ("second", "second and told"):
        file.state = state
        file.changed.set()
        assert (await soon(boards)).state == f"{state}, as recorded"
        await asyncio.sleep(0.05)
    ready.set()
    assert (await soon(boards)).state == "second and told, as recorded"
    await boards.aclose()


async def test_what_changes_while_a_plan_is_made_is_shown_before_that_plan_is_ready(
    file: File, monkeypatch: pytest.MonkeyPatch
) -> None:
    ready = threading.Event()

    def slow(state: str, now: datetime) -> Shown:
        assert state == "first" or ready.wait(5)
        return Shown(state, now)

    monkeypatch.setattr(live, "plan", slow)
    monkeypatch.setattr(live, "QUIET", 0.0)
    monkeypatch.setattr(live, "SPREAD", 0.0)
    boards: Any = follow(file)  # type: ignore[arg-type]
    assert (await soon(boards)).state == "first"
    for state in ("second", "third"):
        file.state = state
        file.changed.set()
        assert (await soon(boards)).state == f"{state}, as recorded"
    ready.set()
    assert (await soon(boards)).state == "third, as recorded"
    assert (await soon(boards)).state == "third"
    await boards.aclose()


async def test_a_minute_later_the_board_is_worked_out_again_without_reading(
    file: File, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ages and clocks go on by the minute, the plan follows; the file is only read when it changed."""
    monkeypatch.setattr(live, "_rest_of_minute", lambda _clock: 0.01)
    monkeypatch.setattr(live, "AT_MOST", 0.1)
    boards: Any = follow(file)  # type: ignore[arg-type]
    await soon(boards)
    file.clock.at += timedelta(minutes=1)
    for state in ("first, as recorded", "first"):
        assert await soon(boards) == Shown(state, NOW + timedelta(minutes=1))
    assert file.looked == 1
    await boards.aclose()


def test_the_next_look_is_at_the_full_minute() -> None:
    assert 30 < live._rest_of_minute(FixedClock(NOW)) < 30.1


async def test_a_file_that_cannot_be_read_is_not_live_since_the_last_good_look(file: File) -> None:
    boards: Any = follow(file, retry=0.01)  # type: ignore[arg-type]
    await soon(boards)
    file.clock.at += timedelta(minutes=9)
    file.broken = "kitchen.db is\ngone"
    file.changed.set()
    assert await soon(boards) == NotLive(NOW, "kitchen.db is gone")
    assert await soon(boards) == NotLive(NOW, "kitchen.db is gone")
    file.broken, file.state = "", "back"
    back = await soon(boards)
    while isinstance(back, NotLive):
        back = await soon(boards)
    assert (back.state, back.now) == ("back", NOW + timedelta(minutes=9))
    await boards.aclose()


async def test_what_ran_out_before_a_board_opened_did_so_when_that_was_counted(
    file: File, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A board that is open sees it within the minute, whatever it was that took the last of it."""
    kept: list[dict[str, datetime]] = []
    counted, dinner = NOW - timedelta(minutes=40), ("dinner", NOW.date())
    monkeypatch.setattr(
        "prepboard.store.actions.history.keep_run_outs", lambda _file, _sitting, dishes: kept.append(dishes)
    )
    monkeypatch.setattr(
        live, "plan", lambda state, now: Shown(state, now, new_run_outs={dinner: {f"zander, {state}": counted}})
    )
    boards: Any = follow(file)  # type: ignore[arg-type]
    await soon(boards)
    file.state = "second"
    file.changed.set()
    while (await soon(boards)).state != "second":
        pass
    await boards.aclose()
    assert kept == [{"zander, first": counted}, {"zander, second": NOW}]
