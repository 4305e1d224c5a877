"""Commands with their help in the language that is spoken; in English they stand as they are written."""

from __future__ import annotations

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
    said.params = options_in_words(command.params)
    if isinstance(said, click.Group):
        said.commands = {name: in_words(own) for name, own in said.commands.items()}
    return said


def in_one(help_text: str | None) -> str | None:
    """A help in that language."""
    return _(cleandoc(help_text)) if help_text else help_text


def options_in_words(params: list[click.Parameter]) -> list[click.Parameter]:
    """The same parameters, the help of the options said."""
    if is_english(spoken()):
        return params
    return [_option(one) if isinstance(one, click.Option) else one for one in params]


def _option(option: click.Option) -> click.Option:
    said = copy(option)
    said.help = in_one(option.help)
    return said
