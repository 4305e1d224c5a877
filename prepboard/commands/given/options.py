"""The options that many commands share."""

from __future__ import annotations

import functools
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import click

from prepboard.commands.given.session import Session
from prepboard.texts import _, is_known, languages, later, speak

Command = TypeVar("Command", bound=Callable[..., Any])

AT = click.option("--at", metavar="TIME", help='When it really was: "14:10" today, or ISO 8601. Never ahead.')
SURE = click.option("--sure", is_flag=True, help="Yes, even if some are far more than usual.")
TABLE = click.argument("table", metavar="CSV", type=click.Path(path_type=Path))


def in_language(language: str) -> None:
    """Speaks a language that was asked for from now on, before any book is open. UsageError where there is none."""
    if not is_known(language):
        known = ", ".join(languages())
        raise click.UsageError(_("there are no texts in '{language}': {known}").format(language=language, known=known))
    speak(language)


def shared_options(*, from_environment: bool = False) -> Callable[[Command], Command]:
    """`--file`, `--by`, `--station`, `--language` and `--pin`, for the program and each command; the later counts."""

    def keep(ctx: click.Context, param: click.Parameter, value: str | None) -> None:
        if value is not None:
            setattr(ctx.ensure_object(Session), _KEPT[str(param.name)], value)
            if param.name == "language":
                in_language(value)

    def reads_pin(ctx: click.Context, param: click.Parameter, value: bool) -> None:
        if value:
            ctx.ensure_object(Session).pin = True

    def decorate(command: Command) -> Command:
        for name, metavar, variable, text in reversed(_OPTIONS):
            command = click.option(
                f"--{name}",
                name,
                metavar=metavar,
                envvar=variable if from_environment else None,
                expose_value=False,
                is_eager=name == "language",  # So that the help after it is in it.
                callback=keep,
                help=text,
            )(command)
        return click.option(
            "--pin",
            is_flag=True,
            expose_value=False,
            callback=reads_pin,
            help="Reads the PIN of who has one from standard input; else $PREPBOARD_PIN, else it is asked for.",
        )(command)

    return decorate


_KEPT = {"file": "path", "by": "by", "station": "station", "language": "language"}
_OPTIONS = (
    ("file", "PATH", "PREPBOARD_FILE", "The kitchen's shared file; else $PREPBOARD_FILE, else kitchen.db here."),
    ("by", "INITIALS", "PREPBOARD_BY", "Who does it; else $PREPBOARD_BY."),
    ("station", "STATION", "PREPBOARD_STATION", "At which station; else $PREPBOARD_STATION."),
    ("language", "CODE", "PREPBOARD_LANGUAGE", "In which language it answers: en, es; else the reader's, by the book."),
)


def answer_options(command: Command) -> Command:
    """`--json` and `--id` of a command that writes: what it did, for a script; and once, however often it is said."""

    def keep(ctx: click.Context, param: click.Parameter, value: str | bool | None) -> None:
        if value:
            setattr(ctx.ensure_object(Session), str(param.name), value)

    command = click.option(
        "--id", "action", metavar="TEXT", expose_value=False, callback=keep,
        help="Any text, once: said again with it, nothing more is done and the answer is the first one.",
    )(command)  # fmt: skip
    return click.option(
        "--json", "as_json", is_flag=True, expose_value=False, callback=keep, help="Answers for a script, in one line."
    )(command)


def sitting_options(*, service: bool = True) -> Callable[[Command], Command]:
    """`--service` and `--day`."""

    def decorate(command: Command) -> Command:
        command = click.option("--day", metavar="DAY", help="Its business day, such as 2026-10-31; else the nearest.")(
            command
        )
        if service:
            text = "Which service; else the one under way, else the next."
            command = click.option("--service", metavar="SERVICE", help=text)(command)
        return command

    return decorate


def format_options(command: Command) -> Command:
    """`--json`, `--csv` and `--follow`."""
    own = command

    def followed(*words: Any, follow: bool, **options: Any) -> None:
        if not follow:
            own(*words, **options)
            return
        from prepboard.commands.given.following import follow as go_on

        go_on(own, words, options)

    command = cast(Command, functools.update_wrapper(followed, own))
    text = "Goes on: a line of JSON now and at every change, until it is stopped."
    command = click.option("--follow", is_flag=True, help=text)(command)
    command = click.option("--csv", "as_csv", is_flag=True, help="For a spreadsheet.")(command)
    return click.option("--json", "as_json", is_flag=True, help="For a script.")(command)


SOUS_ONLY = later("Where the book lists people, only a sous chef may.")


def sous_only(command: click.Command) -> click.Command:
    """Says in the help of a command that no cook may, once the book lists people; the action itself refuses them."""
    command.epilog = SOUS_ONLY
    return command
