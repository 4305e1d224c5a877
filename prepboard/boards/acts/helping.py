"""Doing what helps a line that is late, as one change that undo takes back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from prepboard.boards.widgets.row import Row
from prepboard.paper.sentences.helps import as_done, does, gives
from prepboard.paper.text.saying import Voice
from prepboard.plan.changing.helping import BEGUN, Help
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk
    from prepboard.book.book import Book
    from prepboard.store.file.who import Did, Who
    from prepboard.store.kitchen_file import KitchenFile


async def help_with(desk: Desk, found: Sequence[Help], voice: Voice) -> Did | None:
    """Asks which, the cursor on the best, and who it is where that is not known, and does it; None when it was not."""
    from prepboard.boards.questions.which import AskWhich

    rows = [Row(str(number), what=does(help, voice), words=gives(help, voice)) for number, help in enumerate(found)]
    key = await desk.app.push_screen_wait(AskWhich(_("What helps"), rows))
    who = await desk.who() if key else None
    return await desk.carry_out(doing(desk.file, who, found[int(key)], voice)) if key and who else None


def may_ask_to_stay(desk: Desk, book: Book) -> bool:
    """Whether somebody's break may be asked for here: by a sous chef, or where nobody is listed."""
    from prepboard.store.file.who import Who, role_of

    return role_of(Who(desk.known, desk.station), book) in ("sous", "open")


def doing(file: KitchenFile, who: Who, help: Help, voice: Voice) -> Callable[..., Did]:
    """The one action of the store that does it."""
    from prepboard.store.actions.food.making import start
    from prepboard.store.actions.night.numbers import save

    if help.kind in BEGUN:
        return partial(start, file, who, help.line.prep, help.size, help.line.line, how=help.how)
    return partial(save, file, who, as_done(help, voice))
