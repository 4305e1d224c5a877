"""Laying the group's tables in a PostgreSQL database, and one login for each kitchen.

Done by whoever owns the database, with a connection of theirs; kitchens never come here.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Any

import psycopg
from psycopg import Connection, sql

from prepboard.texts import _

Owner = Connection[Any]

VERSION = 2
"""Of the tables and functions that this prepboard lays and calls."""

PARTS = ("telling.sql", "shipping.sql", "rights.sql", "office.sql")
"""What is laid anew with each version, beside the tables."""


def connected(url: str) -> Owner:
    """The owner's own connection. psycopg.Error where it cannot be had."""
    return psycopg.connect(url, autocommit=True, connect_timeout=10, application_name="prepboard")


class Newer(Exception):
    """The group was laid by a newer prepboard than this one, in words."""


def found(owner: Owner) -> str:
    """Lays the tables, or brings those of an older prepboard up to date; what is in them stays. "founded", "renewed",
    or "" where they are as they are to be. Newer where they are of a newer prepboard. One transaction: it may be called
    while kitchens ship."""
    with owner.transaction():
        owner.execute("SELECT pg_advisory_xact_lock(hashtext('prepboard laid'))")
        there = laid(owner)
        if there > VERSION:
            raise Newer(_("the group's tables are of a newer prepboard than this one: bring this one up to date"))
        if there == VERSION:
            return ""
        if there:
            for version in range(there + 1, VERSION + 1):
                owner.execute(_text(f"later/{version}.sql"))
            owner.execute(_text("take_down.sql"))
        else:
            owner.execute(_text("tables.sql"))
        for part in PARTS:
            owner.execute(_text(part))
    return "renewed" if there else "founded"


def laid(owner: Owner) -> int:
    """The version of the group's tables; 0 where there are none."""
    if owner.execute("SELECT to_regnamespace('prepboard') IS NULL").fetchone() == (True,):
        return 0
    if owner.execute("SELECT to_regclass('prepboard.laid') IS NULL").fetchone() == (True,):
        return 1
    (version,) = owner.execute("SELECT max(version) FROM prepboard.laid").fetchone() or (1,)
    return int(version)


def _text(part: str) -> bytes:
    """A text of ours, not one put together."""
    return files("prepboard.group").joinpath("schema", part).read_bytes()


def login_of(kitchen: str) -> str:
    """The login that a kitchen has unless it is given another."""
    return f"kitchen_{kitchen}"


def let_in(owner: Owner, kitchen: str, password: str | None = None, login: str = "") -> str:
    """A kitchen with a login of its own; without a password it comes by certificate. Answers its login. The same
    kitchen again gets the new password and is in again."""
    login = login or login_of(kitchen)
    name = sql.Identifier(login)
    with owner.transaction():
        if owner.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", [login]).fetchone() is None:
            owner.execute(sql.SQL("CREATE ROLE {} LOGIN").format(name))
        owner.execute(sql.SQL("ALTER ROLE {} LOGIN PASSWORD {}").format(name, sql.Literal(password)))
        owner.execute(sql.SQL("GRANT prepboard_kitchen TO {}").format(name))
        owner.execute(
            "INSERT INTO prepboard.kitchens (id, login) VALUES (%s, %s)"
            " ON CONFLICT (id) DO UPDATE SET login = excluded.login, left_at = NULL",
            [kitchen, login],
        )
        owner.execute("INSERT INTO prepboard.standing (kitchen) VALUES (%s) ON CONFLICT DO NOTHING", [kitchen])
        new = owner.execute(
            "INSERT INTO prepboard.inboxes (kitchen) VALUES (%s) ON CONFLICT DO NOTHING RETURNING kitchen", [kitchen]
        ).fetchone()
        if new is not None:
            owner.execute("SELECT prepboard.catch_up(%s)", [kitchen])
    return login


def shut_out(owner: Owner, kitchen: str) -> bool:
    """A kitchen that left, or whose machine was lost: its login opens nothing any more. Whether there was one."""
    row = owner.execute(
        "UPDATE prepboard.kitchens SET left_at = now() WHERE id = %s RETURNING login", [kitchen]
    ).fetchone()
    if row is None:
        return False
    owner.execute(sql.SQL("ALTER ROLE {} NOLOGIN PASSWORD NULL").format(sql.Identifier(row[0])))
    owner.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename = %s", [row[0]])
    return True
