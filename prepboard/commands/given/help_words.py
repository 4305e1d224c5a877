"""Commands with their help in the language that is spoken; in English they stand as they are written."""

from __future__ import annotations

import re
from copy import copy
from inspect import cleandoc

import click

from prepboard.texts import _, is_english, spoken


def in_words(command: click.Command) -> click.Command:
    """The command, its help and that of its options said in the language that is spoken now."""
    if is_english(spoken()):
        return command
    said = copy(command)
    said.help = in_one(command.help)
    said.epilog = in_one(command.epilog)
    said.params = options_in_words(command.params)
    said.options_metavar = in_usage(command.options_metavar or "")
    if isinstance(said, click.Group):
        said.subcommand_metavar = in_usage(said.subcommand_metavar or "")
        said.commands = {name: in_words(own) for name, own in said.commands.items()}
    return said


def in_one(help_text: str | None) -> str | None:
    """A help in that language."""
    return _(cleandoc(help_text)) if help_text else help_text


def options_in_words(params: list[click.Parameter]) -> list[click.Parameter]:
    """The same parameters, the help of the options said, and what is typed for them."""
    if is_english(spoken()):
        return params
    return [_option(one) if isinstance(one, click.Option) else _argument(one) for one in params]


def in_usage(pattern: str) -> str:
    """What is typed, "PREP|BATCH [AMOUNT]", in that language."""
    return CAPITALS.sub(lambda word: _(word[0]), pattern)


CAPITALS = re.compile(r"[A-Z]{2,}")
"""A word of what is typed."""


def _option(option: click.Option) -> click.Option:
    said = copy(option)
    said.help = in_one(option.help)
    if not option.is_flag and not isinstance(option.type, click.Choice):
        said.metavar = in_usage(option.metavar or typed_for(option))
    return said


def typed_for(option: click.Option) -> str:
    """What is typed for an option that does not say it: "TEXT", "INTEGER"."""
    return option.type.name.upper().split()[0]


def _argument(argument: click.Parameter) -> click.Parameter:
    said = copy(argument)
    if argument.metavar is not None:
        said.metavar = in_usage(argument.metavar)
    elif not isinstance(argument.type, click.Choice):
        several = "" if argument.nargs == 1 else "..."
        said.metavar = in_usage(str(argument.name).upper().replace("_", "-")) + several
    return said
