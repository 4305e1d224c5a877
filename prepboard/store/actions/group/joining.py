"""A kitchen joins its group: from this line of its log on, what it does is shipped."""

from __future__ import annotations

from datetime import datetime

from prepboard.store.actions.group.between import this_kitchen
from prepboard.store.file.who import Did, Refused
from prepboard.store.group.shipping import SINCE, URL
from prepboard.store.transaction.doing import Doing, action
from prepboard.texts import _


@action("join group")
def join(doing: Doing, url: str, *, action: str | None = None, at: datetime | None = None) -> Did:
    """Keeps where the group is. `url` has no secret in it: the file is copied and carried around."""
    us = this_kitchen(doing)
    if not url.strip():
        raise Refused(_("say where the group is"))
    doing.put("settings", {"name": URL, "value": url.strip()})
    if doing.row("settings", name=SINCE) is None:
        last = doing.first("SELECT coalesce(max(number), 0) AS number FROM log")
        doing.put("settings", {"name": SINCE, "value": str(last["number"] if last else 0)})
    doing.log("joined the group", after=us.name)
    return doing.answer(_("{kitchen} belongs to the group now: prepboard group ship").format(kitchen=us.name))
