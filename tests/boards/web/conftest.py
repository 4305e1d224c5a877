"""One browser, and one process that has boards loaded, for all tests that open a page."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest
import pytest_asyncio
from boards.web.browsing import a_browser, shut

from prepboard.boards.web.starting import Starter


@pytest_asyncio.fixture(scope="session", loop_scope="session")
async def _browser() -> AsyncIterator[Any]:
    async with a_browser() as browser:
        yield browser


@pytest_asyncio.fixture(loop_scope="session")
async def browser(_browser: Any) -> AsyncIterator[Any]:
    """The browser, in which nothing of another test is open."""
    yield _browser
    await shut(_browser)


class Lent(Starter):
    """Stays when a server that was lent it closes."""

    async def close(self) -> None:
        """Not yet."""


@pytest_asyncio.fixture(scope="session", loop_scope="session")
async def starter() -> AsyncIterator[Starter]:
    lent = Lent()
    yield lent
    await Starter.close(lent)


@pytest.fixture
def kitchen(loaded: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("PREPBOARD_NOW", "2026-10-31T14:00:00+00:00")
    shutil.copy(loaded, tmp_path / "kitchen.db")
    return tmp_path / "kitchen.db"
