"""A kitchen that does whatever the dice say with its food, and beside it the small reckoning that says what is true.

A play is a list of plain numbers: each is one action and what it is done to. So hypothesis can make it shorter, and a
benchmark can draw it from a seed. After each action every batch is asked about, now and for moments ahead.
"""

from __future__ import annotations

import contextlib
import copy
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random

from prepboard.book.book import Book
from prepboard.book.reading.reader import read_book
from prepboard.book.safety.may_use import Answer, Food, earliest, may_use
from prepboard.clock import FixedClock
from prepboard.store.act.doing import Doing, act
from prepboard.store.act.ending import How
from prepboard.store.act.refused import food
from prepboard.store.actions import holding, making, opened, places, readings, service, stock, undoing, withdrawing
from prepboard.store.actions.loading import load_texts
from prepboard.store.file.who import Did, Refused, Unsure, Who
from prepboard.store.kitchen_file import KitchenFile
from tests.food import reckoning as own

MONDAY = datetime(2026, 11, 2, tzinfo=UTC)
WHO = Who("ab", "kitchen")
LITRE = 1_000_000_000
Op = tuple[int, int, int, int]

HEAD = """
time_zone = "UTC"
day_starts = "04:00"
rules = "{rules}"
unread_cooling = "{unread}"
[stations.kitchen]
[services.dinner]
starts = "18:00"
ends = "23:00"
covers = 10
[dishes.bowl]
services = ["dinner"]
plate = {{ {soup} = "100 ml" }}
[places]
walk-in = {{ name = "Walk-in", store = "chilled" }}
blast-chiller = {{ name = "Blast chiller", store = "chilled" }}
freezer = {{ name = "Freezer", store = "frozen" }}
bench = {{ name = "Bench", store = "ambient" }}
cold-table = {{ name = "Cold table", store = "time", temperature = "18 C" }}
clock = {{ name = "On the clock", store = "time" }}
hot-cupboard = {{ name = "Hot cupboard", store = "hot" }}
[goods.{cream}]
name = "Cream"
{cream_was}
unit = "l"
store = "chilled"
place = "walk-in"
ready_to_eat = true
keeps_open = "5 days"
"""
PREP = """
[preps.{id}]
name = "{name}"
{was}
keeps = "{days} days"
ready_to_eat = {eaten}
place = "{place}"
{store}
makes = "10 l"
uses = {{ {uses} }}
steps = [{steps}]
"""
HOT = '{ do = "Boil", at = "95 C", wait = "10 min" }, { do = "Chill", wait = "10 min" }'
COLD = '{ do = "Mix", hands_on = "5 min" }'

DISHES = {
    "soup": own.Dish(hot=10, days=7, goods=("cream",)),
    "stew": own.Dish(hot=10, days=6),
    "salad": own.Dish(days=4, goods=("cream",)),
    "filling": own.Dish(days=3, ready_to_eat=False),
    "pie": own.Dish(hot=10, days=5),
    "tartare": own.Dish(days=1, place="clock"),
}
TAKES = {
    "soup": {"cream": 1000},
    "stew": {"soup": 1000},
    "salad": {"soup": 500, "cream": 200},
    "filling": {},
    "pie": {"filling": 1000, "salad": 200},
    "tartare": {"salad": 500},
}
NAMES = (*DISHES, "soup", "soup", "salad", "stew", "soup")
RENAMED = "potage"
CREAM = "double-cream"
"""What soup and cream are called in the other book."""

WAITS = (1, 2, 5, 14, 29, 44, 59, 61, 88, 119, 121, 179, 239, 241, 359, 700, 1440, 2881)
WARMTH = (2, 3, 4, 5, 6, 7, 8, 9, 12, 18, 20, 21, 22, 30, 40, 55, 58, 61, 63, 64, 70, 74, 80)
PLACES = tuple(own.STORES)
AHEAD = (0, 130, 500, 4320)


def write_book(folder: Path, rules: str, unread: str, *, renamed: bool) -> Path:
    called = {"soup": RENAMED, "cream": CREAM} if renamed else {}
    text = HEAD.format(
        rules=rules, unread=unread, soup=called.get("soup", "soup"), cream=called.get("cream", "cream"),
        cream_was='was = "cream"' if renamed else f'was = "{CREAM}"',
    )  # fmt: skip
    for name, dish in DISHES.items():
        uses = ", ".join(f'{called.get(item, item)} = "{amount} ml"' for item, amount in TAKES[name].items())
        text += PREP.format(
            id=called.get(name, name), name=name.capitalize(), days=dish.days, place=dish.place, uses=uses,
            was='was = "soup"' if name in called else 'was = "potage"' if name == "soup" else "",
            eaten="true" if dish.ready_to_eat else "false", steps=HOT if dish.hot else COLD,
            store='store = "time"' if dish.place == "clock" else "",
        )  # fmt: skip
    folder.mkdir(parents=True)
    (folder / "kitchen.toml").write_text(text, encoding="utf-8")
    return folder


@dataclass(frozen=True)
class Ready:
    """A file that plays are copied from, and the two books that it may have."""

    path: Path
    books: tuple[tuple[Book, dict[str, str]], ...]
    rules: str
    hold: bool
    compiled: dict[str, Book] = field(default_factory=dict)
    """Books that were compiled, by their digest."""


def get_ready(folder: Path, rules: str, *, hold: bool = False) -> Ready:
    unread = "hold" if hold else "count"
    books = tuple(
        read_book(write_book(folder / name, rules, unread, renamed=name == "renamed")) for name in ("book", "renamed")
    )
    path = folder / "ready.db"
    file = KitchenFile.open(path, FixedClock(MONDAY + timedelta(hours=5)), create=True, random=Random(3))
    load_texts(file, WHO, *books[0])
    file.close()
    return Ready(path, books, rules, hold)


class Differs(AssertionError):
    """The one answer and the reckoning do not agree."""


@dataclass
class Play:
    file: KitchenFile
    clock: FixedClock
    ready: Ready
    told: own.Kitchen
    minute: int = 5 * own.HOUR
    renamed: bool = False
    used: set[int] = field(default_factory=set)
    before: list[own.Kitchen | None] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    did: dict[str, int] = field(default_factory=dict)
    asked: int = 0

    # The dice

    def do(self, op: Op) -> None:
        kind, a, b, wait = op
        self.minute += WAITS[wait % len(WAITS)]
        self.clock.at = MONDAY + timedelta(minutes=self.minute)
        name, action = ACTIONS[kind % len(ACTIONS)]
        kept = copy.deepcopy(self.told)
        try:
            action(self, a, b)
        except (Refused, Unsure) as no:
            self.told = kept
            self.said.append(f"{self.now()} {name}: refused: {no}")
            return
        except NothingToDo:
            self.told = kept
            self.minute -= WAITS[wait % len(WAITS)] - 1
            self.clock.at = MONDAY + timedelta(minutes=self.minute)
            return
        self.did[name] = self.did.get(name, 0) + 1
        if name not in ("undo", "rename"):
            self.before.append(kept)
        self.check()

    def now(self) -> str:
        return f"{self.minute // own.DAY}d {self.minute % own.DAY // 60:02}:{self.minute % 60:02} ({self.minute})"

    def tell(self, text: str) -> None:
        self.said.append(f"{self.now()} {text}")

    # What is there

    def live(self) -> list[tuple[str, str, int]]:
        """Code, dish, millilitres of each batch with something left."""
        with self.file.looking() as db:
            rows = db.execute("SELECT code, prep, left FROM batches WHERE state = 'live' ORDER BY rowid").fetchall()
        return [(code, "soup" if prep == RENAMED else prep, left // 1_000_000) for code, prep, left in rows]

    def a_batch(self, a: int, **of: str) -> tuple[str, str, int]:
        return pick([one for one in self.live() if not of or one[1] == of["dish"]], a)

    def under_way(self) -> list[str]:
        return [code for code, run in self.told.runs.items() if run.ended is None]

    def id_of(self, dish: str) -> str:
        return {"soup": RENAMED, "cream": CREAM}.get(dish, dish) if self.renamed else dish

    def taken(self, run: str, before: dict[str, int]) -> None:
        """What went into a run, as its moves say; and that as much went in as was there."""
        found = self.told.runs[run]
        with self.file.looking() as db:
            rows = db.execute(
                "SELECT batch, at, amount FROM moves WHERE run = ? AND kind = 'used' AND NOT EXISTS (SELECT 1 FROM"
                " moves AS back WHERE back.gives_back = moves.number AND back.kind = 'undone') ORDER BY number",
                [run],
            ).fetchall()
        took = [(code, minutes(at)) for code, at, _amount in rows]
        if took != found.took:
            found.took = took
        for item, amount in TAKES[found.dish].items():
            if item == "cream":
                continue
            gone = sum(-moved for code, _at, moved in rows if self.told.batches[code].dish == item) // 1_000_000
            if before and not before.get("instead") and gone < min(amount, before.get(item, 0)):
                raise Differs(f"{run} takes {amount} ml {item}, {before.get(item, 0)} ml are there, {gone} ml went in")
        if "cream" in TAKES[found.dish]:
            open_packs = [code for code, one in self.told.batches.items() if one.pack and code in self.codes()]
            if not any(self.told.batches[code].pack for code, _at in took) and not found.unopened:
                if open_packs:
                    raise Differs(f"{run}: packs {open_packs} stand open and none was named")
                found.unopened.append(("cream", self.minute))

    def codes(self) -> set[str]:
        return {code for code, _dish, _left in self.live()}

    def there(self) -> dict[str, int]:
        found: dict[str, int] = {}
        for _code, dish, left in self.live():
            found[dish] = found.get(dish, 0) + left
        return found

    # Asking

    def check(self) -> None:
        """Every batch that is there, now and ahead: never longer than the reckoning, nor shorter without a reason."""
        answers = self.answers()
        seen: list[dict[str, list[own.Fact]]] = [{} for _ahead in AHEAD]
        for code, at_each in answers:
            self.asked += len(at_each)
            for ahead, known, (found, until) in zip(AHEAD, seen, at_each, strict=True):
                truth = own.may_use(self.told, code, self.minute + ahead, known)
                self.compare(code, self.minute + ahead, found, until, truth)

    def answers(self) -> list[tuple[str, list[tuple[Answer, int | None]]]]:
        found: list[tuple[str, list[tuple[Answer, int | None]]]] = []

        def body(doing: Doing) -> Did:
            for row in doing.rows("SELECT * FROM batches WHERE state = 'live' ORDER BY rowid"):
                lies = food(doing, row, taken=False)
                each = [(may_use(lies, doing.now + timedelta(minutes=ahead)), until_of(lies)) for ahead in AHEAD]
                found.append((row["code"], each))
            raise Refused("only asked")

        with contextlib.suppress(Refused):
            act(self.file, WHO, "ask", body)
        return found

    def compare(
        self, code: str, at: int, found: Answer, until: int | None, truth: own.Answer
    ) -> None:
        told = f"{code} {self.told.batches[code].dish} at {at}: answered {found.may}, row {found.row} {found.why!r}, "
        told += f"to {until}; reckoned {truth.may}, row {truth.row} {truth.what!r}, to {truth.until}"
        if found.may and not truth.may:
            raise Differs(f"LONGER {told}")
        longer = truth.until is not None and (until is None or until > truth.until)
        if found.may and longer:
            raise Differs(f"LONGER {told}")
        shorter = (truth.may and not found.may) or (
            found.may and until is not None and (truth.until is None or until < truth.until)
        )
        if shorter:
            raise Differs(f"SHORTER {told}")


class NothingToDo(Exception):
    """The dice named something that is not there."""


def until_of(lies: Food) -> int | None:
    end = earliest(lies)
    return minutes(end.until) if end is not None and end.until is not None else None


def minutes(at: str | datetime) -> int:
    moment = datetime.fromisoformat(at) if isinstance(at, str) else at
    return int((moment - MONDAY).total_seconds() // 60)


def pick(found: Sequence, n: int):  # type: ignore[no-untyped-def,type-arg]
    if not found:
        raise NothingToDo
    return found[n % len(found)]


def moment(minute: int) -> datetime:
    return MONDAY + timedelta(minutes=minute)


# Actions: each does it in the kitchen and, if that was not refused, tells the reckoning.


def start(play: Play, a: int, b: int) -> None:
    dish = pick(NAMES, a)
    before = play.there()
    run = making.start(play.file, WHO, play.id_of(dish), Fraction(1), sure=True).run
    play.told.runs[run] = own.Run(dish, play.minute)
    play.taken(run, before)
    play.tell(f"start {dish} {run} takes {play.told.runs[run].took}")


def step(play: Play, a: int, b: int) -> None:
    run = pick([one for one in play.under_way() if play.told.dishes[play.told.runs[one].dish].hot], a)
    making.step(play.file, WHO, run, sure=True)
    play.told.runs[run].pressed = play.minute
    play.tell(f"step {run}")


def done(play: Play, a: int, b: int) -> None:
    run = pick(play.under_way(), a)
    _done(play, run, 4 if b % 3 == 0 else 0, more=b % 3 == 0)


def top_up(play: Play, a: int, b: int) -> None:
    run = pick(play.under_way(), a)
    onto = pick([one for one in play.live() if one[1] == play.told.runs[run].dish], b)
    _done(play, run, 3 if b % 2 else 0, more=bool(b % 2), onto=onto[0])


def _done(play: Play, run: str, litres: int, *, more: bool, onto: str = "") -> None:
    found = play.told.runs[run]
    name = play.id_of(found.dish)
    gave = {name: litres * LITRE} if litres else None
    did = making.done(play.file, WHO, run=run, outputs=gave, how=How(onto=onto, more=more), sure=True)
    if not more:
        found.ended = play.minute
    play.taken(run, {})
    _gave(play, did, run, onto)
    play.tell(f"done {run} -> {did.batches} more={more} onto={onto}")


def _gave(play: Play, did: Did, run: str, onto: str = "") -> None:
    found = play.told.runs[run]
    if onto:
        play.told.batches[onto].made.append((run, play.minute))
        return
    (code,) = did.batches
    place = play.told.dishes[found.dish].place
    play.told.batches[code] = own.Batch(
        found.dish, play.minute, made=[(run, play.minute)], stood=[(play.minute, place)]
    )


def done_unseen(play: Play, a: int, b: int) -> None:
    dish = pick(NAMES, a)
    instead = {}
    if dish == "stew" and b % 3 == 0:
        instead = {play.id_of("soup"): "salad"}
    before = play.there()
    did = making.done(play.file, WHO, prep=play.id_of(dish), how=How(instead=instead), sure=True)
    with play.file.looking() as db:
        (run,) = db.execute("SELECT run FROM batches WHERE code = ?", [did.batches[0]]).fetchone()
    play.told.runs[run] = own.Run(dish, play.minute, seen=False, ended=play.minute)
    play.taken(run, {**before, "instead": 1} if instead else before)
    _gave(play, did, run)
    play.tell(f"done {dish} unseen {run} -> {did.batches} instead {instead}")


def split(play: Play, a: int, b: int) -> None:
    code, dish, left = play.a_batch(a)
    if play.told.batches[code].pack or left < 2:
        raise NothingToDo
    did = places.split(play.file, WHO, code, [left // 2 * 1_000_000])
    _part(play, code, did.batches[0])
    play.tell(f"split {code} -> {did.batches}")


def _part(play: Play, whole: str, part: str) -> None:
    if part != whole:
        of = play.told.batches[whole]
        play.told.batches[part] = own.Batch(
            of.dish, of.ready, whole=(whole, play.minute), blocked=of.blocked, pack=of.pack, lot=of.lot,
            safety=of.safety, first_day=of.first_day,
        )  # fmt: skip


def move(play: Play, a: int, b: int) -> None:
    code, dish, left = play.a_batch(a)
    place = pick(PLACES, b)
    amount = left // 2 * 1_000_000 if b >= 2 * len(PLACES) and left > 2 and not play.told.batches[code].pack else None
    did = places.move_to(play.file, WHO, code, place, amount)
    _part(play, code, did.batches[0])
    play.told.batches[did.batches[0]].stood.append((play.minute, place))
    play.tell(f"move {code} -> {place} {did.batches}")


def freeze(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    places.freeze(play.file, WHO, code)
    play.told.batches[code].stood.append((play.minute, "freezer"))
    play.tell(f"freeze {code}")


def thaw(play: Play, a: int, b: int) -> None:
    frozen = [one for one in play.live() if own.stood(play.told, play.told.batches[one[0]])[-1][1] == "freezer"]
    code, _dish, _left = pick(frozen, a)
    places.thaw(play.file, WHO, code, place="walk-in")
    play.told.batches[code].stood.append((play.minute, "walk-in"))
    play.tell(f"thaw {code}")


def use(play: Play, a: int, b: int) -> None:
    code, _dish, left = play.a_batch(a)
    stock.use(play.file, WHO, code, max(1, left // 3) * 1_000_000, "staff")
    play.tell(f"use {code}")


def plate(play: Play, a: int, b: int) -> None:
    day = date(2026, 11, 2) + timedelta(days=own.business_day(play.minute))
    service.plate(play.file, WHO, ("dinner", day), "bowl", 1 + b % 3, sure=True)
    play.tell("plate")


def discard(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    stock.discard(play.file, WHO, code, None, "spoiled")
    play.tell(f"discard {code}")


def read_batch(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    degrees = pick(WARMTH, b)
    readings.read(play.file, WHO, "batch", code, Fraction(degrees), "C", sure=True)
    play.told.batches[code].readings.append(own.Read(play.minute, degrees))
    play.tell(f"read {code} {degrees}")


def read_late(play: Play, a: int, b: int) -> None:
    """Typed 20 minutes late: it improves nothing."""
    code, _dish, _left = play.a_batch(a)
    degrees, at = pick(WARMTH, b), play.minute - 20
    if at <= play.told.batches[code].ready or any(one[0] == at for one in play.told.batches[code].stood):
        raise NothingToDo
    readings.read(play.file, WHO, "batch", code, Fraction(degrees), "C", sure=True, at=moment(at))
    play.told.batches[code].readings.append(own.Read(at, degrees, late=True))
    play.tell(f"read {code} {degrees} at {at}, typed late")


def read_reheat(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    degrees = pick((30, 60, 64, 74, 80), b)
    readings.read(play.file, WHO, "batch", code, Fraction(degrees), "C", reheat=True, sure=True)
    play.told.batches[code].readings.append(own.Read(play.minute, degrees, reheat=True))
    play.tell(f"reheat {code} {degrees}")


def read_exposed(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    degrees = pick(WARMTH[:10], b)
    place = own.stood(play.told, play.told.batches[code])[-1][1]
    readings.read(play.file, WHO, "batch", code, Fraction(degrees), "C", most_exposed=True, sure=True)
    play.told.batches[code].readings.append(own.Read(play.minute, degrees))
    play.told.places.setdefault(place, []).append(own.Read(play.minute, degrees, exposed=True))
    play.tell(f"read {code} {degrees}, most exposed in {place}")


def read_run(play: Play, a: int, b: int) -> None:
    run = pick(play.under_way(), a)
    degrees = pick(WARMTH, b)
    readings.read(play.file, WHO, "run", run, Fraction(degrees), "C", sure=True)
    play.told.runs[run].readings.append(own.Read(play.minute, degrees))
    play.tell(f"read run {run} {degrees}")


def read_place(play: Play, a: int, b: int) -> None:
    place = pick(("walk-in", "walk-in", "blast-chiller", "hot-cupboard", "cold-table"), a)
    degrees = pick((2, 3, 4, 5, 8, 9, 18, 22, 58, 64), b)
    readings.read(play.file, WHO, "place", place, Fraction(degrees), "C")
    play.told.places.setdefault(place, []).append(own.Read(play.minute, degrees))
    play.tell(f"read {place} {degrees}")


def block(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    holding.block(play.file, WHO, code, "smells odd", for_taste=b % 3 == 0)
    play.told.batches[code].blocked = "taste" if b % 3 == 0 else "unsafe"
    play.tell(f"block {code} {play.told.batches[code].blocked}")


def unblock(play: Play, a: int, b: int) -> None:
    code, _dish, _left = pick([one for one in play.live() if play.told.batches[one[0]].blocked], a)
    if any(one[0] == code for one in play.told.withdrawn):
        raise NothingToDo
    holding.unblock(play.file, WHO, code, "tasted")
    play.told.batches[code].blocked = ""
    play.tell(f"unblock {code}")


def block_place(play: Play, a: int, b: int) -> None:
    place = pick(("walk-in", "blast-chiller", "bench"), a)
    if place in play.told.blocked:
        holding.unblock(play.file, WHO, place, "mended")
        del play.told.blocked[place]
    else:
        holding.block(play.file, WHO, place, "broken")
        play.told.blocked[place] = play.minute
    play.tell(f"block or unblock {place}")


def withdraw(play: Play, a: int, b: int) -> None:
    if b % 3:
        lot = pick(("l 1", "L2", ""), b)
        withdrawing.withdraw(play.file, WHO, play.id_of("cream"), "recalled", lot=lot, sure=True)
        play.told.withdrawn.append(("", "cream", lot))
        play.tell(f"withdraw cream {lot!r}")
        return
    code, _dish, _left = play.a_batch(a)
    withdrawing.withdraw(play.file, WHO, code, "recalled", sure=True)
    whole = code
    while play.told.batches[whole].whole:
        whole = play.told.batches[whole].whole[0]
    play.told.withdrawn.append((whole, "", ""))
    play.tell(f"withdraw {whole}")


def lift(play: Play, a: int, b: int) -> None:
    of_batch, goods, lot = pick(play.told.withdrawn, a)
    holding.unblock(play.file, WHO, of_batch or play.id_of(goods), "the maker's word")
    play.told.withdrawn = [
        one for one in play.told.withdrawn if (one[0] != of_batch if of_batch else one[1] != goods)
    ]
    play.tell(f"lift {of_batch or goods}")


def open_pack(play: Play, a: int, b: int) -> None:
    lot = pick(("L1", "L2", "L3", ""), a)
    safety = own.business_day(play.minute) + b % 4 if b % 3 else None
    last = date(2026, 11, 2) + timedelta(days=safety) if safety is not None else None
    (code,) = opened.open_goods(play.file, WHO, play.id_of("cream"), lot, last).batches
    play.told.batches[code] = own.Batch(
        "cream", play.minute, stood=[(play.minute, "walk-in")], pack="cream", lot=lot, safety=safety
    )
    play.tell(f"open cream {lot!r} {safety} -> {code}")


def count(play: Play, a: int, b: int) -> None:
    dish = pick(NAMES, a)
    stock.count(play.file, WHO, play.id_of(dish), (b % 12) * LITRE)
    play.tell(f"count {dish} {b % 12} l")


def put_right(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    readings.corrected(play.file, WHO, code, "reheated, cooled on ice")
    play.told.batches[code].corrected.append(play.minute)
    play.tell(f"corrected {code}")


def relabel(play: Play, a: int, b: int) -> None:
    code, _dish, _left = play.a_batch(a)
    batch = play.told.batches[code]
    day = own.business_day(batch.ready) - b % 3
    was = own.own_day(play.told, batch)
    holding.correct(play.file, WHO, code, holding.Right(first_day=date(2026, 11, 2) + timedelta(days=day)), "misread")
    batch.first_day = day
    for one in play.told.batches.values():  # Its parts have labels of their own.
        if one.whole and one.whole[0] == code and one.first_day is None:
            one.first_day = was
    play.tell(f"relabel {code} day {day}")


def undo(play: Play, a: int, b: int) -> None:
    if not play.before:
        raise NothingToDo
    undoing.undo(play.file, WHO)
    before = play.before.pop()
    if before is None:
        raise NothingToDo
    play.told = before
    play.tell("undo")


def rename(play: Play, a: int, b: int) -> None:
    play.renamed = not play.renamed
    load_texts(play.file, WHO, *play.ready.books[1 if play.renamed else 0])
    play.before.clear()
    play.tell("rename")


ACTIONS: tuple[tuple[str, Callable[[Play, int, int], None]], ...] = (
    ("start", start), ("start", start), ("start", start), ("step", step), ("step", step), ("done", done),
    ("done", done), ("done", done), ("onto", top_up), ("onto", top_up), ("onto", top_up), ("unseen", done_unseen),
    ("unseen", done_unseen), ("split", split), ("split", split), ("move", move), ("move", move), ("move", move),
    ("move", move), ("freeze", freeze), ("freeze", freeze), ("thaw", thaw), ("thaw", thaw), ("thaw", thaw), ("use", use),
    ("plate", plate), ("discard", discard), ("read", read_batch), ("read", read_batch), ("read", read_batch),
    ("read", read_batch), ("read", read_batch), ("late", read_late), ("reheat", read_reheat),
    ("exposed", read_exposed), ("read run", read_run), ("read run", read_run), ("read place", read_place),
    ("read place", read_place), ("read place", read_place), ("block", block), ("unblock", unblock),
    ("block place", block_place), ("withdraw", withdraw), ("lift", lift), ("open", open_pack), ("count", count),
    ("corrected", put_right), ("corrected", put_right), ("relabel", relabel), ("undo", undo), ("rename", rename),
)  # fmt: skip


THEMES = (
    (),
    ("unseen", "start", "step", "read run", "done", "onto", "read", "read", "reheat", "corrected", "split", "undo"),
    ("unseen", "unseen", "move", "read", "read place", "exposed", "split", "start", "done", "late", "block place", "count"),
    ("unseen", "start", "done", "freeze", "thaw", "open", "relabel", "split", "onto", "undo", "rename", "discard", "count"),
    ("open", "start", "done", "onto", "split", "withdraw", "lift", "block", "unblock", "rename", "undo", "plate"),
)  # fmt: skip
"""What a play is about: all there is, cooling, places, dates, what is withheld."""


def drawn(seed: str, most: int = 50) -> list[Op]:
    """A play drawn from a seed; most waits are short. Plays about one thing go deeper than those about everything."""
    random = Random(seed)
    theme = random.choice(THEMES)
    short = len(WAITS) - 5
    kinds = [number for number, (name, _action) in enumerate(ACTIONS) if not theme or name in theme]
    first = [number for number in kinds if ACTIONS[number][0] in ("start", "unseen")]
    return [
        (
            random.choice(first if number < 2 else kinds),
            random.randrange(60),
            random.randrange(60),
            random.randrange(short) if random.random() < 0.85 else random.randrange(len(WAITS)),
        )
        for number in range(random.randint(8, most))
    ]


class InMemory(KitchenFile):
    """A kitchen's file whose pages lie in memory: each action is a savepoint of one connection, so that a play waits
    for no disk. All that is in it was written by the same actions as in a file."""

    @classmethod
    def copy_of(cls, ready: Ready, clock: FixedClock) -> InMemory:
        file = cls(ready.path, clock, Random(3))
        file._books = ready.compiled
        file._reader = sqlite3.connect(":memory:", isolation_level=None)
        with contextlib.closing(sqlite3.connect(ready.path)) as db:
            db.backup(file._reader)
        file._reader.execute("PRAGMA foreign_keys = ON")
        file._reader.execute("PRAGMA recursive_triggers = ON")
        return file

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        self._reader.execute("SAVEPOINT one")
        try:
            yield self._reader
        except BaseException:
            self._reader.execute("ROLLBACK TO one")
            raise
        finally:
            self._reader.execute("RELEASE one")

    @contextmanager
    def looking(self) -> Iterator[sqlite3.Connection]:
        yield self._reader


def begin(ready: Ready) -> Play:
    """A fresh kitchen, copied from the one that was made ready."""
    clock = FixedClock(MONDAY + timedelta(hours=5))
    file = InMemory.copy_of(ready, clock)
    return Play(file, clock, ready, own.Kitchen(own.CODES[ready.rules], DISHES, hold=ready.hold))


def played(ready: Ready, ops: Sequence[Op]) -> Play:
    """Plays it through; Differs, with all that was done, where the answers are not the same."""
    play = begin(ready)
    try:
        for op in ops:
            play.do(op)
    except Differs as no:
        told = "\n  ".join(play.said)
        raise Differs(f"{ready.rules}{' hold' if ready.hold else ''}: {no}\n  {told}") from None
    finally:
        play.file.close()
    return play
