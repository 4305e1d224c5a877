"""Many commands in one process: a till, a scanner or a thermometer writes a line each and reads an answer each."""

from __future__ import annotations

import io
import json
import shlex
import sys
from collections.abc import Iterator
from contextlib import redirect_stdout
from threading import Thread
from typing import TYPE_CHECKING, Any, TextIO

import click
from msgspec.structs import replace

from prepboard.commands.given.options import shared_options
from prepboard.commands.given.session import Session, tell
from prepboard.store.file.who import Refused
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.store.kitchen_file import KitchenFile

LONGEST = 20_000
"""Characters of a line; what is longer is no command."""

NOT_HERE = ("demo", "station", "pars", "wall", "closing", "serve", "restore", "do", "guide")
"""Commands that open a board, or another file, and would never come back."""


@click.command("do")
@click.argument("source", metavar="FILE|-", type=click.File("r", encoding="utf-8", errors="replace"))
@shared_options()
@click.pass_obj
def do(session: Session, source: TextIO) -> None:
    """Reads commands one a line, as they are typed after "prepboard", and answers one line of JSON each.

    "-" is standard input. An empty line or one that begins with # is passed over. A line that is refused answers
    {"error": ...} and the next one goes on; the exit code is 1 if any was.
    """
    refused = 0
    with session.file() as file:
        held, beside = replace(session, held=file, as_json=True), None
        for number, line in _lines(source):
            shown = _answer(held, line)
            refused += "error" in shown
            tell(json.dumps({"line": number, **shown}, ensure_ascii=False))
            sys.stdout.flush()
            if file.acted and not (beside and beside.is_alive()):
                file.acted, beside = False, _tend_beside(file)
        if beside:
            beside.join()
    if refused:
        raise click.exceptions.Exit(1)


def _tend_beside(file: KitchenFile) -> Thread:
    """Copies and the day's check, while the next line is answered."""
    from prepboard.store.health.upkeep import tend

    thread = Thread(target=tend, args=(file,))
    thread.start()
    return thread


def _lines(source: TextIO) -> Iterator[tuple[int, str]]:
    """Each line as it comes, with its number: whoever writes waits for the answer before the next one."""
    for number, line in enumerate(iter(lambda: source.readline(LONGEST + 1), ""), 1):
        if len(line) > LONGEST:
            raise Refused(_("line {n} has more than {most} characters").format(n=number, most=LONGEST))
        if line.strip() and not line.lstrip().startswith("#"):
            yield number, line.strip()


def _words(line: str) -> list[str]:
    """As a shell parts them; wrong use where a quote is open at the end."""
    try:
        return shlex.split(line)
    except ValueError:
        raise click.UsageError(_("a quote is not closed")) from None


def _answer(session: Session, line: str) -> dict[str, Any]:
    """What one command did, as JSON; what it prints otherwise under "text"."""
    from prepboard.commands.given.faults import code_of, words_of

    printed = io.StringIO()
    try:
        words = _words(line)
        if words and words[0] in NOT_HERE:
            raise click.UsageError(_("{command} is not for here").format(command=words[0]))
        with redirect_stdout(printed):
            own = replace(session, action="")
            program = click.get_current_context().find_root().command
            with program.make_context("prepboard", words, obj=own) as context:
                program.invoke(context)
    except click.exceptions.Exit:
        pass
    except Exception as fault:
        return {"error": words_of(fault), "code": code_of(fault)}
    text = printed.getvalue().removesuffix("\n")
    try:
        found = json.loads(text)
    except json.JSONDecodeError:
        return {"text": text}
    return found if isinstance(found, dict) else {"text": text}
