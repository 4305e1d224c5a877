"""A scaled recipe on paper and for scripts. Steps count from 1."""

from __future__ import annotations

from fractions import Fraction

from prepboard.book.book import Step
from prepboard.book.saying import say_duration, say_size
from prepboard.paper.lists.recipe import Ingredient, Sheet, life_text, temperature_text
from prepboard.paper.sentences.contains import allergen_list
from prepboard.paper.sentences.heading import Section
from prepboard.paper.sentences.temperatures import as_written
from prepboard.paper.sentences.waiting import say_life
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed
from prepboard.paper.text.shape import Json, Shape, number
from prepboard.texts import _, told


def recipe(sheet: Sheet, voice: Voice, width: int) -> Section:
    makes = listed(f"{voice.name(item)} {voice.amount(item, amount)}" for item, amount in sheet.makes.items())
    title = f"{say_size(sheet.size)}: {makes}" if makes else say_size(sheet.size)
    uses = table(
        [
            *(_ingredient(use, voice) for use in sheet.uses),
            *(_ingredient(use, voice, _("if there")) for use in sheet.takes_if_there),
        ],
        "><<<",
        width,
    )
    steps = table([_step(place, step, sheet, voice) for place, step in enumerate(sheet.steps, 1)], "><<<", width)
    return [
        "",
        *paragraph(title, width, 1),
        *section(_("USES"), uses, _("It uses nothing that the book names."), width),
        *section(_("STEPS"), steps, _("The book gives no steps."), width),
        "",
        *paragraph(_allergens(sheet, voice), width, 1),
        *paragraph(_("Keeps: {lives}.").format(lives=_lives(sheet)), width, 1),
        *(paragraph(plain(told(sheet.prep.note)), width, 1) if sheet.prep.note else []),
    ]


def _allergens(sheet: Sheet, voice: Voice) -> str:
    if not sheet.allergens:
        return _("Allergens: none in the book.")
    return _("Allergens: {names}.").format(names=plain(allergen_list(sheet.allergens, voice.book)))


def _lives(sheet: Sheet) -> str:
    return listed(f"{_(store)} {say_life(life)}" for store, life in sheet.prep.keeps.items())


def _ingredient(use: Ingredient, voice: Voice, there: str = "") -> Row:
    bought = ""
    if use.as_bought is not None and use.as_bought != use.amount:
        bought = _("{amount} as bought").format(amount=voice.amount(use.item, use.as_bought))
    at_step = _("step {n}").format(n=use.step + 1) if use.step is not None else ""
    return Row((voice.amount(use.item, use.amount), voice.name(use.item), bought, listed((at_step, there))))


def _step(place: int, step: Step, sheet: Sheet, voice: Voice) -> Row:
    hands = step.hands_minutes(sheet.size)
    elsewhere = voice.station(step.station) if step.station != sheet.prep.station else ""
    equipment = voice.book.equipment.get(step.equipment or "")
    where = plain(equipment.name) if equipment else ""
    details = listed(
        (
            elsewhere,
            _("{time} hands-on").format(time=say_duration(hands)) if hands else "",
            _wait(step),
            where,
            _("at {degrees}").format(degrees=as_written(step.at)) if step.at else "",
            _("core {degrees}").format(degrees=as_written(step.core)) if step.core else "",
            _("cools") if step.cools else "",
        )
    )
    return Row((str(place), plain(told(step.do)), "", details), (plain(told(step.note)),) if step.note else ())


def _wait(step: Step) -> str:
    if not step.wait:
        return ""
    if step.wait_up_to > step.wait:
        return _("waits {least} to {most}").format(least=say_duration(step.wait), most=say_duration(step.wait_up_to))
    return _("waits {time}").format(time=say_duration(step.wait))


def as_object(sheet: Sheet, voice: Voice) -> Json:
    """The same for scripts."""
    shape = Shape(voice)
    return {
        "prep": sheet.prep.id,
        "size": number(sheet.size),
        "makes": [{"prep": item, "amount": shape.amount(item, amount)} for item, amount in sheet.makes.items()],
        "uses": [_use_object(use, shape) for use in sheet.uses],
        "takes_if_there": [_use_object(use, shape) for use in sheet.takes_if_there],
        "steps": [_step_object(step, sheet.size) for step in sheet.steps],
        "allergens": list(sheet.allergens),
        "keeps": {store: life_text(life) for store, life in sheet.prep.keeps.items()},
        "note": plain(told(sheet.prep.note)),
    }


def _use_object(use: Ingredient, shape: Shape) -> Json:
    return {
        "item": use.item,
        "amount": shape.amount(use.item, use.amount),
        "as_bought": None if use.as_bought is None else shape.amount(use.item, use.as_bought),
        "step": None if use.step is None else use.step + 1,
    }


def _step_object(step: Step, size: Fraction) -> Json:
    return {
        "do": plain(told(step.do)),
        "station": step.station,
        "hands_minutes": step.hands_minutes(size),
        "wait_minutes": step.wait,
        "wait_up_to_minutes": step.wait_up_to,
        "equipment": step.equipment,
        "at": temperature_text(step.at),
        "core": temperature_text(step.core),
        "note": plain(told(step.note)),
    }
