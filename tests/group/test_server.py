"""What the group's PostgreSQL takes in and what it refuses, spoken to without any kitchen's file."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

import psycopg
import pytest
from group.conftest import Group

from prepboard.commands.group.lists import lists
from prepboard.group.founding import let_in, shut_out
from prepboard.group.line import Away, Denied, Line
from prepboard.store.file.chain import COLUMNS, link

AT = "2026-10-24T10:00:00Z"


class Log:
    """A kitchen's log, made up line by line as the file's own chain makes it."""

    def __init__(self, kitchen: str) -> None:
        self.kitchen, self.number, self.chain, self.actions = kitchen, 0, "", 0

    def action(self, did: str = "note", halves: tuple[dict[str, Any], ...] = (), moves: tuple[dict[str, Any], ...] = (),
               at: str = AT, words: Mapping[str, str] | None = None) -> dict[str, Any]:  # fmt: skip
        self.actions += 1
        id_ = f"{self.kitchen}-{self.actions}"
        acted = [["at", at], ["by", "MR"], ["did", did]]
        left = json.dumps([[acted], [list(move.items()) for move in moves], [], []], separators=(",", ":"))
        holds = json.dumps({"did": hashlib.sha256(left.encode()).hexdigest()[:10]}, separators=(",", ":"))
        row = dict.fromkeys(COLUMNS, "") | {"action": id_, "at": at, "by": "MR", "role": "sous", "did": did}
        line = self._line(list((row | dict(words or {})).values()), holds)
        return {"number": self.actions, "id": id_, "lines": [line], "left_behind": left, "halves": list(halves)}

    def _line(self, values: list[str], holds: str) -> list[Any]:
        text = json.dumps([self.chain, self.number + 1, *values, holds], ensure_ascii=False, separators=(",", ":"))
        assert link(self.chain, self.number + 1, values, holds) == hashlib.sha256(text.encode()).hexdigest()
        self.number, self.chain = self.number + 1, hashlib.sha256(text.encode()).hexdigest()[:32]
        return [self.number, self.chain, text]

    def copied(self) -> Log:
        other = Log(self.kitchen)
        other.__dict__.update(self.__dict__)
        return other


def sent(sender: str, receiver: str, amount: int = 500, id_: str = "t1") -> tuple[dict[str, Any], dict[str, Any]]:
    """A dispatch as its half and its move."""
    word = {"id": id_, "sender": sender, "receiver": receiver, "batch": "J34", "amount": amount, "sent_at": AT}
    return {"kind": "sent", "word": word}, {"at": AT, "batch": "J34", "kind": "sent", "amount": -amount}


async def line_of(group: Group, kitchen: str, shipper: str = "s") -> Line:
    line = Line(group.url_of(kitchen))
    assert (await line.ask("stand", shipper, f"file of {kitchen}", 60, 0, ""))["said"] == "yours"
    return line


def states(group: Group) -> list[str]:
    return [state for (state,) in group.owner.execute("SELECT state FROM prepboard.transfers ORDER BY id")]


async def test_what_is_sent_twice_or_again_with_more_is_in_once(group: Group) -> None:
    line, log = await line_of(group, "central"), Log("central")
    half, move = sent("central", "north")
    pack = [log.action(), log.action("dispatch", (half,), (move,))]
    assert (await line.ask("ship", "s", pack))["said"] == "in"
    assert await line.ask("ship", "s", [*pack, log.action()]) == {"said": "in", "why": "", "line": 3, "action": 3}
    assert group.owner.execute("SELECT count(*) FROM prepboard.actions").fetchone() == (3,)
    assert states(group) == ["on the van"]
    north = await line_of(group, "north")
    assert [(kind, about) for _n, kind, about, _word, _token in await north.ask("hear", 10)] == [("sent", "t1")]
    await north.ask("heard", 1, {})
    assert await north.ask("hear", 10) == []


@pytest.mark.parametrize("forged", ["words", "order", "amount in the half", "moves", "date"])
async def test_forged_chain_amount_or_date_is_refused_on_arrival(group: Group, forged: str) -> None:
    line, log = await line_of(group, "central"), Log("central")
    half, move = sent("central", "north")
    first, second = log.action(), log.action("dispatch", (half,), (move,))
    if forged == "words":
        second["lines"][0][2] = second["lines"][0][2].replace("dispatch", "nothing")
    elif forged == "order":
        second["lines"][0][2] = second["lines"][0][2].replace(first["lines"][0][1], "0" * 32)
        second["lines"][0][1] = hashlib.sha256(second["lines"][0][2].encode()).hexdigest()[:32]
    elif forged == "amount in the half":
        half["word"]["amount"] = 900
    elif forged == "moves":
        second["left_behind"] = second["left_behind"].replace("-500", "-900")
    else:
        half["word"]["sent_at"] = "2026-10-25T10:00:00Z"
    said = await line.ask("ship", "s", [first, second])
    in_the_log = forged in ("words", "order", "moves")
    assert said["said"] == {"words": "broken", "moves": "broken", "order": "branch"}.get(forged, "in")
    assert said["line"] == (1 if in_the_log else 2)
    assert states(group) == []
    refused = group.owner.execute("SELECT kind, why FROM prepboard.refused").fetchall()
    assert refused == ([] if in_the_log else [("sent", "transfer t1: it is not what was moved")])


async def test_one_kitchen_cannot_speak_for_another(group: Group) -> None:
    line, log = await line_of(group, "south"), Log("south")
    half, move = sent("central", "north")
    assert (await line.ask("ship", "s", [log.action("dispatch", (half,), (move,))]))["said"] == "in"
    assert states(group) == []


async def test_a_login_sees_its_own_and_what_concerns_it_and_writes_nothing(group: Group) -> None:
    line, log = await line_of(group, "central"), Log("central")
    half, move = sent("central", "north")
    await line.ask("ship", "s", [log.action("dispatch", (half,), (move,))])
    for kitchen, seen in (("central", (1, 1, 1)), ("north", (1, 0, 0)), ("south", (0, 0, 0))):
        with psycopg.connect(group.url_of(kitchen), autocommit=True) as db:
            counts = [db.execute(f"SELECT count(*) FROM prepboard.{table}").fetchone()
                      for table in ("transfers", "actions", "lines")]  # fmt: skip
            assert tuple(one[0] for one in counts if one) == seen, kitchen
            for write in (
                "INSERT INTO prepboard.orders (id, kitchen, maker, word) VALUES ('x', 'north', 'central', '{}')",
                "UPDATE prepboard.transfers SET amount = 1",
                "DELETE FROM prepboard.lines",
                "UPDATE prepboard.standing SET line = 0",
                "SELECT prepboard.tell('north', 'sent', 'x', '{}')",
                "SELECT prepboard.take_half('central', '{}', '{}', now())",
                "SELECT * FROM prepboard.lines_0",
                "CREATE TABLE prepboard.mine (a int)",
            ):
                with pytest.raises(psycopg.errors.InsufficientPrivilege):
                    db.execute(write)


async def test_a_login_that_is_no_kitchens_or_left_is_refused(group: Group) -> None:
    line = await line_of(group, "north")
    assert shut_out(group.owner, "north")
    with pytest.raises((Denied, Away)):
        await line.ask("hear", 10)
    let_in(group.owner, "north", "of the test")
    owner = Line(group.url)
    with pytest.raises(Denied, match="no kitchen"):
        await owner.ask("stand", "s", "f", 60, 0, "")


async def test_one_shipper_at_a_time(group: Group) -> None:
    line = await line_of(group, "central", "one")
    assert (await line.ask("stand", "two", "file of central", 60, 0, ""))["said"] == "other"
    assert (await line.ask("ship", "two", []))["said"] == "other"
    group.owner.execute("UPDATE prepboard.standing SET shipper_until = now() - interval '1 second'")
    assert (await line.ask("stand", "two", "file of central", 60, 0, ""))["said"] == "yours"


async def test_a_restored_file_goes_on_only_where_its_log_says_so(group: Group) -> None:
    line, log = await line_of(group, "central"), Log("central")
    half, move = sent("central", "north")
    before = [log.action(), log.action()]
    copy = log.copied()
    await line.ask("ship", "s", [*before, log.action("dispatch", (half,), (move,))])
    twin = copy.copied()
    assert (await line.ask("ship", "s", [twin.action("note")]))["said"] == "branch"
    assert await line.ask("fork", [[1, before[0]["lines"][0][1]], [2, copy.chain], [3, twin.chain]]) == {
        "line": 2, "branch": 1,
    }  # fmt: skip
    other = copy.copied()
    ordinary = other.action("note")["lines"][0]
    late = other.action("restored", words={"did": "restored"})["lines"][0]
    for lines in ([ordinary], [late], [], [late, ordinary]):
        assert (await line.ask("branch_off", "s", "f", 2, 1, lines))["said"] == "two files", lines
    copy.actions += 1  # numbers of actions go on over a restore
    restored = copy.action("restored")
    said = await line.ask("branch_off", "s", "f", 2, 1, restored["lines"])
    assert said["said"] == "branch taken"
    assert (await line.ask("ship", "s", [restored]))["said"] == "in"
    assert [(kind, about) for _n, kind, about, _word, _token in await line.ask("hear", 10)] == [("own sent", "t1")]


async def test_a_silent_line_is_given_up_and_the_next_call_opens_another(group: Group) -> None:
    line = Line(group.url_of("north"), deadline=0.3)
    assert await line.ask("me") == "north"
    with psycopg.connect(group.url) as other:
        other.execute("LOCK TABLE prepboard.kitchens IN ACCESS EXCLUSIVE MODE")
        with pytest.raises(Away, match="no answer"):
            await line.ask("me")
        other.rollback()
    assert await line.ask("me") == "north"


async def test_five_lists_of_a_week(group: Group) -> None:
    line, log = await line_of(group, "central"), Log("central")
    half, move = sent("central", "north")
    half["word"] |= {"leaves": "2026-10-24T09:30:00Z", "note": "C-J34", "name": "Jus"}
    pack = [
        log.action("made"),
        log.action("discarded", words={"batch": "J34", "prep": "jus", "before": "2 l", "why": "past-use-by"}),
        log.action("read", words={"batch": "K2M", "prep": "stock", "why": "21 °C by 12:00"}),
        log.action("read", words={"batch": "K2M", "prep": "stock"}),
        log.action("made", at="2026-10-23T10:00:00Z"),
        log.action("signed", words={"why": "pots 2026-10-23"}),
        log.action("dispatch", (half,), (move,)),
    ]
    assert (await line.ask("ship", "s", pack))["said"] == "in"
    said = list(lists(group.owner, "2026-10-20"))
    assert said == [
        "NOT HEARD SINCE · 2",
        "  north  never",
        "  south  never",
        "LEFT LATE · 1",
        "  central  2026-10-24 10:00 UTC  C-J34  Jus  to north, van left 2026-10-24 09:30 UTC",
        "DISCARDED · 1",
        "  central  2026-10-24 10:00 UTC  J34  jus  2 l  expired",
        "COOLING MISSED · 1",
        "  central  2026-10-24 10:00 UTC  K2M  stock  21 °C by 12:00",
        "CLOSES NOT SIGNED · 1",
        "  central  2026-10-24",
    ]
