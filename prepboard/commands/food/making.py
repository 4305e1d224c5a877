"""Runs: they start, go on, end as batches, or are lost; and batches that no recipe knows."""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING

import click

from prepboard.commands.food.readings import degrees_of, read_as_done
from prepboard.commands.given.kitchen import Kitchen
from prepboard.commands.given.options import AT, answer_options, shared_options
from prepboard.commands.given.session import Session, tell_did
from prepboard.paper.text.plain import plain
from prepboard.texts import _, typed

if TYPE_CHECKING:
    from prepboard.book.book import Goods, Prep
    from prepboard.plan.given.state import Run
    from prepboard.plan.shown.lines import MakeLine


@click.command()
@click.argument("prep", nargs=-1, required=True, metavar="PREP [AMOUNT]")
@click.option("--in", "into", metavar="EQUIPMENT", help="It goes into this, where the book says so by or_in.")
@click.option("--instead", multiple=True, metavar="GOODS=OTHER", help="OTHER goes in instead of GOODS.")
@click.option("--sure", is_flag=True, help="What may not be used went in: what comes of it may not be used either.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def start(
    session: Session, prep: tuple[str, ...], into: str | None, instead: tuple[str, ...], sure: bool, at: str | None
) -> None:
    """Starts the most urgent run of a prep.

    Where the plan asks for none it is a run of its own. AMOUNT is what the run shall give, or its size ("1.5 recipes").
    """
    from prepboard.book.otherwise import Otherwise
    from prepboard.commands.given.reading import find_prep, moment, size_of, split
    from prepboard.store.actions.food.making import start as act

    word, words = split(prep)
    with session.kitchen() as kitchen:
        recipe = with_recipe(kitchen, find_prep(kitchen, word))
        line = first_line(kitchen, recipe.id)
        size = size_of(kitchen, recipe, words) if words else line.size if line else one_run(recipe)
        when, how = moment(kitchen, at), Otherwise(_instead(kitchen, instead), _places(kitchen, recipe, into))
        place = line.line if line else None
        tell_did(act(kitchen.file, kitchen.who, recipe.id, size, place, how=how, sure=sure, at=when))


@click.command()
@click.argument("run", nargs=-1, required=True, metavar="RUN|PREP")
@click.option("--sure", is_flag=True, help="What may not be used went in: what comes of it may not be used either.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def step(session: Session, run: tuple[str, ...], sure: bool, at: str | None) -> None:
    """A run goes on to its next step.

    Of a prep it is the oldest run under way.
    """
    from prepboard.commands.given.reading import moment
    from prepboard.store.actions.food.making import step as act

    with session.kitchen() as kitchen:
        when = moment(kitchen, at)
        tell_did(act(kitchen.file, kitchen.who, under_way(kitchen, " ".join(run)).code, sure=sure, at=when))


@click.command()
@click.argument("run", nargs=-1, required=True, metavar="RUN|PREP [AMOUNT] [OUTPUT=AMOUNT ...]")
@click.option("--sure", is_flag=True, help="Yes, far more than planned; or what may not be used went in.")
@click.option("--more", is_flag=True, help="A part is ready; the run goes on.")
@click.option("--onto", metavar="BATCH", default="", help="It tops up this batch; the earliest dates count for all.")
@click.option("--instead", multiple=True, metavar="GOODS=OTHER", help="OTHER was used instead of GOODS.")
@click.option("--off-heat", metavar="TIME", help="When it came off the heat, of food that nobody saw start.")
@click.option("--temp", metavar="DEGREES", default="", help="How warm it is now, of food that cools.")
@click.option("--probe", metavar="NAME", default="", help="The probe that --temp was read with.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def done(
    session: Session,
    run: tuple[str, ...],
    sure: bool,
    more: bool,
    onto: str,
    instead: tuple[str, ...],
    off_heat: str | None,
    temp: str,
    probe: str,
    at: str | None,
) -> None:
    """Ends a run as batches.

    Of a prep it is the oldest run under way, else the first line of the plan. Without AMOUNT it gave what was
    planned. What is made together comes in proportion unless it is given.
    """
    from prepboard.commands.given.reading import find_prep, find_run, moment, split
    from prepboard.store.actions.food.making import How
    from prepboard.store.actions.food.making import done as act

    word, words = split(run)
    with session.kitchen() as kitchen:
        when = moment(kitchen, at)
        if temp:
            degrees_of(kitchen, temp)  # Said before anything is written.
        how = How(onto, more, _instead(kitchen, instead), moment(kitchen, off_heat))
        ends = find_run(kitchen, word)
        if more and not words:
            raise click.UsageError(_("say the AMOUNT that is ready"))
        if ends:
            gave = outputs_of(kitchen, _named_or(kitchen, word, ends), ends.recipe, words)
            did = act(kitchen.file, kitchen.who, run=ends.code, outputs=gave, how=how, sure=sure, at=when)
            tell_did(did)
            read_as_done(kitchen, did.batches, temp, when, probe)
            return
        named = find_prep(kitchen, word)
        line = first_line(kitchen, named.id)
        recipe = kitchen.book.preps[line.prep] if line else with_recipe(kitchen, named)
        gave = outputs_of(kitchen, named.id, recipe, words)
        size = line.size if line else _size_that_gave(recipe, gave)
        place = line.line if line else None
        new = partial(act, kitchen.file, kitchen.who, prep=recipe.id, size=size, line=place)
        did = new(outputs=gave, how=how, sure=sure, at=when)
        tell_did(did)
        read_as_done(kitchen, did.batches, temp, when, probe)


@click.command()
@click.argument("run", nargs=-1, required=True, metavar="RUN|PREP [AMOUNT]")
@click.option("--why", required=True, metavar="TEXT", help="What happened.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def lost(session: Session, run: tuple[str, ...], why: str, at: str | None) -> None:
    """A run is burnt or failed; the plan makes it again.

    It is all of it, or AMOUNT. What it used stays used.
    """
    from prepboard.commands.given.reading import amount_of, moment, split
    from prepboard.store.actions.food.making import lost as act

    word, words = split(run)
    with session.kitchen() as kitchen:
        gone = under_way(kitchen, word)
        amount = amount_of(kitchen, _named_or(kitchen, word, gone), words) if words else None
        tell_did(act(kitchen.file, kitchen.who, gone.code, plain(why), amount, at=moment(kitchen, at)))


@click.command()
@click.argument("name", nargs=-1, required=True, metavar="NAME AMOUNT")
@click.option("--place", metavar="PLACE", help="Where it is kept; its life is the shortest of that place.")
@AT
@answer_options
@shared_options()
@click.pass_obj
def made(session: Session, name: tuple[str, ...], place: str | None, at: str | None) -> None:
    """Keeps a batch that no recipe knows.

    It gets the shortest life of its place, and its allergens are not stated.
    """
    from prepboard.book.amounts import read_amount
    from prepboard.commands.given.reading import find, moment, split
    from prepboard.store.actions.food.making import made as act

    called, words = split(name)
    if not words:
        raise click.UsageError(_("say the AMOUNT with its unit, such as 1.2 kg"))
    with session.kitchen() as kitchen:
        kept = find(place, kitchen.book.places, "place") if place else None
        amount, when = read_amount(typed(" ".join(words))), moment(kitchen, at)
        tell_did(act(kitchen.file, kitchen.who, plain(called), amount, kept, at=when))


def _places(kitchen: Kitchen, recipe: Prep, into: str | None) -> dict[str, str]:
    """What the run stands in instead of what; refused where the book does not say that it may."""
    from prepboard.book.otherwise import places_of
    from prepboard.commands.given.reading import find
    from prepboard.store.file.who import Refused

    if not into:
        return {}
    equipment = find(into, kitchen.book.equipment, "equipment")
    places = places_of(recipe, equipment)
    if not places:
        said = _("{recipe} is not made in {equipment}: the book says by `or_in` where it may be")
        raise Refused(said.format(recipe=plain(recipe.name), equipment=plain(kitchen.book.equipment[equipment].name)))
    return places


def _instead(kitchen: Kitchen, pairs: tuple[str, ...]) -> dict[str, str]:
    """What took the place of what, by id."""
    from prepboard.commands.given.reading import find

    known: dict[str, Prep | Goods] = {**kitchen.book.preps, **kitchen.book.goods}
    found = {}
    for pair in pairs:
        item, equals, other = pair.partition("=")
        if not equals:
            raise click.UsageError(_("write it as GOODS=OTHER, such as butter=margarine"))
        found[find(item, known, "goods")] = find(other, known, "goods")
    return found


def under_way(kitchen: Kitchen, word: str) -> Run:
    """The run under way that a word means; refused when there is none."""
    from prepboard.commands.given.reading import find_run
    from prepboard.store.file.who import Refused

    run = find_run(kitchen, word)
    if run is None:
        raise Refused(_("no run of {word} is under way").format(word=plain(word)))
    return run


def with_recipe(kitchen: Kitchen, prep: Prep) -> Prep:
    """The prep, if it has a recipe of its own; refused with the one that it comes with."""
    from prepboard.paper.lists.recipe import maker
    from prepboard.store.file.who import Refused

    if prep.outputs:
        return prep
    gives = maker(kitchen.book, prep.id)
    if gives:
        said = _("{prep} comes with {maker}; name that instead")
        raise Refused(said.format(prep=plain(prep.name), maker=plain(gives.name)))
    raise Refused(_("no recipe makes {prep}").format(prep=plain(prep.name)))


def first_line(kitchen: Kitchen, prep: str) -> MakeLine | None:
    """The most urgent line of the plan for a prep, else one that gives it along with another."""
    own = (line for line in kitchen.board.make if line.prep == prep)
    along = (line for line in kitchen.board.make if prep in line.outputs)
    return next(own, None) or next(along, None)


def one_run(recipe: Prep) -> Fraction:
    """One recipe, or the nearest size to it that the prep allows."""
    sizes = recipe.sizes
    size = max(Fraction(1), sizes.smallest)
    return size if sizes.largest is None else min(size, sizes.largest)


def outputs_of(kitchen: Kitchen, named: str, recipe: Prep, words: list[str]) -> dict[str, int] | None:
    """What a run gave: the first amount is of the prep that was named, the rest are `OUTPUT=AMOUNT`."""
    from prepboard.commands.given.reading import amount_of, find

    groups: list[tuple[str, list[str]]] = [(named, [])]
    together = {item: kitchen.book.preps[item] for item in recipe.outputs if item in kitchen.book.preps}
    for word in words:
        name, equals, rest = word.partition("=")
        if equals:
            groups.append((find(name, together, _("output of this run")), [rest] if rest else []))
        else:
            groups[-1][1].append(word)
    gave = {item: amount_of(kitchen, item, said) for item, said in groups if said or item != named}
    return gave or None


def _named_or(kitchen: Kitchen, word: str, run: Run) -> str:
    """The prep that a person named; for a run's code the run's own prep."""
    from prepboard.commands.given.reading import find

    return run.recipe.id if word.strip().upper() == run.code else find(word, kitchen.book.preps, "prep")


def _size_that_gave(recipe: Prep, gave: dict[str, int] | None) -> Fraction:
    """The size of a run that nobody planned, from what it gave of its own prep."""
    own = gave.get(recipe.id, 0) if gave else 0
    return Fraction(own, recipe.outputs[recipe.id]) if own else one_run(recipe)
