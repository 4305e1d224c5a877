"""What containers are called, one of them and several, in each language that the book has words for."""

from __future__ import annotations

from collections.abc import Mapping

from prepboard.book import values
from prepboard.book.names import in_languages
from prepboard.book.plurals import several
from prepboard.book.reading.faults import Findings, KeyPath
from prepboard.book.reading.written import BookWritten, GoodsWritten, PrepWritten
from prepboard.book.reading.written_values import is_language
from prepboard.texts import _, is_english, root

PLAIN = ""
"""Stands for no language: the word for whoever reads one that the book has none for."""

Words = Mapping[str, str]
"""By language."""


def container_words(
    own: KeyPath, item: PrepWritten | GoodsWritten, book: BookWritten, findings: Findings
) -> tuple[dict[str, str], dict[str, str]]:
    """By container the word for one of it, where that is not its plain name alone, and the word for several, where no
    plain rule makes it."""
    containers = {" ".join(name.split()) for name in item.held_in}
    written = {" ".join(name.split()): words for name, words in book.containers.items()}
    said = _said(own, item, containers, findings)
    names, plurals = {}, {}
    for container in containers:
        common = written.get(container)
        ones: Words = common.name if common else {}
        many = {**_by_language(common.plural if common else ""), **said.get(container, {})}
        if ones:
            names[container] = in_languages({PLAIN: container, **ones})
        if plural := _several(container, ones, many, book.language):
            plurals[container] = plural
    return names, plurals


def _several(container: str, ones: Words, many: Words, language: str) -> str:
    """The word for several in all languages; empty where the rule for English makes the only one."""
    own = {code: " ".join(word.split()) for code, word in many.items() if word}
    plain = own.pop(PLAIN, "") or own.get(language, "")
    ruled = {code: several(one, code) for code, one in ones.items()} | own
    if not ruled and not plain and is_english(language):
        return ""
    return in_languages({PLAIN: plain or several(container, language), **ruled})


def _said(
    own: KeyPath, item: PrepWritten | GoodsWritten, containers: set[str], findings: Findings
) -> dict[str, dict[str, str]]:
    """What the item itself says of several, by container: a bare word, or one by language, is that of the only one."""
    if not isinstance(item.plural, dict):
        by_container = {one: {PLAIN: item.plural} for one in containers} if item.plural else {}
        bare = bool(item.plural)
    else:
        by_container = {}
        bare = bool(item.plural) and not containers & set(item.plural) and all(map(_is_short, item.plural))
        if bare:
            words = {code: word for code, word in item.plural.items() if isinstance(word, str)}
            by_container = dict.fromkeys(containers, words)
    if bare and len(containers) != 1:
        findings.add((*own, "plural"), _('say of which container: plural = { jug = "jugs" }'))
        return {}
    if bare or not isinstance(item.plural, dict):
        return by_container
    for name, word in item.plural.items():
        if name not in containers:
            said = _("no container is called {word}").format(word=values.shown(name))
            findings.unknown((*own, "plural", name), said, name, sorted(containers))
        by_container[" ".join(name.split())] = _by_language(word)
    return by_container


def _is_short(key: str) -> bool:
    """Whether a key is the code of a language of two letters: a longer one is rather a container misspelt."""
    return is_language(key) and len(root(key)) == 2


def _by_language(words: str | Mapping[str, str]) -> dict[str, str]:
    return dict(words) if isinstance(words, Mapping) else {PLAIN: words} if words else {}
