"""No text stands outside the catalogue: a literal that reaches a person is found in the source, whoever says it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from languages import texts

import prepboard

ROOT = Path(prepboard.__file__).parent
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
    "paper/text/notes.py": "a kind of note",
    "plan/floor/settling.py": "a kind of note",
    "plan/given/state.py": "caught where it is called: what was typed names no line",
    "plan/runs/planning.py": "a kind of note",
    "plan/shown/lines.py": "a kind of note",
    "store/transaction/doing.py": "a setting's name",
    "store/file/migrations/m003_places.py": "a column",
    "store/file/migrations/only_added.py": "what SQLite says to whoever opens the file by hand",
    "store/health/group_line.py": "a setting's name",
    "store/health/letting_go.py": "a setting's name",
}
"""Why what is found in these files is right where it is."""


def name_of(called: ast.expr) -> str:
    return called.id if isinstance(called, ast.Name) else called.attr if isinstance(called, ast.Attribute) else ""


def outside(path: Path) -> Iterator[str]:
    """The literals of a file that somebody reads and that no catalogue has."""
    yield from outside_of(path.read_text(encoding="utf-8"))


def outside_of(source: str) -> Iterator[str]:
    tree, over = ast.parse(source), dict[ast.AST, ast.AST]()
    for node in ast.walk(tree):
        over.update(dict.fromkeys(ast.iter_child_nodes(node), node))
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or not isinstance(node.value, str) or isinstance(over[node], ast.Expr):
            continue
        text = node.value
        at = over[node]
        if isinstance(at, ast.Call) and name_of(at.func) in IN_THE_CATALOGUE:
            continue
        if text.strip() in texts.entries() or not WORD.search(text) or NO_TEXT.search(text) or text in TONES:
            continue
        if is_said(node, over) or SENTENCE.search(text):
            yield f"{node.lineno}: {text}"


def is_said(node: ast.AST, over: dict[ast.AST, ast.AST]) -> bool:
    """Whether a literal is given to what a person reads, by itself or as a part of what is."""
    at = over.get(node)
    while isinstance(
        at,
        ast.JoinedStr | ast.BinOp | ast.IfExp | ast.List | ast.Tuple | ast.Starred | ast.GeneratorExp | ast.ListComp
        | ast.BoolOp | ast.keyword,
    ):  # fmt: skip
        if isinstance(at, ast.keyword) and at.arg in BESIDE:
            return False
        if isinstance(at, ast.Tuple) and isinstance(node, ast.Constant) and " " not in str(node.value).strip():
            return False  # The way to a key of the book.
        node, at = at, over.get(at)
    if not isinstance(at, ast.Call) or node is at.func:
        return False
    called = name_of(at.func)
    if called in KEYED and at.args and node is at.args[0]:
        return False
    if called == "join":
        return is_said(at, over)
    return called in SAYS or called.endswith("Fault")


def test_every_text_that_reaches_a_person_is_in_the_catalogue() -> None:
    found = {str(path.relative_to(ROOT)): list(outside(path)) for path in sorted(ROOT.rglob("*.py"))}
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
        assert list(outside_of(source)), source
    for source in ('click.echo(_("Nothing to make."))', 'Static(shown, classes="line-title")', 'kinds["too late"]'):
        assert not list(outside_of(source)), source
