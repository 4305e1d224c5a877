"""Use it first, in words: where what expires or is left over could go, on paper, on an opened line, for scripts."""

from __future__ import annotations

from collections.abc import Iterable

from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, paragraph, section, table
from prepboard.paper.text.saying import Voice
from prepboard.paper.text.shape import Json, Shape
from prepboard.plan.shown.closing_lines import Outlet, UseFirst
from prepboard.texts import _, some


def outlet_text(outlet: Outlet, prep: str, voice: Voice) -> str:
    """One way out as a sentence fragment, with its amount and its last moment."""
    wordings = {
        "service": _("{amount} goes out at {service}, as expected"),
        "run": _("{amount} goes into {item}, taken {time}"),
        "if there": _("{item} takes {amount} more if it is there, begun {time}"),
        "recipe": _("one more run of {item} takes {amount}, {end}"),
        "dish": _("{plates} of {item} at {service} take {amount}, {end}"),
        "staff meal": _("the staff meal takes {amount}, {end}"),
    }
    return wordings[outlet.kind].format(
        amount=voice.amount(prep, outlet.amount),
        item=voice.name(outlet.item),
        service=voice.service(outlet.service or _("stock"), outlet.day) if outlet.day else "",
        time=voice.time(outlet.by),
        end=voice.good_to(outlet.by),
        plates=some("{n} more plate", "{n} more plates", outlet.plates),
    )


def where_from(line: UseFirst, voice: Voice) -> str:
    """A batch's code, or that it is still to come out of a pot."""
    if line.source == "batch":
        return line.name
    return _("comes along, {time}").format(time=voice.time(line.there))


def _over(line: UseFirst, voice: Voice) -> str:
    return _("{amount} left over").format(amount=voice.amount(line.prep, line.left_over)) if line.left_over else ""


def use_first(lines: Iterable[UseFirst], voice: Voice, width: int) -> Section:
    """The body of the page of `show use-first`."""
    rows = [
        Row(
            (
                voice.good_to(line.good_until),
                voice.name(line.prep),
                voice.amount(line.prep, line.amount),
                where_from(line, voice),
                _("{amount} left over").format(amount=voice.amount(line.prep, line.left_over))
                if line.left_over
                else "",
            ),
            tuple(outlet_text(outlet, line.prep, voice) for outlet in line.outlets),
        )
        for line in lines
    ]
    said = _("What is made of food that counts days keeps the earlier date. Mind allergies at the staff meal too.")
    empty = _("Nothing has to be used first.")
    caution = ["", *paragraph(said, width, 1)] if rows else []
    return [*section(_("USE FIRST"), table(rows, "<<><<", width), empty, width), *caution]


def objects(lines: Iterable[UseFirst], voice: Voice) -> list[Json]:
    """The same for scripts."""
    shape = Shape(voice)
    return [
        {
            "batch": line.name if line.source == "batch" else None,
            "run": line.name if line.source == "run" else None,
            "line": line.name if line.source == "planned" else None,
            "prep": line.prep,
            "amount": shape.amount(line.prep, line.amount),
            "left_over": shape.amount(line.prep, line.left_over),
            "use_by": shape.at(line.good_until),
            "into": [
                {
                    "kind": outlet.kind,
                    "item": outlet.item or None,
                    "service": outlet.service,
                    "day": shape.day(outlet.day) if outlet.day else None,
                    "amount": shape.amount(line.prep, outlet.amount),
                    "plates": outlet.plates or None,
                    "by": shape.at(outlet.by),
                }
                for outlet in line.outlets
            ],
        }
        for line in lines
    ]
