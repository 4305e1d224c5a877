"""What helps a line that is late, in words: what to do, what it gives, and the command that does it."""

from __future__ import annotations

from prepboard.book.saying import say_duration
from prepboard.paper.sentences.contains import allergen_list
from prepboard.paper.text.saying import Voice, listed
from prepboard.paper.text.shape import number
from prepboard.plan.changing.helping import BEGUN, Help
from prepboard.plan.given.numbers import Change
from prepboard.texts import _, some


def help_text(help: Help, voice: Voice) -> str:
    """One sentence: "give it to Pastry: ready 18:10, 1 h sooner, 3 guests fewer wait"."""
    return listed(part for part in (does(help, voice), gives(help, voice)) if part)


def does(help: Help, voice: Voice) -> str:
    """What is done, and when the line is ready then."""
    line = help.line
    if help.kind == "give":
        said = _("give it to {station}: ready {time}")
        return said.format(station=voice.station(help.station), time=_at(help, voice))
    if help.kind == "start":
        return _("start it now: ready {time}").format(time=_at(help, voice))
    if help.kind == "place":
        return _("start it now in {equipment}: ready {time}").format(
            equipment=_other_place(help, voice), time=_at(help, voice)
        )
    if help.kind == "instead":
        item, other = next(iter(help.how.instead.items()))
        said = _("start it now with {other} for {item}: ready {time}")
        return said.format(other=voice.name(other), item=voice.name(item), time=_at(help, voice))
    if help.kind == "stay":
        said = _("{station}: a cook stays {minutes} from {since}: ready {time}")
        minutes = say_duration(help.stay_minutes)
        return said.format(
            station=voice.station(help.station), minutes=minutes, since=help.since, time=_at(help, voice)
        )
    if help.kind == "part":
        said = _("start {amount} now: ready {time}")
        return said.format(amount=voice.amount(line.prep, help.amount), time=_at(help, voice))
    if help.kind == "portion":
        plates = listed(_plate(change, voice) for change in help.changes)
        return _("less on a plate: {plates}").format(plates=plates)
    return _("86 {dishes}: guests choose others").format(dishes=listed(voice.name(dish) for dish in help.dishes))


def _other_place(help: Help, voice: Voice) -> str:
    (other,) = set(help.how.places.values())
    return voice.book.equipment[other].name


def _plate(change: Change, voice: Voice) -> str:
    to = change.to if isinstance(change.to, int) else 0
    return _("{amount} for {dish}").format(
        amount=voice.amount(change.number.item, to), dish=voice.name(change.number.on)
    )


def gives(help: Help, voice: Voice) -> str:
    """What that gives: minutes, plates, and who gives way."""
    return listed(_gives(help, voice))


def _gives(help: Help, voice: Voice) -> list[str]:
    says: list[str] = []
    if help.kind == "86":
        return says
    if help.ready_at is None:
        says.append(_("then what is there does"))
    elif help.ready_at <= help.line.ready_by:
        says.append(_("in time"))
    elif help.saves_minutes:
        says.append(_("{time} sooner").format(time=say_duration(help.saves_minutes)))
    if help.kind == "part" and help.rest_at:
        says.append(_("the rest {time}").format(time=voice.time(help.rest_at)))
    if help.guests:
        says.append(some("{n} plate saved", "{n} plates saved", help.guests))
    if help.adds:
        says.append(
            _("contains {allergens} then: tell the pass").format(allergens=allergen_list(help.adds, voice.book))
        )
    for prep, ready in help.pushed:
        says.append(_("{name} gives way, ready {time}").format(name=voice.name(prep), time=voice.time(ready)))
    return says


def _at(help: Help, voice: Voice) -> str:
    return voice.time(help.ready_at) if help.ready_at else ""


def commands_of(help: Help, voice: Voice) -> list[str]:
    """The commands that do it, one after another: one, but where several dishes change."""
    line = help.line
    if help.kind in BEGUN:
        amount = _typed(voice, line.prep, help.amount) if help.kind == "part" else ""
        places = [f"--in {other}" for other in dict.fromkeys(help.how.places.values())]
        others = [f"--instead {item}={other}" for item, other in help.how.instead.items()]
        return [" ".join(part for part in ("start", line.prep, amount, *places, *others) if part)]
    if help.kind == "give":
        return [f"give {line.prep} {help.station}" + _on_day(help, voice)]
    if help.kind == "stay":
        return [f"stay {help.station} {help.stay_minutes} --from {help.since}" + _on_day(help, voice)]
    if help.kind == "portion":
        return [
            f"portion {change.number.on} {change.number.item} {_typed(voice, change.number.item, change.to)}"
            for change in help.changes
            if isinstance(change.to, int)
        ]
    return [f'86 {dish} --why "{_why(help, voice)}"' for dish in help.dishes]


def _on_day(help: Help, voice: Voice) -> str:
    """Its day, where that is not today."""
    day = help.changes[0].number.day
    return f" --day {day}" if day is not None and day != voice.days.business_day(voice.now) else ""


def _why(help: Help, voice: Voice) -> str:
    return _("no {prep}").format(prep=voice.name(help.line.prep))


def as_done(help: Help, voice: Voice) -> tuple[Change, ...]:
    """The numbers to save, the reason of an 86 in words."""
    if help.kind != "86":
        return help.changes
    return tuple(Change(change.number, change.seen, _why(help, voice)) for change in help.changes)


def _typed(voice: Voice, item: str, millionths: int) -> str:
    """An amount as a command takes it: "1.2 kg", "8"."""
    measure = voice.book.measure(item)
    unit = "" if measure.kind == "count" else measure.unit
    return f"{number(measure.number(millionths))} {unit}".strip()
