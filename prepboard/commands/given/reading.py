"""Reads what people type: names, codes, amounts, moments and days. What cannot be read is refused in one line."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Protocol

from prepboard.book.amounts import UNITS, AmountFault, Measure, read_amount, read_number
from prepboard.book.names import every
from prepboard.book.saying import nearest
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, is_known
from prepboard.plan.given.called import batch_called
from prepboard.store.file.who import Refused
from prepboard.texts import _, typed

if TYPE_CHECKING:
    from prepboard.book.book import Prep
    from prepboard.commands.given.kitchen import Kitchen
    from prepboard.plan.given.state import Batch, Run

_BEGINS_A_NUMBER = re.compile(r"[-+]?[.]?[\d½⅓⅔¼¾⅛⅜⅝⅞]")


_A_CLOCK = re.compile(r"\d?\d:\d\d")
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


class Named(Protocol):
    @property
    def name(self) -> str: ...

    @property
    def called(self) -> str: ...


def find(word: str, known: Mapping[str, Named], kind: str) -> str:
    """The id that a word means: the id or the name, in any case and any language of the book, or what only one of them
    begins with.

    Where nothing begins with it, one that has a word beginning with it: "jus" is "Lamb jus".
    """
    if word in known:
        return word
    wanted = _key(word)
    keys = {own: (_key(own), *map(_key, every(named.called))) for own, named in known.items()}
    fits: tuple[Callable[[str], bool], ...] = (
        lambda key: key == wanted,
        lambda key: key.startswith(wanted),
        lambda key: f" {wanted}" in key,
    )
    for fit in fits:
        meant = [own for own, own_keys in keys.items() if wanted and any(map(fit, own_keys))]
        if len(meant) == 1:
            return meant[0]
        if meant:
            names = ", ".join(plain(known[own].name) for own in meant[:5])
            raise Refused(_("'{word}' can mean {names}; type more letters").format(word=plain(word), names=names))
    raise Refused(_unknown(word, [*(name for named in known.values() for name in every(named.called)), *known], kind))


def _unknown(word: str, words: Iterable[str], kind: str) -> str:
    near = nearest(word, words)
    said = _("no {kind} is called '{word}'").format(kind=_(kind), word=plain(word))
    return _("{said}; did you mean '{near}'?").format(said=said, near=plain(near)) if near else said


def _key(word: str) -> str:
    return " ".join(plain(word).replace("-", " ").replace("_", " ").casefold().split())


def find_prep(kitchen: Kitchen, word: str) -> Prep:
    return kitchen.book.preps[find(word, kitchen.book.preps, "prep")]


def find_run(kitchen: Kitchen, word: str) -> Run | None:
    """The run under way that has this code, else the oldest of this prep; None when there is none."""
    code = word.strip().upper()
    for run in kitchen.state.runs:
        if run.code == code:
            return run
    prep = find(word, kitchen.book.preps, _("run under way or prep"))
    own = [run for run in kitchen.state.runs if run.recipe.id == prep]
    gives = [run for run in kitchen.state.runs if prep in run.outputs]
    return min(own or gives, key=lambda run: run.started, default=None)


def find_batch(kitchen: Kitchen, word: str) -> Batch | None:
    """The batch with something left that has this code."""
    return batch_called(kitchen.state, word)


def find_kitchen(kitchen: Kitchen, word: str) -> str:
    """A kitchen of the group by its id, its name or its letter."""
    letters = {one.letter: one.id for one in kitchen.book.kitchens.values()}
    return letters.get(word.strip().upper()) or find(word, kitchen.book.kitchens, _("kitchen"))


def need_batch(kitchen: Kitchen, word: str) -> Batch:
    """The batch that has this code; refused when there is none with something left."""
    batch = find_batch(kitchen, word)
    if batch is None:
        codes = [known.code for known in kitchen.state.batches]
        raise Refused(_unknown(word, codes, _("batch with anything left")))
    return batch


def find_held(kitchen: Kitchen, word: str, *, goods: bool = False) -> tuple[str, str]:
    """What a word names of what is held: (batch code, prep, or goods if they are wanted; what its amounts are of)."""
    batch = find_batch(kitchen, word)
    if batch:
        return batch.code, batch.prep
    if goods:
        item = find(word, {**kitchen.book.preps, **kitchen.book.goods}, _("batch, prep or goods"))
    else:
        item = find(word, kitchen.book.preps, _("batch or prep"))
    return item, item


def amount_held(kitchen: Kitchen, target: str, item: str, words: Sequence[str]) -> int:
    """An amount of what `find_held` found, in millionths; packs, and what no recipe knows, in the batch's own unit."""
    batch = find_batch(kitchen, target)
    if batch is None or (not batch.pack and is_known(kitchen.book, item)):
        return amount_of(kitchen, item, words)
    try:
        return Measure(UNITS[batch.unit].kind, batch.unit).millionths(read_amount(typed(" ".join(words))))
    except AmountFault as fault:
        raise Refused(_("{name}: {why}").format(name=plain(batch.name or item), why=fault)) from None


def split(words: Sequence[str]) -> tuple[str, list[str]]:
    """A name of one or several words, and what follows from the first number or `OUTPUT=AMOUNT` on."""
    end = 1
    while end < len(words) and not _BEGINS_A_NUMBER.match(words[end]) and "=" not in words[end]:
        end += 1
    return " ".join(words[:end]), list(words[end:])


def amounts_in(words: Sequence[str]) -> list[list[str]]:
    """Several amounts one after the other, as words: each begins with a number."""
    found: list[list[str]] = []
    for word in words:
        if found and not _BEGINS_A_NUMBER.match(word):
            found[-1].append(word)
        else:
            found.append([word])
    return found


def amount_of(kitchen: Kitchen, item: str, words: Sequence[str]) -> int:
    """An amount of an item in millionths; a bare number is in the item's own unit."""
    try:
        return kitchen.book.measure(item).millionths(read_amount(typed(" ".join(words))))
    except AmountFault as fault:
        name = Voice(kitchen.book, kitchen.now).name(item)
        raise Refused(_("{name}: {why}").format(name=name, why=fault)) from None
    except KeyError:
        raise Refused(_("'{item}' is not in the book any more").format(item=plain(item))) from None


def size_of(kitchen: Kitchen, recipe: Prep, words: Sequence[str]) -> Fraction:
    """A run's size in recipes from an amount of the prep, or from "1½ recipes"."""
    text = " ".join(words)
    try:
        number, unit = read_number(text)
    except AmountFault as fault:
        raise Refused(str(fault)) from None
    size = number if unit.casefold() in ("recipe", "recipes") else _in_recipes(kitchen, recipe, words)
    if size <= 0:
        raise Refused(_("'{text}' is no size of a run").format(text=plain(text)))
    return size


def _in_recipes(kitchen: Kitchen, recipe: Prep, words: Sequence[str]) -> Fraction:
    return Fraction(amount_of(kitchen, recipe.id, words), recipe.outputs[recipe.id])


def share(text: str) -> Fraction:
    """A share of the guests: "0.25", "1/4", "25 %"."""
    try:
        number, unit = read_number(text)
    except AmountFault as fault:
        raise Refused(str(fault)) from None
    if unit not in ("", "%") or number < 0:
        raise Refused(_("'{text}' is no share; write it like 0.25 or 25 %").format(text=plain(text)))
    return number / 100 if unit == "%" else number


def moment(kitchen: Kitchen, text: str | None) -> datetime | None:
    """A moment that has been: "14:10" of this business day, or ISO 8601, without an offset the kitchen's time."""
    if text is None:
        return None
    at = _instant(kitchen, text)
    if at > kitchen.now:
        raise Refused(_("{text} is still ahead; only what has been can be written down").format(text=plain(text)))
    return at


def moment_ahead(kitchen: Kitchen, text: str | None) -> datetime | None:
    """A moment still to come, written like one that has been."""
    if text is None:
        return None
    at = _instant(kitchen, text)
    if at <= kitchen.now:
        raise Refused(_("{text} is over; say a time still to come").format(text=plain(text)))
    return at


YEARS = range(2000, 2101)
"""What a kitchen's days and clocks may say: what lies outside is a slip or a machine without a battery."""


def _instant(kitchen: Kitchen, text: str) -> datetime:
    days = kitchen.book.kitchen.days
    try:
        if _A_CLOCK.fullmatch(text):
            return days.in_day(days.business_day(kitchen.now), wall_clock(text))
        read = datetime.fromisoformat(text)
        _check_year(text, read.year)
        return (read if read.tzinfo else read.replace(tzinfo=days.zone)).astimezone(kitchen.now.tzinfo)
    except (ValueError, OverflowError):
        said = _("'{text}' is no time; write it like 14:10 or 2026-10-31T14:10")
        raise Refused(said.format(text=plain(text))) from None


def wall_clock(text: str) -> time:
    """A time on the wall clock: "17:30"."""
    try:
        if _A_CLOCK.fullmatch(text):
            return datetime.strptime(text, "%H:%M").time()  # noqa: DTZ007
    except ValueError:
        pass
    raise Refused(_("'{text}' is no time; write it like 17:30").format(text=plain(text)))


def day(kitchen: Kitchen, text: str) -> date:
    """A business day: "2026-10-31", "today", "tomorrow" or "yesterday", in English or in the reader's language."""
    today = kitchen.book.kitchen.days.business_day(kitchen.now)
    said = {_("yesterday"): -1, _("today"): 0, _("tomorrow"): 1, "yesterday": -1, "today": 0, "tomorrow": 1}
    near = said.get(text.casefold())
    if near is not None:
        return today + timedelta(days=near)
    try:
        found = date.fromisoformat(text)
    except ValueError:
        raise Refused(_("'{text}' is no day; write it like 2026-10-31").format(text=plain(text))) from None
    _check_year(text, found.year)
    return found


def _check_year(text: str, year: int) -> None:
    if year not in YEARS:
        said = _("{text} is no day of this kitchen; days are from {first} to {last}")
        raise Refused(said.format(text=plain(text), first=YEARS[0], last=YEARS[-1]))


def weekdays(text: str) -> frozenset[int]:
    """Weekdays, Monday 0: "fri", "fri,sat"."""
    words = [word.strip().casefold() for word in text.split(",")]
    for word in words:
        if word not in _WEEKDAYS:
            raise Refused(_("'{text}' is no weekday; write it like fri or fri,sat").format(text=plain(word)))
    return frozenset(map(_WEEKDAYS.index, words))
