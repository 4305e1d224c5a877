"""Where a batch was kept, as the file writes it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, cast

import msgspec

from prepboard.book.book import Store
from prepboard.book.safety.may_use import Mark
from prepboard.book.safety.stays import Stay
from prepboard.store.file.times import instant, instant_text

Row = dict[str, Any]


def stays_of(text: str) -> tuple[Stay, ...]:
    """The stays that `stays_text` wrote."""
    return tuple(Stay(cast(Store, store), instant(since)) for store, since in json.loads(text))


def read_marks(text: str) -> tuple[Mark, ...]:
    """What is known of food, as the file writes it."""
    return msgspec.json.decode(text, type=tuple[Mark, ...])


def stays_text(stays: Iterable[Stay]) -> str:
    return json.dumps([[stay.store, instant_text(stay.since)] for stay in stays])
