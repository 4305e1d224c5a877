"""Keys as keyboards really send them: held, several in one packet, before the question stands, with caps lock on."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from boards.at_a_station import ALL, ANOTHER, JUS, Desk
from textual import events
from textual.app import App
from textual.widgets import Input

from prepboard.boards.acts import runs
from prepboard.boards.questions.when import AskWhen
from prepboard.boards.questions.which import AskWhich
from prepboard.boards.widgets import line_list, presses
from prepboard.boards.widgets.presses import Presses
from prepboard.plan.given.state import Line
from prepboard.store.actions.food.making import start, step
from prepboard.store.kitchen_file import KitchenFile

REPEATS = 30
"""A second, as keyboards do."""


@pytest.fixture(autouse=True)
def real_hands(quick_hands: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(presses, "HELD", 0.08)
    monkeypatch.setattr(presses, "PACKET", 0.005)
    monkeypatch.setattr(line_list, "SLID", 1.0)


def key(name: str, at: float = 0.0) -> events.Key:
    pressed = events.Key(name, name if len(name) == 1 else None)
    pressed.time = at
    return pressed


async def send(it: Desk, *keys: events.Key) -> None:
    """All at once, as a packet brings them; returns when all were seen to."""
    for pressed in keys:
        it.app.post_message(pressed)
    await it.pilot.pause()
    await it.until(it.pilot, lambda: not it.app._keys and not it.app._on_its_way and not it.app.presses.undecided)


class Slow(App[None]):
    """Answers each key after a while."""

    answered = 0

    async def on_key(self) -> None:
        await asyncio.sleep(0.2)
        self.answered += 1


async def test_tests_go_on_when_a_press_is_answered_however_long_that_takes():
    async with Slow().run_test() as pilot:
        await pilot.press("a")
        assert pilot.app.answered == 1


def judged(judge: Presses, *at: float) -> list[str]:
    return [judge.judge("s", "s", typing=False, at=moment) for moment in at]


def test_a_held_key_is_one_press_until_it_is_let_go():
    """Also where the keyboard begins to repeat half a second after the press: that one waits for what follows."""
    judge = Presses()
    held = [10 + n / REPEATS for n in range(60)]
    assert judged(judge, *held) == ["now"] + ["no"] * 59
    assert judged(judge, 20.0, 20.5, 20.533) == ["now", "wait", "no"]
    assert not judge.stands_alone("s", 20.5)
    assert judged(judge, 30.0, 30.3) == ["now", "wait"]
    assert judge.stands_alone("s", 30.3)
    assert judged(judge, 31.5) == ["now"]


@pytest.mark.parametrize("sign", ["8", "K", "down"])
def test_digits_capitals_and_what_only_moves_may_come_as_fast_as_they_like(sign):
    judge = Presses()
    assert [judge.judge(sign, sign, typing=False, at=n / 1000) for n in range(3)] == ["now"] * 3
    assert [judge.judge("e", "e", typing=True, at=n / 1000) for n in range(3)] == ["now"] * 3


def test_a_digit_that_does_something_by_itself_is_held_like_any_key():
    judge = Presses()
    assert [judge.judge("5", "5", typing=False, at=n / REPEATS, acts=True) for n in range(3)] == ["now", "no", "no"]


async def test_keys_that_come_before_the_question_stands_belong_to_it(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.go_to("to-make", JUS)
        await send(it, key("d", 1.0), key("1", 1.0), key("5", 1.0), key("0", 1.0), key("0", 1.0))
        assert it.app.screen.query_one(Input).value == "1500"


def packet(text: str) -> list[events.Key]:
    """A text as a terminal sends it that says nothing of pasting: plain keys, all in one packet."""
    names = {"\n": "enter", " ": "space", "-": "minus"}
    keys = [events.Key(names.get(sign, sign), None if sign == "\n" else sign) for sign in text]
    for number, each in enumerate(keys):
        each.time = 1.0 + number / 10_000
    return keys


@pytest.mark.parametrize("text", ["jus", "Sous\nus", "\nsd\nyy\n", "s2 us", "su" * 40])
async def test_pasted_text_presses_no_key_of_a_board(
    desk: Callable[..., Any], file: KitchenFile, text: str
) -> None:  # fmt: skip
    async with desk() as it:
        await it.go_to("to-make", JUS)
        await send(it, *packet(text))
        await it.answered("as pasted text does")
        assert it.app.screen is it.board
        assert file.read().runs == ()


async def test_pasted_text_arrives_whole_where_something_is_typed_and_no_line_of_it_is_a_press(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    async with desk() as it:
        await it.choose("n")
        await send(it, *packet("no parsley\nus 2 jus\nsud"))
        assert it.app.screen.query_one(Input).value == "no parsley us 2 jus sud"
        await send(it, *[events.Key("escape", None)])
        assert file.read().runs == ()


async def test_what_is_left_of_a_pasted_text_behind_what_is_typed_presses_nothing(
    desk: Callable[..., Any], file: KitchenFile
) -> None:
    """The Enter at its end is taken as a hand's, and asks who it is for; what comes behind, in the next packet, takes
    no answer."""
    async with desk() as it:
        await it.choose("n")
        first, rest = packet("no parsley\n"), packet("\n")
        rest[0].time = first[-1].time + 0.02
        await send(it, *first)
        await it.until(it.pilot, lambda: isinstance(it.app.screen, AskWhich))
        await send(it, *rest)
        await it.answered("as pasted text does")
        assert isinstance(it.app.screen, AskWhich)
        assert file.read().notes == ()


async def test_keys_that_waited_in_vain_for_a_question_act_nowhere_else(
    desk: Callable[..., Any], file: KitchenFile, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Something between the key and its question takes long: what was typed into it presses no key of the board."""
    monkeypatch.setattr(presses, "GIVEN_UP", 0.05)
    late = asyncio.Event()

    async def asks_late(*_given: Any) -> None:
        await late.wait()

    monkeypatch.setattr(runs, "done", asks_late)
    async with desk() as it:
        await it.go_to("to-make", JUS)
        await send(it, key("d", 1.0), key("s", 2.0), key("s", 4.0))
        await it.answered("what you typed meanwhile was not taken")
        late.set()
        assert file.read().runs == ()


async def test_a_burst_of_keys_ends_no_board(desk: Callable[..., Any]) -> None:
    """`b` and Enter in one packet: Enter came before there was anything to take."""
    async with desk() as it:
        await it.go_to("to-make", JUS)
        await send(it, key("b", 1.0), key("enter", 1.0))
        assert isinstance(it.app.screen, AskWhen)


async def test_a_row_that_slid_under_the_cursor_is_not_acted_on(
    desk: Callable[..., Any], another: KitchenFile, file: KitchenFile, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(line_list, "SLID", 60.0)  # However slow the machine, the press below comes in time.
    async with desk() as it:
        await it.go_to("to-make", JUS)
        prep = next(line for line in it.board.board.make if line.prep == "jus")
        assert isinstance(prep.line, Line)
        start(another, ANOTHER, "jus", prep.size, prep.line)
        await it.shows("to-make", ALL[1:])
        await it.answered("no longer in this list")
        await it.press("s")
        assert it.answer == "The list moved: press again."
        assert [run.recipe.id for run in file.read().runs] == ["jus"]
        await asyncio.sleep(presses.HELD)  # The key is let go.
        await it.press("down", "up")
        await it.press("s")
        await it.until(it.pilot, lambda: len(file.read().runs) == 2)


@pytest.mark.parametrize("opened", [False, True])
async def test_a_run_that_somebody_else_just_took_a_step_on_is_not_taken_another(
    desk: Callable[..., Any], another: KitchenFile, file: KitchenFile, monkeypatch: pytest.MonkeyPatch, opened: bool
) -> None:
    """Two cooks at one simmer each press once: the second hand was on its way before the board had the first."""
    monkeypatch.setattr(line_list, "SLID", 60.0)
    run = start(another, ANOTHER, "jus", Fraction(1)).run
    async with desk(shows=ALL[1:]) as it:
        it.board.list_of("under-way").focus()
        it.board.list_of("under-way").move_to(0)
        if opened:
            await it.choose("enter")
        step(another, ANOTHER, run)
        await it.until(it.pilot, lambda: it.board.board.under_way[0].step == 1)
        await it.press("s")
        await it.answered("This line just changed: press again.")
        assert [one.step for one in file.read().runs] == [1]


async def test_the_third_start_in_a_second_is_asked_about(desk: Callable[..., Any], file: KitchenFile) -> None:
    async with desk() as it:
        it.board.desk._ticks = lambda: 100.0  # All of it within a second, however slow the machine.
        for name in ALL[:3]:
            await it.go_to("to-make", name)
            await send(it, key("s", 1.0 + ALL.index(name) * 0.8))
        assert [run.recipe.id for run in file.read().runs] == ["jus", "oil"]
        await it.choose("y")
        await it.until(it.pilot, lambda: len(file.read().runs) == 3)


async def test_caps_lock_is_said(desk: Callable[..., Any]) -> None:
    async with desk() as it:
        await it.press("S")
        await it.answered("Is caps lock on?")
