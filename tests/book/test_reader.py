"""A folder becomes a book, or everything that is wrong with it is said at once."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from prepboard.book.reading.reader import Faults, read_book, read_texts
from prepboard.resources import config_folder, fixtures_folder

GOOD = '[preps.soubise]\nname = "Soubise"\nkeeps = "3 days"\nmakes = "2 kg"\n'


def said(folder: Path) -> list[str]:
    with pytest.raises(Faults) as caught:
        read_book(folder)
    return [str(fault) for fault in caught.value.faults]


def test_all_toml_files_below_a_folder_are_one_book_in_the_order_of_their_names(tmp_path):
    (tmp_path / "preps" / "cold").mkdir(parents=True)
    (tmp_path / "z.toml").write_text('[preps.last]\nname = "L"\nkeeps = "1 day"\nmakes = "1 kg"\n')
    (tmp_path / "preps" / "cold" / "b.toml").write_text(GOOD)
    (tmp_path / "a.toml").write_text('name = "Skerrow"\n')
    (tmp_path / "notes.txt").write_text("not a recipe")
    (tmp_path / ".draft.toml").write_text("[[[")
    book, texts = read_book(tmp_path)
    assert list(texts) == ["a.toml", "preps/cold/b.toml", "z.toml"]
    assert list(book.preps) == ["soubise", "last"]
    assert book.kitchen.name == "Skerrow"


def test_the_texts_give_the_same_book_again(tmp_path):
    """The shared file keeps the texts of a loaded book and reads them back."""
    (tmp_path / "a.toml").write_text(GOOD)
    book, texts = read_book(tmp_path)
    again = read_texts(texts)
    assert again.digest == book.digest
    assert again.preps == book.preps


def test_any_change_of_text_or_name_changes_the_digest():
    digests = {
        read_texts(texts).digest
        for texts in ({"a.toml": GOOD}, {"b.toml": GOOD}, {"a.toml": GOOD + "#"}, {"a.toml": GOOD, "b.toml": ""})
    }
    assert len(digests) == 4


def test_every_fault_of_every_file_is_said_at_once(tmp_path):
    (tmp_path / "a.toml").write_text(
        '[preps.soubise]\nname = "Soubise"\nkepes = "3 days"\nmakes = "2 kg"\nuses = { onin = "1 kg" }\n'
        'steps = [\n  { do = "Sweat", wait = "tomorrow" },\n  { do = "Pass", station = "sauze" },\n]\n'
    )
    (tmp_path / "b.toml").write_text(
        '[goods.onion]\nunit = "kgs"\n[stations.sauce]\n[dishes.lamb]\nplate = { soubisse = "6 g" }\n'
    )
    assert said(tmp_path) == [
        "a.toml, line 3, preps.soubise.kepes: no such key; did you mean 'keeps'?",
        "a.toml, line 5, preps.soubise.uses.onin: no prep and no goods are called 'onin'; did you mean 'onion'?; "
        "what is bought in is written [goods.onin]",
        'a.toml, line 7, preps.soubise.steps.1.wait: expected a duration like "45 min", "1 h 30 min" or "2 days", '
        "not 'tomorrow'",
        "a.toml, line 8, preps.soubise.steps.2.station: no station is called 'sauze'; did you mean 'sauce'?",
        "b.toml, line 2, goods.onion.unit: no unit is called 'kgs'; there are mg, g, kg, oz, lb, ml, l, tsp, tbsp, "
        "fl-oz, cup, pint, quart, gal, each; did you mean 'kg'?",
        "b.toml, line 5, dishes.lamb.plate.soubisse: no prep and no goods are called 'soubisse'; "
        "did you mean 'soubise'?; what is bought in is written [goods.soubisse]",
    ]


def test_a_syntax_error_is_its_files_only_fault_and_other_files_are_still_checked(tmp_path):
    """What the unreadable file might define is not reported as unknown elsewhere."""
    (tmp_path / "a.toml").write_text('[goods.onion]\nunit = "kg"\nusable = 0,9\n[goods.')
    (tmp_path / "b.toml").write_text(GOOD + 'uses = { onion = "1 kg" }\nstations = 3\n')
    found = said(tmp_path)
    assert len(found) == 2
    assert found[0].startswith("a.toml, line 3: cannot be read as TOML")
    assert found[1].startswith("b.toml, line 6, preps.soubise.stations: no such key; did you mean 'station'?")


@pytest.mark.parametrize(
    ("text", "line", "hint"),
    [
        ("[services.a]\nstarts = 17:30\n", 2, "quotes"),
        ("[services.a]\nnot_on = [2026-02-31]\n", 2, "no such date"),
        ('name = "a"\nname = "b"\n', 2, "written twice"),
        ("[preps.a]\n[preps.b]\n[preps.a]\n", 3, "written twice in this file"),
        ('name = "open\n', 1, "quote"),
        ("name\n", 1, "followed by ="),
        ('[preps.a]\nuses = { a = "1 kg"\n', 2, "not closed"),
        ("a = " + "9" * 5000 + "\n", 0, "TOML"),
    ],
)
def test_syntax_errors_are_said_with_what_most_often_causes_them(text, line, hint):
    with pytest.raises(Faults) as caught:
        read_texts({"a.toml": text, "b.toml": GOOD})
    (fault,) = caught.value.faults
    assert (fault.file, fault.line) == ("a.toml", line)
    assert hint in fault.said


def test_an_id_in_two_files_names_both_places(tmp_path):
    (tmp_path / "a.toml").write_text("# first\n" + GOOD)
    (tmp_path / "b.toml").write_text('name = "x"\n\n' + GOOD)
    (tmp_path / "c.toml").write_text('name = "y"\n')
    assert said(tmp_path) == [
        "b.toml, line 3, preps.soubise: is written twice: here, and in a.toml, line 2",
        "c.toml, line 1, name: is written twice: here, and in b.toml, line 1",
    ]


def test_a_folder_that_is_not_there(tmp_path):
    assert said(tmp_path / "nowhere") == [f"{tmp_path / 'nowhere'}: there is no such folder"]


def test_a_file_instead_of_a_folder(tmp_path):
    (tmp_path / "a.toml").write_text(GOOD)
    assert "is no folder" in said(tmp_path / "a.toml")[0]


def test_an_empty_folder_and_a_book_without_a_prep(tmp_path):
    """Either would take the place of a good book."""
    assert "holds no .toml file" in said(tmp_path)[0]
    (tmp_path / "a.toml").write_text("# nothing yet\n")
    assert said(tmp_path) == ["the book has no prep; write at least one, like [preps.soubise]"]


def test_a_file_that_is_not_utf_8(tmp_path):
    (tmp_path / "a.toml").write_bytes(GOOD.encode() + b'note = "pur\xe9e"\n')
    (tmp_path / "b.toml").write_text('units = "metrics"\n')
    found = said(tmp_path)
    assert found[0] == "a.toml, line 5: is not UTF-8 text; save it again as UTF-8"
    assert found[1].startswith("b.toml, line 1, units:")


def test_a_file_saved_by_windows_reads_the_same(tmp_path):
    (tmp_path / "a.toml").write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    book, texts = read_book(tmp_path)
    assert texts == {"a.toml": GOOD}
    assert book.digest == read_texts({"a.toml": GOOD}).digest


def test_a_huge_file_is_refused_by_its_size_without_being_read(tmp_path, monkeypatch):
    (tmp_path / "a.toml").write_text(GOOD)
    with (tmp_path / "huge.toml").open("wb") as file:
        file.truncate(50_000_000)
    opened: list[str] = []
    real = Path.open
    monkeypatch.setattr(Path, "open", lambda path, *a, **k: (opened.append(path.name), real(path, *a, **k))[1])
    assert said(tmp_path) == ["huge.toml: is 50 MB large and was not read; a file of a book has at most 2 MB"]
    assert opened == ["a.toml"]


def test_tables_nested_without_end_are_a_fault(tmp_path):
    (tmp_path / "a.toml").write_text("a = " + "[" * 5000 + "]" * 5000)
    assert said(tmp_path) == ["a.toml: is nested too deeply to be a book"]


def test_links_that_lead_round_or_nowhere_are_ignored(tmp_path):
    (tmp_path / "a.toml").write_text(GOOD)
    (tmp_path / "loop").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "gone.toml").symlink_to(tmp_path / "nothing.toml")
    (tmp_path / "self.toml").symlink_to(tmp_path / "self.toml")
    assert list(read_book(tmp_path)[1]) == ["a.toml"]


def test_a_pipe_is_not_waited_for(tmp_path):
    (tmp_path / "a.toml").write_text(GOOD)
    os.mkfifo(tmp_path / "pipe.toml")
    assert list(read_book(tmp_path)[1]) == ["a.toml"]


def test_a_file_that_vanishes_while_the_folder_is_read(tmp_path, monkeypatch):
    (tmp_path / "a.toml").write_text(GOOD)
    (tmp_path / "b.toml").write_text("")
    real = Path.open

    def vanish(path, *args, **kwargs):
        if path.name == "b.toml":
            path.unlink()
        return real(path, *args, **kwargs)

    monkeypatch.setattr(Path, "open", vanish)
    assert said(tmp_path) == ["b.toml: cannot be read: no such file or directory"]


@pytest.mark.parametrize("name", ["[red]Soubise[/red]", "Crème brûlée", "🧅 purée", "רוטב בצל", "صلصة", "x" * 120])
def test_names_of_any_alphabet_stay_as_they_are_written(name):
    book = read_texts({"a.toml": GOOD.replace('"Soubise"', f'"{name}"')})
    assert book.preps["soubise"].name == name


def test_many_faults_are_all_said_and_soon():
    """Looking for the nearest word stops after a hundred; the faults go on."""
    text = "".join(f'[preps.p{n}]\nname = "P"\nkepes = "1 day"\nmakes = "1 kg"\n' for n in range(600))
    with pytest.raises(Faults) as caught:
        read_texts({"a.toml": text})
    assert sum(fault.said.startswith("no such key") for fault in caught.value.faults) == 600


def test_the_starter_book_loads_as_it_is():
    book, _texts = read_book(config_folder() / "starter")
    assert book.together
    assert any(service.arrivals for service in book.services.values())


def test_the_demo_book_loads_as_it_is():
    book, _texts = read_book(fixtures_folder() / "demo")
    assert book.dishes


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("[preps.creme]\nname = “Creme”\n", "the quotes are curly"),
        ("[preps.Crème Brûlée]\n", "small letters, digits and -"),
    ],
)
def test_what_no_parser_reads_is_answered_with_what_to_write(tmp_path, text, why):
    (tmp_path / "a.toml").write_text(text, encoding="utf-8")
    (fault,) = said(tmp_path)
    assert why in fault


def test_a_file_that_a_desktop_named_otherwise_is_named(tmp_path):
    (tmp_path / "a.toml.txt").write_text("", encoding="utf-8")
    (fault,) = said(tmp_path)
    assert "a.toml.txt" in fault
