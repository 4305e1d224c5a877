"""Horizon: how far the plan looks."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from fractions import Fraction

from prepboard.book.book import Book, Prep
from prepboard.book.days import ONE_DAY
from prepboard.plan.given.state import State
from prepboard.plan.memory import memory_of


def horizon(state: State, now: datetime) -> datetime:
    """How far the plan looks: `plan_ahead`, or the longest chain of the book and a day if that is longer."""
    ahead = timedelta(minutes=state.book.kitchen.plan_ahead)
    return now + max(ahead, longest_chain(state.book) + ONE_DAY)


def longest_chain(book: Book) -> timedelta:
    """The longest chain of least times from the first ingredient to a plate, at full recipes, what thaws included."""
    return memory_of(book).once("longest chain", lambda: _longest_chain(book))


def _longest_chain(book: Book) -> timedelta:
    minutes = {goods.id: goods.thaw for goods in book.goods.values() if goods.store == "frozen"}
    for group in reversed(book.together):
        for prep in group:
            recipes = [book.preps[maker] for maker in book.preps[prep].made_by]
            made = max((_least(recipe, minutes) for recipe in recipes), default=0)
            minutes[prep] = made + book.preps[prep].thaw
    return timedelta(minutes=max(minutes.values(), default=0))


def _least(recipe: Prep, known: Mapping[str, int]) -> int:
    own = sum(step.hands_minutes(Fraction(1)) + step.wait for step in recipe.steps)
    return own + max((known.get(use.item, 0) for use in recipe.uses), default=0)
