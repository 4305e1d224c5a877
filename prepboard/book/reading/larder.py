"""Amounts of everything in a book: how each prep and good is measured, and exact conversions.

An amount that cannot be converted is a finding; the value that stands in for it is never used, because a book with
findings is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from msgspec import Struct, field

from prepboard.book import values
from prepboard.book.amounts import UNITS, Amount, AmountFault, Kind, Measure
from prepboard.book.reading.checking.preps import Names
from prepboard.book.reading.containers import container_words
from prepboard.book.reading.faults import Findings, KeyPath
from prepboard.book.reading.written import BookWritten, GoodsWritten, PrepWritten
from prepboard.texts import _

OTHER_UNITS: Mapping[str, str] = {
    **dict.fromkeys(("litre", "litres", "liter", "liters", "ltr"), "l"),
    **dict.fromkeys(("gram", "grams", "gramme", "grammes", "gr"), "g"),
    **dict.fromkeys(("kilo", "kilos", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("ounce", "ounces"), "oz"),
    **dict.fromkeys(("pound", "pounds", "lbs"), "lb"),
    **dict.fromkeys(("piece", "pieces", "pc", "pcs", "portion", "portions", "pots", "bunch", "bunches", "ea"), "each"),
}
"""Words that a chef may well write for a unit; the nearest spelling would be none of them."""

_LOST = Measure("count", "each")
"""Stands in where no measure can be known; never reaches a plan."""


class Larder(Struct):
    """Everything that has an amount: measures of all preps and goods, and conversions that note their faults."""

    book: BookWritten
    names: Names
    findings: Findings
    measures: dict[str, Measure] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for id_, goods in self.book.goods.items():
            self.measures[id_] = self._measure(("goods", id_), Amount(Fraction(1), goods.unit), "unit", goods)
        for id_, prep in self.book.preps.items():
            self.measures[id_] = self._measure_of_prep(id_, prep)

    def _measure_of_prep(self, id_: str, prep: PrepWritten) -> Measure:
        if prep.makes is not None:
            return self._measure(("preps", id_), prep.makes, "makes", prep)
        for maker in self.names.makers.get(id_, ()):
            given = self.book.preps[maker].also_makes.get(id_)
            if given is not None:
                return self._measure(("preps", maker, "also_makes", id_), given, "", prep, ("preps", id_))
        return _LOST

    def _measure(
        self, path: KeyPath, amount: Amount, key: str, item: PrepWritten | GoodsWritten, own: KeyPath | None = None
    ) -> Measure:
        """How an item is counted: by the unit of `amount`, which may be one of the item's own containers."""
        own = own or path
        at = (*path, key) if key else path
        if not all(
            self.findings.sound((*own, about)) for about in ("unit", "makes", "density", "each", "held_in", "plural")
        ):
            return _LOST
        containers = {" ".join(name.split()): held for name, held in item.held_in.items()}
        word = containers[amount.unit].unit if amount.unit in containers else amount.unit
        unit = UNITS.get(word)
        if unit is None:
            self._no_unit(at, word, containers)
            return _LOST
        one, of_kind = self._each(own, item.each)
        measure = Measure(unit.kind, word, item.density, one, of_kind)
        held = {}
        for name, amount in containers.items():
            if name in UNITS or not name:
                self.findings.add((*own, "held_in", name), _("'{name}' is a unit already").format(name=name))
            held[name] = self.millionths((*own, "held_in", name), measure, amount, str(own[1]))
        names, plurals = container_words(own, item, self.book, self.findings)
        return Measure(unit.kind, word, item.density, one, of_kind, held, plurals, names)

    def _each(self, own: KeyPath, each: Amount | None) -> tuple[Fraction, Kind] | tuple[None, None]:
        """What one piece weighs or holds, in g or ml."""
        if each is None:
            return None, None
        unit = UNITS.get(each.unit)
        if unit is None or unit.kind == "count" or not each.number:
            self.findings.add((*own, "each"), _('expected what one piece weighs or holds, like "60 g"'))
            return None, None
        return each.number * unit.size, unit.kind

    def _no_unit(self, path: KeyPath, word: str, containers: Mapping[str, object]) -> None:
        known = [*UNITS, *containers]
        if not word:
            said = _("needs a unit, one of {known}").format(known=" ".join(known))
        else:
            said = _("no unit is called {word}; known here are {known}").format(
                word=values.shown(word), known=", ".join(known)
            )
        if meant := OTHER_UNITS.get(word.casefold()):
            said = _("no unit is called {word}; here it is {unit}").format(word=values.shown(word), unit=meant)
            self.findings.add(path, said)
            return
        self.findings.unknown(path, said, word, known)

    def amount(self, path: KeyPath, item: str, amount: Amount) -> int:
        """The amount of an item in whole millionths; nothing, and what cannot be converted, are findings."""
        measure = self.measures.get(item)
        if measure is None or measure is _LOST:
            return 1
        found = self.millionths(path, measure, amount, item)
        if found == 0 and not self.findings.known_bad(path):
            self.findings.add(path, _("is nothing; leave it out, or say how much"))
        return found

    def level(self, path: KeyPath, item: str, amount: Amount) -> int:
        """As `amount`, for a par, which may be nothing."""
        measure = self.measures.get(item, _LOST)
        return 1 if measure is _LOST else self.millionths(path, measure, amount, item)

    def millionths(self, path: KeyPath, measure: Measure, amount: Amount, item: str) -> int:
        if amount.unit and amount.unit not in UNITS and measure.held(amount.unit) is None:
            self._no_unit(path, amount.unit, measure.containers)
            return 1
        try:
            return measure.millionths(amount)
        except AmountFault as fault:
            self.findings.add(
                path,
                _("'{item}' is measured in {unit}; {fault}").format(item=item, unit=measure.unit, fault=fault),
            )
            return 1
