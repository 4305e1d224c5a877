"""The one catalogue of interface texts (gettext). A text without a translation stays as it is written in the code.

Put a sentence in whole and fill it in afterwards: `_("{name} is done").format(name=name)`.

Texts are looked up when they are said, in the language that this process speaks. What goes into the shared file is
never said: while an action works (`keeping`), a text is the message and its facts, `⟦["{name} is done", {"name":
"Soubise"}]⟧`, wherever it ends up and whatever is put around it, and `told` says it to whoever reads it later.
"""

from __future__ import annotations

import gettext
import json
import os
import re
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from string import Formatter
from typing import Any

ENGLISH = "en"
"""The language that texts are written in."""

_FOLDER = Path(__file__).parent / "languages"
_BEGIN, _END = "⟦", "⟧"
_OF_THE_SENSE = "\x04"
"""Stands between a sense and its text, as in a catalogue that is compiled ("The Format of GNU MO Files")."""

_catalogue: gettext.NullTranslations = gettext.NullTranslations()
_spoken = ENGLISH


class _Now(threading.local):
    """Whether what this thread says is kept as its facts."""

    kept = False


_now = _Now()


def speak(language: str) -> None:
    """Takes the catalogue of a language ("en", "es", "es-MX"); English stays where none exists."""
    global _catalogue, _spoken
    _catalogue = catalogue(language)
    _spoken = language if is_known(language) else ENGLISH
    _libraries_speak(_spoken)


def _libraries_speak(language: str) -> None:
    """What libraries say by the standard library's gettext is in our catalogue too; in English they speak as ever."""
    if not is_english(language):
        gettext.bindtextdomain("prepboard", str(_FOLDER))
        gettext.textdomain("prepboard")
        os.environ["LANGUAGE"] = root(language)
    elif gettext.textdomain() == "prepboard":
        gettext.textdomain("messages")
        os.environ.pop("LANGUAGE", None)


def spoken() -> str:
    """The language that this process speaks."""
    return _spoken


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Speaks a language inside, where nothing waits: for a server that answers readers of several."""
    global _catalogue, _spoken
    before = _catalogue, _spoken
    speak(language)
    try:
        yield
    finally:
        _catalogue, _spoken = before
        _libraries_speak(_spoken)


def catalogue(language: str) -> gettext.NullTranslations:
    """The texts of a language, for whoever speaks several at once; English where there are none."""
    if is_english(language):
        return gettext.NullTranslations()
    known = [language.replace("-", "_"), root(language)]
    return gettext.translation("prepboard", _FOLDER, known, fallback=True)


def languages() -> tuple[str, ...]:
    """The languages that texts are there for; English always."""
    return (ENGLISH, *sorted(found.parent.parent.name for found in _FOLDER.glob("*/LC_MESSAGES/prepboard.mo")))


def is_known(language: str) -> bool:
    """Whether texts are there for a language, or for the one that it is a kind of."""
    return root(language) in languages()


def is_english(language: str) -> bool:
    return root(language) == ENGLISH


def root(language: str) -> str:
    """The language that one is a kind of: "es" of "es-MX"."""
    return language.replace("_", "-").partition("-")[0].lower()


def _(text: str) -> str:
    """The text in the reader's language; of one that was kept as its facts, what it says."""
    if text[:1] in ("", _BEGIN):
        return told(text)
    return _Kept.of(text) if _now.kept else _catalogue.gettext(text)


def meant(sense: str, text: str) -> str:
    """A text that English has in several senses, in this one: "open" of a pack, and as what a key does. Where the
    language has one word for all of them, that."""
    key = f"{sense}{_OF_THE_SENSE}{text}"
    if _now.kept:
        return _Kept.of(key)
    said = _catalogue.gettext(key)
    return _(text) if said == key else said


def some(one: str, many: str, number: int) -> str:
    """The form of a text that fits a number, filled in as {n}."""
    if _now.kept:
        return _segment([one, many, number])
    return _catalogue.ngettext(one, many, number).format(n=number)


def decimal(number: str) -> str:
    """A number as the language writes it: "1.5" is "1,5" where the catalogue says so."""
    if "." not in number:
        return number
    if _now.kept:
        return _segment(["=decimal", number])
    sign = _catalogue.gettext(ONE_AND_A_HALF)[1]
    return number if sign == "." else number.replace(".", sign)


def grouped(number: int) -> str:
    """A large number with its thousands apart: "12,345"; with a blank where a comma is the decimal sign."""
    return f"{number:,}" if decimal("0.5") == "0.5" else f"{number:,}".replace(",", " ")


def typed(text: str) -> str:
    """What somebody typed, its numbers as the program reads them: "1,5 kg" is 1.5 kg where one and a half is 1,5."""
    if _catalogue.gettext(ONE_AND_A_HALF)[1] == ".":
        return text
    return re.sub(r"(?<=\d),(?=\d)", ".", text)


def later(text: str) -> str:
    """Marks a text that is kept in English by the code and said with `_` when it is shown."""
    return text


# --- texts in the file -------------------------------------------------------------------------------------


ONE_AND_A_HALF = later("1.5")
"""How the language writes it says which decimal sign it has."""


class _Kept(str):
    """A message that is kept; filling it in keeps its facts too."""

    message: str

    @classmethod
    def of(cls, message: str) -> _Kept:
        kept = cls(_segment([message]))
        kept.message = message
        return kept

    def format(self, *args: object, **facts: object) -> str:
        assert not args, self.message
        return _segment([self.message, {name: _plain_fact(fact) for name, fact in facts.items()}])


def _plain_fact(fact: object) -> object:
    return fact if isinstance(fact, int | float) else str(fact)


def _segment(facts: list[Any]) -> str:
    return f"{_BEGIN}{json.dumps(facts, ensure_ascii=False)}{_END}"


_SAYERS: dict[str, Callable[..., str]] = {}
"""What else is said in a language's own way, by the name it is kept under."""


def kept_as(name: str, say: Callable[..., str]) -> None:
    """From now on what `keep_fact` kept under that name is said by this function."""
    _SAYERS[name] = say


def is_keeping() -> bool:
    """Whether what is said now goes into the file."""
    return _now.kept


def keep_fact(name: str, *facts: Any) -> str:
    """What a function of `kept_as` would say, as its facts; they are numbers, words, lists and tables."""
    return _segment([f"={name}", *facts])


def facts_of(text: str) -> list[Any]:
    """What a text of one message was kept as; nothing of any other."""
    if text[:1] != _BEGIN:
        return []
    with suppress(ValueError):
        found, end = json.JSONDecoder().raw_decode(text, 1)
        return found if isinstance(found, list) and text[end:] == _END else []
    return []


def as_facts(text: str) -> str | list[Any]:
    """A text of one message, kept as its facts, as those themselves, for where JSON is kept; any other as it is."""
    if text.startswith(_BEGIN) and text.find(_END) == len(text) - 1:
        with suppress(ValueError):
            found = json.loads(text[1:-1])
            return found if isinstance(found, list) and _segment(found) == text else text
    return text


def of_facts(kept: str | list[Any]) -> str:
    """The text that `as_facts` was given."""
    return _segment(kept) if isinstance(kept, list) else kept


@contextmanager
def keeping(on: bool = True) -> Iterator[None]:
    """What this thread says inside is kept as its facts; or, `on` being False, said after all."""
    before, _now.kept = _now.kept, on
    try:
        yield
    finally:
        _now.kept = before


def as_shown(text: str) -> str:
    """What was kept as a reader of this language sees it now, for an action that asks what was on a screen."""
    with keeping(False):
        return told(text)


def told(text: str) -> str:
    """What was kept, in the reader's language; what somebody typed stays as it was typed."""
    if _BEGIN not in text or _now.kept:
        return text
    said, at = [], 0
    while (begin := text.find(_BEGIN, at)) >= 0:
        said.append(text[at:begin])
        try:
            facts, end = json.JSONDecoder().raw_decode(text, begin + 1)
            if text[end : end + 1] != _END:
                raise ValueError
            said.append(_said(facts))
            at = end + 1
        except (ValueError, LookupError, TypeError, AttributeError):
            # Typed by somebody, or of a newer prepboard.
            said.append(_BEGIN)
            at = begin + 1
    return "".join([*said, text[at:]])


def _said(facts: list[Any]) -> str:
    first, *rest = facts
    if first == "=decimal":
        return decimal(*rest)
    if first.startswith("="):
        return _SAYERS[first[1:]](*rest)
    if len(rest) == 2:
        return some(first, *rest)
    if _OF_THE_SENSE in first:
        return meant(*first.split(_OF_THE_SENSE, 1))
    filled = {name: told(fact) if isinstance(fact, str) else fact for name, fact in (rest[0] if rest else {}).items()}
    return _(first).format(**filled) if rest else _(first)


# --- texts of older files ----------------------------------------------------------------------------------


def recognized(text: str) -> str:
    """What an older prepboard kept as an English sentence, in the reader's language: the message that it is, filled in
    anew. What is no message stays as it stands, as all of it does for whoever reads English."""
    known: Mapping[Any, str] = getattr(_catalogue, "_catalog", {})
    if not known or not text or _BEGIN in text:
        return told(text)
    if text in known:
        return _(text)
    for literal, message in _by_their_words(known):
        if literal in text and (found := _pattern(message).fullmatch(text)):
            return _(message).format(**{name: recognized(fact) for name, fact in found.groupdict().items()})
    return _figures(text)


def as_kept(text: str, *messages: str) -> str:
    """What an older prepboard kept in English as one of these messages, as its facts; any other text as it stands."""
    if not text or _BEGIN in text:
        return text
    for message in messages:
        if found := _pattern(message).fullmatch(text):
            return _segment([message, found.groupdict()])
    return text


def _by_their_words(known: Mapping[Any, str]) -> list[tuple[str, str]]:
    """The messages that something is filled into, with the longest stretch of words in them; the wordiest first."""
    if _spoken not in _WORDS:
        found = []
        for message in known:
            if (
                isinstance(message, str)
                and "{" in message
                and _OF_THE_SENSE not in message
                and (words := _words(message))
            ):
                found.append((max(words, key=len), message))
        _WORDS[_spoken] = sorted(found, key=lambda one: -len("".join(_words(one[1]))))
    return _WORDS[_spoken]


_WORDS: dict[str, list[tuple[str, str]]] = {}


def _words(message: str) -> list[str]:
    """What stands between the fields; nothing of a message that is hardly more than its fields."""
    words = [words for words, *_rest in Formatter().parse(message)]
    return words if sum(map(str.isalpha, "".join(words))) > 3 else []


def _pattern(message: str) -> re.Pattern[str]:
    pattern, named = "", set[str]()
    for words, name, _spec, _conversion in Formatter().parse(message):
        pattern += re.escape(words)
        if name is not None:
            pattern += f"(?P={name})" if name in named else f"(?P<{name}>.+?)"
            named.add(name)
    return re.compile(pattern)


def _figures(text: str) -> str:
    """Amounts and degrees with the language's decimal sign."""
    return re.sub(r"\d+\.\d+", lambda number: decimal(number[0]), text)
