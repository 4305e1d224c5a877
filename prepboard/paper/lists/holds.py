"""What is held back here and elsewhere in the group, and who has looked for it, in words and as objects."""

from __future__ import annotations

from prepboard.paper.lists.vans import name_text
from prepboard.paper.sentences.heading import Section
from prepboard.paper.text.layout import Row, section, table
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, is_known, listed
from prepboard.paper.text.shape import Json, Shape
from prepboard.plan.given.group import Hold, ToldHold
from prepboard.plan.given.state import State
from prepboard.texts import _, told


def held_name(one: Hold | ToldHold, state: State, voice: Voice) -> str:
    """ "Cream 2406", or what a batch is with its code in the kitchen that holds it back: "Jus C-K7F"."""
    if one.goods:
        goods = voice.name(one.goods) if is_known(voice.book, one.goods) else plain(one.goods)
        return " ".join(filter(None, (goods, plain(one.lot))))
    if not one.code:
        return plain(one.lot)
    sender = one.sender if isinstance(one, Hold) else state.book.kitchen.member
    went = next((sent for sent in state.transfers if (sent.sender, sent.batch) == (sender, one.code)), None)
    letter = f"{state.book.kitchens[sender].letter}-" if isinstance(one, Hold) and sender in state.book.kitchens else ""
    return " ".join(filter(None, (name_text(went, voice) if went else "", f"{letter}{one.code}")))


def seen_text(one: ToldHold, voice: Voice) -> str:
    """Who has looked for it: "not yet: Hill café; seen to: Quay canteen (ro, 06:58)"."""
    seen = [f"{voice.kitchen(kitchen)} ({plain(by)}, {voice.time(at)})" for kitchen, (at, by) in one.seen.items()]
    waits = [voice.kitchen(kitchen) for kitchen in one.not_seen]
    return "; ".join(filter(None, (
        _("not yet: {kitchens}").format(kitchens=listed(waits)) if waits else "",
        _("seen to: {kitchens}").format(kitchens=listed(seen)) if seen else "",
    )))  # fmt: skip


def here_text(hold: Hold, voice: Voice) -> str:
    """What of it is here, and who has looked for it."""
    if hold.lifted_at is not None:
        return _("let go, {time}").format(time=voice.time(hold.lifted_at))
    seen = _("not seen to here: acknowledge")
    if hold.seen_at is not None:
        seen = _("seen to by {by}, {time}").format(by=plain(hold.seen_by), time=voice.time(hold.seen_at))
    return listed((is_here_text(hold), seen))


def is_here_text(hold: Hold) -> str:
    """Our codes of what came of it; of goods all that has them in it is held back, whatever it is."""
    if hold.here:
        return _("here: {codes}").format(codes=", ".join(hold.here))
    return _("all that it went into is held") if hold.goods else _("none of it is here")


def holds_section(state: State, voice: Voice, width: int) -> Section:
    """What is held back here with who has seen to it elsewhere, then what the others hold back."""
    own = [Row((held_name(one, state, voice), plain(told(one.why)), seen_text(one, voice))) for one in state.told_holds]
    others = [
        Row((held_name(one, state, voice), voice.kitchen(one.sender), plain(told(one.why)), here_text(one, voice)))
        for one in state.holds
    ]
    said = section(_("HELD BACK HERE"), table(own, "<<<", width), _("Nothing is held back here."), width)
    nothing = _("No other kitchen holds anything back.")
    return [*said, *section(_("HELD BACK ELSEWHERE"), table(others, "<<<<", width), nothing, width)]


# --- for scripts ------------------------------------------------------------------------------------------


def holds_objects(state: State, voice: Voice) -> list[Json]:
    """A line for each kitchen that a hold concerns; `seen_at` null where nobody there has looked for it yet."""
    shape, here = Shape(voice), state.book.kitchen.member
    found: list[Json] = []
    for own in state.told_holds:
        for kitchen in own.receivers:
            at, by = own.seen.get(kitchen, (None, ""))
            found.append(_object(own, here, kitchen, shape) | {"seen_at": shape.at(at), "seen_by": by or None})
    for one in state.holds:
        if one.lifted_at is None:
            seen = {"seen_at": shape.at(one.seen_at), "seen_by": one.seen_by or None}
            found.append(_object(one, one.sender, here, shape) | seen)
    return found


def _object(one: Hold | ToldHold, sender: str, kitchen: str, shape: Shape) -> Json:
    return {
        "from": sender,
        "kitchen": kitchen,
        "batch": one.code or None,
        "goods": one.goods or None,
        "lot": one.lot or None,
        "why": plain(told(one.why)),
        "at": shape.at(one.at),
        "by": one.by,
    }
