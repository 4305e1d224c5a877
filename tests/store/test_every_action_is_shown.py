"""Every action either carries what the screen showed of the thing it acts on, and refuses where that moved, or stands
here with the reason why there is nothing to move."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from datetime import time
from fractions import Fraction
from pathlib import Path

import pytest

import prepboard.boards
import prepboard.store.actions
from prepboard.book.book import Temperature
from prepboard.plan.given.numbers import Change, Number
from prepboard.plan.given.state import Sitting, Tonight
from prepboard.store.actions import handover
from prepboard.store.actions.food import holding, making, places, readings, stock
from prepboard.store.actions.food.several import Ended, done_together
from prepboard.store.actions.group import sending
from prepboard.store.actions.night import courses, dishes, service, services, timers
from prepboard.store.actions.night.numbers import save
from prepboard.store.actions.night.tonight import covers
from prepboard.store.actions.undoing import last, undo
from prepboard.store.file.who import Did, Refused
from prepboard.store.food.running import Shown

Press = Callable[[], Did]
LITRE = 1000 * 1_000_000
COLD = Temperature(Fraction(4), "C")

NOTHING_TO_MOVE = {
    "adds something new": {
        "unknown.made", "opened.open_goods", "timers.set_timer", "handover.note", "shelf.deliver",
        "past_plates.record_past", "first_stock.put_on_shelf", "services.add_service", "orders.order",
    },
    "says what somebody measured, counted or saw, whatever the screen showed": {
        "readings.read", "shelf.count_goods", "service.plate", "loading.set_clock",
        "receiving.receive", "receiving.refuse",
    },
    "tells what another kitchen said; nobody presses it": {
        "hearing.hear_sent", "hearing.hear_back", "hearing.hear_got", "hearing.hear_hold", "hearing.hear_lifted",
        "hearing.hear_order", "hearing.hear_answer", "hearing.hear_seen", "hearing.hear_settled",
        "hearing_own.hear_got_of_lost", "hearing_own._was_lost", "books.hear_book", "books.take_books_due",
        "hearing_own.hear_own_sent", "hearing_own.hear_own_taken_back", "hearing_own.hear_own_got",
        "hearing_own_hold.hear_own_hold", "hearing_lost._lost", "hearing_lost.hear_lost_sent",
        "hearing_lost.hear_lost_back", "hearing_lost.hear_lost_got", "hearing_lost.hear_lost_settled",
        "hearing_lost._row", "hearing_own.restored_since",
    },
    "names the line, the task or the sitting with its day, and refuses by itself once somebody did it": {
        "making.start", "handover.task", "handover.sign", "services.hold", "history.special",
        "holding.count_on", "sending.take_back", "sending.settle", "orders.answer_order", "holds.acknowledge",
    },
    "is the same done twice": {"history.reset"},
    "is a command, whose words say all of it; no board does it": {
        "joining.join",
        "holding.correct", "holding.keep_for", "places.split", "services.cancel",
        "services.end_service", "today.hands", "today.equip", "today.give", "today.stay",
        "today.missing",
        "today.arrived", "tonight.covers", "tonight.mix", "tonight.count_for", "tonight.par", "tonight.standing",
        "tonight.adjust", "probes.check_probe", "pins.set_pin", "pins.forget_pin",
        "withdrawing.withdraw", "withdrawing.lot_of", "loading.load_book", "loading.load_texts",
    },
    "keeps what a plan worked out; nobody presses it": {
        "history.keep_learned", "history.keep_run_outs", "placements.keep_shorts", "placements.end_shorts",
        "placements.keep_placements",
    },
    "asks and changes nothing": {
        "numbers.last_set", "undoing.last", "pins.has_pin", "pins.prove",
        "past_plates.counted", "loading.what_would_go",
        "loading.what_is_shortened",
    },
}  # fmt: skip


def actions() -> Iterator[str]:
    """All functions of the store's actions that are given the file first: "stock.count"."""
    for module in pkgutil.walk_packages(prepboard.store.actions.__path__, "prepboard.store.actions."):
        inside = importlib.import_module(module.name)
        for name, found in inspect.getmembers(inside, inspect.isfunction):
            given = next(iter(inspect.signature(found, follow_wrapped=False).parameters), "")
            if found.__module__ == inside.__name__ and given == "file":
                yield f"{module.name.rpartition('.')[2]}.{name}"


# --- what moved between the look and the press -----------------------------------------------------------


def a_batch(kitchen):
    (code,) = making.done(kitchen.file, kitchen.lm, prep="brown-stock").batches
    return kitchen.batch(code)


def less_of_it(kitchen, act: Callable[..., Did], *more: object, several: bool = False) -> Press:
    """A batch of which somebody else used some, and what is pressed about all of it."""
    seen = a_batch(kitchen)
    stock.use(kitchen.file, kitchen.lm, seen.code, LITRE, "staff")
    what, shown = ([seen.code], [seen]) if several else (seen.code, seen)
    return lambda: act(kitchen.file, kitchen.jp, what, *more, shown=shown)


def held_back(kitchen, act: Callable[..., Did], *more: object) -> Press:
    """A batch that somebody held back."""
    seen = a_batch(kitchen)
    holding.block(kitchen.file, kitchen.lm, seen.code, "glass in it")
    return lambda: act(kitchen.file, kitchen.jp, seen.code, *more, shown=seen)


def held_back_anew(kitchen) -> Press:
    seen = a_batch(kitchen)
    holding.block(kitchen.file, kitchen.lm, seen.code, "too salty")
    seen = kitchen.batch(seen.code)
    holding.unblock(kitchen.file, kitchen.lm, seen.code, "tasted")
    holding.block(kitchen.file, kitchen.lm, seen.code, "glass in it")
    return lambda: holding.unblock(kitchen.file, kitchen.jp, seen.code, "tasted", shown=seen)


def brought_back(kitchen) -> Press:
    frozen = a_batch(kitchen)
    places.freeze(kitchen.file, kitchen.lm, frozen.code)
    seen = kitchen.batch(frozen.code)
    places.thaw(kitchen.file, kitchen.lm, frozen.code)
    return lambda: places.thaw(kitchen.file, kitchen.jp, frozen.code, shown=seen)


def a_run(kitchen, press: Callable[[str, Shown], Did]) -> Press:
    making.start(kitchen.file, kitchen.lm, "lamb-jus", Fraction(1))
    (run,) = kitchen.state.runs
    making.step(kitchen.file, kitchen.lm, run.code)
    return lambda: press(run.code, Shown(run.step, dict(run.outputs)))


def a_dish(kitchen, press: Callable[[Tonight], Did]) -> Press:
    """A dish that was taken off, and by now is off for another reason."""
    dishes.take_off(kitchen.file, kitchen.lm, kitchen.dinner, "pressed-lamb", "none left")
    seen = kitchen.state.tonight[kitchen.dinner]
    kitchen.later(minutes=5)
    dishes.back(kitchen.file, kitchen.lm, kitchen.dinner, "pressed-lamb")
    dishes.take_off(kitchen.file, kitchen.lm, kitchen.dinner, "pressed-lamb", "not good enough")
    return lambda: press(seen)


def off_meanwhile(kitchen, press: Callable[[Tonight], Did]) -> Press:
    dishes.take_off(kitchen.file, kitchen.lm, kitchen.dinner, "pressed-lamb", "not good enough")
    return lambda: press(Tonight())


def some_sent(kitchen, press: Callable[[Sitting, courses.Seen], Did]) -> Press:
    """A function of 40 plates, of which somebody else sent four."""
    new = services.NewService("Feast", time(19), time(20), 50, counts={"pressed-lamb": 40})
    services.add_service(kitchen.file, kitchen.sous, kitchen.dinner[1], new)
    feast = "feast", kitchen.dinner[1]
    service.plate(kitchen.file, kitchen.lm, feast, "pressed-lamb", 4)
    return lambda: press(feast, courses.Seen({"pressed-lamb": 40}, Tonight()))


def the_number_of_another(kitchen, write: Callable[[str], Did], press: Callable[[], Did]) -> Press:
    """What is undone gives its number to the next one."""
    write("the walk-in is warm")
    pressed = press()
    undo(kitchen.file, kitchen.lm)
    write("guests with a nut allergy at 20:00")
    return pressed


def a_note(kitchen) -> Press:
    def seen() -> Press:
        (note,) = kitchen.state.notes
        return lambda: handover.tick_off(kitchen.file, kitchen.jp, note.number, shown=note)

    return the_number_of_another(kitchen, lambda text: handover.note(kitchen.file, kitchen.lm, text), seen)


def a_timer(kitchen) -> Press:
    def seen() -> Press:
        (timer,) = kitchen.state.timers
        return lambda: timers.stop_timer(kitchen.file, kitchen.jp, timer.number, shown=timer)

    write = timers.set_timer
    return the_number_of_another(kitchen, lambda text: write(kitchen.file, kitchen.lm, "sauce", 5, text), seen)


def a_number(kitchen) -> Press:
    covers(kitchen.file, kitchen.lm, kitchen.dinner, 80)
    change = Change(Number("covers", kitchen.dinner, ""), seen=60, to=70)
    return lambda: save(kitchen.file, kitchen.jp, [change])


def another_undo(kitchen) -> Press:
    covers(kitchen.file, kitchen.jp, kitchen.dinner, 80)
    asked = last(kitchen.file, kitchen.jp).action
    handover.note(kitchen.file, kitchen.jp, "the walk-in is warm")
    return lambda: undo(kitchen.file, kitchen.jp, asked)


def a_portion(kitchen) -> Press:
    smaller = 40 * 1_000_000
    dishes.portion(kitchen.file, kitchen.lm, kitchen.dinner, "pressed-lamb", "lamb-jus", smaller)
    seen = {"shown": 50 * 1_000_000}
    return lambda: dishes.portion(
        kitchen.file, kitchen.jp, kitchen.dinner, "pressed-lamb", "lamb-jus", smaller - 10, **seen
    )


def more_of_it(kitchen) -> Press:
    known = a_batch(kitchen).left
    making.done(kitchen.file, kitchen.lm, prep="brown-stock")
    return lambda: stock.count(kitchen.file, kitchen.jp, "brown-stock", 0, shown=known)


def moved_by_another(kitchen) -> Press:
    seen = kitchen.state.tonight.get(kitchen.dinner, Tonight())
    services.move_service(kitchen.file, kitchen.lm, kitchen.dinner, time(19))
    return lambda: services.move_service(kitchen.file, kitchen.jp, kitchen.dinner, time(20), shown=seen)


MOVED: dict[str, Callable[..., Press]] = {
    "making.step": lambda k: a_run(k, lambda code, seen: making.step(k.file, k.jp, code, shown=seen)),
    "making.done": lambda k: a_run(k, lambda code, seen: making.done(k.file, k.jp, run=code, shown=seen)),
    "making.lost": lambda k: a_run(k, lambda code, seen: making.lost(k.file, k.jp, code, "burnt", shown=seen)),
    "several.done_together": lambda k: a_run(
        k, lambda code, seen: done_together(k.file, k.jp, [Ended(run=code, shown=seen)])
    ),
    "stock.count": more_of_it,
    "stock.use": lambda k: less_of_it(k, stock.use, 8 * LITRE, "staff"),
    "stock.discard": lambda k: less_of_it(k, stock.discard, None, "spoiled"),
    "stock.discard_batches": lambda k: less_of_it(k, stock.discard_batches, "not-needed", several=True),
    "sending.dispatch": lambda k: less_of_it(
        k, lambda file, who, code, shown: sending.dispatch(file, who, "north", code, None, COLD, shown=shown)
    ),
    "places.freeze": lambda k: less_of_it(k, places.freeze),
    "places.freeze_several": lambda k: less_of_it(k, places.freeze_several, several=True),
    "places.move_to": lambda k: less_of_it(k, places.move_to, "pass"),
    "places.thaw": brought_back,
    "holding.block": lambda k: held_back(k, holding.block, "too salty"),
    "holding.unblock": held_back_anew,
    "holding.relabelled": lambda k: held_back(k, holding.relabelled),
    "holding.keep": lambda k: less_of_it(k, holding.keep, "for tomorrow"),
    "readings.corrected": lambda k: held_back(k, readings.corrected, "reheated"),
    "courses.send_course": lambda k: some_sent(
        k, lambda feast, seen: courses.send_course(k.file, k.jp, feast, "main", shown=seen)
    ),
    "service.plates": lambda k: off_meanwhile(
        k, lambda seen: service.plates(k.file, k.jp, [service.Out(k.dinner, "pressed-lamb", 1, shown=seen)])
    ),
    "dishes.take_off": lambda k: off_meanwhile(
        k, lambda seen: dishes.take_off(k.file, k.jp, k.dinner, "pressed-lamb", "none left", shown=seen)
    ),
    "dishes.back": lambda k: a_dish(k, lambda seen: dishes.back(k.file, k.jp, k.dinner, "pressed-lamb", shown=seen)),
    "dishes.portion": a_portion,
    "services.move_service": moved_by_another,
    "handover.tick_off": a_note,
    "timers.stop_timer": a_timer,
    "numbers.save": a_number,
    "undoing.undo": another_undo,
}


@pytest.mark.parametrize("action", MOVED)
def test_what_moved_since_it_was_shown_is_not_acted_on(kitchen, action):
    press = MOVED[action](kitchen)
    before = kitchen.size_of_tables()
    with pytest.raises(Refused, match=r"lm|LM|another one by now"):
        press()
    assert kitchen.size_of_tables() == before


@pytest.mark.parametrize("act", ["use", "discard"])
def test_of_a_batch_that_only_became_less_a_typed_part_is_taken(kitchen, act):
    """Plates go out of it all evening: that is no reason to refuse the litre that somebody took."""
    seen = a_batch(kitchen)
    stock.use(kitchen.file, kitchen.lm, seen.code, LITRE, "staff")
    press = {
        "use": lambda: stock.use(kitchen.file, kitchen.jp, seen.code, LITRE, "staff", shown=seen),
        "discard": lambda: stock.discard(kitchen.file, kitchen.jp, seen.code, LITRE, "spoiled", shown=seen),
    }
    press[act]()
    assert kitchen.batch(seen.code).left == seen.left - 2 * LITRE


def test_what_was_held_back_on_the_screen_and_is_good_again_is_not_thrown_away(kitchen):
    seen = a_batch(kitchen)
    holding.block(kitchen.file, kitchen.lm, seen.code, "glass in it")
    seen = kitchen.batch(seen.code)
    holding.unblock(kitchen.file, kitchen.lm, seen.code, "it was ice")
    with pytest.raises(Refused, match="nothing was changed, look again"):
        stock.discard_batches(kitchen.file, kitchen.jp, [seen.code], "unsafe", shown=[seen])
    assert kitchen.batch(seen.code).left == seen.left


def test_a_dish_of_a_sitting_that_was_cancelled_meanwhile_goes_out_no_more(kitchen):
    from prepboard.store.actions.night.services import cancel

    cancel(kitchen.file, kitchen.lm, kitchen.dinner)
    with pytest.raises(Refused, match=r"lm: .* is cancelled; nothing was changed"):
        service.plates(kitchen.file, kitchen.jp, [service.Out(kitchen.dinner, "pressed-lamb", 1, shown=Tonight())])


def test_a_note_for_a_run_that_is_over_would_reach_nobody(kitchen):
    run = making.start(kitchen.file, kitchen.lm, "lamb-jus", Fraction(1)).run
    making.done(kitchen.file, kitchen.lm, run=run)
    with pytest.raises(Refused, match=r"was done at .* by lm"):
        handover.note(kitchen.file, kitchen.jp, "skim it once more", run)


# --- nobody is left out ----------------------------------------------------------------------------------


def test_every_action_says_what_it_does_about_what_was_shown():
    spared = set().union(*NOTHING_TO_MOVE.values())
    real = set(actions())
    assert not spared & set(MOVED)
    assert spared | set(MOVED) <= real
    assert real - spared - set(MOVED) == set(), "acts on something: carry what was shown, or say here why not"


def _writes() -> Iterator[tuple[str, str, set[str]]]:
    """What the boards ask the store to do: the file, the action's name, and the keywords that go with it."""
    for path in sorted(Path(prepboard.boards.__path__[0]).rglob("*.py")):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "partial"):
                continue
            given = [ast.unparse(one) for one in call.args]
            if len(given) > 2 and given[1].endswith("file") and given[2] == "who":
                yield path.name, given[0].rpartition(".")[2], {word.arg or "" for word in call.keywords}


WITHIN = {"plates", "done_together", "save", "undo", "done"}
"""What was shown stands in what they are given; "done" of a run that nobody started has its line."""


def test_boards_give_what_they_showed():
    spared = {name.rpartition(".")[2] for names in NOTHING_TO_MOVE.values() for name in names} | WITHIN
    writes = list(_writes())
    assert len(writes) > 25
    without = {(path, name) for path, name, words in writes if name not in spared and "shown" not in words}
    # A count that was typed is what is there, whatever went meanwhile.
    assert without == {("dishes.py", "count")}


def test_boards_do_nothing_that_only_commands_may():
    commands = {
        one.rpartition(".")[2] for one in NOTHING_TO_MOVE["is a command, whose words say all of it; no board does it"]
    }
    assert not {name for _path, name, _words in _writes()} & commands


def test_an_action_with_nothing_to_do_before_its_transaction_is_made_by_the_decorator() -> None:
    """What calls `act` itself works something out first, or does not know its word yet."""
    wrappers = []
    for path in Path(prepboard.store.actions.__path__[0]).rglob("*.py"):
        for made in ast.parse(path.read_text(encoding="utf-8")).body:
            match made:
                case ast.FunctionDef(body=[*before, ast.Return(ast.Call(ast.Name("act"), [_, _, ast.Constant(), _]))]):
                    if all(isinstance(one, ast.FunctionDef) or one is made.body[0] for one in before):
                        wrappers.append(f"{path.stem}.{made.name}")
    assert wrappers == []
