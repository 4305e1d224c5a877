"""Temperatures: what was measured, and the code's corrective action once a limit was missed."""

from __future__ import annotations

import re
from functools import partial
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.options import AT, answer_options, shared_options, sous_only
from prepboard.commands.given.session import Session, tell, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _, typed

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime
    from fractions import Fraction

    from prepboard.book.safety.temperatures import Kind, Unit
    from prepboard.commands.given.kitchen import Kitchen
    from prepboard.store.actions.food.probes import Water

_DEGREES = re.compile(r"[-+−]?\d[\d.]*\s*°?\s*[CcFf]?\Z")


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("what", nargs=-1, required=True, metavar="BATCH|RUN|PLACE|GOODS DEGREES")
@click.option("--reheat", is_flag=True, help="Reached while a batch is heated for hot holding.")
@click.option("--most-exposed", is_flag=True, help="The warmest in its place: it speaks for all there.")
@click.option("--record", metavar="TEXT", default="", help="What a late reading is typed from (sous chef).")
@click.option("--probe", metavar="NAME", default="", help="The probe that it was read with.")
@click.option("--sure", is_flag=True, help="Yes, as hot as that.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def temp(
    session: Session,
    what: tuple[str, ...],
    reheat: bool,
    most_exposed: bool,
    record: str,
    probe: str,
    sure: bool,
    at: str | None,
) -> None:
    """Writes a temperature down, in C or F.

    A bare number is in C, in a kitchen with US units in F: `temp K7F 21`, `temp walk-in 39F`, `temp freezer -18 C`.
    """
    from prepboard.commands.given.reading import moment
    from prepboard.store.actions.food.readings import read

    word, text = _divided(what)
    with session.kitchen() as kitchen:
        kind, of = _found(kitchen, word)
        if reheat and kind != "batch":
            raise click.UsageError(_("only a batch is reheated"))
        degrees, unit = degrees_of(kitchen, text)
        moment_ = moment(kitchen, at)
        take = partial(read, kitchen.file, kitchen.who, kind, of, degrees, unit, reheat=reheat, at=moment_)
        tell_did(take(record=record, probe=plain(probe), most_exposed=most_exposed, sure=sure))
        _tell_watch(kitchen, of)


@click.command()
@click.argument("name", nargs=-1, required=True, metavar="NAME")
@click.option("--ice", metavar="DEGREES", help="What it read in ice water.")
@click.option("--boiling", metavar="DEGREES", help="What it read in boiling water.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def probe(session: Session, name: tuple[str, ...], ice: str | None, boiling: str | None, at: str | None) -> None:
    """Writes down what a probe read in ice water or in boiling water.

    Out of tolerance it says which readings since its last good check it touches: `probe Blue --ice 0.4`.
    """
    from prepboard.commands.given.reading import moment
    from prepboard.store.actions.food.probes import check_probe

    if (ice is None) == (boiling is None):
        raise click.UsageError(_("say what it read: --ice DEGREES or --boiling DEGREES"))
    with session.kitchen() as kitchen:
        degrees, unit = degrees_of(kitchen, ice if ice is not None else boiling or "")
        water: Water = "boiling" if ice is None else "ice"
        named = plain(" ".join(name))
        tell_did(check_probe(kitchen.file, kitchen.who, named, water, degrees, unit, at=moment(kitchen, at)))


@sous_only
@click.command()
@click.argument("batch", metavar="BATCH")
@click.option("--how", required=True, help="What was done, such as: reheated to 75 C, cooled again on ice.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def corrected(session: Session, batch: str, how: str, at: str | None) -> None:
    """Says that the code's corrective action was done on a batch that missed a limit."""
    from prepboard.commands.given.reading import moment
    from prepboard.store.actions.food.readings import corrected as act

    with session.kitchen() as kitchen:
        tell_did(act(kitchen.file, kitchen.who, batch.strip().upper(), plain(how).strip(), at=moment(kitchen, at)))


def read_as_done(kitchen: Kitchen, batches: Sequence[str], degrees: str, at: datetime | None, probe: str = "") -> None:
    """Of food that was marked done and cools: its reading as it was typed, else the limit that it is to be read for."""
    from prepboard.plan.probes.unread import asks_for_reading
    from prepboard.store.actions.food.readings import read

    state = kitchen.file.read()
    prep_of = {batch.code: batch.prep for batch in state.batches}
    cooling = [code for code in batches if asks_for_reading(kitchen.book, prep_of.get(code, ""))]
    for code in batches[:1] if degrees else ():
        of = degrees_of(kitchen, degrees)
        tell_did(read(kitchen.file, kitchen.who, "batch", code, *of, probe=plain(probe), at=at))
    for code in cooling:
        _tell_watch(kitchen, code)
        if not degrees:
            tell(_("How warm is it? `temp {batch} DEGREES` keeps it").format(batch=code))


def _divided(words: tuple[str, ...]) -> tuple[str, str]:
    """What was read, of one word or several, and the degrees at the end."""
    for taken in (1, 2):
        text = " ".join(words[-taken:])
        if len(words) > taken and _DEGREES.match(text):
            return " ".join(words[:-taken]), text
    raise click.UsageError(_("say what was read and the DEGREES, such as: walk-in 4 C"))


def degrees_of(kitchen: Kitchen, text: str) -> tuple[Fraction, Unit]:
    """Degrees as they were typed; a bare number is in the kitchen's unit."""
    from prepboard.book.safety.temperatures import read_degrees
    from prepboard.store.file.who import Refused

    try:
        return read_degrees(typed(text), "F" if kitchen.book.kitchen.units == "us" else "C")
    except ValueError:
        raise Refused(_("'{text}' is no temperature; write it like 63 C or 145 F").format(text=plain(text))) from None


def _found(kitchen: Kitchen, word: str) -> tuple[Kind, str]:
    """What a word names: a batch or a run by its code, else a place, else a good."""
    from prepboard.commands.given.reading import Named, find, find_batch

    code = word.strip().upper()
    if batch := find_batch(kitchen, word):
        return "batch", batch.code
    if any(run.code == code for run in kitchen.state.runs):
        return "run", code
    named: dict[str, Named] = {**kitchen.book.goods, **kitchen.book.places}
    found = find(word, named, _("batch, run, place or good"))
    return ("place" if found in kitchen.book.places else "goods"), found


def _tell_watch(kitchen: Kitchen, of: str) -> None:
    """What the readings say of it now: how it cools, and what is in a place that is out of range."""
    from prepboard.paper.sentences.temperatures import about
    from prepboard.paper.text.saying import Voice
    from prepboard.plan.probes.watching import watch

    state = kitchen.file.read()
    voice = Voice(state.book, kitchen.now, state.clock_set_by_hand)
    for text in about(of, watch(state, kitchen.now), state, voice):
        tell(text)
