"""Hands at the keys of real boards on one file, without a screen: drawn keys on drawn rows, questions answered at
random while others act, and a look into the file whether each press did what its presser had seen.

What was seen is kept here as the file had it when the board was read; what an action met stands in the rows as they
were before it. So the two are compared without the checks that the actions themselves make.
"""

from __future__ import annotations

import asyncio
import inspect
import json
import shutil
from collections import Counter
from collections.abc import Awaitable, Callable
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from random import Random
from types import FunctionType, MethodType, SimpleNamespace
from typing import Any

from prepboard.boards.acts import runs as doing_runs
from prepboard.boards.acts.desk import Desk
from prepboard.boards.closing.keys import ClosingKeys
from prepboard.boards.closing.rows import NAMES, find, sections
from prepboard.boards.frame.board_screen import BoardScreen
from prepboard.boards.keys import of
from prepboard.boards.pages.line_screen import LineScreen
from prepboard.boards.pars.history import new_recipe, special_day
from prepboard.boards.questions.amount import AskAmount, Given
from prepboard.boards.questions.dish import AskDish, Plates
from prepboard.boards.questions.minutes import AskMinutes
from prepboard.boards.questions.sure import AskAll, AskTakeBack, Sure
from prepboard.boards.questions.typed import Typed
from prepboard.boards.questions.which import Choices
from prepboard.boards.rows.find import find as find_row
from prepboard.boards.rows.lists import key_of, run_key
from prepboard.boards.station.keys import StationKeys
from prepboard.boards.widgets.row import Row
from prepboard.book.safety.may_use import WITHHELD
from prepboard.plan.board import plan
from prepboard.plan.changing.drafts import set_to
from prepboard.plan.given.numbers import Change, Number
from prepboard.plan.given.state import State, Tonight
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.night import numbers
from prepboard.store.file.who import Did, Who, text_of
from prepboard.store.kitchen_file import KitchenFile
from prepboard.texts import told

BEGINS = datetime(2026, 10, 31, 14, 0, tzinfo=UTC)
ENDS = datetime(2026, 11, 1, 0, 30, tzinfo=UTC)
DINNER = ("dinner", BEGINS.date())
STATIONS = ("sauce", "roast")
BOOK = Path(__file__).parents[1] / "store" / "book"
TASKS = '[tasks.fridge]\nname = "Read the fridge"\nstation = "sauce"\nwhen = "close"\nreads = "C"\n'

ONLY_LOOKS = {
    "whole", "bring", "filter", "show_all", "label", "next_part", "waste", "find_batch", "what_helps", "all_keys",
    "back", "down", "up", "page_down", "page_up",
}  # fmt: skip
"""Keys of benches, of the close and of an opened line that change nothing, or offer what `save` does."""

AMOUNTS_TYPED = ("count", "half", "none")


def opened_kitchen(folder: Path, open_file: Callable[..., KitchenFile]) -> Path:
    """A file with the small book and one task in it."""
    book = Path(shutil.copytree(BOOK, folder / "book"))
    (book / "tasks.toml").write_text(TASKS, encoding="utf-8")
    (folder / "shared").mkdir()
    path = folder / "shared" / "kitchen.db"
    made = open_file(path, create=True)
    load_book(made, Who("dk", ""), book)
    made.close()
    return path


class Keys:
    """The keys of a board's class, without its screen: what is not given here is the class's."""

    def __init__(self, of_class: type[Any], **given: Any) -> None:
        self.__dict__ |= {"_class": of_class, **given}

    def __getattr__(self, name: str) -> Any:
        found = inspect.getattr_static(self.__dict__["_class"], name)
        if isinstance(found, property) and found.fget:
            return found.fget(self)
        return MethodType(found, self) if isinstance(found, FunctionType) else found


class WatchedDesk(Desk):
    """Remembers what was done, and what was typed on the way."""

    dids: list[Did]

    async def carry_out(self, write: Any) -> Did | None:
        did = await super().carry_out(write)
        if did is not None:
            self.dids.append(did)
        return did


class Hand:
    """One person at one station. `meanwhile` lets the others act while a question stands."""

    def __init__(
        self,
        file: KitchenFile,
        station: str,
        by: str,
        seed: int,
        meanwhile: Callable[[], Awaitable[None]] | None = None,
    ) -> None:
        self.file, self.station, self.chance = file, station, Random(seed)
        self.meanwhile = meanwhile
        self.pressed: Counter[str] = Counter()
        self.done: Counter[str] = Counter()
        self.refused: Counter[str] = Counter()
        self.unseen: list[str] = []
        """Actions whose presser had not seen what they met."""
        self.app: Any = SimpleNamespace(push_screen_wait=self._answer, push_screen=lambda _screen: None)
        self.people: tuple[str, ...] = ()
        self._ticks = 0.0
        self._open: Any = SimpleNamespace()
        """The board's keys that are being pressed."""
        self.busy = False
        self.desk = WatchedDesk(file, station, by, self, ticks=self._tick)
        self.look()

    def _tick(self) -> float:
        self._ticks += 2.0
        return self._ticks

    def tell(self, text: str, tone: str = "plain") -> None:
        self.said = text

    def look(self) -> None:
        """Reads the file and plans, as a board does when it is woken."""
        self.state = self.file.read()
        self.board = plan(self.state, self.file.clock.now())

    # --- one press ---------------------------------------------------------------------------------------

    async def press(self) -> None:
        """A drawn key on a drawn row; what it did is compared with what was on this screen as it was pressed."""
        if self.chance.random() < 0.2:
            self.look()
        self.desk.dids = []
        self.typed, self.asked, self.said = False, "", ""
        seen = self.state
        board, works = self.chance.choices((self._bench, self._line, self._close, self._pars), (5, 2, 4, 2))[0]()
        self.pressed[board] += 1
        self.busy = True
        for work in works:
            await work
        self.busy = False
        for did in self.desk.dids:
            self.done[board] += 1
            for what in unseen(self.file, did, seen, typed=self.typed, asked=self.asked):
                self.unseen.append(f"{board}: {did.text}: {what}")
        if not self.desk.dids and self.said:
            self.refused["moved" if "look again" in self.said else "else"] += 1
        self.desk._unsaved.clear()

    def _keys(
        self, group: str, of_class: type[Any], of_screen: dict[str, Any] | None = None, **given: Any
    ) -> tuple[str, list[Any]]:
        works: list[Any] = []
        action = self.chance.choice([key.action for key in of(group) if key.action not in ONLY_LOOKS])
        screen: Any = SimpleNamespace(
            board=self.board, desk=self.desk, app=self.app, stations=STATIONS, file=self.file, tell=self.tell,
            ask=works.append, **of_screen or {},
        )  # fmt: skip
        screen.do = MethodType(BoardScreen.do, screen)
        keys = Keys(of_class, screen=screen, **given)
        self._open = screen
        if action == "undo":
            works.append(doing_runs.undo(self.desk))
        else:
            getattr(keys, f"action_{action}")()
        return f"{group} {action}", [work for work in works if work is not None]

    def _rows(self) -> list[str]:
        board = self.board
        return [
            *(str(line.line) for line in board.make[:4]),
            *(run_key(run) for run in board.under_way),
            *(batch.code for batch in board.state.batches),
            *(left.dish for left in board.left),
            *(f"note {note.number}" for note in board.notes),
            *(f"timer {timer.number}" for timer in board.state.timers),
            *(f"task {task.task}" for task in board.tasks),
        ]

    def _drawn(self) -> tuple[str, Any] | None:
        found = [(key, shown) for key in self._rows() if (shown := find_row(self.board, key))]
        return self.chance.choice(found) if found else None

    def _bench(self) -> tuple[str, list[Any]]:
        lines = (*self.board.make, *self.board.under_way)
        return self._keys(
            "station", StationKeys, {"seen": frozenset(key_of(line) for line in lines)}, here=self._drawn(),
            marked=frozenset(key_of(line) for line in self.chance.sample(lines, min(2, len(lines))))
            if self.chance.random() < 0.1
            else frozenset(),
            unmark=lambda: None, toggle=lambda _key: None,
        )  # fmt: skip

    def _line(self) -> tuple[str, list[Any]]:
        drawn = self._drawn()
        if drawn is None:
            return "line nothing", []
        works: list[Any] = []
        host = Keys(
            BoardScreen, board=self.board, desk=self.desk, tell=self.tell, ask=works.append,
            show_labels=lambda _codes: None,
        )  # fmt: skip
        name, mine = self._keys(
            "line", LineScreen, host=host, row=Row(drawn[0]), dismiss=lambda: None, follow=lambda _row: None,
            _went_on_at=-1e9, _helping=SimpleNamespace(found=()),
        )  # fmt: skip
        self._open = host
        return name, [*mine, *works]

    def _close(self) -> tuple[str, list[Any]]:
        lists = {section.name: section.rows for section in sections(self.board, STATIONS, frozenset())}
        found = [
            (name, row.key)
            for name in NAMES
            for row in lists[name]
            if find(self.board, STATIONS, name, row.key) is not None
        ]
        here = None
        list_ = SimpleNamespace(id="count", rows=(), cursor="", move_to=lambda _at: None)
        if found:
            name, key = self.chance.choice(found)
            list_ = SimpleNamespace(id=name, rows=lists[name], cursor=key, move_to=lambda _at: None)
            here = list_, key, find(self.board, STATIONS, name, key)
        return self._keys(
            "closing", ClosingKeys, {"show_list": lambda _name: None, "list_of": lambda _name: list_}, here=here,
            touched=set(), dealt_with=set(), _in_turn=asyncio.Lock(),
        )  # fmt: skip

    def _pars(self) -> tuple[str, list[Any]]:
        """What the sous chef's keys come to: numbers that are saved, and what history is told."""
        kind = self.chance.choice(("covers", "count", "off", "portion", "par", "special", "new_recipe"))
        if kind == "special":
            return "pars special", [special_day(self.desk, self.board, DINNER)]
        if kind == "new_recipe":
            return "pars new_recipe", [new_recipe(self.desk, self.board, ["pressed-lamb"])]
        return f"pars {kind}", [self._save(kind)]

    async def _save(self, kind: str) -> None:
        n = self.chance.randrange(40, 80)
        number, to = {
            "covers": (Number("covers", DINNER), n),
            "count": (Number("count", DINNER, "lamb-toast"), n),
            "off": (Number("off", DINNER, "lamb-toast"), self.chance.choice(("none left", None))),
            "portion": (Number("portion", item="lamb-jus", day=DINNER[1], on="pressed-lamb"), n * 10**6),
            "par": (Number("par", DINNER, "onion-crisp"), n * 10**6),
        }[kind]
        change = Change(number, seen=set_to(self.board.state, number), to=to)
        await self._wait()
        who = Who(self.desk.by, self.station)
        await self.desk.carry_out(partial(numbers.save, self.file, who, [change]))

    # --- questions ---------------------------------------------------------------------------------------

    async def _wait(self) -> None:
        """A question stands: others act, and this board may be shown what they did."""
        if self.meanwhile is not None:
            await self.meanwhile()
        if self.chance.random() < 0.2:
            self.look()
            self._open.board = self.board

    async def _answer(self, asked: Any) -> Any:
        await self._wait()
        if self.chance.random() < 0.1:
            return None
        if isinstance(asked, AskTakeBack):
            self.asked = asked.change
        if isinstance(asked, Sure | AskAll | AskTakeBack):
            return True
        if isinstance(asked, AskMinutes):
            return 3
        if isinstance(asked, AskAmount) and asked._planned and self.chance.random() < 0.5:
            return Given(None)
        for part in asked.parts:
            if isinstance(part, Choices):
                row = self.chance.choice(part.rows) if part.rows else None
                if row and isinstance(asked, AskDish):
                    return (Plates(row.key, self.chance.choice((1, 1, 2, -1))),)
                return part.answer(row) if row else None
            if isinstance(part, Typed):
                self.typed |= isinstance(asked, AskAmount)
                return _typed(part)
        raise AssertionError(f"nobody knows how to answer {asked!r}")


def _typed(part: Typed) -> Any:
    for text in ("4", "too salty", "", "5 min"):
        try:
            return part.read(text)
        except ValueError:
            continue
    return None


# --- what was met ----------------------------------------------------------------------------------------

ABOUT_BATCHES = ("use", "discard", "freeze", "thaw", "move to", "block", "unblock", "keep", "corrected", "count")
ALL_OF_IT = ("freeze", "thaw", "move to", "keep")


def unseen(file: KitchenFile, did: Did, seen: State, *, typed: bool, asked: str) -> list[str]:
    """What an action met that was not on the screen of whoever pressed it."""
    with file.looking() as db:
        number, kind, _answer = db.execute(
            "SELECT number, did, answer FROM actions WHERE id = ?", [did.action]
        ).fetchone()
        rows = db.execute("SELECT row_of, key, before, after FROM changes WHERE action = ?", [did.action]).fetchall()
        undone = db.execute("SELECT answer FROM actions WHERE undone_by = ?", [did.action]).fetchone()
    found = []
    if kind == "undo" and not asked.startswith(told(text_of(undone[0]))):
        found.append(f"asked {asked}, took back {undone[0]}")
    for table, key, before, after in rows if kind != "undo" else ():
        was, at = (json.loads(before) if before else None), json.loads(key)
        found += _row(file, number, kind, table, at, was, json.loads(after) if after else None, seen, typed)
    return found


def _row(
    file: KitchenFile, number: int, kind: str, table: str, key: dict[str, Any], was: Any, after: Any, seen: State,
    typed: bool,
) -> list[str]:  # fmt: skip
    if table == "batches" and was and kind in ABOUT_BATCHES and not (kind == "count" and typed):
        batch = next((one for one in seen.batches if one.code == key["code"]), None)
        if batch is None:
            return [f"batch {key['code']} was not in sight"]
        same = [("store", batch.store), ("place", batch.place), ("kept", batch.kept), ("set_aside", batch.set_aside)]
        differ = [f"{name} {was[name]}, seen {value}" for name, value in same if was[name] != value]
        of_others = any(mark.row == WITHHELD and mark.source != batch.code for mark in batch.marks)
        if was["blocked"] != batch.blocked and not of_others:
            differ.append(f"blocked {was['blocked']!r}, seen {batch.blocked!r}")
        more = was["left"] != batch.left if kind in ALL_OF_IT else was["left"] > batch.left
        # What is held back, or let go, is the batch, however much of it there is.
        more = more and not typed and kind not in ("block", "unblock", "corrected")
        return differ + ([f"{was['left']} of {key['code']}, seen {batch.left}"] if more else [])
    if table == "runs" and was and kind in ("step", "done", "lost"):
        run = next((one for one in seen.runs if one.code == key["code"]), None)
        met = (was["step"], json.loads(was["outputs"]))
        return (
            []
            if run and met == (run.step, dict(run.outputs))
            else [f"run {key['code']} at {met}, seen {run and run.step}"]
        )
    if table == "notes" and was:
        note = next((one for one in seen.notes if one.number == key["number"]), None)
        return [] if note and note.text == was["text"] else [f"note {was['text']}, seen {note}"]
    if table == "timers" and was:
        timer = next((one for one in seen.timers if one.number == key["number"]), None)
        return [] if timer and timer.ends == datetime.fromisoformat(was["ends"]) else [f"timer {was}, seen {timer}"]
    if table == "plates" and was is None:
        dish = {name: after[name] for name in ("day", "service", "dish")}
        return _off(_before(file, number, "taken_off", dish), seen, dish)
    if table == "taken_off":
        return _off(was, seen, key)
    if table == "portions":
        shown = seen.portions.get((date.fromisoformat(key["day"]), key["dish"], key["prep"]))
        return [] if (was["amount"] if was else None) == shown else [f"portion {was}, seen {shown}"]
    if table == "services" and kind == "numbers" and was:
        shown = _tonight(seen, key).covers
        return [] if was["covers"] == shown else [f"covers {was['covers']}, seen {shown}"]
    if table in ("tasks_done", "signed") and was:
        return [f"{table} {was} was there already"]
    return []


def _tonight(seen: State, key: dict[str, Any]) -> Tonight:
    return seen.tonight.get((key["service"], date.fromisoformat(key["day"])), Tonight())


def _off(was: Any, seen: State, key: dict[str, Any]) -> list[str]:
    tonight, dish = _tonight(seen, key), key["dish"]
    shown = tonight.why_off.get(dish) if dish in tonight.off else None
    return [] if (was["why"] if was else None) == shown else [f"{dish} off: {was}, seen {shown}"]


def _before(file: KitchenFile, number: int, table: str, key: dict[str, Any]) -> Any:
    """A row as it was before an action: as the next one that changed it found it, else as it is."""
    where = " AND ".join(f"{name} = ?" for name in key)
    with file.looking() as db:
        changed = db.execute(
            "SELECT before FROM changes JOIN actions ON actions.id = changes.action"
            " WHERE row_of = ? AND key = ? AND actions.number >= ? ORDER BY actions.number LIMIT 1",
            [table, json.dumps(key), number],
        ).fetchone()
        if changed:
            return json.loads(changed[0]) if changed[0] else None
        cursor = db.execute(f"SELECT * FROM {table} WHERE {where}", list(key.values()))
        names = [column[0] for column in cursor.description]
        row = cursor.fetchone()
    return dict(zip(names, row, strict=True)) if row else None


def twice(file: KitchenFile) -> list[tuple[str, int]]:
    """Lines of the plan that have more than one run: two pressed start on one line."""
    with file.looking() as db:
        return db.execute(
            "SELECT line, count(*) FROM runs WHERE line IS NOT NULL AND state != 'undone'"
            " GROUP BY line HAVING count(*) > 1"
        ).fetchall()


def when(share: float) -> datetime:
    """The moment at which so much of the evening is over."""
    return BEGINS + timedelta(seconds=round((ENDS - BEGINS).total_seconds() * share))
