"""Books, tables and command lines that are nearly right, drawn from a seed: all of them are to be answered in words."""

from __future__ import annotations

import csv
import io
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import chdir, closing
from pathlib import Path
from random import Random

import click
from click.testing import CliRunner

from prepboard.book.reading.faults import Faults
from prepboard.book.reading.reader import read_texts
from prepboard.cli import FAMILIES, cli
from prepboard.commands.show.showing import LISTS

INSIDE = "went wrong inside"

STRANGE = (
    "", " ", "0", "-1", "1", "999999999999999999999", "1e400", "nan", "½", "1/0", "1/3", "٣", "²", "1,5", "1.2 kg",
    "1.2", "kg", "-0", "\x1b[31m", "\u202e", "ß", "日本", "x" * 5000, "'", '"', "\\", "%s", "{}", "{file}", "[b]", "*",
    "..", "a/b", "9999-12-31", "0001-01-01", "2026-02-30", "2026-10-31", "today", "24:00", "23:59", "14:10", "00:00",
    "fri", "2026-10-31T14:10", "9999-12-31T23:59", "2026-10-31T25:00", "true", "null", "\t", "a\nb", "=1+1", "--", "-",
    "#", "C", "3 C", "3", "F", "-500 C", "1e9 C",
)  # fmt: skip
"""What somebody types, pastes or scans."""

NOT_RUN = {"serve", "demo", "guide"}
"""Commands that go on until they are stopped, take seconds, or answer with whole pages."""

NOT_GIVEN = {"--follow", "--print", "--help", "--version", "--file"}


def inside(work: Callable[[], object]) -> str:
    """What went wrong inside, in a line; "" where it went right or was refused in words."""
    try:
        work()
    except Faults:
        return ""
    except Exception as fault:
        return f"{type(fault).__name__}: {fault}"
    return ""


# Books


def books(texts: dict[str, str], random: Random) -> Iterator[dict[str, str]]:
    """The same book with something wrong in one of its files, without an end."""
    names = sorted(texts)
    while True:
        name = random.choice(names)
        yield {**texts, name: _mutated(texts[name], random)}


def read(texts: dict[str, str]) -> str:
    """What goes wrong inside when such a book is read."""
    return inside(lambda: read_texts(texts))


def _mutated(text: str, random: Random) -> str:
    lines = text.splitlines()
    for _time in range(random.choice((1, 1, 1, 2, 5))):
        at = random.randrange(len(lines))
        line = lines[at]
        kind = random.randrange(7)
        if kind == 0:
            del lines[at]
        elif kind == 1:
            lines.insert(random.randrange(len(lines)), line)
        elif kind == 2 and "=" in line:
            key = line.partition("=")[0]
            lines[at] = f"{key}= {random.choice(_VALUES)}"
        elif kind == 3 and '"' in line:
            parts = line.split('"')
            parts[random.randrange(1, len(parts), 2)] = random.choice(STRANGE).replace("\n", " ")
            lines[at] = '"'.join(parts)
        elif kind == 4 and line:
            spot = random.randrange(len(line))
            lines[at] = line[:spot] + random.choice(_SIGNS) + line[spot + 1 :]
        elif kind == 5:
            lines[at] = line[: random.randrange(len(line) + 1)]
        else:
            other = random.randrange(len(lines))
            lines[at], lines[other] = lines[other], line
        lines = lines or [""]
    return "\n".join(lines)


_VALUES = (
    "0",
    "-1",
    "1e400",
    "nan",
    "true",
    "[]",
    "{}",
    '""',
    '"1 kg"',
    "[[]]",
    "2026-10-31",
    "07:00:00",
    '["a"]',
    "{a=1}",
)
_SIGNS = '"=[]{}#.\\\x00é0-'


# Tables


def tables(random: Random, columns: Sequence[str], cells: Sequence[str]) -> Iterator[bytes]:
    """Tables that have nearly these columns, with nearly such cells, without an end."""
    while True:
        names = [name for name in columns if random.random() < 0.95] or list(columns)
        random.shuffle(names)
        out = io.StringIO()
        writer = csv.writer(out, delimiter=random.choice(",,,;\t"))
        writer.writerow([random.choice(STRANGE) if random.random() < 0.03 else name for name in names])
        for _row in range(random.randrange(6)):
            width = random.choice((len(names), len(names), len(names), 1, len(names) + 2))
            writer.writerow(
                [random.choice(cells) if random.random() < 0.8 else random.choice(STRANGE) for _ in range(width)]
            )
        held = out.getvalue().encode("utf-8", "surrogatepass")
        if random.random() < 0.1 and held:
            spot = random.randrange(len(held))
            held = held[:spot] + bytes([random.randrange(256)]) + held[spot + 1 :]
        yield held


# Command lines


def command_lines(random: Random, words: Sequence[str]) -> Iterator[list[str]]:
    """Commands with nearly the arguments that they take, of `words` that the kitchen knows and of strange ones."""
    known = [
        *([name] for names in FAMILIES.values() for name in names if name not in NOT_RUN and name != "show"),
        *(["show", name] for names in LISTS.values() for name in names),
    ]
    while True:
        line = list(random.choice(known))
        command = _command(line)
        options = [option for option in command.params if isinstance(option, click.Option)]
        arguments = [one for one in command.params if isinstance(one, click.Argument)]
        extra = random.choice((0, 0, 0, 1, -1))
        for _argument in range(max(0, len(arguments) + extra)):
            line.append(_word(random, words))
        for option in random.sample(options, min(len(options), random.choice((0, 0, 1, 2)))):
            name = random.choice(option.opts)
            if name not in NOT_GIVEN:
                line += [name] if option.is_flag else [name, _word(random, words)]
        if "--keep" not in line:
            yield line


def _word(random: Random, words: Sequence[str]) -> str:
    return random.choice(words) if random.random() < 0.6 else random.choice(STRANGE)


def _command(line: list[str]) -> click.Command:
    context = click.Context(cli)
    command: click.Command | None = cli
    for word in line:
        assert isinstance(command, click.Group)
        command = command.get_command(context, word)
    assert command is not None
    return command


def run(line: list[str], folder: Path, now: str) -> str:
    """What goes wrong inside when it is typed in that folder, at its kitchen.db; "" otherwise."""
    env = {"PREPBOARD_FILE": str(folder / "kitchen.db"), "PREPBOARD_NOW": now, "PREPBOARD_BY": "LM"}
    with chdir(folder):
        result = CliRunner(env=env).invoke(cli, line, prog_name="prepboard")
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        return f"{type(result.exception).__name__}: {result.exception}"
    said = [text for text in result.output.splitlines() if INSIDE in text or "Traceback" in text]
    return said[0] if said else ""


# Files


def flipped(held: bytes, random: Random) -> Iterator[bytes]:
    """The same file with one bit of what stands in it turned over, without an end."""
    while True:
        spot = random.randrange(100, len(held))
        if held[spot]:
            yield held[:spot] + bytes([held[spot] ^ 1 << random.randrange(8)]) + held[spot + 1 :]


DAY = (
    ["done", "lamb-jus"], ["start", "crisp"], ["temp", "walk-in", "3", "C"], ["plate", "lamb"], ["note", "warm"],
    ["covers", "dinner", "80"], ["par", "lamb-jus", "1", "l"],
)  # fmt: skip
LOOKS = ["show", "make"], ["check"], ["note", "x"], ["show", "record"]


def filled(folder: Path, now: str) -> bytes:
    """The kitchen's file of that folder with a few hours of work in it, as one file."""
    for line in DAY:
        assert run(line, folder, now) == "", line
    with closing(sqlite3.connect(folder / "kitchen.db")) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return (folder / "kitchen.db").read_bytes()


def look_at(held: bytes, folder: Path, now: str) -> dict[str, str]:
    """What goes wrong inside when people look at such a file, by what they typed."""
    found = {}
    for line in LOOKS:
        for beside in ("-wal", "-shm"):
            (folder / f"kitchen.db{beside}").unlink(missing_ok=True)
        (folder / "kitchen.db").write_bytes(held)
        if said := run(list(line), folder, now):
            found[" ".join(line)] = said
    return found
