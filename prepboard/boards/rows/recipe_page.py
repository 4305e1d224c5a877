"""A recipe scaled to one run, as blocks of an open line: what it gives and takes, its steps, allergens, note. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from fractions import Fraction

from rich.cells import cell_len

from prepboard.boards.widgets.row import fit
from prepboard.book.book import Prep, Step
from prepboard.book.saying import say_duration
from prepboard.paper.lists.recipe import Ingredient, Sheet, sheet
from prepboard.paper.sentences.contains import allergen_list
from prepboard.paper.sentences.temperatures import as_written
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.board import Board
from prepboard.texts import _, told

Block = tuple[str, list[str]]
"""A heading (empty for none) and its lines."""


def recipe_blocks(
    board: Board, voice: Voice, recipe: Prep, size: Fraction, placed: dict[int, datetime], *, now_at: int | None
) -> Iterator[Block]:
    page = sheet(board.state.book, recipe, size)
    if len(page.makes) > 1:
        made = [f"{voice.amount(item, much)}  {voice.name(item)}" for item, much in page.makes.items()]
        yield _("GIVES"), made
    yield _("GOES IN"), _goes_in(voice, page)
    steps: list[str] = []
    for at, step in enumerate(page.steps):
        begins = voice.time(placed[at]) if at in placed else ""
        mark = "▸ " if at == now_at else ""
        steps += _step(board, voice, step, at, size, begins, mark, recipe.station)
    yield _("STEPS"), steps
    yield _("ALLERGENS"), [allergen_list(page.allergens, board.state.book) or _("none stated")]
    yield _("NOTE"), [told(recipe.note)] if recipe.note else []


def _goes_in(voice: Voice, page: Sheet) -> list[str]:
    parts = [*page.uses, *page.takes_if_there]
    widest = max((cell_len(voice.amount(part.item, part.amount)) for part in parts), default=0)
    lines = [_ingredient(voice, part, widest) for part in page.uses]
    if_there = _("{ingredient}, if there is any")
    return lines + [if_there.format(ingredient=_ingredient(voice, part, widest)) for part in page.takes_if_there]


def _ingredient(voice: Voice, part: Ingredient, widest: int) -> str:
    said = f"{fit(voice.amount(part.item, part.amount), widest)}  {voice.name(part.item)}"
    asides = []
    if part.as_bought is not None and part.as_bought != part.amount:
        asides.append(_("{amount} as bought").format(amount=voice.amount(part.item, part.as_bought)))
    if part.step is not None:
        asides.append(_("step {n}").format(n=part.step + 1))
    return f"{said}  ({listed(asides)})" if asides else said


def _step(
    board: Board, voice: Voice, step: Step, at: int, size: Fraction, begins: str, mark: str, home: str
) -> list[str]:
    hands = step.hands_minutes(size)
    parts = [_("{time} hands-on").format(time=say_duration(hands))] if hands else [_("no hands")]
    if step.wait:
        wait = say_duration(step.wait)
        if step.wait_up_to > step.wait:
            wait = _("{least} to {most}").format(least=wait, most=say_duration(step.wait_up_to))
        parts.append(_("then {time} to wait").format(time=wait))
    equipment = board.state.book.equipment.get(step.equipment or "")
    if equipment:
        parts.append(equipment.name)
    if step.at:
        parts.append(_("at {degrees}").format(degrees=as_written(step.at)))
    if step.core:
        parts.append(_("core {degrees}").format(degrees=as_written(step.core)))
    if step.station != home:
        parts.append(voice.station(step.station))
    head = f"{mark}{at + 1}  {told(step.do)}" + (f"   {begins}" if begins else "")
    lines = [head, f"   {listed(parts)}"]
    return [*lines, f"   {told(step.note)}"] if step.note else lines
