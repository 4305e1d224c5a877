"""No text stands outside the catalogue: a literal that reaches a person is found in the source, whoever says it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

from languages import texts

SAYS = {
    "echo", "secho", "prompt", "confirm", "notify", "Static", "Label", "Button", "PlainLine", "Content", "tell", "say",
    "answer", "Refused", "Unsure", "BadParameter", "UsageError", "ClickException", "ValueError", "add", "Section",
    "section", "paragraph", "Fact", "Row", "Span",
}  # fmt: skip
"""Whatever is given to these is read by somebody, and so is what is given to a fault of ours."""
IN_THE_CATALOGUE = {"_", "some", "later", "how_many"}
BESIDE = {"classes", "id", "name", "tone", "kind", "key", "help"}
"""What is given under these names is no text, or is in the catalogue by another way (help)."""

KEYED = {"Section", "Fact", "Row"}
"""These are given their key first."""

TONES = {"strong", "dim", "late", "plain"}
WORD = re.compile(r"[A-Za-z]{3,}")
SENTENCE = re.compile(r"[A-Za-z']{2,} [A-Za-z']{2,} [A-Za-z']{2,} [A-Za-z']{2,}|^[A-Z][a-z]+ [a-z]+")
NO_TEXT = re.compile(
    r"\b(SELECT|INSERT|UPDATE|DELETE|CREATE|ALTER|DROP|PRAGMA|FROM|WHERE|ORDER BY|JOIN|VACUUM|GROUP BY|UNION|VALUES"
    r"|ATTACH|AND|IS NOT|EXCEPT|CASE WHEN|DESC|TEXT)\b|julianday|[{;]\s*$|\{ |</?\w+[^>]*>?|\w+=\"|charset=|-src '|\\d"
    r"|\(\?P<"
)
"""SQL, style sheets, HTML, TOML and patterns."""

REASONS = {
    "book/reading/rulebooks.py": "faults of a rule book that travels in the wheel; a test reads each of them",
    "book/reading/toml_lines.py": "caught where it is called: what follows is no key",
    "book/reading/key_words.py": "examples are a book's own words; what they mean is in the catalogue",
    "book/reading/written.py": "in the catalogue where the guide says them; else in the schema, for editors",
    "book/reading/fault_lines.py": "what the standard library's parser says, to be told in words of ours",
    "book/safety/allergens.py": "what a book may write; what is said of it is in the catalogue",
    "book/safety/checked.py": "for scripts: what prepboard holds to a limit",
    "book/safety/silent.py": "names; their words are in the catalogue",
    "cli.py": "the program's own name",
    "group/demo.py": "what a made-up cook typed",
    "paper/sentences/notes.py": "a kind of note",
    "plan/floor/settling.py": "a kind of note",
    "plan/given/state.py": "caught where it is called: what was typed names no line",
    "plan/needs/planning.py": "a kind of note",
    "plan/shown/lines.py": "a kind of note",
    "store/transaction/doing.py": "a setting's name",
    "store/file/migrations/m003_places.py": "a column",
    "store/file/migrations/only_added.py": "what SQLite says to whoever opens the file by hand",
    "store/health/group_line.py": "a setting's name",
    "store/health/letting_go.py": "a setting's name",
}
"""Why what is found in these files is right where it is."""


def outside(source: texts.Source) -> Iterator[str]:
    """The literals of a source that somebody reads and that no catalogue has."""
    for node, over in source.literals:
        text = str(node.value)
        if isinstance(over[0], ast.Call) and texts.name_of(over[0].func) in IN_THE_CATALOGUE:
            continue
        if text.strip() in texts.entries() or not WORD.search(text) or NO_TEXT.search(text) or text in TONES:
            continue
        if is_said(node, over) or SENTENCE.search(text):
            yield f"{node.lineno}: {text}"


def is_said(node: ast.AST, over: tuple[ast.AST, ...]) -> bool:
    """Whether a literal is given to what a person reads, by itself or as a part of what is."""
    for number, at in enumerate(over):
        if isinstance(at, ast.keyword) and at.arg in BESIDE:
            return False
        if isinstance(at, ast.Tuple) and isinstance(node, ast.Constant) and " " not in str(node.value).strip():
            return False  # The way to a key of the book.
        if not isinstance(at, texts.WITHIN):
            return _is_given_to(at, node, over[number + 1 :])
        node = at
    return False


def _is_given_to(at: ast.AST, node: ast.AST, over: tuple[ast.AST, ...]) -> bool:
    if not isinstance(at, ast.Call) or node is at.func:
        return False
    called = texts.name_of(at.func)
    if called in KEYED and at.args and node is at.args[0]:
        return False
    if called == "join":
        return is_said(at, over)
    return called in SAYS or called.endswith("Fault")


def test_every_text_that_reaches_a_person_is_in_the_catalogue() -> None:
    found = {str(one.path.relative_to(texts.ROOT)): list(outside(one)) for one in texts.sources()}
    assert {name: said for name, said in found.items() if said and name not in REASONS} == {}
    assert [name for name in REASONS if not found.get(name)] == [], "a reason that nothing needs any more"


def test_a_text_outside_is_found_whoever_says_it() -> None:
    for source in (
        'click.echo("Nothing here")',
        'raise Refused(f"{name} is nowhere")',
        'self.notify("oven full" if full else _("free"))',
        'yield Static("Probes", classes="title")',
        'return "nobody has counted it since noon"',
        'tell(", ".join((name, f"{n} pans")))',
    ):
        assert list(outside(texts.source(source))), source
    for source in ('click.echo(_("Nothing to make."))', 'Static(shown, classes="line-title")', 'kinds["too late"]'):
        assert not list(outside(texts.source(source))), source
