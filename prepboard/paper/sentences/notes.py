"""The wording of the plan's notes: one sentence fragment for each kind, for screens, papers and scripts alike."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from fractions import Fraction

from prepboard.book.saying import say_duration, say_size
from prepboard.paper.sentences.reasons import is_cut, why_text
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice, listed
from prepboard.plan.shown.lines import Note, NoteKind
from prepboard.texts import _, told


def note_text(note: Note, voice: Voice) -> str:
    """A note in words. A kind without a wording of its own is shown by its name and facts, never hidden."""
    wording = WORDINGS.get(note.kind)
    return wording(_Facts(note.facts, voice)) if wording else _bare(note)


class _Facts:
    """Reads a note's facts as words; a fact that is missing reads as nothing."""

    def __init__(self, facts: Mapping[str, object], voice: Voice) -> None:
        self._facts = facts
        self._voice = voice

    def has(self, key: str) -> bool:
        return self._facts.get(key) not in (None, "")

    def text(self, key: str) -> str:
        value = self._facts.get(key)
        return "" if value is None else plain(told(str(value)))

    def name(self, key: str) -> str:
        return self._voice.name(self.text(key))

    def amount(self, much: str = "amount") -> str:
        value = self._facts.get(much)
        return self._voice.amount(self.text("item"), value) if isinstance(value, int) else self.text(much)

    def amount_of(self, key: str) -> int:
        """The bare number; 0 where there is none."""
        value = self._facts.get(key)
        return value if isinstance(value, int) else 0

    def names(self, key: str) -> str:
        value = self._facts.get(key)
        return listed(self._voice.name(str(item)) for item in value) if isinstance(value, tuple) else self.text(key)

    def time(self, key: str) -> str:
        value = self._facts.get(key)
        return self._voice.time(value) if isinstance(value, datetime) else self.text(key)

    def is_over(self, key: str) -> bool:
        """Whether a moment is past."""
        value = self._facts.get(key)
        return isinstance(value, datetime) and value <= self._voice.now

    def sitting(self) -> str:
        day = self._facts.get("day")
        return self._voice.service(self.text("service"), day) if isinstance(day, date) else self.text("service")

    def last(self, key: str) -> str:
        """The end of a life alone: "Sun", "21:30"."""
        value = self._facts.get(key)
        return self._voice.end(value) if isinstance(value, datetime) else self.text(key)

    def good(self, key: str) -> str:
        """A whole clause: "good to Sun", "expired Fri"."""
        value = self._facts.get(key)
        return self._voice.good(value) if isinstance(value, datetime) else self.text(key)

    def end(self, key: str) -> str:
        """An end of life: "to Sun", "to 21:30"."""
        value = self._facts.get(key)
        return self._voice.good_to(value) if isinstance(value, datetime) else self.text(key)

    def reason(self, key: str) -> str:
        """What cut a life; nothing where it was its own."""
        why = self.text(key)
        return why_text(why, self._voice.book.kitchen.rules) if is_cut(why) else ""

    def size(self, key: str) -> str:
        value = self._facts.get(key)
        return say_size(Fraction(value)) if isinstance(value, int | Fraction) else self.text(key)

    def duration(self, key: str) -> str:
        value = self._facts.get(key)
        if isinstance(value, timedelta):
            value = value // timedelta(minutes=1)
        return say_duration(value) if isinstance(value, int) else self.text(key)


def _make_again_by(facts: _Facts) -> str:
    return _("make again by {time}").format(time=facts.time("at"))


def _over(facts: _Facts) -> str:
    if facts.has("until"):
        said = _("{amount} spare: nothing planned needs it before it ends ({end})")
        return said.format(amount=facts.amount(), end=facts.last("until"))
    return _("{amount} spare: nothing planned needs it").format(amount=facts.amount())


def _nothing_makes(facts: _Facts) -> str:
    return _("short {amount} of {item}: no recipe makes it").format(amount=facts.amount(), item=facts.name("item"))


def _comes_with(facts: _Facts) -> str:
    said = _("short {amount} of {item}: it comes with {maker}")
    if facts.has("size"):
        said = _("short {amount} of {item}: {size} of {maker} covers it")
    return said.format(
        amount=facts.amount(), item=facts.name("item"), maker=facts.name("maker"), size=facts.size("size")
    )


def _cannot_fit(facts: _Facts) -> str:
    if facts.text("why") == "hours":
        return _("does not fit into this bench's hours")
    if facts.text("why") == "life":
        return _("keeps too short a time to be made early enough")
    if facts.text("why") == "without":
        return _("cannot be made: there is no {item} for it").format(item=facts.name("item"))
    if facts.text("why") == "for":
        return _("only for {item}, which cannot be made").format(item=facts.name("item"))
    return _("does not fit: {why}").format(why=facts.text("why"))


def _long_wait(facts: _Facts) -> str:
    return _("{step} waits {time} instead of {least}").format(
        step=facts.text("step"), time=facts.duration("minutes"), least=facts.duration("least")
    )


def _too_late(facts: _Facts) -> str:
    if facts.has("item"):
        said = _("ready {time}: not for {service}, for {item}")
        return said.format(time=facts.time("at"), service=facts.sitting(), item=facts.name("item"))
    if facts.has("service"):
        return _("ready {time}: not for {service}").format(time=facts.time("at"), service=facts.sitting())
    return _("ready {time}, too late for what it is for").format(time=facts.time("at"))


def _older_food(facts: _Facts) -> str:
    return _("use by {end}: older stock in it").format(end=facts.last("until"))


def _waits_for(facts: _Facts) -> str:
    if not facts.has("at"):
        return _("waits for {item}, nobody knows until when").format(item=facts.name("item"))
    said = _("{item} was due {time}, not in") if facts.is_over("at") else _("waits for {item}, due {time}")
    return said.format(item=facts.name("item"), time=facts.time("at"))


def _make_more_now(facts: _Facts) -> str:
    return _("make more now: {size}, {amount} {item}, ready {time}").format(
        size=facts.size("size"), amount=facts.amount(), item=facts.name("item"), time=facts.time("at")
    )


def _late_by(facts: _Facts) -> str:
    return _("ready {time}, {late} late").format(time=facts.time("at"), late=facts.duration("minutes"))


def _in_time(facts: _Facts) -> str:
    said = _("{amount} of {par} ready for service, the rest {time}")
    if not facts.amount_of("amount"):
        said = _("none of {par} ready for service; ready {time}")
    return said.format(amount=facts.amount(), par=facts.amount(much="par"), time=facts.time("at"))


def _smaller_in_time(facts: _Facts) -> str:
    said = _("{size} ({amount}): ready in time if nothing else goes first")
    return said.format(size=facts.size("size"), amount=facts.amount())


def _could_give_way(facts: _Facts) -> str:
    return _("{item}, not needed before {time}, could give way").format(item=facts.name("item"), time=facts.time("at"))


def _off_until(facts: _Facts) -> str:
    if not facts.has("at"):
        return _("86 for this service: {dishes}").format(dishes=facts.names("dishes"))
    return _("86 until {time}: {dishes}").format(time=facts.time("at"), dishes=facts.names("dishes"))


def _past_use_by(facts: _Facts) -> str:
    said = _("{past}, kept {store}").format(past=facts.end("at"), store=_(facts.text("store")))
    return listed((said, facts.reason("why")))


def _blocked(facts: _Facts) -> str:
    return _("blocked: {why}").format(why=_(facts.text("why")))


def _next_needed(facts: _Facts) -> str:
    said = facts.good("until")
    if not facts.has("at"):
        return _("{good}; nothing needs it before then").format(good=said)
    return _("{good}; next needed {time}").format(good=said, time=facts.time("at"))


def _fresh_no_more(facts: _Facts) -> str:
    return _("{good}; fresh for plates to {time}").format(good=facts.good("until"), time=facts.time("fresh"))


def _not_good_long_enough(facts: _Facts) -> str:
    return _("ends {end}, before it is all used").format(end=facts.last("until"))


def _ends_before(facts: _Facts) -> str:
    return _("{item} ends {end}, before it is used").format(item=facts.name("item"), end=facts.last("until"))


def _moved(facts: _Facts) -> str:
    minutes = facts.amount_of("minutes")
    why: Mapping[str, str] = {
        "started": _("{item} began late")
        if minutes > 0
        else _("{item} began early")
        if minutes < 0
        else _("{item} began"),
        "not begun": _("{item} not begun"),
        "not gone on": _("{item} does not go on"),
        "new sitting": _("another service came into sight"),
        "step": _("{item} went on"),
        "lost": _("{item} lost"),
        "made": _("{item} made"),
        "counted": _("a count of {item}"),
        "discarded": _("{item} thrown away"),
        "give": _("another bench makes {item}"),
        "not there": _("{item} missing"),
        "arrived": _("{item} arrived"),
        "hands": _("more or fewer cooks"),
        "equip": _("more or fewer places"),
        "stay": _("somebody stays, or not"),
        "loaded": _("a new book"),
    }
    said = why.get(facts.text("did"), "")
    reason = said.format(item=facts.name("item")) if facts.has("item") or "{" not in said else ""
    reason = reason or _("other numbers")
    return _("moved from {time}: {reason}").format(time=facts.time("since"), reason=reason)


WORDINGS: Mapping[NoteKind, Callable[[_Facts], str]] = {
    "make again by": _make_again_by,
    "over": _over,
    "a little short": lambda facts: _("{amount} short of {of} {item}: it will do").format(
        amount=facts.amount(), of=facts.amount("of"), item=facts.name("item")
    ),
    "nothing makes": _nothing_makes,
    "on demand": lambda _facts: _("waits for your decision: s starts it, and nothing is made for it before"),
    "comes with": _comes_with,
    "cannot fit": _cannot_fit,
    "ends before": _ends_before,
    "long wait": _long_wait,
    "not good long enough": _not_good_long_enough,
    "too late": _too_late,
    "waits for": _waits_for,
    "make more now": _make_more_now,
    "older food": _older_food,
    "late by": _late_by,
    "in time": _in_time,
    "smaller in time": _smaller_in_time,
    "could give way": _could_give_way,
    "off until": _off_until,
    "past use-by": _past_use_by,
    "blocked": _blocked,
    "moved": _moved,
    "next needed": _next_needed,
    "fresh no more": _fresh_no_more,
}


def _bare(note: Note) -> str:
    facts = ", ".join(f"{key} {value}" for key, value in note.facts.items())
    return plain(f"{note.kind}: {facts}" if facts else note.kind)
