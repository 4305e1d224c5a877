"""`show`: every list as text for people, as JSON for scripts, as CSV for spreadsheets."""

from __future__ import annotations

import importlib

import click

from prepboard.commands.given.help_words import in_words

LISTS = {
    "show.lists": (
        "make", "underway", "expiring", "left", "pars", "pull", "work", "bring", "tasks", "notes", "today",
        "timeline", "closing", "use-first",
    ),
    "show.between": ("coming", "orders", "vans", "group"),
    "show.past": ("stock", "sold", "waste", "log", "record"),
    "show.file": ("file",),
    "show.book": ("recipe", "rules", "allergens"),
    "food.tracing": ("trace",),
}  # fmt: skip
"""Which module of `prepboard.commands` prints which lists, in the order of the help."""


class Lists(click.Group):
    """Finds a list by name, and imports no more than it needs."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [name for names in LISTS.values() for name in names]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        for module_name, names in LISTS.items():
            if cmd_name in names:
                module = importlib.import_module(f"prepboard.commands.{module_name}")
                by_name: dict[str, click.Command] = getattr(module, "BY_NAME", {})
                command: click.Command = by_name.get(cmd_name) or getattr(module, f"show_{cmd_name.replace('-', '_')}")
                return in_words(command)
        return None


@click.group(cls=Lists)
def show() -> None:
    """Prints a list: as text, with --json or with --csv."""
