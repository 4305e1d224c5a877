"""Books with names, steps, notes and containers in English and in Spanish, as a chef would write them."""

from __future__ import annotations

import re
from functools import cache

from prepboard.demo_book import demo_texts, demo_words

SAID = re.compile(r'\b(name|do|note|finish) = "([^"\n]*)"')
HELD = re.compile(r'held_in = \{ "([^"]*)"')


@cache
def in_both() -> dict[str, str]:
    """The texts of the demo's book, in both languages."""
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


QUAY = """
name = "Quay"

[containers."sauce bottle"]
name.es = "biberón"

[stations.sauce]
name = { en = "Sauce", es = "Salsas" }

[goods.cream]
name = { en = "Cream", es = "Nata" }
unit = "l"
keeps_open = "3 days"
store = "chilled"

[people.mr]
name = "Maren"
role = "sous"
language = "en"

[people.ab]
name = "Anouk"
language = "es"

[preps.jus]
name.en = "Lamb jus"
name.es = "Jugo de cordero"
makes = "1.5 l"
keeps = "3 days"
par = "1.5 l"
held_in = { "sauce bottle" = "500 ml" }
uses = { cream = "1 l" }
steps = [{ do = { en = "Reduce by half", es = "Reducir a la mitad" }, hands_on = "10 min", note.es = "Sin sal." }]

[preps.soup]
name = "Soup"
makes = "2 soup jug"
keeps = "3 days"
par = "2 l"
held_in = { "soup jug" = "1 l" }
plural.es = "jarras de sopa"
"""
