"""Messages of screens of tests: which handlers of a widget take a message follows from what kinds those two are of,
and is looked for once for each pair; Textual goes through all that the widget's kind comes from with each message."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable
from contextlib import contextmanager
from typing import Any

import pytest
from textual.message import Message
from textual.message_pump import MessagePump


@contextmanager
def handlers_are_looked_for_once() -> Generator[None]:
    """Those that a decorator chose by where a message comes from are looked for each time, as Textual does."""
    look = MessagePump._get_dispatch_methods
    known: dict[object, tuple[tuple[type, Any], ...] | None] = {}

    def named(kind: type, name: str, message: type) -> tuple[tuple[type, Any], ...] | None:
        """The handlers that are found by their name; None where a decorator has chosen one."""
        kinds = [one for one in message.__mro__ if issubclass(one, Message)]
        found = []
        for one in kind.__mro__:
            if not vars(one).get("_decorated_handlers", {}).keys().isdisjoint(kinds):
                return None
            method = vars(one).get(f"_{name}") or vars(one).get(name)
            if method is not None and not getattr(method, "_textual_on", None):
                found.append((one, method))
        return tuple(found)

    def handlers(pump: MessagePump, name: str, message: Message) -> Iterable[tuple[type, Callable[[Message], Any]]]:
        key = type(pump), name, type(message)
        if key not in known:
            known[key] = named(*key)
        by_name = known[key]
        return look(pump, name, message) if by_name is None else bound(pump, message, by_name)

    def bound(
        pump: MessagePump, message: Message, by_name: tuple[tuple[type, Any], ...]
    ) -> Iterable[tuple[type, Callable[[Message], Any]]]:
        for kind, method in by_name:
            if message._no_default_action:
                break
            yield kind, method.__get__(pump, kind)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(MessagePump, "_get_dispatch_methods", handlers)
        yield
