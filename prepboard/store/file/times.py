"""Instants, days and fractions as the file keeps them: text that a person can read and that sorts by time.

An instant is UTC of fixed width, "2026-10-31T14:22:00Z"; parts of a second are dropped.
"""

from __future__ import annotations

from datetime import UTC, date, datetime


def instant_text(at: datetime) -> str:
    """The instant as the file keeps it."""
    return f"{at.astimezone(UTC).isoformat()[:19]}Z"


def instant(text: str) -> datetime:
    """The instant that `instant_text` wrote."""
    return datetime.fromisoformat(text)


def instant_or_none(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def day_or_none(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def day_text(day: date | None) -> str | None:
    return day.isoformat() if day else None
