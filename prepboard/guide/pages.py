"""Which pages there are, and their text; those of keys and of fields are made of what the program itself knows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from prepboard.book.reading.key_wordings import Key
from prepboard.book.reading.key_words import KEYS
from prepboard.book.reading.written import (
    SECTIONS,
    BookWritten,
    ExemptWritten,
    ParasitesWritten,
    PlanWritten,
    SizesWritten,
    StepWritten,
    Written,
)
from prepboard.texts import _, meant, root, spoken

TITLES: Mapping[str, str] = {
    "first-day": "From nothing to a true board in ten minutes",
    "roles": "A day by role: cook, sous chef, in service, close",
    "book": "The recipe book, every key",
    "changing": "Changing the book while the kitchen works",
    "commands": "Every command",
    "keys": "Every key of every board",
    "machines": "Tills, scanners, thermometers, spreadsheets: JSON and CSV",
    "sharing": "Several stations, people and machines; copies; installing",
    "browser": "Boards in a browser: tablets and phones",
    "group": "A group of kitchens: vans, delivery notes, orders, withdrawals",
    "group-office": "Running a group: PostgreSQL, joining, leaving, backup",
    "labels": "Labels and printers",
    "safety": "Food safety, and its limits",
    "changelog": "What changed",
}
"""The pages in the order of the list, each with what it is about."""

TABLES: Mapping[str, tuple[str, type[Written]]] = {
    "": ("The kitchen itself: at the top of a file", BookWritten),
    "approved_plan": ("approved_plan of the kitchen", PlanWritten),
    "stations": ("[stations.ID]: a bench and its cooks", SECTIONS["stations"]),
    "equipment": ("[equipment.ID]", SECTIONS["equipment"]),
    "places": ("[places.ID]: where food is kept", SECTIONS["places"]),
    "services": ("[services.ID]: a sitting, or a function", SECTIONS["services"]),
    "dishes": ("[dishes.ID]: what is sold", SECTIONS["dishes"]),
    "menus": ("[menus.ID]: one of each of these", SECTIONS["menus"]),
    "preps": ("[preps.ID]: what the kitchen makes and holds ready", SECTIONS["preps"]),
    "sizes": ("sizes of a prep", SizesWritten),
    "exempt": ("exempt of a prep or of goods", ExemptWritten),
    "steps": ("steps of a prep", StepWritten),
    "goods": ("[goods.ID]: what is bought in", SECTIONS["goods"]),
    "parasites": ("parasites of goods", ParasitesWritten),
    "containers": ('[containers."soup jug"]: what amounts are held in', SECTIONS["containers"]),
    "tasks": ("[tasks.ID]: work that is no prep", SECTIONS["tasks"]),
    "people": ("[people.INITIALS]", SECTIONS["people"]),
    "kitchens": ("[kitchens.ID]: the kitchens of a group", SECTIONS["kitchens"]),
    "vans": ("[vans.ID]: what takes food from one kitchen to others", SECTIONS["vans"]),
}
"""The tables of a book in the order of the page: a heading, and the written form whose keys it has."""


def title(name: str) -> str:
    """What a page is about."""
    return _(TITLES[name])


def page(name: str) -> str:
    """A page as Markdown; KeyError for one that there is not."""
    return _MADE[name]() if name in _MADE else _file(name)


def _file(name: str) -> str:
    if name not in TITLES:
        raise KeyError(name)
    here = Path(__file__).parent
    own = here / root(spoken()) / f"{name}.md"
    return (own if own.exists() else here / f"{name}.md").read_text(encoding="utf-8")


def _book() -> str:
    return _file("book").replace("<!-- keys -->", "\n".join(_tables()))


def _tables() -> list[str]:
    lines = []
    for section, (heading, model) in TABLES.items():
        lines += [f"## {_(heading)}", ""]
        for key in own_keys(section, model):
            lines += _told(key, KEYS[section].get(key), model)
    return lines


def own_keys(section: str, model: type[Written]) -> list[str]:
    """The keys of a table as a chef writes them; the book's other tables are not among the kitchen's keys."""
    keys = [field.alias or name for name, field in model.model_fields.items()]
    return [key for key in keys if section or key not in SECTIONS]


def _told(key: str, words: Key | None, model: type[Written]) -> list[str]:
    if words is None:
        told = {field.alias or name: field.description or "" for name, field in model.model_fields.items()}
        return [f"**`{key}`** {_(told[key])}", ""]
    said = _("{means} Written as {written}. Unless said: {default}.")
    said = said.format(
        means=_(words.means), written=meant("in the book", words.written), default=meant("in the book", words.default)
    )
    first = f"**`{key}`** {said}"
    beside = [f"    {line}" for line in words.beside.splitlines()]
    return [first, "", *beside, f"    {words.example}", ""]


def _keys() -> str:
    from prepboard.boards.key_signs import key_table

    said = _("`?` on a board shows those that count there.")
    return f"# {_(TITLES['keys'])}\n\n{said}\n\n" + key_table()


def _commands() -> str:
    from prepboard.guide.commands_page import told

    return told()


def _machines() -> str:
    from prepboard.paper.as_csv import COLUMNS

    lines = [f"| {_('list')} | {_('its fields, and the columns of its table')} |", "| --- | --- |"]
    lines += [f"| `{what}` | {', '.join(columns)} |" for what, columns in COLUMNS.items()]
    return _file("machines").replace("<!-- fields -->", "\n".join(lines))


_MADE: Mapping[str, Callable[[], str]] = {
    "book": _book,
    "keys": _keys,
    "commands": _commands,
    "machines": _machines,
}
