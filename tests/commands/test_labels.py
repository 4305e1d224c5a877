"""`label`, as it is typed."""

from __future__ import annotations

import pytest
from commands.conftest import BOOK


@pytest.fixture
def jus(typed):
    return typed.done("done", "lamb-jus").split("batch ")[1].split(",")[0]


def test_a_label_is_text_a_page_or_a_drawing(typed, jus):
    said = typed.done("label", jus)
    assert said.splitlines()[0] == "Lamb jus"
    assert f"Batch {jus}" in said
    assert max(map(len, said.splitlines())) <= 32
    assert max(map(len, typed.done("label", jus.lower(), "--wide").splitlines())) > 32
    assert typed.done("label", jus, "--html").startswith("<!doctype html>")
    assert typed.done("label", jus, "--svg").startswith("<svg ")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("ZZ9",), 1, "there is no batch ZZ9 with something left"),
        (("ZZ9", "--svg", "--html"), 2, "--html or --svg, not both"),
    ],
)
def test_what_cannot_be_labelled_is_refused(typed, words, code, said):
    assert said in typed.refused("label", *words, code=code)


def test_a_label_for_sale_names_what_went_in_by_the_book_it_was_made_by(typed, jus, write_book):
    said = " ".join(typed.done("label", jus, "--sale", "--wide").split())
    assert "Ingredients: Bones." in said
    typed.done("load", str(write_book(BOOK.replace('name = "Bones"', 'name = "Knuckles"'))))
    assert "Ingredients: Bones." in " ".join(typed.done("label", jus, "--sale", "--wide").split())


def test_a_prep_without_containers_has_no_label_for_each(typed):
    code = typed.done("done", "crisp").split("batch ")[1].split(",")[0]
    assert "label it without --each" in typed.refused("label", code, "--each")
