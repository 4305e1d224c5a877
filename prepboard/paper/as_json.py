"""A Board for scripts: plain objects and lists, one shape for each thing that can be shown.

Instants are ISO 8601 with the kitchen's offset, a business day is its date, amounts are a number and the item's own
unit, ids are the book's keys. Fields may be added, never renamed.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from datetime import timedelta
from typing import Any

from prepboard.paper.lists import today
from prepboard.paper.lists.bringing import bring_objects
from prepboard.paper.lists.handover import note_objects, task_objects, task_words
from prepboard.paper.lists.recipe import temperature_text
from prepboard.paper.sentences.contains import in_dish
from prepboard.paper.sentences.notes import note_text
from prepboard.paper.sentences.reasons import why_text
from prepboard.paper.sentences.waiting import due_words, waits_for_words
from prepboard.paper.text.plain import plain
from prepboard.paper.text.saying import Voice
from prepboard.paper.text.shape import Json, Shape, number
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch
from prepboard.plan.shown.closing_lines import CarryOver, Closing, Parting
from prepboard.plan.shown.day_lines import TaskLine
from prepboard.plan.shown.lines import (
    DishSales,
    Expiring,
    Left,
    MakeLine,
    NotThere,
    ParLine,
    Pull,
    Serves,
    StationWork,
    UnderWay,
    WaitsFor,
)
from prepboard.plan.stretches import Stretch, stretches


class Lines(Shape):
    """Puts the lines of one kitchen at one moment into objects."""

    def make(self, line: MakeLine) -> Json:
        shown: Json = {
            "line": str(line.line),
            "prep": line.prep,
            "task": None,
            "station": line.station,
            "amount": self.amount(line.prep, line.amount),
            "size": number(line.size),
            "begins": self.at(line.begins),
            "start_by": self.at(line.start_by),
            "can_start_from": self.at(line.can_start_from),
            "ready_by": self.at(line.ready_by),
            "ready_at": self.at(line.ready_at),
            "late_minutes": line.late_minutes,
            "too_late": line.too_late,
            "due_at": self.at(line.due_at),
            "ready_if_started_now": self.at(line.ready_if_started_now),
            "not_there": [self.not_there(one) for one in line.lacks],
            "waits_for": self.waits_for(line.waits_for),
            "for": [self.serves(line.prep, serves) for serves in line.serves],
            "notes": [
                *filter(None, [due_words(line, self.voice)]),
                *(note_text(note, self.voice) for note in line.notes),
            ],
            "par": None if line.par is None else self.amount(line.prep, line.par),
        }
        for key in ("on_hand", "left_over", "under_way", "short"):
            shown[key] = self.amount(line.prep, getattr(line, key))
        return shown

    def task(self, line: TaskLine) -> Json:
        """A task among the lines to make; what only a run has is null."""
        shown: Json = dict.fromkeys(
            ("line", "prep", "amount", "size", "par", "on_hand", "left_over", "under_way", "short")
        )
        at = self.at(line.at)
        ready = line.at + timedelta(minutes=line.hands_minutes)
        return {
            **shown,
            "task": line.task,
            "station": line.station,
            "begins": at,
            "start_by": at,
            "can_start_from": at,
            "ready_by": self.at(ready),
            "ready_at": self.at(ready),
            "late_minutes": max(0, int((self.voice.now - line.at).total_seconds()) // 60),
            "too_late": False,
            "due_at": None,
            "ready_if_started_now": self.at(self.voice.now + timedelta(minutes=line.hands_minutes)),
            "not_there": [],
            "waits_for": None,
            "for": [],
            "notes": [task_words(line, self.voice)],
        }

    def make_and_tasks(self, board: Board) -> list[Json]:
        """What is to make and the tasks not done yet, by start-by."""
        lines = [(line.begins, self.make(line)) for line in board.make]
        lines += [(line.at, self.task(line)) for line in board.tasks if line.done is None]
        return [shown for _at, shown in sorted(lines, key=lambda line: line[0])]

    def not_there(self, one: NotThere) -> Json:
        """What whoever starts the line now does not find there, or finds `frozen`; of goods no amount."""
        amount = self.amount(one.item, one.amount) if one.amount is not None else {}
        return {"item": one.item, **amount, **({"frozen": True} if one.frozen else {})}

    def waits_for(self, waits: WaitsFor | None) -> Json | None:
        """What holds a late line up, with a sentence for people."""
        if waits is None:
            return None
        text = waits_for_words(waits, self.voice)
        return {"kind": waits.kind, "what": waits.what, "until": self.at(waits.until), "text": text}

    def serves(self, prep: str, serves: Serves) -> Json:
        """Names the service at the end of the chain; where a run takes it first, that run's prep too."""
        shown: Json = {}
        if serves.service is not None or serves.run_of is None:
            shown["service"] = serves.service
        if serves.run_of is not None:
            shown["run_of"] = serves.run_of
        return {**shown, "day": self.day(serves.day), "amount": self.amount(prep, serves.amount)}

    def underway(self, run: UnderWay) -> Json:
        return {
            "run": run.run,
            "prep": run.prep,
            "station": run.station,
            "amount": self.amount(run.prep, run.amount),
            "by": plain(run.by),
            "started": self.at(run.started),
            "step": plain(run.doing),
            "next": plain(run.next),
            "next_at": self.at(run.due_at(self.voice.now)),
            "may_go_on_from": self.at(run.may_go_on_from),
            "go_on_by": self.at(run.go_on_by),
            "overdue_minutes": run.overdue_minutes,
            "ready_at": self.at(run.ready_at),
            "ready_by": self.at(run.ready_by),
            "late_minutes": run.late_minutes,
        }

    def expiring(self, line: Expiring) -> Json:
        batch = line.batch
        return {
            "batch": batch.code,
            "prep": batch.prep,
            "station": batch.station,
            "amount": self.left_of(batch),
            "made_at": self.at(batch.made_at),
            "use_by": self.at(batch.use_by),
            "why": why_text(batch.why, self._book.kitchen.rules),
            "use_first": line.use_first,
        }

    def left(self, left: Left) -> Json:
        return {
            "dish": left.dish,
            "plates_left": left.plates_left,
            "limiting": left.limiting,
            "runs_out_at": self.at(left.runs_out_at),
            "ends_first": left.ends_first,
            "in_mix": left.in_mix,
            "low": left.low,
            "not_yet": left.not_yet,
            "eighty_six": left.eighty_six,
            "taken_off": left.taken_off,
            "basis": left.basis,
            "service": left.service,
            "day": left.day.isoformat(),
            "counted_to": self.at(left.counted_to),
            "chance_out": round(left.chance_out, 3),
            "out": left.out,
            "lacks": [{"prep": lack.prep, "why": lack.why, "until": self.at(lack.until)} for lack in left.lacks],
            "others": [{"service": service, "plates": plates} for service, plates in left.others],
            "preps": [
                {
                    "prep": part.prep,
                    "on_hand": self.amount(part.prep, part.on_hand),
                    "per_plate": self.amount(part.prep, part.per_plate),
                    "ends_before": self.amount(part.prep, part.ends_before),
                }
                for part in left.preps
            ],
        }

    def closing(self, closing: Closing) -> Json:
        return {
            "discard": [self._parting(line) for line in closing.discard],
            "decide": [self._parting(line) for line in closing.decide],
            "carry_over": [self._carry_over(line) for line in closing.carry_over],
            "start_tonight": [self.make(line) for line in closing.start_tonight],
            "pull": [self.pull(line) for line in closing.pull],
        }

    def _batch(self, batch: Batch) -> Json:
        return {
            "batch": batch.code,
            "prep": batch.prep,
            "amount": self.left_of(batch),
            "use_by": self.at(batch.use_by),
        }

    def _parting(self, line: Parting) -> Json:
        cost = None if line.cost is None else number(round(line.cost, 2))
        return {
            **self._batch(line.batch),
            "reason": line.reason,
            "why": note_text(line.note, self.voice),
            "cost": cost,
        }

    def _carry_over(self, line: CarryOver) -> Json:
        return {**self._batch(line.batch), "use_first": line.use_first}

    def par(self, line: ParLine) -> Json:
        shown: Json = {
            "service": line.service,
            "day": self.day(line.day),
            "covers": line.covers,
            "prep": line.prep,
            "par": self.amount(line.prep, line.par),
            "source": line.source,
            "stage": line.stage,
            "chance": line.chance,
        }
        for key in ("expected", "on_hand", "left_over", "under_way", "short", "over"):
            shown[key] = self.amount(line.prep, getattr(line, key))
        return {
            **shown,
            "thin": line.thin,
            "to_make": self.amount(line.prep, line.to_make),
            "promise": line.promise,
            "special": line.special,
            "dishes": [self._sales(sales) for sales in line.dishes],
        }

    def _sales(self, sales: DishSales) -> Json:
        return {
            "dish": sales.dish,
            "stage": sales.stage,
            "services": sales.services,
            "covered": sales.covered,
            "out_of": sales.out_of,
            "changed": sales.changed,
            "expected_plates": None if sales.expected is None else round(sales.expected, 2),
            "last_year": sales.last_year,
        }

    def pull(self, line: Pull) -> Json:
        return {
            "item": line.item,
            "kind": line.kind,
            "amount": self.amount(line.item, line.amount),
            "as_bought": self.amount(line.item, line.as_bought),
            "take_out_at": self.at(line.take_out_at),
            "for": list(line.serves),
        }

    def work(self, line: StationWork) -> Json:
        return {
            "station": line.station,
            "before": self.at(line.before),
            "hands_minutes": line.hands_minutes,
            "work_minutes": line.work_minutes,
            "over_minutes": line.over_minutes,
            "moves": [
                {"line": str(move.line), "prep": move.prep, "minutes": move.minutes, "to": move.to or None}
                for move in line.moves
            ],
        }

    def stretch(self, one: Stretch) -> Json:
        return {
            "prep": one.prep,
            "run" if one.under_way else "line": one.key,
            "station": one.station,
            "step": one.doing,
            "equipment": one.equipment,
            "places": list(one.places),
            "at": temperature_text(one.at),
            "begins": self.at(one.begins),
            "hands_until": self.at(one.hands_until),
            "ends": self.at(one.ends),
        }


_LISTS: Mapping[str, Callable[[Board, Lines], list[Json]]] = {
    "make": lambda board, shape: shape.make_and_tasks(board),
    "underway": lambda board, shape: [shape.underway(run) for run in board.under_way],
    "expiring": lambda board, shape: [shape.expiring(line) for line in board.expiring],
    "left": lambda board, shape: [
        {**shape.left(line), "allergens": list(in_dish(board.state, line.dish))} for line in board.left
    ],
    "pars": lambda board, shape: [shape.par(line) for line in board.pars],
    "pull": lambda board, shape: [shape.pull(line) for line in board.pull],
    "work": lambda board, shape: [shape.work(line) for line in board.work],
    "timeline": lambda board, shape: [shape.stretch(one) for one in stretches(board)],
    "today": today.objects,
    "bring": bring_objects,
    "notes": note_objects,
    "tasks": task_objects,
}


def shown(what: str, board: Board, closing: Closing | None = None) -> Any:
    """The value of one WHAT that comes from the board; `closing` takes its own lists."""
    shape = Lines(Voice.of(board))
    if what == "closing":
        return shape.closing(closing if closing is not None else board.closing)
    return _LISTS[what](board, shape)


def beside(what: str, board: Board) -> Json:
    """What stands beside the value in the same object: for pars, the chance that all of a sitting's dishes stand."""
    if what != "pars":
        return {}
    shape = Lines(Voice.of(board))
    chances = [
        {"service": line.service, "day": shape.day(line.day), "chance": line.chance_all_stand}
        for line in board.sittings
    ]
    return {"chance_all_stand": chances}


def envelope(what: str, value: Any, voice: Voice, besides: Json | None = None) -> str:
    """The one object that a script gets, as text."""
    kitchen = voice.book.kitchen
    whole: Json = {
        "kitchen": plain(kitchen.name),
        "now": Shape(voice).at(voice.now),
        "rules": kitchen.rules.id,
        what: value,
        **(besides or {}),
    }
    return json.dumps(whole, ensure_ascii=False, indent=2)
