"""The catalogues are as good as the code: what a program reads is what a translator wrote, and every text keeps what is
filled into it."""

from __future__ import annotations

import ast
import gettext
import io
from pathlib import Path

import pytest
from languages import catalogue, texts
from languages.pseudo import fields

from prepboard.boards.keys import KEYS
from prepboard.book.reading.key_words import KEYS as WORDS
from prepboard.store.past.record import LOGGED
from prepboard.texts import keeping, meant, speaking, told

LANGUAGES = sorted(path.stem for path in catalogue.FOLDER.glob("*.po"))


@pytest.fixture(scope="module", params=LANGUAGES)
def written(request: pytest.FixtureRequest) -> tuple[str, catalogue.Catalogue]:
    return request.param, catalogue.known(request.param)


def test_the_compiled_catalogue_is_the_written_one(written: tuple[str, catalogue.Catalogue]) -> None:
    """Read by the standard library, which nobody here wrote."""
    language, po = written
    binary = catalogue.mo_of(language).read_bytes()
    assert binary == catalogue.compiled(po), "python tests/languages/merge.py compiles it"
    read = gettext.GNUTranslations(io.BytesIO(binary))
    assert read.charset() == "UTF-8"
    for entry in po.entries.values():
        if entry.many and entry.is_said:
            assert {read.ngettext(entry.text, entry.many, n) for n in range(200)} == set(entry.said), entry.text
        elif entry.sense:
            assert read.pgettext(entry.sense, entry.text) == (entry.said[0] if entry.is_said else entry.text)
        elif entry.is_said:
            assert read.gettext(entry.text) == entry.said[0]


def test_what_is_written_reads_back(written: tuple[str, catalogue.Catalogue], tmp_path: Path) -> None:
    language, po = written
    catalogue.write(tmp_path / "again.po", po)
    assert (tmp_path / "again.po").read_text() == catalogue.po_of(language).read_text()


def test_a_translation_fills_in_what_the_text_fills_in(written: tuple[str, catalogue.Catalogue]) -> None:
    """All of it, under its own names: one that is lost or misspelt would be a KeyError at a stove."""
    wrong = []
    for entry in written[1].entries.values():
        given = set(fields(entry.text)) | set(fields(entry.many))
        for said in filter(None, entry.said):
            own = set(fields(said))
            # A form that is of one number only may leave the number out.
            if not own <= given or (given - own and not entry.many):
                wrong.append((entry.text, said))
    assert wrong == []


def test_a_translation_begins_and_ends_as_the_text_does(written: tuple[str, catalogue.Catalogue]) -> None:
    """Texts that are put behind others begin with their blank or their comma."""
    wrong = [
        (entry.text, said)
        for entry in written[1].entries.values()
        for said in entry.said
        if said and (said[0] == " ", said[-1] == " ") != (entry.text[0] == " ", entry.text[-1] == " ")
    ]
    assert wrong == []


def test_no_text_is_looked_up_before_a_language_is_chosen() -> None:
    """Whatever a module or a class says while it is loaded would be English for good."""
    early = [
        f"{source.path.name}:{one.lineno}"
        for source in texts.sources()
        for one in source.early
        if isinstance(one.func, ast.Name) and one.func.id in ("_", "some")
    ]
    assert early == []


def test_a_text_is_filled_in_after_it_was_looked_up() -> None:
    """An f-string or a sum inside `_` is a text that no catalogue can have."""
    filled = []
    for source in texts.sources():
        for node in source.calls:
            if isinstance(node.func, ast.Name) and node.func.id in ("_", "some", "later"):
                given = node.args[: 2 if node.func.id == "some" else 1]
                wrong = [one for one in given if isinstance(one, ast.JoinedStr | ast.BinOp)]
                filled += [f"{source.path.name}:{one.lineno}" for one in wrong]
    assert filled == []


def test_spanish_is_whole() -> None:
    """Every text that a person may see is in it: python tests/languages/merge.py adds what is new."""
    known = catalogue.known("es")
    assert any(line.startswith("Glossary") for line in known.remarks)
    missing = [text for text in texts.entries() if text not in known.entries]
    assert missing == []
    assert [entry.text for entry in known.entries.values() if not entry.is_said] == []


def test_a_text_of_two_senses_is_said_in_the_one_that_is_meant() -> None:
    """A pack that is open is no key that opens; what was made is no food from elsewhere; what a book is told to say is
    typed as it stands."""
    with speaking("es"):
        assert (meant("a pack", "open"), meant("key", "open")) == ("abierto", "abrir")
        assert (meant("log", "made"), meant("key", "made")) == ("hecho", "hecho fuera")
        assert (meant("log", "give"), meant("key", "give")) == ("cedido", "ceder")
        assert [meant(sense, "count") for sense in ("record", "log", "of a par", "in the book", "key")] == [
            "recuento", "contado", "cantidad fija", "count", "contar",
        ]  # fmt: skip
        with keeping():
            kept = meant("a pack", "open")
        assert told(kept) == "abierto"
    assert (told(kept), meant("log", "made")) == ("open", "made")


def test_what_the_sources_write_into_the_log_is_a_text() -> None:
    """Words that are worked out (a name given on) are found in the demo's log instead."""
    calls = [
        node
        for source in texts.sources()
        for node in source.calls
        if isinstance(node.func, ast.Attribute) and node.func.attr == "log" and node.args
    ]
    words = {word.value for call in calls for word in [call.args[0]] if isinstance(word, ast.Constant)}
    assert len(words) > 50
    assert words <= {*texts.DID, *LOGGED}, "a word of the log stands in DID of tests/languages/texts.py"


def test_a_word_of_two_tables_says_in_both_what_is_meant_there() -> None:
    """A new one is looked at: it has a sense in `texts.SENSES`, or one word of Spanish serves for both."""
    tables = {
        "key": {text for key in KEYS for text in (key.label, key.short)},
        "log": {*texts.DID, *LOGGED, *LOGGED.values()},
        "in the book": {
            text for table in WORDS.values() for key in table.values() for text in (key.written, key.default)
        },
        "kinds": set(texts.KINDS_AND_STATES),
        "food": set(texts.FOOD),
    }
    shared = {
        text
        for one, words in tables.items()
        for other, theirs in tables.items()
        for text in words & theirs
        if one != other and text and not any(text in texts.SENSES.get(sense, ()) for sense in (one, other))
    }
    assert shared == {
        "a number", "done", "frozen", "gone", "lost", "menu", "mix", "none", "note", "opened", "place", "portion",
        "run", "standing par", "task", "thawed", "undone",
    }  # fmt: skip


def test_a_sense_stands_where_it_is_looked_up_and_its_plain_text_elsewhere() -> None:
    """One that nothing looks up would be translated in vain."""
    plain = {entry.text for entry in texts.entries().values() if not entry.sense}
    assert {entry.text for entry in texts.entries().values() if entry.sense} <= plain
