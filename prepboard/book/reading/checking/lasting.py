"""What a book says needs no cold, held to what the code and the closed list allow. What does not hold is a fault, and
lifts nothing: a book that was taken once, before this was asked, lives by the shorter reading."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from fractions import Fraction

from msgspec.structs import replace

from prepboard.book.book import Goods, Prep
from prepboard.book.evidence import Evidence, Parasites, Plan
from prepboard.book.reading.faults import Findings, KeyPath
from prepboard.book.reading.written import BookWritten, ExemptWritten, ParasitesWritten, PlanWritten
from prepboard.book.rules import NoControl, RuleBook
from prepboard.book.safety.allergens import carried_by, group
from prepboard.book.safety.stable import DRY_HEAT
from prepboard.texts import _

DRY = {"C": Fraction(90), "F": Fraction(194)}
"""At least this makes food dry enough; common practice, no source."""


ANIMAL = frozenset({"fish", "crustaceans", "molluscs", "milk", "eggs"})


def lasting(
    preps: Mapping[str, Prep], goods: Mapping[str, Goods], book: BookWritten, rules: RuleBook, findings: Findings
) -> tuple[dict[str, Prep], dict[str, Goods]]:
    """The same with `exempt` and `stable` where they hold, and without where they do not."""
    law = rules.no_control
    bought = {
        id_: replace(
            one,
            exempt=_evidence(("goods", id_, "exempt"), book.goods[id_].exempt, law, findings),
            parasites=_parasites(("goods", id_, "parasites"), book.goods[id_].parasites, findings),
        )
        for id_, one in goods.items()
    }
    for one in list(bought.values()):
        fault = _unstable_goods(one, rules) if one.stable else ""
        if fault:
            findings.add(("goods", one.id, "stable"), fault)
            bought[one.id] = replace(one, stable="")
    made = {
        id_: replace(one, exempt=_evidence(("preps", id_, "exempt"), book.preps[id_].exempt, law, findings))
        for id_, one in preps.items()
    }
    for prep in list(made.values()):
        fault = _unstable(prep, made, bought) if prep.stable else ""
        if fault:
            findings.add(("preps", prep.id, "stable"), fault)
            made[prep.id] = replace(prep, stable="")
    return made, bought


def plan_of(written: PlanWritten | None, findings: Findings) -> Plan | None:
    """The approved plan with its number, who approved it and when; None where one of them is missing."""
    if written is None:
        return None
    for key in ("number", "by", "on"):
        if getattr(written, key) is None and not findings.known_bad(("approved_plan", key)):
            findings.missing(
                ("approved_plan",), key, _("a plan has a `number`, `by` whom it was approved, and `on` which day")
            )
    if written.number is None or written.by is None or written.on is None:
        return None
    return Plan(written.number, written.by, written.on)


def _parasites(path: KeyPath, written: ParasitesWritten | None, findings: Findings) -> Parasites | None:
    if written is None:
        return None
    for key in ("how", "by", "on"):
        if getattr(written, key) is None and not findings.known_bad((*path, key)):
            findings.missing(path, key, _("`parasites` says `how` it is safe, `by` whose word and `on` which day"))
    if written.how is None or written.by is None or written.on is None:
        return None
    return Parasites(written.how, written.by, written.on)


def _evidence(path: KeyPath, written: ExemptWritten | None, law: NoControl, findings: Findings) -> Evidence | None:
    if written is None:
        return None
    listed = path[0] == "goods" and " ".join((written.why or "").casefold().split()) in law.goods
    for key in ("why", "on", "by", *(() if listed else ("measured",))):
        if getattr(written, key) is None and not findings.known_bad((*path, key)):
            findings.missing(path, key, _missing(path, law))
            return None
    if written.why is None or written.on is None or written.by is None or not (listed or written.measured):
        return None
    if path[0] == "preps" or written.measured:
        return _measured(path, written.why, written.measured or {}, written.on, written.by, law, listed, findings)
    return Evidence(written.why, written.on, written.by)


def _measured(
    path: KeyPath,
    why: str,
    figures: Mapping[str, Fraction],
    on: date,
    by: str,
    law: NoControl,
    listed: bool,
    findings: Findings,
) -> Evidence | None:
    ph, aw = figures.get("ph"), figures.get("aw")
    cold = law.lifts_cold(ph, aw)
    if not cold and not listed:
        said = _("these figures lift no cold: {section} asks for {figures}; cooled and dated it needs no `exempt`")
        findings.add((*path, "measured"), said.format(section=law.place, figures=law.said))
        return None
    return Evidence(why, on, by, ph, aw, cold)


def _missing(path: KeyPath, law: NoControl) -> str:
    said = _("evidence has `why`, what was `measured`, `on` which day and `by` whom")
    if path[0] == "goods" and law.goods:
        more = _("{said}; without figures only the date mark is lifted, of {goods} ({section})")
        return more.format(said=said, goods=", ".join(law.goods), section=law.goods_section)
    return said


def _unstable_goods(goods: Goods, rules: RuleBook) -> str:
    """Why something bought is not what `stable` says; nothing where it may be."""
    if goods.stable == "shell eggs" and not rules.no_control.shell_eggs:
        return _("by {rules} shell eggs are kept cold").format(rules=rules.named)
    if goods.stable in ("dry", "preserve") and goods.store == "frozen":
        return _("what comes frozen is neither dry goods nor a preserve")
    if goods.stable == "dry" and goods.store == "chilled":
        return _("dry goods are not kept cold: what is, needs it")
    if goods.stable == "whole produce" and (animal := set(goods.allergens) & ANIMAL):
        return _("whole raw produce has no {what} in it").format(what=_(sorted(animal)[0]))
    return ""


def _unstable(prep: Prep, preps: Mapping[str, Prep], goods: Mapping[str, Goods]) -> str:
    """Why food is not what `stable` says; nothing where it is."""
    recipes = [preps[one] for one in prep.made_by if one in preps]
    if prep.stable in DRY_HEAT:
        for recipe in recipes:
            hot = _first_dry(recipe)
            if hot is None:
                said = _("{what} has a step at {least} °C or more, said with `at` or `core`")
                return said.format(what=_(prep.stable), least=DRY["C"])
            late = [use.item for use in recipe.uses if (use.step or 0) > hot and _needs_cold(use.item, preps, goods)]
            if late:
                said = _("'{item}' needs cold and goes in after the step that dries it")
                return said.format(item=late[0])
    used = [use.item for recipe in recipes for use in (*recipe.uses, *recipe.takes_if_there)]
    if prep.stable == "sugar work" and (found := {"eggs", "milk"} & set(map(group, carried_by(preps, goods, prep.id)))):
        return _("sugar work has no egg and no dairy in it; {what} is").format(what=_(sorted(found)[0]))
    if prep.stable == "fat" and (wet := list(_produce(used, goods))):
        return _("fat with '{item}' in it is not without water").format(item=wet[0])
    if prep.stable == "dried" and (found := set(ANIMAL) & set(map(group, carried_by(preps, goods, prep.id)))):
        return _(
            "animal food that was dried keeps by its water activity: measure it, and write `exempt` ({what})"
        ).format(what=_(sorted(found)[0]))
    return ""


def _first_dry(recipe: Prep) -> int | None:
    for number, step in enumerate(recipe.steps):
        if any(one is not None and one.degrees >= DRY[one.unit] for one in (step.at, step.core)):
            return number
    return None


def _needs_cold(item: str, preps: Mapping[str, Prep], goods: Mapping[str, Goods]) -> bool:
    if item in preps:
        return not preps[item].stable and not preps[item].exempt
    found = goods.get(item)
    return found is not None and found.store in ("chilled", "frozen") and not found.stable


def _produce(items: list[str], goods: Mapping[str, Goods]) -> Iterator[str]:
    return (item for item in items if item in goods and goods[item].stable == "whole produce")
