"""What a till, a script or a thermometer needs: answers as JSON, retries that count once, many commands in one go."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import click
from click.testing import CliRunner

from prepboard.cli import FAMILIES, cli

READS_ONLY = {
    "demo", "new", "order", "schema", "station", "pars", "wall", "closing", "serve", "label", "show", "do",
    "guide", "history show", "delivery-note", "group",
}  # fmt: skip
"""Commands that change nothing in the file, or answer in a form of their own."""


def commands() -> dict[str, click.Command]:
    """Every command of the program by its words, those of groups one by one."""
    found: dict[str, click.Command] = {}
    context = click.Context(cli)
    for name in (one for names in FAMILIES.values() for one in names):
        command = cli.get_command(context, name)
        if isinstance(command, click.Group) and name not in READS_ONLY:
            found.update({f"{name} {own}": command.commands[own] for own in command.commands})
        else:
            found[name] = command
    return found


def test_every_command_that_writes_answers_as_json_and_takes_an_id():
    writing = {name: command for name, command in commands().items() if name not in READS_ONLY}
    options = {name: {opt for one in command.params for opt in one.opts} for name, command in writing.items()}
    assert len(options) > 60
    assert [name for name, has in options.items() if not {"--json", "--id"} <= has] == []


def test_a_script_reads_codes_and_not_sentences(typed):
    said = json.loads(typed.done("done", "crisp", "20", "--json"))
    assert said.keys() == {"did", "batches", "runs", "undo"}
    (code,) = said["batches"]
    assert code in typed.done("label", code)
    run = json.loads(typed.done("start", "lamb jus", "--json"))["runs"]
    assert [line["run"] for line in typed.json("underway")] == run
    undone = json.loads(typed.done("undo", "--json"))
    assert undone["undo"]
    assert typed.json("underway") == []
    assert json.loads(typed.done("check", "--json"))["seal"]


def test_a_command_that_is_said_again_with_its_id_counts_once(typed):
    first = typed.done("plate", "lamb", "2", "--service", "dinner", "--id", "till-1", "--json")
    again = typed.done("plate", "lamb", "2", "--service", "dinner", "--id", "till-1", "--json")
    assert json.loads(again) == json.loads(first)
    assert json.loads(first)["undo"] == "till-1"
    sold = {line["dish"]: line["plates"] for line in typed.json("sold")}
    assert sold == {"lamb": 2}
    typed.done("start", "crisp", "--id", "a")
    typed.done("start", "crisp", "--id", "a")
    assert len(typed.json("underway")) == 1
    typed.done("done", "crisp", "--id", "b")
    assert "Rye crisp" in typed.done("done", "crisp", "--id", "b"), "the run is over, and the answer is the first one"


def lines_of(typed, text: str) -> tuple[int, list[dict]]:
    settings = {"PREPBOARD_FILE": str(typed.folder / "kitchen.db"), "PREPBOARD_NOW": typed.now, "PREPBOARD_BY": "LM"}
    result = CliRunner(env=settings).invoke(cli, ["do", "-"], input=text, prog_name="prepboard")
    assert "Traceback" not in result.output
    return result.exit_code, [json.loads(line) for line in result.stdout.splitlines()]


def test_many_commands_in_one_process_answer_a_line_each(typed):
    code, said = lines_of(
        typed, "# the till\nplate lamb 2 --service dinner\n\nplate mutton\n"
        'plate "lamb" -1 --service dinner\nshow sold\n'
        "show sold --json\nstation sauce\nplate lamb 1 2\ncount 'crisp\n"
    )  # fmt: skip
    assert code == 1
    assert [one["line"] for one in said] == [2, 4, 5, 6, 7, 8, 9, 10]
    assert "2 out" in said[0]["did"]
    assert "mutton" in said[1]["error"][0]
    assert "PLATES" in said[3]["text"]
    assert said[4]["sold"][0]["plates"] == 1
    assert [one["code"] for one in said[5:]] == [2, 2, 2]
    assert "a quote is not closed" in said[7]["error"][0]


def test_a_hundred_plates_are_one_process_and_a_retry_of_all_counts_none_twice(typed):
    text = "".join(f"plate hen --service dinner --id {n}\n" for n in range(100))
    assert [len(lines_of(typed, text)[1]) for _time in range(2)] == [100, 100]
    assert {line["dish"]: line["plates"] for line in typed.json("sold")} == {"hen": 100}


def test_what_load_finds_is_there_for_a_script(typed, book):
    path = book / "kitchen.toml"
    path.write_text(path.read_text().replace("preps.crumb", "preps.crumble").replace('par = "500 g"', ""))
    said = json.loads(typed.done("load", str(book), "--check", "--json"))
    assert said["undo"] is None
    assert [one["id"] for one in said["gone"]] == ["crumb"]
    assert {one["key"] for one in said["warnings"]} == {"preps.crumble"}
    assert all(one["line"] for one in said["warnings"])


def test_a_list_is_followed_as_lines_of_json_at_every_change(typed):
    """A process of its own follows the list, as a script would, while another one writes."""
    settings = {"PREPBOARD_FILE": str(typed.folder / "kitchen.db"), "PREPBOARD_NOW": typed.now}
    words = [sys.executable, "-m", "prepboard", "show", "underway", "--follow"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True, env={**os.environ, **settings}) as following:
        try:
            lines = iter(following.stdout.readline, "")
            assert json.loads(next(lines))["underway"] == []
            typed.done("note", "nothing that is under way")
            typed.done("start", "crisp")
            shown = json.loads(next(lines))
            assert [line["prep"] for line in shown["underway"]] == ["crisp"]
        finally:
            following.kill()
    assert "a line at a time" in typed.refused("show", "left", "--follow", "--csv", code=2)
