"""How it stands with a dish, in words: 86 as a fact, none for a reason, or until about when it lasts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from prepboard.paper.text.saying import Voice
from prepboard.plan.shown.lines import Lack, Left
from prepboard.texts import _


def none_counted(dishes: Iterable[Left]) -> bool:
    """Whether no plate of any of these dishes was counted since their service began: that is said once, of all."""
    bases = {left.basis for left in dishes}
    return bases == {"expected"}


def left_words(left: Left, voice: Voice) -> str:
    """ "86 since 20:10, no zander", "none until 18:41 (peas)", "lasts to about 20:43 (rye crisp)"; empty where there is
    nothing to say."""
    if left.eighty_six:
        return _eighty_six(left, voice)
    if left.not_yet:
        return _("not made yet")
    if left.lacks:
        return _none(left, left.lacks[0], voice)
    if left.ends_first and left.runs_out_at:
        said = _("lasts to about {time} ({prep})")
        return said.format(prep=in_words(left.ends_first, voice), time=voice.time(left.runs_out_at))
    return ""


def others_words(left: Left, voice: Voice) -> Iterator[str]:
    """ "20 more are the wedding's": what others of the day still take of what limits it."""
    for service, plates in left.others:
        said = _("{n} more are for {service}") if left.plates_left else _("{n} are for {service}")
        yield said.format(n=plates, service=voice.service(service, left.day))


def in_words(prep: str, voice: Voice) -> str:
    """The name of a prep within a sentence."""
    name = voice.name(prep)
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _eighty_six(left: Left, voice: Voice) -> str:
    since = voice.time(left.since) if left.since else ""
    if left.taken_off:
        return _("86 since {time}, taken off").format(time=since) if since else _("86, taken off")
    named = in_words(left.limiting, voice) if left.limiting else ""
    said = _("86 since {time}, no {prep}") if since else _("86, no {prep}")
    return said.format(time=since, prep=named)


def _none(left: Left, lack: Lack, voice: Voice) -> str:
    named = in_words(lack.prep, voice)
    if lack.until and lack.until <= voice.now:
        return _("none until {prep} is done").format(prep=named)
    if lack.until:
        return _("none until {time} ({prep})").format(time=voice.time(lack.until), prep=named)
    if lack.why == "expected":
        at = voice.time(left.runs_out_at) if left.runs_out_at else ""
        said = _("should be out about {time}: count") if at else _("should be out: count the {prep}")
        return said.format(time=at, prep=named)
    said = {
        "held back": _("none: {prep} may not be used"),
        "ends before": _("none: {prep} ends before it"),
        "not fresh": _("none fresh ({prep})"),
        "others": _("none to spare ({prep})"),
        "unknown": _("none known: count the {prep}"),
    }.get(lack.why, _("not made, and nothing gives it in time ({prep})"))
    return said.format(prep=named)
