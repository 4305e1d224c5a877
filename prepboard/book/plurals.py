"""Several of a container, in the language of the book that names it; what a rule cannot know, the book says itself."""

from __future__ import annotations

from collections.abc import Callable

from prepboard.texts import ENGLISH, root

VOWELS = "aeiouáéíóú"


def several(container: str, language: str) -> str:
    """The word for more than one; of a language without a rule here the word as it stands."""
    rule = _RULES.get(root(language))
    return rule(container) if rule else container


def _english(words: str) -> str:
    """The last word carries it: "sauce bottle", "sauce bottles"; "half loaf", "half loaves"."""
    if words.endswith(("loaf", "shelf", "half", "leaf")):
        return f"{words[:-1]}ves"
    return f"{words}es" if words.endswith(("s", "x", "ch", "sh")) else f"{words}s"


def _spanish(words: str) -> str:
    """The first word carries it, "botella de salsa", "botellas de salsa", and an adjective that follows it at once
    ("bandeja grande", "bandejas grandes"). Rules of the Ortografía and the Nueva gramática of the Real Academia
    Española, from memory: after a vowel s, after a consonant es, z becomes ces, an unstressed end in s or x stays."""
    noun, *rest = words.split()
    if rest and rest[0] not in ("de", "del", "para", "con", "sin", "a", "al", "en"):
        rest[0] = _spanish_word(rest[0])
    return " ".join((_spanish_word(noun), *rest))


def _spanish_word(word: str) -> str:
    last = word[-1:].lower()
    if last in VOWELS:
        return f"{word}s"
    if last == "z":
        return f"{word[:-1]}ces"
    if last in "sx" or not last.isalpha():
        return word
    for stressed, plain in ("ón", "on"), ("án", "an"), ("én", "en"), ("ín", "in"), ("ún", "un"):
        if word.endswith(stressed):
            return f"{word[:-2]}{plain}es"
    return f"{word}es"


_RULES: dict[str, Callable[[str], str]] = {ENGLISH: _english, "es": _spanish}
