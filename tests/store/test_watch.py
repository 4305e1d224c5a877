"""Watching: every change of another station is noticed, with the system's hints and without them."""

from __future__ import annotations

import asyncio
import sys
import time
from contextlib import aclosing
from unittest.mock import patch

import pytest

from prepboard.boards.frame.live import follow
from prepboard.store import watch
from prepboard.store.actions.food.making import done
from prepboard.store.actions.night.tonight import covers
from prepboard.store.file.faults import StoreFault
from prepboard.store.file.who import Refused
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.watch import changes


@pytest.fixture
def other(kitchen):
    """The same file, open at another station."""
    file = KitchenFile.open(kitchen.file.path, kitchen.clock)
    yield file
    file.close()


async def noticed(changed, within: float) -> float:
    """Seconds until a change is noticed; fails when it takes longer than `within`."""
    began = time.monotonic()
    await asyncio.wait_for(anext(changed), within)
    return time.monotonic() - began


async def test_the_change_of_another_station_is_noticed(kitchen, other):
    kitchen.file.read()
    async with aclosing(changes(kitchen.file)) as changed:
        waiting = asyncio.create_task(noticed(changed, 5))
        await asyncio.sleep(0.3)
        assert not waiting.done(), "nothing has changed yet"
        done(other, kitchen.jp, prep="lamb-jus")
        await waiting
        assert len(kitchen.file.read().batches) == 1


@pytest.fixture(params=["as the system does", "by watchfiles"])
def hinted(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Hints come as they do here, and as they do where the kernel is not asked itself; the slow look is put off."""
    monkeypatch.setattr(watch, "PACE", 30.0)
    if request.param == "by watchfiles":
        monkeypatch.setattr(watch, "watch_folder", lambda _folder: None)


async def test_a_hint_says_it_long_before_the_slow_look(kitchen, other, hinted):
    kitchen.file.read()
    async with aclosing(changes(kitchen.file)) as changed:
        waiting = asyncio.create_task(noticed(changed, 5))
        await asyncio.sleep(0.2)
        for _change in range(3):
            done(other, kitchen.jp, prep="lamb-jus")
            await waiting
            kitchen.file.read()
            waiting = asyncio.create_task(noticed(changed, 5))
        waiting.cancel()


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux is asked itself")
async def test_a_change_while_the_system_is_being_asked_does_not_wait_for_the_slow_look(kitchen, other, monkeypatch):
    monkeypatch.setattr(watch, "PACE", 30.0)
    kitchen.file.read()
    async with aclosing(changes(kitchen.file)) as changed:
        waiting = asyncio.ensure_future(anext(changed))
        await asyncio.sleep(0)
        done(other, kitchen.jp, prep="lamb-jus")
        await asyncio.wait_for(waiting, 5)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux is asked itself")
async def test_on_linux_the_system_itself_is_asked(kitchen, other, monkeypatch):
    """An idle board rests: what paces and looks is not begun at all."""

    async def begun(*_given):
        pytest.fail("watchfiles was begun")

    monkeypatch.setattr(watch, "PACE", 30.0)
    monkeypatch.setattr(watch, "_by_watchfiles", begun)
    kitchen.file.read()
    async with aclosing(changes(kitchen.file)) as changed:
        waiting = asyncio.create_task(noticed(changed, 5))
        await asyncio.sleep(0.2)
        done(other, kitchen.jp, prep="lamb-jus")
        await waiting


async def test_ones_own_changes_come_the_same_way(kitchen):
    kitchen.file.read()
    async with aclosing(changes(kitchen.file)) as changed:
        done(kitchen.file, kitchen.jp, prep="lamb-jus")
        await noticed(changed, 5)


async def test_a_change_between_reading_and_watching_is_not_missed(kitchen, other):
    kitchen.file.read()
    done(other, kitchen.jp, prep="lamb-jus")
    async with aclosing(changes(kitchen.file)) as changed:
        await noticed(changed, 5)


async def test_a_change_is_not_missed_where_a_press_has_read_it_before_it_was_watched(kitchen, other):
    """The board shows what it read first, and would have shown that for as long as nobody did anything more."""
    boards = follow(kitchen.file)
    shown = await asyncio.wait_for(anext(boards), 5)
    done(other, kitchen.jp, prep="lamb-jus")
    kitchen.file.read()
    async with aclosing(boards):
        assert shown.state.batches == ()
        assert len((await asyncio.wait_for(anext(boards), 5)).state.batches) == 1


async def test_what_was_refused_wakes_nobody(kitchen, other):
    kitchen.file.read()
    async with aclosing(changes(kitchen.file)) as changed:
        with pytest.raises(Refused):
            covers(other, kitchen.sous, kitchen.dinner, -1)
        with pytest.raises(TimeoutError):
            await noticed(changed, 1.5)


async def test_without_any_hint_the_slow_look_notices(kitchen, other):
    """As where the folder's notices never come."""

    async def silence(*_paths, **_how):
        await asyncio.sleep(3600)
        yield set()

    kitchen.file.read()
    with patch.object(watch, "watch_folder", lambda _folder: None), patch("watchfiles.awatch", silence):
        async with aclosing(changes(kitchen.file)) as changed:
            done(other, kitchen.jp, prep="lamb-jus")
            await noticed(changed, 4)


async def test_where_the_system_has_no_hints_at_all_it_looks_more_often(kitchen, other):
    async def refuses(*_paths, **_how):
        raise OSError("too many watches")
        yield set()

    kitchen.file.read()
    with patch.object(watch, "watch_folder", lambda _folder: None), patch("watchfiles.awatch", refuses):
        async with aclosing(changes(kitchen.file)) as changed:
            waiting = asyncio.create_task(noticed(changed, 4))
            await asyncio.sleep(0.2)
            done(other, kitchen.jp, prep="lamb-jus")
            await waiting


async def test_a_file_that_vanishes_is_a_fault(kitchen, tmp_path):
    kitchen.file.read()
    async with aclosing(changes(kitchen.file)) as changed:
        waiting = asyncio.create_task(noticed(changed, 5))
        await asyncio.sleep(0.1)
        kitchen.file.path.rename(tmp_path / "elsewhere.db")
        with pytest.raises(StoreFault, match="is gone"):
            await waiting


async def test_a_file_in_its_place_is_not_taken_for_it(kitchen, tmp_path):
    kitchen.file.read()
    async with aclosing(changes(kitchen.file)) as changed:
        waiting = asyncio.create_task(noticed(changed, 5))
        await asyncio.sleep(0.1)
        new = tmp_path / "new.db"
        KitchenFile.open(new, kitchen.clock, create=True).close()
        new.replace(kitchen.file.path)
        with pytest.raises(StoreFault, match="was replaced"):
            await waiting
