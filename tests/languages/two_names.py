"""The demo's book with every name, step, note and container in English and in Spanish, as a chef would write it."""

from __future__ import annotations

import re
from functools import cache

from prepboard.demo_book import demo_texts, demo_words

SAID = re.compile(r'\b(name|do|note|finish) = "([^"\n]*)"')
HELD = re.compile(r'held_in = \{ "([^"]*)"')


@cache
def in_both() -> dict[str, str]:
    """The texts of the book."""
    words, texts = demo_words("es"), demo_texts("en")

    def by_language(found: re.Match[str]) -> str:
        spanish = words.get(found[2])
        return (
            f'{found[1]} = {{ en = "{found[2]}", es = "{spanish}" }}' if spanish and spanish != found[2] else found[0]
        )

    containers = sorted({name for text in texts.values() for name in HELD.findall(text)})
    named = "\n".join(f'[containers."{name}"]\nname.es = "{words[name]}"' for name in containers)
    first, rest = texts["kitchen.toml"].split("\n[", 1)
    texts["kitchen.toml"] = rest
    both = {name: SAID.sub(by_language, text) for name, text in texts.items()}
    return {**both, "kitchen.toml": f"{first}\n[{both['kitchen.toml']}", "containers.toml": named}
