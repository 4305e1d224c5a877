"""What is still told after a file, the server or both were set back, and what comes too early or too late."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from group.conftest import Group
from group.test_shipping import kitchens, name_of, rounds, server_set_back
from store.group.conftest import FOUR, LITRE, InGroup, Kitchens

from prepboard.group import shipping
from prepboard.group.founding import let_in, shut_out
from prepboard.group.hearing import hear_again
from prepboard.group.line import Away, Line
from prepboard.group.shipper import one_round
from prepboard.group.shipping import ship
from prepboard.store.actions.food.holding import unblock
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.group.receiving import receive
from prepboard.store.actions.group.sending import settle, take_back
from prepboard.store.actions.undoing import undo
from prepboard.store.group.shipping import joined
from prepboard.store.health.health import check
from prepboard.store.health.restoring import backup, restore

__all__ = ("kitchens",)


def put_back(one: InGroup, copy: Path) -> None:
    one.later(minutes=5)
    restore(one.file, one.sous, copy, sure=True)


def answered(one: InGroup, note: str) -> str:
    """What was said for a difference, as a kitchen knows it."""
    return str(one.select("SELECT settled_why FROM transfers WHERE note = ?", note)[0][0])


async def only_ships(group: Group, one: InGroup) -> None:
    us = joined(one.file)
    assert us is not None
    await ship(one.file, group.line_of(name_of(one)), "s", us)


async def test_what_both_lost_and_another_kitchen_heard_comes_back(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream()
    await rounds(group, central)
    backup(central.file, tmp_path / "copy.db")
    on_the_van, back = central.sends("north", batch), central.sends("north", batch)
    await rounds(group, central, north)
    take_back(central.file, central.cook, back, FOUR)
    await rounds(group, central, north)
    assert north.transfer(back).state == "taken back"
    put_back(central, tmp_path / "copy.db")
    server_set_back(group)
    await rounds(group, north, central)
    for one in (central, north):
        assert (one.transfer(on_the_van).state, one.transfer(back).state) == ("on the van", "taken back")
    assert central.left("onion-cream") == 3 * LITRE
    states = group.owner.execute("SELECT state FROM prepboard.transfers ORDER BY state").fetchall()
    assert states == [("on the van",), ("taken back",)]


async def test_a_receipt_that_both_lost_comes_back_from_the_sender(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream(), 2)
    await rounds(group, central, north)
    backup(north.file, tmp_path / "copy.db")
    receive(north.file, north.cook, note, FOUR, amount=LITRE)
    settle(north.file, north.cook, note, "a box fell")
    await rounds(group, north, central)
    put_back(north, tmp_path / "copy.db")
    server_set_back(group)
    await rounds(group, central, north, central, north)
    for one in (central, north):
        assert (one.transfer(note).state, answered(one, note)) == ("short", "a box fell")
    assert north.left("onion-cream") == LITRE
    assert group.owner.execute("SELECT state, settled->>'why' FROM prepboard.transfers").fetchall() == [
        ("short", "a box fell")
    ]


async def test_a_file_that_never_was_put_back_takes_nothing_on_anybody_elses_word(
    group: Group, kitchens: Kitchens
) -> None:
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())
    await rounds(group, central, north)
    word = group.owner.execute("SELECT jsonb_set(word, '{id}', to_jsonb(gen_random_uuid()::text)) FROM"
                               " prepboard.transfers").fetchone()  # fmt: skip
    assert word
    line = Line(group.url_of("north"))
    await line.ask("recall", [{"kind": "sent", "word": word[0], "of": "central"}])
    await line.hang_up()
    await rounds(group, central)
    assert [one.note for one in central.state.transfers] == [note]
    assert central.left("onion-cream") == 3 * LITRE
    assert group.owner.execute("SELECT count(*) FROM prepboard.news WHERE refused <> ''").fetchone() == (1,)


async def test_a_copy_made_before_it_had_heard_what_was_put_back_gets_it_all_the_same(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    central = kitchens.central
    batch = central.makes_cream()
    await rounds(group, central)
    backup(central.file, tmp_path / "copy.db")
    note = central.sends("north", batch)
    await rounds(group, central)
    put_back(central, tmp_path / "copy.db")
    await only_ships(group, central)
    backup(central.file, tmp_path / "later.db")
    await rounds(group, central)
    assert central.transfer(note).state == "on the van"
    put_back(central, tmp_path / "later.db")
    await rounds(group, central)
    assert central.transfer(note).state == "on the van"


async def test_a_copy_put_in_place_while_news_is_taken_in_is_told_all_of_it(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    central, north = kitchens.central, kitchens.north
    await rounds(group, north)
    backup(north.file, tmp_path / "copy.db")
    note = central.sends("north", central.makes_cream())
    await rounds(group, central)

    class PutBackMeanwhile(Line):
        """Once, when all of it is taken in and not acknowledged yet."""

        done = False

        async def ask(self, function: str, *given: Any) -> Any:
            if function == "heard" and not self.done:
                self.done = True
                put_back(north, tmp_path / "copy.db")
            return await super().ask(function, *given)

    line = PutBackMeanwhile(group.url_of("north"))
    assert not (await one_round(north.file, line, "s")).away
    await line.hang_up()
    assert north.transfer(note).state == "on the van"


async def test_a_receipt_made_anew_after_the_copy_counts_and_is_told_as_what_came_later(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    """Somebody takes the box in once more, before the file has heard that it had."""
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream(), 2)
    await rounds(group, central, north)
    backup(north.file, tmp_path / "copy.db")
    receive(north.file, north.cook, note, FOUR)
    await rounds(group, north, central)
    put_back(north, tmp_path / "copy.db")
    receive(north.file, north.cook, note, FOUR, amount=LITRE)
    await rounds(group, north, central)
    assert [one.transfer(note).state for one in (north, central)] == ["short", "short"]
    assert north.left("onion-cream") == LITRE
    assert group.owner.execute("SELECT state FROM prepboard.transfers").fetchall() == [("short",)]


async def test_what_left_is_taken_from_its_receipt_though_the_clock_was_ahead(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream()
    backup(central.file, tmp_path / "copy.db")
    central.later(minutes=20)
    note = central.sends("north", batch)
    await rounds(group, central, north)
    central.later(minutes=-20)
    put_back(central, tmp_path / "copy.db")
    server_set_back(group)
    receive(north.file, north.cook, note, FOUR)
    await rounds(group, north, central)
    assert central.transfer(note).state == "received"


async def test_who_answered_for_a_box_that_the_group_does_not_know_yet_is_heard(
    group: Group, kitchens: Kitchens
) -> None:
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())
    await rounds(group, central, north)
    kitchens.later(days=2)
    settle(north.file, north.cook, note, "never came")
    server_set_back(group)
    await rounds(group, north, times=1)
    await rounds(group, central, times=1)
    assert answered(central, note) == "never came"
    assert group.owner.execute("SELECT settled->>'why' FROM prepboard.transfers").fetchall() == [("never came",)]


async def test_where_both_answered_for_it_and_one_takes_that_back_the_others_answer_counts(
    group: Group, kitchens: Kitchens
) -> None:
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream(), 2)
    await rounds(group, central, north)
    receive(north.file, north.cook, note, FOUR, amount=LITRE)
    await rounds(group, north, central)
    settle(north.file, north.cook, note, "a box fell")
    settle(central.file, central.cook, note, "one stayed here")
    await rounds(group, north, central)
    kitchens.later(minutes=1)
    undo(north.file, north.cook)
    await rounds(group, north, central, times=3)
    assert [answered(one, note) for one in (north, central)] == ["one stayed here", "one stayed here"]


async def test_a_kitchen_that_is_let_in_later_hears_what_was_for_it(group: Group, kitchens: Kitchens) -> None:
    central, north = kitchens.central, kitchens.north
    shut_out(group.owner, "north")
    for table in ("inboxes", "standing", "kitchens"):
        group.owner.execute(
            f"DELETE FROM prepboard.{table} WHERE {'id' if table == 'kitchens' else 'kitchen'} = 'north'"
        )
    note = central.sends("north", central.makes_cream("L7"))
    withdraw(central.file, central.sous, "cream", "glass", lot="L7", sure=True)
    await rounds(group, central)
    let_in(group.owner, "north", "of the test")
    await rounds(group, north)
    assert north.transfer(note).state == "on the van"
    assert {one.lot for one in north.state.holds} == {"", "L7"}


async def test_what_had_to_be_refused_is_listed_whatever_happens_and_tried_again(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream(), 2)
    await rounds(group, central, north)
    receive(north.file, north.cook, note, FOUR, amount=LITRE)
    await rounds(group, north, central)
    settle(north.file, north.cook, note, "a box fell")
    ask = group.owner.execute
    await rounds(group, north)
    ask("UPDATE prepboard.news SET word = word || '{\"kitchen\": \"nobody\"}' WHERE kind = 'settled'")

    class Cut(Line):
        async def ask(self, function: str, *given: Any) -> Any:
            said = await super().ask(function, *given)
            if function == "heard":
                raise Away("cut")
            return said

    line = Cut(group.url_of("central"))
    assert (await one_round(central.file, line, "s")).away
    listed = ask("SELECT kind FROM prepboard.news WHERE refused <> ''").fetchall()
    assert listed == [("settled",)], "told before the file forgets it"
    await rounds(group, central)
    assert ask("SELECT kind FROM prepboard.news WHERE refused <> ''").fetchall() == listed
    ask("UPDATE prepboard.news SET word = word || '{\"kitchen\": \"north\"}' WHERE kind = 'settled'")
    line = Line(group.url_of("central"))
    assert (await hear_again(central.file, line)).taken_in == 1
    await line.hang_up()
    assert answered(central, note) == "a box fell"
    assert ask("SELECT kind FROM prepboard.news WHERE refused <> ''").fetchall() == []


async def test_a_file_that_joined_late_and_was_set_back_far_is_found_in_the_group(monkeypatch: Any) -> None:
    """Its last common line lies between two that are asked for, and the group has none of before it joined."""
    joined_after, last, common = 100, 200, 110
    monkeypatch.setattr(shipping, "last_line", lambda _file: (last, ""))
    monkeypatch.setattr(shipping, "chain_at", lambda _file, numbers: {n: str(n) for n in numbers})

    class Known:
        async def ask(self, _function: str, chains: list[Any]) -> Any:
            found = [n for n, _chain in chains if joined_after < n <= common]
            return {"line": max(found), "branch": 1} if found else None

    line: Any = Known()
    assert await shipping._common_line(line, line, joined_after) == (common, 1)


@pytest.mark.parametrize("both", [False, True], ids=["the file", "the server as well"])
async def test_what_a_file_that_was_put_back_forgot_to_hold_back_is_held_back_again(
    group: Group, kitchens: Kitchens, tmp_path: Path, both: bool
) -> None:
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream("L7")
    central.sends("north", batch)
    await rounds(group, central, north)
    backup(central.file, tmp_path / "copy.db")
    withdraw(central.file, central.sous, "cream", "glass", lot="L7", sure=True)
    await rounds(group, central, north)
    put_back(central, tmp_path / "copy.db")
    assert central.batch(batch).answer(central.clock.at).may
    if both:
        server_set_back(group)
        group.owner.execute("DELETE FROM prepboard.holds")
    await rounds(group, north, central, times=3)
    assert not central.batch(batch).answer(central.clock.at).may
    unblock(central.file, central.sous, "cream", "it was none")
    await rounds(group, central, north)
    assert central.batch(batch).answer(central.clock.at).may
    assert [one for one in north.state.holds if one.lifted_at is None] == [], "all let go of it, once it is let go of"
    assert not check(central.file)
