"""A play of food: what was done and what the reckoning was told of it; after each action every batch is asked about."""

from __future__ import annotations

import contextlib
import pickle
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from prepboard.book.safety.may_use import Answer, Food, earliest, may_use
from prepboard.clock import FixedClock
from prepboard.store.file.who import Did, Refused, Unsure
from prepboard.store.food.refused import food
from prepboard.store.kitchen_file import KitchenFile
from prepboard.store.transaction.doing import Doing, act
from tests.food import reckoned_facts, reckoning
from tests.food.played_kitchen import AHEAD, CREAM, MONDAY, RENAMED, TAKES, WAITS, WHO, Op, Ready


class Differs(AssertionError):
    """The one answer and the reckoning do not agree."""


@dataclass
class Play:
    file: KitchenFile
    clock: FixedClock
    ready: Ready
    told: reckoned_facts.Kitchen
    actions: Sequence[tuple[str, Callable[[Play, int, int], None]]]
    minute: int = 5 * reckoned_facts.HOUR
    renamed: bool = False
    used: set[int] = field(default_factory=set)
    before: list[bytes] = field(default_factory=list)
    """What was told before each action, as it is given back by undo."""
    said: list[str] = field(default_factory=list)
    did: dict[str, int] = field(default_factory=dict)
    asked: int = 0

    # The dice

    def do(self, op: Op) -> None:
        kind, a, b, wait = op
        self.minute += WAITS[wait % len(WAITS)]
        self.clock.at = MONDAY + timedelta(minutes=self.minute)
        name, action = self.actions[kind % len(self.actions)]
        kept = pickle.dumps(self.told)
        try:
            action(self, a, b)
        except (Refused, Unsure) as no:
            self.told = pickle.loads(kept)
            self.said.append(f"{self.now()} {name}: refused: {no}")
            return
        except NothingToDo:
            self.told = pickle.loads(kept)
            self.minute -= WAITS[wait % len(WAITS)] - 1
            self.clock.at = MONDAY + timedelta(minutes=self.minute)
            return
        self.did[name] = self.did.get(name, 0) + 1
        if name not in ("undo", "rename"):
            self.before.append(kept)
        self.check()

    def now(self) -> str:
        day, clock = divmod(self.minute, reckoned_facts.DAY)
        return f"{day}d {clock // 60:02}:{clock % 60:02} ({self.minute})"

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
        seen: list[dict[str, list[reckoned_facts.Fact]]] = [{} for _ahead in AHEAD]
        for code, at_each in answers:
            self.asked += len(at_each)
            for ahead, known, (found, until) in zip(AHEAD, seen, at_each, strict=True):
                truth = reckoning.may_use(self.told, code, self.minute + ahead, known)
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

    def compare(self, code: str, at: int, found: Answer, until: int | None, truth: reckoning.Answer) -> None:
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
