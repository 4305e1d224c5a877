"""A group that an older prepboard founded is brought up to date, with all that is in it, by the office's command."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest
from click.testing import CliRunner
from group.conftest import KITCHENS, Group
from group.test_shipping import rounds
from psycopg import sql
from psycopg.conninfo import make_conninfo
from store.group.conftest import FOUR, LITRE, in_group

from prepboard.cli import cli
from prepboard.group import founding
from prepboard.group.founding import connected, found
from prepboard.group.line import Line
from prepboard.group.shipper import one_round
from prepboard.group.shipping import _as_json
from prepboard.store.actions.group.joining import join
from prepboard.store.actions.group.receiving import receive
from prepboard.store.group.shipping import finished, joined
from prepboard.store.kitchen_file import KitchenFile

FIRST = Path(__file__).parent / "schema_1.sql"
"""The tables and functions as they were before they had a version."""


@pytest.fixture
def old(server: str) -> Iterator[Group]:
    """A group of the first kind, without a version."""
    name = f"group_{uuid4().hex[:8]}"
    url = make_conninfo(server, dbname=name)
    with connected(server) as owner:
        owner.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        with connected(url) as its:
            its.execute(FIRST.read_bytes())
            for kitchen in KITCHENS:
                _let_in_as_before(its, kitchen)
            yield Group(url, its)
        owner.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


def _let_in_as_before(owner: founding.Owner, kitchen: str) -> None:
    login = founding.login_of(kitchen)
    owner.execute("INSERT INTO prepboard.kitchens (id, login) VALUES (%s, %s)", [kitchen, login])
    for table in ("standing", "inboxes"):
        owner.execute(f"INSERT INTO prepboard.{table} (kitchen) VALUES (%s)", [kitchen])
    if owner.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", [login]).fetchone() is None:
        owner.execute(sql.SQL("CREATE ROLE {} LOGIN PASSWORD 'of the test'").format(sql.Identifier(login)))
    owner.execute(sql.SQL("GRANT prepboard_kitchen TO {}").format(sql.Identifier(login)))


async def test_an_older_group_says_what_to_do_and_goes_on_with_all_that_is_in_it(old: Group, tmp_path: Path) -> None:
    central, north = (in_group(tmp_path, name) for name in ("central", "north"))
    for name, one in (("central", central), ("north", north)):
        join(one.file, one.sous, old.url_of(name))
    note = central.sends("north", central.makes_cream())
    line = Line(old.url_of("central"))
    away = (await one_round(central.file, line, "s")).away
    assert "older than this prepboard: the office runs prepboard group found" in away
    await _ship_as_before(line, central.file)
    await line.hang_up()
    assert old.owner.execute("SELECT state FROM prepboard.transfers").fetchall() == [("on the van",)]
    ran = CliRunner().invoke(cli, ["group", "found", "--url", old.url])
    assert (ran.exit_code, "brought up to date" in ran.output) == (0, True), ran.output
    assert old.owner.execute("SELECT max(version) FROM prepboard.laid").fetchone() == (founding.VERSION,)
    assert found(old.owner) == ""
    await rounds(old, central, north)
    receive(north.file, north.cook, note, FOUR)
    await rounds(old, north, central)
    assert central.transfer(note).state == "received"
    assert north.left("onion-cream") == LITRE
    for one in (central, north):
        one.file.close()


async def _ship_as_before(line: Line, file: KitchenFile) -> None:
    """What a shipper of that time calls."""
    us = joined(file)
    assert us is not None
    said = await line.ask("stand", "s", us.file_id, 60, 0, "")
    assert said["said"] == "yours"
    assert "anew" not in said, "a shipper of that time knows no such word"
    pack = finished(file, us.since_line, 400)
    assert (await line.ask("ship", "s", [_as_json(action) for action in pack]))["said"] == "in"
    assert await line.ask("hear", 10) == []
    await line.ask("heard", 0, {})


async def test_an_older_shipper_is_answered_as_before(group: Group, tmp_path: Path) -> None:
    central = in_group(tmp_path, "central")
    join(central.file, central.sous, group.url_of("central"))
    central.sends("north", central.makes_cream())
    line, north = Line(group.url_of("central")), Line(group.url_of("north"))
    await _ship_as_before(line, central.file)
    ((number, kind, *_rest),) = await north.ask("hear", 10)
    assert (number, kind) == (1, "sent")
    await north.ask("heard", 1, {"1": "bad"})
    assert await north.ask("hear", 10) == []
    for one in (line, north):
        await one.hang_up()
    central.file.close()


async def test_brought_up_to_date_it_is_as_one_that_is_founded_anew(old: Group, group: Group) -> None:
    assert _shape(old) != _shape(group)
    found(old.owner)
    assert _shape(old) == _shape(group)


def _shape(of: Group) -> dict[str, list[tuple[object, ...]]]:
    """All columns, keys, functions, views, policies and rights."""
    asked = {
        "columns": "SELECT table_name, column_name, data_type, is_nullable, column_default, generation_expression"
        " FROM information_schema.columns WHERE table_schema = 'prepboard'",
        "keys": "SELECT conrelid::regclass::text, pg_get_constraintdef(oid) FROM pg_constraint"
        " WHERE connamespace = 'prepboard'::regnamespace",
        "indexes": "SELECT tablename, indexdef FROM pg_indexes WHERE schemaname = 'prepboard'",
        "functions": "SELECT oid::regprocedure::text, prosrc, prosecdef, proacl::text FROM pg_proc"
        " WHERE pronamespace = 'prepboard'::regnamespace",
        "views": "SELECT viewname, definition FROM pg_views WHERE schemaname = 'prepboard'",
        "policies": "SELECT tablename, policyname, roles::text, cmd, qual FROM pg_policies"
        " WHERE schemaname = 'prepboard'",
        "rights": "SELECT relname, relacl::text, relrowsecurity FROM pg_class"
        " WHERE relnamespace = 'prepboard'::regnamespace AND relkind IN ('r', 'p', 'v')",
    }
    return {name: sorted(of.owner.execute(sql).fetchall(), key=str) for name, sql in asked.items()}


def test_a_group_of_a_newer_prepboard_is_left_alone(group: Group) -> None:
    group.owner.execute("INSERT INTO prepboard.laid (version) VALUES (99)")
    ran = CliRunner().invoke(cli, ["group", "found", "--url", group.url])
    assert ran.exit_code == 1
    assert "newer prepboard" in ran.output
