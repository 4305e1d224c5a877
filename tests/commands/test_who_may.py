"""Whoever asks a command for help is told whether a cook may: what only a sous chef does says so."""

from __future__ import annotations

from click.testing import CliRunner

from prepboard.cli import cli
from prepboard.store.file.who import NEEDS

COMMANDS = {
    "load": ("load",), "restore": ("restore",), "covers": ("covers", "import covers"), "mix": ("mix",),
    "count for": ("count-for",), "par": ("par",), "standing par": ("par",), "adjust": ("adjust",),
    "special": ("special",), "reset": ("reset",), "past plates": ("history import",), "numbers": ("import pars",),
    "add service": ("service add",), "cancel service": ("service cancel",), "move service": ("service move",),
    "hands": ("hands",), "equip": ("equip",), "give": ("give",), "stay": ("stay",), "portion": ("portion",),
    "unblock": ("unblock",), "keep": ("keep",), "correct": ("correct",), "withdraw": ("withdraw",),
    "corrected": ("corrected",), "count on": ("sign",),
}  # fmt: skip
"""By the word of an action that a cook may not do, the commands that do it."""


def test_every_action_that_a_cook_may_not_do_has_its_commands():
    assert set(COMMANDS) == set(NEEDS)


def test_the_help_says_that_only_a_sous_chef_may():
    for command in sorted({name for names in COMMANDS.values() for name in names}):
        said = CliRunner().invoke(cli, [*command.split(), "--help"], prog_name="prepboard").stdout
        assert "sous chef" in " ".join(said.split()), command


def test_the_guide_says_it_too():
    assert CliRunner().invoke(cli, ["guide", "commands"]).stdout.count("only a sous chef may") > 10


def test_it_is_said_in_the_readers_language():
    said = CliRunner().invoke(cli, ["--language", "es", "covers", "--help"], prog_name="prepboard").stdout
    assert "solo puede un sous chef" in " ".join(said.split())
