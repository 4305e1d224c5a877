"""`show make LINE --helps`: one line to make, what it waits for and what helps it, with the command that does it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.printing import print_as, title, voice_of, width
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.plan.shown.lines import MakeLine


def show_line(kitchen: Kitchen, words: tuple[str, ...], *, helps: bool, as_json: bool, as_csv: bool) -> None:
    """Prints one line, named as JSON names it, or the most urgent of a prep."""
    from prepboard.paper import as_json as objects
    from prepboard.paper.as_text import whole
    from prepboard.paper.text.sittings import sittings_said

    if not words:
        raise click.UsageError(_("say of which LINE or PREP"))
    line, voice = _line(kitchen, " ".join(words)), voice_of(kitchen)

    def value() -> list[dict[str, Any]]:
        shown = objects.Lines(voice).make(line)
        return [{**shown, "helps": _objects(kitchen, line)} if helps else shown]

    def text() -> str:
        lines = _texts(kitchen, line, helps)
        return whole(title(kitchen), lines, voice, width(), sittings_said(kitchen.board, voice))

    print_as("make", voice, value, text, as_json=as_json, as_csv=as_csv)


def _line(kitchen: Kitchen, word: str) -> MakeLine:
    """The line of that name; else the most urgent one of that prep. Refused when the plan has none."""
    from prepboard.commands.food.making import first_line
    from prepboard.commands.given.reading import find_prep
    from prepboard.store.file.who import Refused

    named = next((line for line in kitchen.board.make if str(line.line) == word), None)
    if named:
        return named
    prep = find_prep(kitchen, word)
    found = first_line(kitchen, prep.id)
    if found is None:
        raise Refused(_("the plan asks for no {name}").format(name=prep.name))
    return found


def _texts(kitchen: Kitchen, line: MakeLine, helps: bool) -> list[str]:
    from prepboard.paper.sentences.notes import note_text
    from prepboard.paper.sentences.waiting import waits_for_words

    voice = voice_of(kitchen)
    heading = f" {voice.name(line.prep)}   {voice.amount(line.prep, line.amount)}   {voice.begins(line)}"
    waits = [f"   {waits_for_words(line.waits_for, voice)}"] if line.waits_for else []
    lines = ["", heading, *waits, *(f"   {note_text(note, voice)}" for note in line.notes)]
    if helps:
        found = _objects(kitchen, line)
        lines += ["", f" {_('WHAT HELPS')}"]
        for one in found:
            lines += [f"   {one['text']}", *(f"     prepboard {command}" for command in one["command"].split("; "))]
        if not found:
            lines.append(f"   {_('nothing makes it sooner without making something else late')}")
    return lines


def _objects(kitchen: Kitchen, line: MakeLine) -> list[dict[str, Any]]:
    """What helps, as scripts read it. Where several dishes change, their commands stand in `command` one after
    another, divided by "; "."""
    from prepboard.paper.sentences.helps import commands_of, help_text
    from prepboard.paper.text.shape import Shape
    from prepboard.plan.changing.helping import helps

    voice = voice_of(kitchen)
    return [
        {
            "command": "; ".join(commands_of(help, voice)),
            "text": help_text(help, voice),
            "ready_at": Shape(voice).at(help.ready_at),
            "saves_minutes": help.saves_minutes,
            "guests": help.guests,
        }
        for help in helps(kitchen.board, line)
    ]
