"""The guide is true: every key is told, every example is a book, every command on every page runs."""

from __future__ import annotations

import json
import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from conftest import any_plan, books_are_read_once
from msgspec.structs import replace

from prepboard.book.reading.faults import Faults
from prepboard.book.reading.key_words import KEYS
from prepboard.book.reading.reader import read_texts
from prepboard.book.safety.life import COOK_AS
from prepboard.book.safety.stable import GOODS, PREPS
from prepboard.cli import FAMILIES, cli
from prepboard.commands.show.showing import LISTS
from prepboard.demo import NOW
from prepboard.guide.pages import TABLES, TITLES, own_keys, page
from prepboard.paper.as_csv import COLUMNS

EXAMPLES = [(section, key) for section, (_heading, model) in TABLES.items() for key in own_keys(section, model)]
"""Every key that a book can have, by its table."""

BOOK = """
this_kitchen = "central"
[kitchens.central]
letter = "C"
[kitchens.north]
letter = "N"
[kitchens.south]
letter = "S"
[stations.sauce]
[stations.pastry]
[equipment.oven]
racks = 2
[equipment.combi]
[places.walk-in]
[services.dinner]
starts = "17:30"
ends = "22:30"
[dishes.broth-bowl]
course = "main"
[preps.broth]
name = "Broth"
keeps = "3 days"
makes = "5 l"
[preps.scraps]
name = "Scraps"
keeps = "3 days"
makes = "1 kg"
[goods.onions]
[goods.shallots]
"""
"""What the examples speak of."""

LISTED = {name for names in LISTS.values() for name in names} - {"trace", "recipe", "closing", "rules", "use-first"}
"""Lists of lines that are all alike."""

SAID = {
    "services": {"starts": 'starts = "17:30"', "ends": 'ends = "22:30"', "covers": "covers = 40"},
    "menus": {"dishes": 'dishes = ["broth-bowl"]'},
    "preps": {"name": 'name = "New"', "keeps": 'keeps = "3 days"', "makes": 'makes = "2 kg"'},
    "tasks": {"when": 'when = "open"'},
    "kitchens": {"letter": 'letter = "X"'},
    "vans": {"from": 'from = "central"', "to": 'to = ["north"]', "leaves": 'leaves = "06:30"'},
}
"""What an entry must say besides."""


def example(section: str, key: str) -> str:
    """A book in which the example of a key stands."""
    told = KEYS[section][key]
    lines = [told.beside, told.example]
    if section in ("", "approved_plan"):
        return f"{told.example}\n{BOOK.replace(told.example, '')}"
    if section == "steps":
        lines, section = [told.beside, f"steps = [{told.example}]"], "preps"
    section = "goods" if section == "parasites" else section
    if section in ("sizes", "exempt"):
        section = "preps"
    written = {line.partition(" ")[0] for line in "\n".join(lines).splitlines()}
    lines += [line for own, line in SAID.get(section, {}).items() if own not in written]
    return "\n".join([BOOK, f"[{section}.new]", *filter(None, lines)])


def test_every_key_is_told_with_an_example_that_is_read():
    shown = page("book")
    for section, key in EXAMPLES:
        told, asked = KEYS[section][key], f"{section}.{key}"
        assert all((told.means, told.written, told.default)), asked
        assert f"**`{key}`**" in shown, asked
        assert key in told.example or section == "steps", asked
    faults = {f"{section}.{key}": said for section, key in EXAMPLES if (said := fault_of(example(section, key)))}
    assert faults == {}


def fault_of(text: str) -> str:
    """What is wrong with a book; nothing where it is read."""
    try:
        read_texts({"a.toml": text})
    except Faults as faults:
        return str(faults)
    return ""


def as_written(section: str, key: str) -> str | None:
    """What is said of a key that is not written, as it would be written; None where it is no value of its own."""
    told = KEYS[section][key]
    default = "0 min" if told.default == "0" and told.written.startswith("a duration") else told.default
    if default.startswith('"') or default in ("true", "false") or re.fullmatch(r"[\d.]+", default):
        return default
    return f'"{default}"' if re.fullmatch(r"\d+ (days|min|h)|[A-Z]+|[a-z]+(-[a-z\d]+)*", default) else None


UNSAID = {"none", "nothing", "evenly", "always", "starts", "not"}
"""Words for no value at all."""
DEFAULTS = [
    (section, key) for section, key in EXAMPLES if KEYS[section][key].default not in UNSAID and as_written(section, key)
]


def test_what_a_key_is_said_to_be_unless_said_is_what_it_is():
    """The book with the default written out is the book without the key."""
    assert len(DEFAULTS) > 40
    for section, key in DEFAULTS:
        without, said = without_and_with_default(section, key)
        books = [repr(replace(read_texts({"a.toml": text}), digest="")) for text in (without, said)]
        assert books[0] == books[1], f"{section}.{key} = {as_written(section, key)}"


def without_and_with_default(section: str, key: str) -> tuple[str, str]:
    """Two books: one that does not have the key, one in which it is what it is said to be."""
    told, written = KEYS[section][key], as_written(section, key)
    with_example = example(section, key)
    assert with_example.count(told.example) == 1, f"{section}.{key}"
    without, said = "", f"{key} = {written}"
    if section == "steps":
        without = re.sub(rf", {key} = [^,}}]+", " ", told.example)
        said = re.sub(rf"\b{key} = [^,}}]+", f"{key} = {written} ", told.example)
    return with_example.replace(told.example, without), with_example.replace(told.example, said)


@pytest.mark.parametrize(
    ("section", "key", "words"),
    [
        ("preps", "uses", "net: peeled and trimmed"),
        ("goods", "usable", "recipes are net, orders gross"),
        ("preps", "keeps", "Days count day 1, which is the day of the first hot step, else of the start"),
        ("preps", "keeps", "hours count to the minute from when it is ready"),
        ("steps", "wait_up_to", "else a quarter more"),
    ],
)
def test_what_a_newcomer_had_to_guess_is_told(section, key, words):
    """That these words are so: tests/outside/test_yields.py, tests/book/test_life.py, tests/plan/test_timing.py."""
    told = KEYS[section][key]
    assert words in f"{told.means} {told.default}"


@pytest.mark.parametrize(
    ("section", "key", "words"),
    [("preps", "stable", PREPS), ("goods", "stable", GOODS), ("steps", "cook_as", {*COOK_AS, "undercooked"})],
)
def test_a_closed_list_of_words_is_told_whole(section, key, words):
    told = [re.sub(r" \(.*", "", one) for one in KEYS[section][key].written.split(", ")]
    assert set(told) == set(words)


def test_no_key_is_told_that_a_book_cannot_have():
    told = {(section, key) for section, keys in KEYS.items() for key in keys}
    assert told == set(EXAMPLES)


def test_the_schema_says_what_the_guide_says():
    schema = json.loads(CliRunner().invoke(cli, ["schema"]).stdout)
    said = schema["$defs"]["StepWritten"]["properties"]["wait_up_to"]["description"]
    assert said.startswith(KEYS["steps"]["wait_up_to"].means)
    tables = [schema, *schema["$defs"].values()]
    without = [key for one in tables for key, told in one.get("properties", {}).items() if "description" not in told]
    assert set(without) <= {*TABLES}, "only the tables of a book stand without a description"


@pytest.mark.parametrize("name", TITLES)
def test_every_example_of_a_book_is_read(name):
    for text in re.findall(r"```toml\n(.*?)```", page(name), re.DOTALL):
        read_texts({"a.toml": text})


def test_every_command_is_told():
    told = CliRunner().invoke(cli, ["guide", "commands"]).stdout
    commands = [name for names in FAMILIES.values() for name in names]
    assert [name for name in commands if not re.search(rf"\*\*`prepboard {name}[ `]", told)] == []


# --- what can be typed is typed


NOT_HERE = ("prepboard demo", "prepboard serve", "prepboard withdraw L12", "prepboard group")
BETWEEN_KITCHENS = tuple(
    f"prepboard {name}"
    for name in ("dispatch", "receive", "take-back", "settle", "acknowledge", "delivery-note", "answer", "order --send")
)
"""They serve until they are stopped, build what is there already, need a lot of their own, or other kitchens
(`tests/commands/test_between_kitchens.py`)."""


def typed_lines(name: str) -> list[str]:
    """The command lines of a page: those that stand alone, and those within a sentence that are whole."""
    text = page(name)
    alone = re.findall(r"^(?:    |)(prepboard [^\n|]+?)(?: \|.*)?$", text, re.MULTILINE)
    return [line for line in alone if not line.startswith((*NOT_HERE, *BETWEEN_KITCHENS))]


def run(line: str, folder: Path) -> None:
    words, _, into = line.partition(" > ")
    settings = {"PREPBOARD_FILE": str(folder / "kitchen.db"), "PREPBOARD_BY": "mr", "PREPBOARD_NOW": NOW.isoformat()}
    arguments = [word for word in shlex.split(words)[1:] if word != "--follow"]
    result = CliRunner(env=settings).invoke(cli, arguments, prog_name="prepboard")
    assert result.exit_code == 0, f"{line}: {result.stderr}"
    if into:
        (folder / into).write_text(result.stdout, encoding="utf-8")


TYPED = ("roles", "machines", "sharing", "group", "labels", "safety")
"""Pages with something to type on the demo. The first day and the changing of a book have tests of their own."""


@pytest.mark.parametrize("name", TYPED)
def test_every_command_of_the_other_pages_runs_on_the_demo(name, made_demo, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    shutil.copy(made_demo, tmp_path / "kitchen.db")
    batch = _first_batch(tmp_path)
    lines = typed_lines(name)
    assert lines
    with any_plan(), books_are_read_once():
        for line in lines:
            run(line.replace("EA9", batch), tmp_path)


def test_no_page_is_left_out():
    assert {name for name in TITLES if typed_lines(name)} == {*TYPED, "first-day", "changing"}


def _first_batch(folder: Path) -> str:
    settings = {"PREPBOARD_FILE": str(folder / "kitchen.db")}
    shown = json.loads(CliRunner(env=settings).invoke(cli, ["show", "stock", "--json"]).stdout)
    return next(line["batch"] for line in shown["stock"] if line["batch"])


def test_the_first_day_can_be_typed_as_it_stands(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    lines = typed_lines("first-day")
    assert lines[0] == "prepboard new book"
    assert [line for line in lines if line.startswith("prepboard import stock")]
    for line in lines:
        if line.startswith("prepboard import stock"):
            table = tmp_path / "shelves.csv"
            rows = [row.split(",") for row in table.read_text().splitlines()]
            for row in rows[1:]:
                amount, made = rows[0].index("amount"), rows[0].index("made_at")
                row[amount : amount + 2], row[made] = ["1", ""], NOW.date().isoformat()
            table.write_text("\n".join(map(",".join, rows)))
        run(line, tmp_path)


def test_a_book_is_changed_as_the_page_says(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for line in ("prepboard new book", "prepboard load book", *typed_lines("changing")):
        run(line, tmp_path)


def test_the_fields_of_every_list_are_those_that_the_guide_names(demo_file):
    settings = {"PREPBOARD_FILE": str(demo_file), "PREPBOARD_NOW": NOW.isoformat()}
    with books_are_read_once():
        shown = {
            what: CliRunner(env=settings).invoke(cli, ["show", what, "--json"]).stdout
            for what in sorted(LISTED & set(COLUMNS))
        }
    for what, told in shown.items():
        named = next(row for row in page("machines").splitlines() if row.startswith(f"| `{what}` |"))
        fields = set(named.split("|")[2].replace(" ", "").split(","))
        for line in json.loads(told)[what]:
            assert set(line) <= fields, f"{what}: {set(line) - fields}"


# --- how it is read


def test_the_guide_without_a_terminal_is_plain_text():
    listed = CliRunner().invoke(cli, ["guide"]).stdout
    assert [line.split()[0] for line in listed.splitlines()[1:]] == list(TITLES)
    assert CliRunner().invoke(cli, ["guide", "safety"]).stdout.startswith("# Food safety")
    wrong = CliRunner().invoke(cli, ["guide", "nothing"])
    assert wrong.exit_code == 2
    assert "first-day" in wrong.stderr


async def test_the_guide_in_a_terminal_turns_its_pages():
    from textual.widgets import MarkdownViewer

    from prepboard.guide.viewer import GuideApp

    app = GuideApp(TITLES, "first-day", page)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert app.title == TITLES["first-day"]
        await pilot.press("n")
        await pilot.pause()
        assert app.title == TITLES["roles"]
        assert "A cook" in app.query_one(MarkdownViewer).document.source
        await pilot.press("p", "p")
        await pilot.pause()
        assert app.title == TITLES["changelog"]


def test_no_page_asks_the_internet_for_anything():
    for name in TITLES:
        assert not re.search("https?://", page(name).replace("https://json-schema", ""))
