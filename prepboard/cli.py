"""The command line: one program, a command for each thing that a board can do or show.

A command's module is imported when the command is called, and a command imports the store, the plan and the boards
only when it runs: what a command does not need is not loaded.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import os
import sys
from collections.abc import Sequence
from io import TextIOWrapper
from itertools import pairwise
from pathlib import Path
from typing import Any

import click

from prepboard.commands.given.help_words import in_one, in_usage, in_words, options_in_words
from prepboard.commands.given.options import in_language, shared_options
from prepboard.commands.given.session import Known, Session, knows_all_signs, tell_did
from prepboard.texts import _, is_known

FAMILIES = {
    "house.setting_up": ("demo", "new", "load", "schema"),
    "house.boards": ("station", "pars", "wall"),
    "night.tonight": ("covers", "mix", "count-for", "adjust", "par"),
    "tables.history": ("special", "reset", "history"),
    "tables.importing": ("import",),
    "food.making": ("start", "step", "done", "lost", "made"),
    "food.stock": ("count", "use", "discard"),
    "night.today": ("service", "hands", "equip", "give", "stay", "missing", "arrived"),
    "night.dishes": ("86", "back", "portion"),
    "food.places": ("open", "move-to", "freeze", "thaw", "split"),
    "food.holding": ("block", "unblock", "keep", "keep-for", "correct"),
    "food.tracing": ("withdraw",),
    "food.sending": ("dispatch", "receive", "take-back", "settle", "acknowledge", "delivery-note"),
    "night.service": ("plate", "undo"),
    "night.handover": ("note", "task", "sign"),
    "food.readings": ("temp", "probe", "corrected"),
    "food.labels": ("label",),
    "house.record": ("check", "backup", "restore"),
    "night.closing": ("closing",),
    "tables.ordering": ("order", "answer", "delivered"),
    "house.serve": ("serve",),
    "house.pins": ("pin",),
    "show.showing": ("show",),
    "house.many": ("do",),
    "house.guide": ("guide",),
    "group.group": ("group",),
}
"""Which module of `prepboard.commands` holds which commands, in the order of the help."""

NO_FUNCTIONS = {"86": "take_off", "import": "import_", "open": "open_goods"}
"""Commands whose name cannot be a function's, and what it is called instead."""

DONE, WRONG_USE, STOPPED = 0, 2, 130


class Program(click.Group):
    """Finds commands by name, and lets no traceback reach a person."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [name for names in FAMILIES.values() for name in names]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        for family, names in FAMILIES.items():
            if cmd_name in names:
                module = importlib.import_module(f"prepboard.commands.{family}")
                command: click.Command = getattr(module, NO_FUNCTIONS.get(cmd_name, cmd_name.replace("-", "_")))
                return in_words(command)
        return None

    def get_params(self, ctx: click.Context) -> list[click.Parameter]:
        return options_in_words(super().get_params(ctx))

    def collect_usage_pieces(self, ctx: click.Context) -> list[str]:
        return [in_usage(piece) for piece in super().collect_usage_pieces(ctx)]

    def format_help_text(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        written, self.help = self.help, in_one(self.help)
        super().format_help_text(ctx, formatter)
        self.help = written

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except Known as known:
            tell_did(known.did)
            return DONE
        except BrokenPipeError:
            # Whoever read has seen enough; what was asked for is done.
            _let_go_of_stdout()
            return DONE
        except (ValueError, LookupError, TypeError, AttributeError, ArithmeticError, AssertionError) as fault:
            _blame_the_file(ctx, fault)
            raise

    def main(self, *args: Any, **extra: Any) -> Any:
        """Runs a command line and leaves with its exit code: 0 done, 1 refused, 2 wrong use, 130 interrupted."""
        extra["standalone_mode"] = False
        try:
            given = args[0] if args else extra.get("args")
            if asked := os.environ.get("PREPBOARD_LANGUAGE", ""):
                in_language(asked)
            if is_known(asked := _asked_for(given or sys.argv[1:])):
                in_language(asked)
            _check_text(given)
            result = super().main(*args, **extra)
            sys.stdout.flush()
        except Exception as fault:
            sys.exit(_said(fault))
        except KeyboardInterrupt:
            sys.exit(STOPPED)
        sys.exit(result if isinstance(result, int) else DONE)


def _blame_the_file(ctx: click.Context, fault: Exception) -> None:
    """Says instead that the file is damaged, where something went wrong inside because it is. What goes wrong inside a
    file that is whole is a fault of the program, and stays one."""
    from prepboard.commands.given.damaged import damage
    from prepboard.commands.given.faults import is_inside
    from prepboard.store.file.faults import StoreFault

    session = ctx.find_object(Session)
    if session and is_inside(fault) and (said := damage(Path(session.path), fault)):
        raise StoreFault(said) from fault


def _asked_for(given: Sequence[str]) -> str:
    """The language that a command line asks for, wherever it stands: the help of a command before it is in it too."""
    for word, following in pairwise([*given, ""]):
        if word == "--language" or word.startswith("--language="):
            return word.partition("=")[2] or following
    return ""


def _check_text(given: Any) -> None:
    """Wrong use of what is no text: bytes that the terminal's encoding does not know."""
    for word in given or sys.argv[1:]:
        if any("\ud800" <= sign <= "\udfff" for sign in str(word)):
            shown = str(word).encode("utf-8", "replace").decode()
            raise click.UsageError(_("'{text}' is no UTF-8 text").format(text=shown))


def _said(fault: Exception) -> int:
    """Says what went wrong, one line each, and which exit code that is."""
    if isinstance(fault, BrokenPipeError):
        _let_go_of_stdout()
        return DONE
    if isinstance(fault, click.exceptions.NoArgsIsHelpError):
        fault.show()
        return WRONG_USE
    if isinstance(fault, click.Abort):
        return STOPPED
    if isinstance(fault, OSError):
        _let_go_of_stdout()
    from prepboard.commands.given.faults import code_of, words_of

    for line in words_of(fault):
        click.echo(f"prepboard: {line}", err=True)
    return code_of(fault)


def _let_go_of_stdout() -> None:
    """What could not be printed is dropped, so that the interpreter does not try again when it ends."""
    with contextlib.suppress(OSError):
        sys.stdout.close()
    sys.stdout = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 - as long as the program runs


@click.group(
    cls=Program,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@shared_options(from_environment=True)
@click.version_option(package_name="prepboard")
@click.pass_context
def cli(ctx: click.Context) -> None:
    """A kitchen's prep on one shared file: what to make, what goes off, what is left.

    Without a command it opens the board of the only station, or lists the stations. PREPBOARD_NOW (ISO 8601) sets
    the clock by hand; every board then says so.
    """
    session = ctx.ensure_object(Session)
    if ctx.invoked_subcommand is None:
        from prepboard.commands.house.setting_up import open_only_station

        open_only_station(session)


def _write_plainly() -> None:
    """A terminal that lacks a sign shows the nearest one, not a fault; one that only types gets letters of ASCII."""
    dumb = os.environ.get("TERM") == "dumb"
    for stream in (sys.stdout, sys.stderr):
        if not isinstance(stream, TextIOWrapper):
            continue
        if dumb and stream.isatty():
            stream.reconfigure(encoding="ascii")
        if knows_all_signs(stream.encoding):
            stream.reconfigure(errors="replace")
        else:
            importlib.import_module("prepboard.commands.given.signs")
            stream.reconfigure(errors="plainly")


def main() -> None:
    """The entry point of the installed program.

    The garbage collector rests, which took a fifth of a start: what modules make stays, and what a command makes ends
    with it. A board wakes it once it stands (`prepboard.boards.app.first_frame`).
    """
    gc.disable()
    _write_plainly()
    cli.main(prog_name="prepboard")
