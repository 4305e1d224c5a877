"""Every text that a person may see: the messages of the code, found in its sources, and those that tables hold."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from inspect import cleandoc
from pathlib import Path
from typing import NamedTuple

import click
from languages.catalogue import Entry

import prepboard
from prepboard.commands.given.help_words import CAPITALS, typed_for

ROOT = Path(prepboard.__file__).parent


DID = (
    "used", "used for", "discarded", "plated", "taken back", "started", "step", "made", "read", "missing", "opened",
    "86", "back", "portion", "note", "ticked off", "special", "reset", "timer", "timer stopped", "is to read",
    "kept for", "past plates", "pin set", "pin forgotten", "right pin", "wrong pin", "came", "covers", "mix",
    "count for", "par", "standing par", "adjust", "hands", "equip", "give", "added", "cancelled", "ended",
    "moved service", "relabelled", "stay", "standing par off", "cooling counted", "gone", "done", "undone",
    "coming", "does not come", "ordered", "ordered from here", "order answered", "put back", "book heard of",
    "joined the group",
)  # fmt: skip
"""Words of the log beside those of the record; tests find what is missing here."""

FOOD = (
    "gone", "not made yet", "cooled too slowly", "cooling not shown in time", "second cooling not shown",
    "its place was out of range", "too warm for the longer time", "not reheated in time", "not cold in time", "keeps",
    "opened", "thawed", "no recipe", "missing", "no day 1", "expired", "expired food in it",
    "its label",
)  # fmt: skip
"""Why food may not be used, or no longer, as its marks keep it."""

KINDS_AND_STATES = (
    "station", "dish", "service", "prep", "goods", "task", "place", "run", "batch", "equipment", "person", "menu",
    "under way", "lost", "done", "undone", "chilled", "frozen", "ambient", "hot", "time", "rule of the house",
)  # fmt: skip
"""Kinds of entries of a book, states of runs, ways of keeping: said with `_` where they are shown."""


SENSES = {
    "key": ("back", "look", "timer"),
    "log": ("count", "give", "made", "missing", "timer", "undo"),
    "in the book": ("all", "chilled", "ambient", "cook", "count", "starts"),
}
"""Texts of tables that English has in another sense elsewhere, by the sense that they have there: a word of the log
says what was done, a key what it does, and a value of the book is typed as it stands."""


@cache
def entries() -> dict[str, Entry]:
    """The messages by what they are looked up by, those of one file after the other."""
    found: dict[str, Entry] = {}
    for text, many, where in sorted({*in_sources(), *in_tables(), *in_senses()}, key=lambda one: (one[2], one[0])):
        if not text:
            continue  # That is where a catalogue has its head.
        sense, _of, plain = text.rpartition("\4")
        known = found.setdefault(text, Entry(plain, sense=sense))
        known.many = known.many or many
        known.where = tuple(dict.fromkeys((*known.where, where)))
    return found


SAYING = {"_", "later", "meant", "some", "ngettext", "how_many", "log"}
WITHIN = (
    ast.JoinedStr, ast.BinOp, ast.IfExp, ast.List, ast.Tuple, ast.Starred, ast.GeneratorExp, ast.ListComp, ast.BoolOp,
    ast.keyword,
)  # fmt: skip
"""What stands in these is given to whatever they are given to."""
NOTHING = (ast.Name, ast.expr_context, ast.operator, ast.boolop, ast.cmpop, ast.unaryop, ast.Pass)
"""In these stands no call and no literal."""


class Literal(NamedTuple):
    """A text in a source that is no docstring, and what it stands in, the nearest first, up to what it is given to."""

    node: ast.Constant
    over: tuple[ast.AST, ...]


class Source(NamedTuple):
    """What is looked for in a source: its literals, and the calls of `SAYING`; some are made while it is loaded."""

    path: Path
    calls: list[ast.Call]
    early: list[ast.Call]
    literals: list[Literal]


@cache
def sources() -> tuple[Source, ...]:
    """Ours, each gone through once for all who look for something in them."""
    return tuple(source(path.read_text(encoding="utf-8"), path) for path in sorted(ROOT.rglob("*.py")))


def source(text: str, path: Path = ROOT) -> Source:
    found = Source(path, [], [], [])
    ahead: list[tuple[ast.AST, tuple[ast.AST, ...], bool]] = [(ast.parse(text), (), True)]
    while ahead:
        node, over, early = ahead.pop()
        within: tuple[ast.AST, ...] = (node,)
        if isinstance(node, ast.Constant):
            if isinstance(node.value, str) and not isinstance(over[0], ast.Expr):
                found.literals.append(Literal(node, over))
            continue
        if isinstance(node, ast.Call):
            called = name_of(node.func)
            within = (node, *over) if called == "join" else within
            if called in SAYING:
                found.calls.append(node)
                found.early.extend([node] * early)
        elif isinstance(node, WITHIN):
            within = (node, *over)
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            early = False
        ahead += [(one, within, early) for one in ast.iter_child_nodes(node) if not isinstance(one, NOTHING)]
    found.calls.sort(key=lambda one: one.lineno)
    return found


def name_of(called: ast.expr) -> str:
    return called.id if isinstance(called, ast.Name) else called.attr if isinstance(called, ast.Attribute) else ""


def in_sources() -> Iterator[tuple[str, str, str]]:
    """What is given to `_`, `some` and `later`, with the plural and the file."""
    for one in sources():
        for text, many in _given(one):
            yield text, many, str(one.path.relative_to(ROOT.parent))
    for path in sorted(Path(click.__file__).parent.glob("*.py")):
        # What the library says by the standard library's gettext, in our catalogue.
        for text, many in _given(source(path.read_text(encoding="utf-8"))):
            yield text, many, "click"


def _given(one: Source) -> Iterator[tuple[str, str]]:
    for node in one.calls:
        if not isinstance(node.func, ast.Name):
            continue
        words = [one.value for one in node.args if isinstance(one, ast.Constant) and isinstance(one.value, str)]
        if node.func.id in ("_", "later") and words:
            yield words[0], ""
        elif node.func.id == "meant" and len(words) == 2:
            yield f"{words[0]}\4{words[1]}", ""
        elif node.func.id in ("some", "ngettext") and len(words) == 2:
            yield words[0], words[1]
        elif node.func.id == "how_many" and words:
            yield words[0], words[0]  # The close's own: both forms are alike in English.


def in_senses() -> Iterator[tuple[str, str, str]]:
    """What tables hold in a sense of their own."""
    for sense, words in SENSES.items():
        for text in words:
            yield f"{sense}\4{text}", "", "senses"


def in_tables() -> Iterator[tuple[str, str, str]]:
    """What is written down once and said with `_` when it is shown."""
    from prepboard.boards import key_signs, keys
    from prepboard.boards.app.registry import KINDS
    from prepboard.book.reading import key_words
    from prepboard.book.reading.rulebooks import rule_book, rule_books
    from prepboard.book.safety import allergens, may_use, stable
    from prepboard.book.safety.silent import SILENT
    from prepboard.cli import cli
    from prepboard.guide import pages
    from prepboard.store.past.record import LOGGED

    for key in keys.KEYS:
        for text in (key.label, key.short, key.help):
            yield text, "", "prepboard/boards/keys.py"
    for name in {name for key in keys.KEYS for name in key.keys.split(",")}:
        called = key_signs._SHOWN.get(name, name)
        if len(called) > 1:
            yield called, "", "prepboard/boards/key_signs.py"
    for _board, title in keys.GROUPS:
        yield title, "", "prepboard/boards/keys.py"
    for text in SILENT.values():
        yield text, "", "prepboard/book/safety/silent.py"
    for text in (*allergens.EU, *allergens.US, *allergens.GROUPS, *allergens.BEYOND):
        yield text, "", "prepboard/book/safety/allergens.py"
    for text in (*stable.PREPS.values(), *stable.DRY_HEAT):
        yield text, "", "prepboard/book/safety/stable.py"
    for text in (*LOGGED, *DID):
        yield text, "", "log"
    for text in (*FOOD, *(word for words in may_use.WORDS.values() for word in words)):
        yield text, "", "food"
    for text in KINDS_AND_STATES:
        yield text, "", "kinds"
    for kind in KINDS.values():
        yield kind.title, "", "prepboard/boards/app/registry.py"
    for name in rule_books():
        book = rule_book(name)
        yield " ".join(book.caution.split()), "", f"config/rules/{name}.toml"
        for text in (book.title, book.no_control.section, book.no_control.goods_section, book.no_control.status):
            yield text, "", f"config/rules/{name}.toml"
        for rule in book.rules.values():
            for text in (rule.key.replace("_", " "), rule.section, rule.title, rule.source, rule.status, rule.note):
                yield text, "", f"config/rules/{name}.toml"
        for allowed in book.allowed.values():
            for text in (allowed.text, allowed.section, allowed.status):
                yield text, "", f"config/rules/{name}.toml"
    for table in key_words.KEYS.values():
        for key in table.values():
            for text in (key.means, key.written, key.default):
                yield text, "", "prepboard/book/reading/key_words.py"
    for section, (heading, model) in pages.TABLES.items():
        yield heading, "", "prepboard/guide/pages.py"
        for name, one in model.model_fields.items():
            if (one.alias or name) not in key_words.KEYS[section] and one.description:
                yield one.description, "", "prepboard/book/reading/written.py"
    for title in pages.TITLES.values():
        yield title, "", "prepboard/guide/pages.py"
    for text in _of_command(cli):
        yield text, "", "help"


def _of_command(command: click.Command) -> Iterator[str]:
    if command.help:
        yield cleandoc(command.help)
    yield from CAPITALS.findall(command.options_metavar or "")
    for one in command.params:
        if isinstance(one, click.Option) and one.help:
            yield one.help
        if isinstance(one, click.Argument):
            yield from CAPITALS.findall(one.metavar or str(one.name).upper())
        elif isinstance(one, click.Option) and not one.is_flag and not isinstance(one.type, click.Choice):
            yield from CAPITALS.findall(one.metavar or typed_for(one))
    if isinstance(command, click.Group):
        yield from CAPITALS.findall(command.subcommand_metavar or "")
        context = click.Context(command)
        for own in filter(None, (command.get_command(context, name) for name in command.list_commands(context))):
            yield from _of_command(own)
