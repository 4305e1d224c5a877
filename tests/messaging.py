"""Messages and lines of screens of tests: what Textual finds out anew for each message to each widget, and keeps of
each line that it draws in case that somebody asks again, is found out once for all boards of one process, or not kept.
What comes out is the same."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any

import pytest
from rich.segment import Segment
from textual import _callback
from textual.message import Message
from textual.message_pump import MessagePump
from textual.strip import Strip

Handler = tuple[type, Callable[[Message], Any]]

_look_anew = MessagePump._get_dispatch_methods


@cache
def _handled_in(pump: type, message: type, name: str) -> tuple[tuple[type, str], ...] | None:
    """Which classes of a widget have a handler by its name, and that name; None where others are decorated with what
    they are for, which may ask more of a message."""
    classes = [one for one in message.__mro__ if issubclass(one, Message)]
    if any(one in vars(cls).get("_decorated_handlers", ()) for cls in pump.__mro__ for one in classes):
        return None
    named = ((cls, next((one for one in (f"_{name}", name) if vars(cls).get(one)), "")) for cls in pump.__mro__)
    return tuple((cls, found) for cls, found in named if found)


def _handlers(pump: MessagePump, name: str, message: Message) -> Iterable[Handler]:
    handled = _handled_in(type(pump), type(message), name)
    return _look_anew(pump, name, message) if handled is None else _by_name(pump, message, handled)


def _by_name(pump: MessagePump, message: Message, handled: tuple[tuple[type, str], ...]) -> Iterator[Handler]:
    for cls, name in handled:
        if message._no_default_action:
            return
        method = vars(cls)[name]
        if not getattr(method, "_textual_on", None):
            yield cls, method.__get__(pump, type(pump))


@contextmanager
def handlers_are_looked_for_once() -> Generator[None]:
    """Which handlers a kind of widget has for a kind of message, and how many parameters each takes."""
    count = cache(_callback._count_parameters)

    def parameters(of: Callable[..., Any]) -> int:
        """Of a method as its class has it: the widgets that it is bound to would all be kept."""
        bound = hasattr(of, "__self__") and hasattr(of, "__func__")
        return count(of.__func__) - 1 if bound else count(of)  # type: ignore[attr-defined]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(MessagePump, "_get_dispatch_methods", _handlers)
        patched.setattr(_callback, "_count_parameters", parameters)
        patched.setattr("textual.message_pump.log", _NOBODY)
        yield


class _Nobody:
    """Nobody reads what is logged of each message."""

    @property
    def event(self) -> _Nobody:
        return self

    def verbosity(self, _verbose: bool) -> _Nobody:
        return self

    def __call__(self, *said: object) -> None:
        """Said to nobody."""


_NOBODY = _Nobody()


class _Nothing:
    """What a line keeps of how it was cut, filled and coloured: seven of them are made for each line."""

    def get(self, _key: object) -> None:
        """Nothing is known."""

    def __setitem__(self, _key: object, _found: object) -> None:
        """Nothing is kept."""


_NOTHING: Any = _Nothing()


def _line(strip: Strip, segments: Iterable[Segment], cell_length: int | None = None) -> None:
    strip._segments = list(segments)
    strip._cell_length = cell_length
    strip._divide_cache = strip._crop_cache = strip._style_cache = strip._filter_cache = _NOTHING
    strip._line_length_cache = strip._crop_extend_cache = strip._offsets_cache = _NOTHING
    strip._render_cache = strip._link_ids = strip._cell_count = None


@contextmanager
def lines_are_not_kept() -> Generator[None]:
    """Has a line that is asked for the same again work it out anew, which is seldom."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Strip, "__init__", _line)
        yield
