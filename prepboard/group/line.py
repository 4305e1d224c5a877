"""The line to the group's PostgreSQL: one connection, a deadline of our own around every call.

A line that is cut answers at once; one that is silent never does, whatever the operating system believes. So each call
is given up after a few seconds, its connection thrown away, and the next call opens a new one.
"""

from __future__ import annotations

import asyncio
import json
from contextlib import suppress
from typing import Any

import psycopg
from psycopg import AsyncConnection, sql
from psycopg.types.json import Jsonb

from prepboard.texts import _

DEADLINE = 5.0
"""Seconds that the group has for an answer."""


class Away(Exception):
    """The group does not answer, or not any more; nothing is known of what was asked last."""


class Denied(Exception):
    """The group answers, and refuses: a wrong login, one that left, words that are none."""


class Line:
    """What asks the group. `url` is a PostgreSQL connection string; passwords belong into a passfile or a certificate.

    For one task at a time. Opens itself when it is asked, and again after it was lost.
    """

    def __init__(self, url: str, deadline: float = DEADLINE) -> None:
        self.url = url
        self.deadline = deadline
        self._open: AsyncConnection[Any] | None = None
        self._channel = ""
        self._told = asyncio.Event()

    async def ask(self, function: str, *given: Any) -> Any:
        """Calls a function of the group's; dicts and lists go as JSON. Away, or Denied in the group's words."""
        marks = sql.SQL(", ").join([sql.Placeholder()] * len(given))
        call = sql.SQL("SELECT prepboard.{}({})").format(sql.Identifier(function), marks)
        values = [as_json(one) if isinstance(one, dict | list) else one for one in given]
        try:
            async with asyncio.timeout(self.deadline):
                cursor = await (await self._connection()).execute(call, values)
                row = await cursor.fetchone()
        except (psycopg.errors.InsufficientPrivilege, psycopg.errors.InvalidAuthorizationSpecification) as fault:
            await self.hang_up()
            raise Denied(_first_line(fault)) from None
        except (psycopg.OperationalError, psycopg.InterfaceError, TimeoutError, OSError) as fault:
            await self.hang_up()
            raise Away(
                _first_line(fault) or _("no answer in {seconds} s").format(seconds=round(self.deadline))
            ) from None
        except psycopg.errors.UndefinedFunction:
            raise Denied(
                _("the group's tables are older than this prepboard: the office runs prepboard group found")
            ) from None
        except psycopg.Error as fault:
            raise Denied(_first_line(fault)) from None
        return row[0] if row else None

    async def listen(self, channel: str) -> None:
        """From now on, over every connection, the group says when there is news on this channel."""
        self._channel = channel
        await self.ask("me")

    async def news(self) -> None:
        """Returns once the group said that there is news since this returned last, or that it is gone."""
        connection = self._open
        if connection is None or connection.closed:
            return
        loop = asyncio.get_running_loop()
        loop.add_reader(connection.fileno(), self._told.set)
        try:
            await self._told.wait()
        finally:
            loop.remove_reader(connection.fileno())
            self._told.clear()
        with suppress(psycopg.Error):
            connection.pgconn.consume_input()
            while connection.pgconn.notifies():
                pass

    async def hang_up(self) -> None:
        """Lets go of the connection, whatever state it is in."""
        connection, self._open = self._open, None
        if connection is not None:
            with suppress(psycopg.Error, OSError):
                connection.pgconn.finish()

    async def _connection(self) -> AsyncConnection[Any]:
        if self._open is None or self._open.closed:
            self._open = await AsyncConnection.connect(self.url, autocommit=True, application_name="prepboard")
            # Notices also come along with answers to what was asked.
            self._open.add_notify_handler(lambda _notice: self._told.set())
            if self._channel:
                await self._open.execute(sql.SQL("LISTEN {}").format(sql.Identifier(self._channel)))
        return self._open


def as_json(what: Any) -> Jsonb:
    """A dict or a list as PostgreSQL takes it."""
    return Jsonb(what, _plain)


def _plain(what: Any) -> str:
    return json.dumps(what, ensure_ascii=False, separators=(",", ":"))


def _first_line(fault: BaseException) -> str:
    return str(fault).strip().partition("\n")[0]
