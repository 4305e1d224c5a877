"""The program as a whole: help, exit codes, one line for whatever goes wrong, and nothing loaded without need."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click
import pytest
from click.testing import CliRunner

from prepboard.cli import FAMILIES, cli
from prepboard.clock import FixedClock
from prepboard.store.actions.handover import note
from prepboard.store.file.who import Who
from prepboard.store.kitchen_file import KitchenFile

if TYPE_CHECKING:
    from tests.commands.conftest import Typed


def every_command(group: click.Group, context: click.Context) -> list[tuple[str, click.Command]]:
    found: list[tuple[str, click.Command]] = []
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        found.append((f"{context.command_path} {name}", command))
        if isinstance(command, click.Group):
            found += every_command(command, click.Context(command, parent=context, info_name=name))
    return found


COMMANDS = every_command(cli, click.Context(cli, info_name="prepboard"))


def test_every_command_and_option_has_help() -> None:
    assert len(COMMANDS) > 100
    for name, command in COMMANDS:
        assert command.help, name
        assert command.help.strip().endswith("."), name
        options = [one for one in command.params if isinstance(one, click.Option)]
        assert [one.name for one in options if not one.help] == [], name


def test_help_is_printed_and_fits_a_terminal() -> None:
    for name, _command in COMMANDS:
        result = CliRunner().invoke(cli, [*name.split()[1:], "--help"], prog_name="prepboard")
        assert result.exit_code == 0, name
        assert f"Usage: {name}" in result.output
        assert max(map(len, result.output.splitlines())) <= 100, name


def test_a_commands_name_is_in_one_family_only() -> None:
    names = [name for family in FAMILIES.values() for name in family]
    assert len(names) == len(set(names))


def loaded_after(*words: str) -> set[str]:
    """The modules that are loaded after a command line ran in a process of its own."""
    code = (
        "import sys\n"
        "from prepboard.cli import cli\n"
        "try: cli.main(sys.argv[1:], prog_name='prepboard')\n"
        "except SystemExit: pass\n"
        "print('LOADED', *sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=True, timeout=60)
    return set(done.stdout.rpartition("LOADED")[2].split())


HEAVY = {"textual", "scipy", "watchfiles", "networkx", "pint"}


def test_help_loads_neither_boards_nor_store_nor_plan() -> None:
    loaded = loaded_after("--help")
    assert "prepboard.cli" in loaded
    assert (
        loaded & (HEAVY | {"sqlite_utils", "pydantic", "prepboard.store.kitchen_file", "prepboard.plan.needs.needs"})
        == set()
    )


def test_showing_a_list_loads_no_board(typed: Typed) -> None:
    loaded = loaded_after("show", "make", "--file", str(typed.folder / "kitchen.db"))
    assert "prepboard.plan.needs.needs" in loaded
    assert loaded & (HEAVY | {"pydantic", "segno", "sqlite_utils"}) == set()
    others = (
        "prepboard.store.transaction",
        "prepboard.store.food",
        "prepboard.paper.records",
        "prepboard.paper.text_pages",
    )
    assert {name for name in loaded if name.startswith(others)} == set()


def test_the_frame_of_a_board_is_painted_before_file_and_plan_are_loaded() -> None:
    code = "import sys, prepboard.commands.house.boards, prepboard.boards.app.app; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    loaded = set(done.stdout.split())
    assert "prepboard.boards.app.first_frame" in loaded
    assert {
        name for name in loaded if name.startswith(("prepboard.store", "prepboard.plan", "prepboard.book"))
    } == set()
    assert loaded & {"sqlite3", "sqlite_utils", "pydantic", "watchfiles"} == set()


def test_the_bare_program_lists_the_stations(typed: Typed) -> None:
    asked = [sys.executable, "-m", "prepboard"]
    settings = os.environ | {"PREPBOARD_FILE": str(typed.folder / "kitchen.db")}
    done = subprocess.run(asked, capture_output=True, text=True, timeout=60, env=settings)
    assert done.stderr == ""
    assert "Stations; open one with: prepboard station NAME" in done.stdout


def test_an_unknown_command_is_wrong_use(typed: Typed) -> None:
    assert typed.refused("frobnicate", code=2) == "No such command 'frobnicate'. See prepboard --help."


def test_a_missing_argument_is_wrong_use(typed: Typed) -> None:
    assert "Missing argument" in typed.refused("done", code=2)


def test_without_a_kitchen_the_way_to_one_is_said(empty: Typed) -> None:
    assert "load a book into it first" in empty.refused("show", "make")
    assert not (empty.folder / "kitchen.db").exists()


def test_a_file_that_is_no_kitchen_is_refused_and_left_alone(empty: Typed) -> None:
    other = empty.folder / "notes.txt"
    other.write_text("eggs\n" * 2000)
    assert "not a kitchen's file" in empty.refused("show", "make", "--file", str(other))
    assert other.read_text() == "eggs\n" * 2000


def test_a_folder_or_a_missing_folder_is_refused(empty: Typed) -> None:
    assert "is a folder" in empty.refused("show", "make", "--file", str(empty.folder))
    assert "no folder" in empty.refused("show", "make", "--file", str(empty.folder / "gone" / "kitchen.db"))


@pytest.mark.parametrize("text", ["yesterday", "2026-13-40", "0001-01-01T00:00+14:00"])
def test_a_clock_that_cannot_be_read_is_wrong_use(text: str, typed: Typed) -> None:
    result = typed("show", "make", PREPBOARD_NOW=text)
    assert result.exit_code == 2
    (line,) = result.stderr.splitlines()
    assert "PREPBOARD_NOW" in line


def test_a_clock_set_by_hand_is_printed(typed: Typed) -> None:
    assert "clock set by hand" in typed.done("show", "expiring")


def test_escape_codes_in_arguments_do_not_come_back(typed: Typed) -> None:
    line = typed.refused("start", "\x1b[2Jsoup\x07")
    assert "\x1b" not in line
    assert "\x07" not in line


def test_a_fault_inside_is_one_line_too(typed: Typed, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_args: object) -> None:
        raise ZeroDivisionError("a\nb")

    monkeypatch.setattr("prepboard.plan.board.plan", breaks)
    result = CliRunner(env={"PREPBOARD_FILE": str(typed.folder / "kitchen.db")}).invoke(cli, ["show", "make"])
    assert result.exit_code == 1
    assert result.stderr == "prepboard: something went wrong inside: ZeroDivisionError a b\n"


def run(*words: str, file: Path, stdout: object = subprocess.PIPE, **more: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PREPBOARD_FILE": str(file), "PREPBOARD_NOW": "2026-10-31T14:22+00:00", **more}
    command = [sys.executable, "-m", "prepboard", *words]
    return subprocess.run(
        command, stdout=stdout, stderr=subprocess.PIPE, text=True, env=environment, timeout=60, check=False
    )  # type: ignore[call-overload,no-any-return]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the system has no /dev/full")
def test_a_full_disk_is_one_line(typed: Typed) -> None:
    with Path("/dev/full").open("w") as full:
        done = run("show", "make", file=typed.folder / "kitchen.db", stdout=full)
    assert done.returncode == 1
    assert done.stderr == "prepboard: No space left on device\n"


def test_a_reader_that_stops_reading_is_no_fault(typed: Typed) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = run("show", "make", file=typed.folder / "kitchen.db", stdout=writing)
    finally:
        os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_terminal_that_lacks_signs_gets_question_marks(typed: Typed) -> None:
    typed.done("made", "牛", "1", "l")
    done = run("show", "expiring", file=typed.folder / "kitchen.db", PYTHONIOENCODING="latin-1")
    assert done.returncode == 0
    assert "?" in done.stdout


def test_the_width_of_the_terminal_is_honoured(typed: Typed) -> None:
    done = run("show", "pars", file=typed.folder / "kitchen.db", COLUMNS="44")
    assert max(map(len, done.stdout.splitlines())) <= 44


def test_escape_codes_do_not_come_back_in_an_answer(typed: Typed) -> None:
    """Whoever put them into the file: a board, a script, another program. In words, as JSON and in lists."""
    file = KitchenFile.open(typed.folder / "kitchen.db", FixedClock(datetime(2026, 10, 31, 14, 0, tzinfo=UTC)))
    for _time in range(2):
        note(file, Who("LM", ""), "\x1b[31mred\x07 jus")
    file.close()
    for words in (("show", "notes"), ("show", "log"), ("undo",), ("undo", "--json")):
        said = typed.done(*words)
        assert "red jus" in said, words
        assert not {"\x1b", "\x07"} & set(said), words
        assert "\\u001b" not in said, words
