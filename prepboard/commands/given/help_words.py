"""Commands with their help in the language that is spoken; in English they stand as they are written."""

from __future__ import annotations

from inspect import cleandoc

import click

from prepboard.texts import _, is_english, spoken


def in_words(command: click.Command) -> click.Command:
    """The same command, its help and that of its options said in the language that is spoken now."""
    if is_english(spoken()):
        return command
    if command.help:
        command.help = _(cleandoc(command.help))
    for one in command.params:
        if isinstance(one, click.Option) and one.help:
            one.help = _(one.help)
    for own in getattr(command, "commands", {}).values():
        in_words(own)
    return command
