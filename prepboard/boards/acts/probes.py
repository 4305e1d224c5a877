"""Which probe a reading was taken with: asked where probes have names, the last one of this bench first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prepboard.boards.widgets.row import Row
from prepboard.texts import _

if TYPE_CHECKING:
    from prepboard.boards.acts.desk import Desk

NONE = "-"


async def which_probe(desk: Desk) -> str | None:
    """Its name; "" where none of the kitchen's has one or it is none of them, None where nobody answered."""
    from prepboard.boards.questions.which import AskWhich
    from prepboard.store.past.probes import known_probes

    known = known_probes(desk.file, desk.station)
    if not known:
        return ""
    rows = [Row(name, what=name) for name in known]
    rows.append(Row(NONE, what=_("none of these"), words=_("a new one: `temp` with --probe names it")))
    chosen = await desk.app.push_screen_wait(AskWhich(_("Read with which probe?"), rows, first=known[0]))
    return "" if chosen == NONE else chosen
