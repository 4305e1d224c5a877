"""What pages say by themselves is said in their reader's language; the catalogue has it."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

import pytest
from boards.web.test_server import joined, no_process, serving, until  # noqa: F401

from prepboard.boards.web import words
from prepboard.boards.web.devices import Device

PAGE = Path(words.__file__).with_name("page")


@pytest.mark.parametrize(
    ("asked", "language"),
    [
        ("", "en"),
        ("es-MX,es;q=0.9,en;q=0.8", "es-MX"),
        ("tlh,la;q=0.9,es;q=0.5,en;q=0.4", "es"),
        ("es;q=0,en", "en"),
        ("es;q=nonsense, *;q=0.1", "en"),
        ("," * 5000, "en"),
    ],
)
def test_a_browser_is_spoken_to_in_the_first_language_it_asks_for_that_is_known(asked, language):
    assert words.preferred(asked) == language


def test_scripts_have_no_words_of_their_own():
    """What is said comes with the page: a sentence in a script would stay English."""
    for script in PAGE.glob("*.js"):
        for line in script.read_text(encoding="utf-8").splitlines():
            said = line.partition("//")[0]
            for text in said.split('"')[1::2]:
                assert len(text.split()) < 3 or "{" in text or "[" in text or ";" in text, text


def test_what_is_filled_in_cannot_become_part_of_a_page():
    marks = []

    class Marks(HTMLParser):
        def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
            marks.append((tag, dict(attributes)))

    Marks().feed(words.filled_in(b'<p data-a="$silent">$opening</p>', "en").decode())
    assert marks == [
        ("p", {"data-a": "The kitchen's machine does not answer. Check the Wi-Fi, then open the link again."})
    ]


async def test_pages_and_answers_of_the_server_are_in_the_language_of_their_device(tmp_path, no_process):  # noqa: F811
    async with serving(tmp_path / "k.db") as asked:
        _status, _head, door = await asked.get("/", "Accept-Language: es")
        assert "Abriendo el tablero." in door.decode()
        cookie = await asked.enter(asked.boards.devices.add(Device("t", "wall", language="es")))
        _status, _head, board = await asked.get("/board", f"Cookie: {cookie}", "Accept-Language: en")
        assert '<html lang="es">' in board.decode()
        assert "teclado" in board.decode()
        line = await joined(asked, cookie)
        await until(line, lambda message: message == {"do": "repaint"})
        asked.boards.devices.remove("t")
        gone = await until(line, lambda message: "out" in message)
        assert gone["out"] == "Este dispositivo se quitó."
        _status, _head, door = await asked.get("/")
        assert "Opening the board." in door.decode()
