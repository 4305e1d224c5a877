"""What the keys of a station do with dishes: plates out, 86 and back, a smaller portion."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.acts.stock import a_word
from prepboard.boards.rows.lists import voice_of
from prepboard.boards.widgets.row import Row
from prepboard.book.amounts import Measure
from prepboard.paper.sentences.left import left_words
from prepboard.paper.text.saying import measure_of
from prepboard.plan.board import Board
from prepboard.plan.demand.occasions import Occasion
from prepboard.plan.demand.plating import to_send
from prepboard.plan.given.state import Tonight
from prepboard.plan.service.counts import serves_dish
from prepboard.plan.shown.lines import Left
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.plan.given.state import Sitting
    from prepboard.store.file.who import Did, Who


async def plate(desk: Desk, board: Board, first: str = "") -> Did | None:
    """Plates of dishes go out, or a miscount is taken back; `first` is the dish under the cursor.

    A dish that several running services serve stands once for each: the service that was chosen last comes first.
    """
    from prepboard.boards.questions.dish import AskDish
    from prepboard.store.actions.night import service

    if not board.left:
        desk.tell(_("No service is near."))
        return None
    who = await desk.who()
    if who is None:
        return None
    voice, meant, courses = voice_of(board), _meant(desk, board), _courses(board)
    rows = tuple(
        Row(
            key=key,
            what=voice.name(left.dish),
            amount=str(left.plates_left),
            words=voice.service(*sitting) if len(board.served) > 1 else _("86") if left.eighty_six else "",
            tone="strong" if left.eighty_six else "plain",
        )
        for key, (left, sitting) in meant.items()
    )
    named = _(" and ").join(voice.service(one.service.id, one.day) for one in board.served)
    title = _("Plate out, {service}").format(service=named)
    # Beside another service a whole course never goes out by habit: somebody goes to its row.
    usual = next(iter(meant), "") if len(board.served) > 1 else ""
    at_first = next((key for key, (left, _sitting) in meant.items() if left.dish == first), usual)
    whole = tuple(_course_row(board, key, *course) for key, course in courses.items())
    out = await desk.app.push_screen_wait(AskDish(title, rows, at_first, whole))
    if out is None:
        return None
    if out[-1].dish in courses:
        return await _send(desk, board, who, *courses[out[-1].dish])
    desk.last_sitting = meant[out[-1].dish][1]
    plates = [
        service.Out(sitting, left.dish, one.n, shown=_tonight(board, sitting))
        for one, (left, sitting) in ((one, meant[one.dish]) for one in out)
    ]
    return await desk.carry_out(partial(service.plates, desk.file, who, plates))


def _courses(board: Board) -> dict[str, tuple[Occasion, str, dict[str, int]]]:
    """The courses of a function that can be sent: by a key of its own the sitting, the course, and the plates of each
    dish that are not out yet. Only those of today: a press is never for another day."""
    today = board.state.book.kitchen.days.business_day(board.now)
    return {
        f"course {course} {one.need}": (one, course, plates)
        for one in board.served
        if one.day == today
        for course, plates in to_send(board.state, one).items()
    }


def _course_row(board: Board, key: str, occasion: Occasion, course: str, plates: dict[str, int]) -> Row:
    voice = voice_of(board)
    words = [_("the whole course, {time}").format(time=voice.time(occasion.plated_at(course)))]
    if len(board.served) > 1:
        words.append(voice.service(*occasion.key))
    return Row(key=key, what=course, amount=str(sum(plates.values())), words=", ".join(words), tone="strong")


async def _send(
    desk: Desk, board: Board, who: Who, occasion: Occasion, course: str, plates: dict[str, int]
) -> Did | None:
    """A course goes out as it was shown."""
    from prepboard.store.actions.night import courses

    seen = courses.Seen(plates, _tonight(board, occasion.key))
    return await desk.carry_out(partial(courses.send_course, desk.file, who, occasion.key, course, shown=seen))


def _tonight(board: Board, sitting: Sitting) -> Tonight:
    """What is known of a sitting on the screen."""
    return board.state.tonight.get(sitting, Tonight())


def _meant(desk: Desk, board: Board) -> dict[str, tuple[Left, Sitting]]:
    """What can go out: by a key of its own the dish, and the service that it is for."""
    found: dict[str, tuple[Left, Sitting]] = {}
    for left in board.left:
        several = [one.key for one in reversed(serves_dish(board.state, board.now, left.dish))]
        sittings = several or [(left.service, left.day)]
        sittings.sort(key=lambda one: one != desk.last_sitting)
        for sitting in sittings:
            found[f"{left.dish} {sitting[0]} {sitting[1]}"] = left, sitting
    return found


async def off_or_back(desk: Desk, board: Board, left: Left) -> Did | None:
    """86: a dish is taken off, for a reason; one that is off is back, and how many plates there are is asked."""
    from prepboard.store.actions.night import dishes

    sitting, voice = (left.service, left.day), voice_of(board)
    who = await desk.who()
    if who is None:
        return None
    if left.taken_off:
        did = await desk.carry_out(
            partial(dishes.back, desk.file, who, sitting, left.dish, shown=_tonight(board, sitting))
        )
        return await _how_many(desk, board, left) if did else None
    title = _("{dish}: 86, why?").format(dish=voice.name(left.dish))
    why = await a_word(desk, title, [(word, word) for word in reasons()])
    if why == reasons()[-1]:
        from prepboard.boards.questions.typed import AskText

        why = await desk.app.push_screen_wait(AskText(title))
    if not why:
        return None
    seen = _tonight(board, sitting)
    return await desk.carry_out(partial(dishes.take_off, desk.file, who, sitting, left.dish, why, shown=seen))


def reasons() -> tuple[str, ...]:
    """Why a dish is taken off, the usual one first; the last one is typed."""
    return _("none left"), _("not good enough"), _("too slow to plate"), _("another reason")


async def _how_many(desk: Desk, board: Board, left: Left) -> Did | None:
    """Asks how many plates of a dish there are; fewer than known is a count of the prep that limits it."""
    from prepboard.boards.questions.amount import AskAmount
    from prepboard.store.actions.food import stock

    voice, who = voice_of(board), await desk.who()
    limiting = next((part for part in left.preps if part.prep == left.limiting), None)
    if limiting is None or who is None:
        return None
    title = _("{dish} is back: how many plates are there?").format(dish=voice.name(left.dish))
    known = limiting.on_hand // limiting.per_plate
    why = _("Enter: {planned}, as is known.")
    answer = await desk.app.push_screen_wait(AskAmount(title, str(known), Measure("count", "each"), why_planned=why))
    if answer is None or answer.amount is None:
        return None
    plates = answer.amount // 10**6
    if plates > known:
        desk.tell(_("That is more than known: c counts the {prep}.").format(prep=voice.name(limiting.prep)))
        return None
    amount = plates * limiting.per_plate
    return await desk.carry_out(partial(stock.count, desk.file, who, limiting.prep, amount))


async def portion(desk: Desk, board: Board, left: Left) -> Did | None:
    """Another portion of a prep on a plate from now on; asked of the one that limits first."""
    from prepboard.boards.questions.amount import AskAmount
    from prepboard.boards.questions.which import AskWhich
    from prepboard.store.actions.night import dishes

    voice, who = voice_of(board), await desk.who()
    if who is None or not left.preps:
        return None
    prep: str | None = left.preps[0].prep
    if len(left.preps) > 1:
        rows = [
            Row(part.prep, what=voice.name(part.prep), amount=voice.amount(part.prep, part.per_plate))
            for part in sorted(left.preps, key=lambda part: part.prep != left.limiting)
        ]
        prep = await desk.app.push_screen_wait(
            AskWhich(_("{dish}: less of what?").format(dish=voice.name(left.dish)), rows)
        )
    if prep is None:
        return None
    usual = next(part.per_plate for part in left.preps if part.prep == prep)
    title = _("{prep} on a plate of {dish}, from now on:").format(prep=voice.name(prep), dish=voice.name(left.dish))
    why = _("Enter: {planned}, as it is.")
    asked = AskAmount(title, voice.amount(prep, usual), measure_of(board.state.book, prep), why_planned=why)
    answer = await desk.app.push_screen_wait(asked)
    if answer is None or answer.amount is None:
        return None
    sitting = (left.service, left.day)
    write = partial(dishes.portion, desk.file, who, sitting, left.dish, prep, answer.amount, shown=usual)
    return await desk.carry_out(write)


async def which_dish(desk: Desk, board: Board, title: str) -> Left | None:
    """Asks for a dish, by its first letters."""
    from prepboard.boards.questions.which import AskWhich

    voice = voice_of(board)
    rows = [
        Row(left.dish, what=voice.name(left.dish), amount=str(left.plates_left), words=left_words(left, voice))
        for left in board.left
    ]
    dish = await desk.app.push_screen_wait(AskWhich(title, rows, empty=_("No service is near.")))
    return next((left for left in board.left if left.dish == dish), None)
