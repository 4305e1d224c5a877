"""Laying the group's tables in a PostgreSQL database, and one login for each kitchen.

Done by whoever owns the database, with a connection of theirs; kitchens never come here.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Any

import psycopg
from psycopg import Connection, sql

Owner = Connection[Any]


def connected(url: str) -> Owner:
    """The owner's own connection. psycopg.Error where it cannot be had."""
    return psycopg.connect(url, autocommit=True, connect_timeout=10, application_name="prepboard")


def found(owner: Owner) -> bool:
    """Lays the tables, once; whether they were not there before."""
    if owner.execute("SELECT to_regnamespace('prepboard') IS NOT NULL").fetchone() == (True,):
        return False
    schema = files("prepboard.group").joinpath("schema.sql").read_text("utf-8")
    with owner.transaction():
        owner.execute(schema)  # a text of ours, not one put together
    return True


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
        for table in ("standing", "inboxes"):
            owner.execute(
                sql.SQL("INSERT INTO prepboard.{} (kitchen) VALUES (%s) ON CONFLICT DO NOTHING").format(
                    sql.Identifier(table)
                ),
                [kitchen],
            )
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
