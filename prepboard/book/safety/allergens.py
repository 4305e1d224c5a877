"""Allergens by name: the fourteen of EU Regulation 1169/2011, Annex II, in its order, and the US nine within them.

The US list (Federal Food, Drug, and Cosmetic Act as amended by the FASTER Act of 2021) names wheat, not gluten: food
marked "gluten" without its cereal is listed as wheat there, the safer reading.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from prepboard.book.book import Book, Goods, Prep

EU = (
    "gluten",
    "crustaceans",
    "eggs",
    "fish",
    "peanuts",
    "soybeans",
    "milk",
    "nuts",
    "celery",
    "mustard",
    "sesame",
    "sulphites",
    "lupin",
    "molluscs",
)
US = ("milk", "eggs", "fish", "crustaceans", "nuts", "peanuts", "wheat", "soybeans", "sesame")

GROUPS: Mapping[str, str] = {
    **dict.fromkeys(("wheat", "rye", "barley", "oats"), "gluten"),
    **dict.fromkeys(
        ("almonds", "hazelnuts", "walnuts", "cashews", "pecans", "brazil-nuts", "pistachios", "macadamias"), "nuts"
    ),
}
"""Single cereals and nuts that Annex II names within a group."""

OF_A_SPECIES = ("fish", "crustaceans", "molluscs")
"""Written with their species in brackets where the book names it: "fish (trout)"."""

NOT_WHICH: Mapping[str, tuple[str, ...]] = {"eu": ("gluten", "nuts"), "us": ("nuts", "fish", "crustaceans")}
"""Groups of which a law wants the single name: where the book does not name it, that is said."""

OTHER_WORDS: Mapping[str, str] = {
    "shellfish": "crustaceans or molluscs",
    "seafood": "fish, crustaceans or molluscs",
    "dairy": "milk",
    "lactose": "milk",
    "soy": "soybeans",
    "soya": "soybeans",
    "tree-nuts": "nuts",
    "sulfites": "sulphites",
    "mollusks": "molluscs",
    "spelt": "wheat",
    **dict.fromkeys(
        ("crab", "lobster", "prawns", "prawn", "shrimp", "shrimps", "langoustine", "crayfish"), "crustaceans"
    ),
    **dict.fromkeys(
        ("mussels", "oysters", "clams", "squid", "octopus", "cuttlefish", "scallops", "snails"), "molluscs"
    ),
    **dict.fromkeys(("cheese", "butter", "cream", "yogurt", "yoghurt"), "milk"),
}
"""Words that a chef may well write, and what they are called here; the nearest spelling would be the wrong one."""

IN_FULL: Mapping[str, str] = {
    "cereals containing gluten": "gluten",
    "sesame seeds": "sesame",
    "sulphur dioxide and sulphites": "sulphites",
    "sulphur dioxide": "sulphites",
}
"""Annex II's own words where they are longer than the names used here."""

BEYOND = ("chestnuts", "pine-nuts", "coconut")
"""Named by some guests and on neither list (US guidance counted them among the nuts; from memory)."""

KNOWN = (*EU, *GROUPS, *BEYOND)


def named(word: str) -> str | None:
    """The name used here for an allergen written short or as in Annex II, in any case; None for none."""
    plain = " ".join(word.casefold().split())
    plain = IN_FULL.get(plain, plain)
    return plain if plain in KNOWN else None


def carried(book: Book, item: str) -> tuple[str, ...]:
    """Every allergen of a prep or a good: its own, and those of all that goes into the runs that give it.

    What is taken only if it is there, or instead, counts too: nobody can promise that it was not.
    """
    return carried_by(book.preps, book.goods, item)


def carried_by(preps: Mapping[str, Prep], goods: Mapping[str, Goods], item: str) -> tuple[str, ...]:
    """The same by the tables of a book."""
    found: set[str] = set()
    seen: set[str] = set()
    ahead = [item]
    while ahead:
        name = ahead.pop()
        if name in seen:
            continue
        seen.add(name)
        if bought := goods.get(name):
            found.update(with_species(name, bought.species) for name in bought.allergens)
        if prep := preps.get(name):
            found.update(prep.allergens)
            ahead += prep.made_by
            ahead += prep.may_take
    return tuple(sorted(found))


def with_species(name: str, species: str) -> str:
    """ "fish (trout)"; the name alone where it has no species."""
    return f"{name} ({species})" if species and name in OF_A_SPECIES else name


def group(name: str) -> str:
    """The name without its species, and of a cereal or nut its group: "fish" of "fish (trout)", "nuts" of "cashews"."""
    plain = name.partition(" (")[0]
    return GROUPS.get(plain, plain)


def of_dish(book: Book, dish: str) -> tuple[str, ...]:
    """Every allergen of all that is on a dish's plate."""
    return tuple(sorted({name for item in book.dishes[dish].plate for name in carried(book, item)}))


def listed(allergens: Iterable[str], which: Literal["eu", "us"]) -> tuple[str, ...]:
    """What a label lists of these, in the order of the law: the cereal and the nut by its own name, as both laws ask,
    the group's only where the book does not say which. What is known beyond the law's list follows: nobody who asks is
    told "none" of it."""
    written = set(allergens)
    of_law = EU if which == "eu" else US
    found: list[str] = []
    for name in of_law:
        single = [one for one, of in GROUPS.items() if of == name and one in written]
        single += sorted(one for one in written if one.startswith(f"{name} ("))
        # What is only known as the group stands beside its single names: it may be another of them.
        found += [one for one in (*single, *([name] if name in written else [])) if one not in found]
    if which == "us" and "gluten" in written and "wheat" not in found:
        found.append("wheat")
    rest = written - set(found) - ({"gluten"} if which == "us" else set())
    return (*found, *(name for name in KNOWN if name in rest), *sorted(rest - set(KNOWN)))
