"""What leaves for another kitchen of the group, and what comes from one."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from prepboard.commands.given.options import AT, answer_options, format_options, shared_options
from prepboard.commands.given.session import Session, tell, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _, typed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from prepboard.book.book import Temperature
    from prepboard.commands.given.kitchen import Kitchen
    from prepboard.plan.given.group import Transfer

_SCALE = re.compile(r"°?\s*[CcFf]")
PROBE = click.option("--probe", metavar="NAME", default="", help="The probe that it was read with.")


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("what", nargs=-1, required=True, metavar="KITCHEN BATCH [AMOUNT] DEGREES")
@click.option("--van", metavar="VAN", default="", help="By which van; else the one that is loaded now.")
@PROBE
@AT
@answer_options
@shared_options()
@click.pass_obj
def dispatch(session: Session, what: tuple[str, ...], van: str, probe: str, at: str | None) -> None:
    """Sends a batch, or some of it, to another kitchen: `dispatch north K7F 1.5 l 3`.

    It is not sent above the limit of its storage, nor when it may not be used. The answer names the note that goes
    with it; delivery-note prints it.
    """
    from prepboard.commands.given.reading import amount_held, find, find_kitchen, moment, need_batch
    from prepboard.store.actions.group.sending import dispatch as act

    if len(what) < 3:
        raise click.UsageError(_("say the KITCHEN, the BATCH and how warm it is"))
    with session.kitchen() as kitchen:
        to, batch = find_kitchen(kitchen, what[0]), need_batch(kitchen, what[1])
        words, degrees = _divided(what[2:])
        amount = amount_held(kitchen, batch.code, batch.prep, words) if words else None
        by = find(van, kitchen.book.vans, _("van")) if van else ""
        temperature = _temperature(kitchen, degrees)
        when = moment(kitchen, at)
        tell_did(
            act(kitchen.file, kitchen.who, to, batch.code, amount, temperature, van=by, probe=plain(probe), at=when)
        )


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("what", nargs=-1, required=True, metavar="NOTE DEGREES")
@click.option("--amount", metavar="AMOUNT", help="How much came, where it is less than the note says.")
@click.option("--refused", metavar="WHY", default="", help="It is not taken in, and why.")
@click.option("--why", default="", help="Why it is taken in after all (sous chef).")
@PROBE
@AT
@answer_options
@shared_options()
@click.pass_obj
def receive(
    session: Session, what: tuple[str, ...], amount: str | None, refused: str, why: str, probe: str, at: str | None
) -> None:
    """Takes in what came with a note, or refuses it above its limit: `receive C-K7F 4`.

    NOTE is the code on the delivery note, or what a scanner reads of its square: then it need not be known here yet.
    """
    from prepboard.commands.given.reading import moment
    from prepboard.plan.given.called import note_called
    from prepboard.store.actions.group.receiving import receive as act
    from prepboard.store.actions.group.receiving import refuse

    with session.kitchen() as kitchen:
        note, rest = note_called(kitchen.state, what[0]), what[1:]
        if refused:
            degrees = _temperature(kitchen, " ".join(rest)) if rest else None
            tell_did(refuse(kitchen.file, kitchen.who, note, plain(refused), degrees))
            return
        if not rest:
            raise click.UsageError(_("say how warm it is"))
        short = _amount_of_note(kitchen, note, amount) if amount else None
        temperature, when = _temperature(kitchen, " ".join(rest)), moment(kitchen, at)
        tell_did(
            act(kitchen.file, kitchen.who, note, temperature, amount=short, probe=plain(probe), why=plain(why), at=when)
        )


@click.command("take-back", context_settings={"ignore_unknown_options": True})
@click.argument("note", metavar="NOTE")
@click.argument("degrees", nargs=-1, metavar="[DEGREES]")
@PROBE
@answer_options
@shared_options()
@click.pass_obj
def take_back(session: Session, note: str, degrees: tuple[str, ...], probe: str) -> None:
    """What left is here again. Half an hour after it left it comes with its temperature."""
    from prepboard.plan.given.called import note_called
    from prepboard.store.actions.group.sending import take_back as act

    with session.kitchen() as kitchen:
        read = _temperature(kitchen, " ".join(degrees)) if degrees else None
        tell_did(act(kitchen.file, kitchen.who, note_called(kitchen.state, note), read, probe=plain(probe)))


@click.command()
@click.argument("note", metavar="NOTE")
@click.option("--why", required=True, help="What became of the difference.")
@answer_options
@shared_options()
@click.pass_obj
def settle(session: Session, note: str, why: str) -> None:
    """Answers for what left and did not come, or came all the same."""
    from prepboard.plan.given.called import note_called
    from prepboard.store.actions.group.sending import settle as act

    with session.kitchen() as kitchen:
        tell_did(act(kitchen.file, kitchen.who, note_called(kitchen.state, note), plain(why)))


@click.command()
@click.argument("what", metavar="BATCH|LOT")
@answer_options
@shared_options()
@click.pass_obj
def acknowledge(session: Session, what: str) -> None:
    """Says that somebody here has looked for what another kitchen holds back: a batch by its code there, or a lot."""
    from prepboard.store.actions.group.holds import acknowledge as act
    from prepboard.store.file.who import Refused

    with session.kitchen() as kitchen:
        wanted = what.strip().upper()
        letters = {one.id: one.letter for one in kitchen.book.kitchens.values()}
        named = [
            one
            for one in kitchen.state.holds
            if wanted in (one.code, f"{letters.get(one.sender, '')}-{one.code}", one.lot.upper(), one.goods.upper())
        ]
        if not named:
            raise Refused(_("no other kitchen holds back {what}").format(what=plain(what)))
        tell_did(act(kitchen.file, kitchen.who, named[-1].id))


@click.command("delivery-note")
@click.argument("what", nargs=-1, metavar="[KITCHEN|NOTE]...")
@click.option("--html", is_flag=True, help="A page to print, with a square to scan beside each box.")
@format_options
@shared_options()
@click.pass_obj
def delivery_note(session: Session, what: tuple[str, ...], html: bool, as_json: bool, as_csv: bool) -> None:
    """Prints the note that goes with what left: of these notes, or of all that a kitchen is sent by the next van."""
    from prepboard.commands.given.printing import voice_of, width
    from prepboard.paper.records import delivery_note as paper
    from prepboard.store.file.who import Refused
    from prepboard.store.group.delivery_notes import notes_of

    if as_csv:
        raise click.UsageError(_("a delivery note is text, --html or --json"))
    with session.kitchen() as kitchen:
        voice = voice_of(kitchen)
        chosen = _chosen(kitchen, what)
        notes = notes_of(kitchen.file, [one.note for one in chosen])
        if not notes:
            raise Refused(_("nothing has left for there"))
        if as_json:
            import json

            tell(json.dumps({"kitchen": kitchen.book.kitchen.name, "notes": paper.objects(notes)}, ensure_ascii=False))
            return
        pages = []
        for receiver in dict.fromkeys(one.receiver for one in notes):
            own = [one for one in notes if one.receiver == receiver]
            trip = _trip_of(kitchen, next(one for one in chosen if one.receiver == receiver))
            language = kitchen.book.kitchen.language
            shown = paper.as_page(own, voice, trip, language) if html else paper.as_text(own, voice, trip, width())
            pages.append(shown)
        tell("\n\n".join(pages))


def _chosen(kitchen: Kitchen, what: Sequence[str]) -> list[Transfer]:
    """The notes that are named, or those of the next van to the kitchens that are named; else all of the next vans."""
    from prepboard.commands.given.reading import find_kitchen
    from prepboard.plan.given.called import note_called
    from prepboard.plan.leftovers.vans import loads

    notes = [one for one in kitchen.state.transfers if not one.back_at]
    named = {note_called(kitchen.state, word) for word in what}
    if found := [one for one in notes if one.note in named]:
        return found
    to = {find_kitchen(kitchen, word) for word in what}
    ahead = [one for load in loads(kitchen.state, kitchen.now) for line in load.lines for one in line.notes]
    return [one for one in ahead if not to or one.receiver in to]


def _trip_of(kitchen: Kitchen, one: Transfer):  # type: ignore[no-untyped-def]  # its type is the book's, loaded when called
    from prepboard.book.vans import trip_on

    van = kitchen.book.vans.get(one.van)
    return trip_on(kitchen.book, van, one.day) if van and one.day else None


def _divided(words: Sequence[str]) -> tuple[list[str], str]:
    """The amount, and the degrees behind it: "1.5 l 3", "1.5 l 39 F"."""
    count = 2 if len(words) > 1 and _SCALE.fullmatch(words[-1]) else 1
    return list(words[:-count]), " ".join(words[-count:])


def _temperature(kitchen: Kitchen, text: str) -> Temperature:
    from prepboard.book.book import Temperature
    from prepboard.commands.food.readings import degrees_of

    return Temperature(*degrees_of(kitchen, text))


def _amount_of_note(kitchen: Kitchen, note: str, text: str) -> int:
    """How much came, in the unit of the prep, or in that of the note where the book does not know it."""
    from prepboard.book.amounts import UNITS, AmountFault, Measure, read_amount
    from prepboard.commands.given.reading import amount_of
    from prepboard.store.file.who import Refused
    from prepboard.store.read.delivery_note import is_written, read_note

    try:
        if is_written(note):
            sent = read_note(note)
            prep, unit = sent.prep, sent.unit
        else:
            known = next((one for one in kitchen.state.transfers if one.note == note), None)
            prep, unit = (known.prep, known.unit) if known else ("", "each")
        if prep in kitchen.book.preps:
            return amount_of(kitchen, prep, text.split())
        return Measure(UNITS[unit].kind, unit).millionths(read_amount(typed(text)))
    except (AmountFault, ValueError) as fault:
        raise Refused(str(fault)) from None
