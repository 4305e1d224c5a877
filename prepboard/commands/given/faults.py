"""Whatever can go wrong, in words: one line that says what and why, or one for each fault of a book."""

from __future__ import annotations

import os
import sys
import traceback

import click

from prepboard.book.amounts import AmountFault
from prepboard.paper.text.plain import plain
from prepboard.texts import _


def words_of(fault: Exception) -> list[str]:
    """The lines to show for a fault, without control characters."""
    if os.environ.get("PREPBOARD_TRACEBACK"):
        traceback.print_exception(fault, file=sys.stderr)
    return [plain(line) for line in _lines(fault)]


def code_of(fault: Exception) -> int:
    """Which exit code a fault has: 1 refused, 2 wrong use."""
    return 2 if isinstance(fault, click.UsageError) else 1


def _lines(fault: Exception) -> list[str]:
    from prepboard.book.reading.faults import Faults
    from prepboard.store.file.faults import StoreFault
    from prepboard.store.file.who import Refused, Unsure

    if isinstance(fault, Faults):
        return [str(one) for one in fault.faults]
    if isinstance(fault, Unsure):
        return [_("{question}; say it again with --sure if it is right").format(question=_one_line(fault))]
    if isinstance(fault, Refused | StoreFault | AmountFault):
        return [_one_line(fault)]
    if isinstance(fault, click.UsageError):
        return [_wrong_use(fault)]
    if isinstance(fault, click.ClickException):
        return [_one_line(fault.format_message())]
    if isinstance(fault, OSError):
        return [_of_the_system(fault)]
    return [_("something went wrong inside: {kind} {said}").format(kind=type(fault).__name__, said=_one_line(fault))]


def is_inside(fault: Exception) -> bool:
    """Whether a fault is none that has words of its own."""
    from prepboard.book.reading.faults import Faults
    from prepboard.store.file.faults import StoreFault
    from prepboard.store.file.who import Refused

    return not isinstance(fault, Faults | Refused | StoreFault | AmountFault | click.ClickException | OSError)


def _one_line(said: object) -> str:
    return " ".join(str(said).split())


def _wrong_use(fault: click.UsageError) -> str:
    said = _one_line(fault.format_message()).rstrip(".") + "."
    command = fault.ctx.command_path if fault.ctx else "prepboard"
    return _("{said} See {command} --help.").format(said=said, command=command)


def _of_the_system(fault: OSError) -> str:
    why = fault.strerror or _one_line(fault)
    return f"{fault.filename}: {why}" if fault.filename else why
