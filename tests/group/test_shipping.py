"""What three kitchens tell one another over a real PostgreSQL, each with its own file."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from group.conftest import Group
from store.group.conftest import FOUR, LITRE, InGroup, Kitchens, in_group

from prepboard.group.line import Away, Line, as_json
from prepboard.group.shipper import Round, one_round, run
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.group.holds import acknowledge
from prepboard.store.actions.group.joining import join
from prepboard.store.actions.group.orders import answer_order, order
from prepboard.store.actions.group.receiving import receive
from prepboard.store.actions.group.sending import settle, take_back
from prepboard.store.health.about_the_file import about
from prepboard.store.health.health import check
from prepboard.store.health.restoring import backup, restore
from prepboard.store.read.delivery_note import written


@pytest.fixture
def kitchens(tmp_path: Path, group: Group) -> Iterator[Kitchens]:
    found = Kitchens(*(in_group(tmp_path, name) for name in ("central", "north", "south")))
    for name, one in zip(("central", "north", "south"), found, strict=True):
        join(one.file, one.sous, group.url_of(name))
    yield found
    for one in found:
        one.file.close()


async def rounds(group: Group, *those: InGroup, times: int = 2) -> list[Round]:
    """Each ships and hears, in turn; answers what the last turn of each came to."""
    last = []
    for turn in range(times):
        for one in those:
            now = await one_round(one.file, group.line_of(name_of(one)), "s")
            if turn == times - 1:
                last.append(now)
    return last


def name_of(one: InGroup) -> str:
    return one.file.newest_book().kitchen.member


async def test_what_leaves_one_kitchen_comes_to_the_other_and_both_know(group: Group, kitchens: Kitchens) -> None:
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream(), 1.5)
    await rounds(group, central, north, times=1)
    assert north.transfer(note).state == "on the van"
    receive(north.file, north.cook, note, FOUR)
    assert north.left("onion-cream") == 1.5 * LITRE
    await rounds(group, north, central, times=1)
    assert central.transfer(note).state == "received"
    assert group.owner.execute("SELECT state FROM prepboard.transfers").fetchall() == [("received",)]
    assert group.owner.execute("SELECT count(*) FROM prepboard.refused").fetchone() == (0,)


async def test_who_answered_for_a_difference_is_heard_by_the_other_and_known_after_a_restore(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream(), 2)
    await rounds(group, central, north, times=1)
    receive(north.file, north.cook, note, FOUR, amount=LITRE)
    await rounds(group, north, central, times=1)
    backup(north.file, tmp_path / "copy.db")
    assert central.transfer(note).differs
    settle(north.file, north.cook, note, "a box fell")
    await rounds(group, north, central, times=1)
    assert not central.transfer(note).differs
    restore(north.file, north.sous, tmp_path / "copy.db", sure=True)
    assert north.transfer(note).differs
    await rounds(group, north)
    assert not north.transfer(note).differs


async def test_a_lost_answer_sends_again_what_is_there(group: Group, kitchens: Kitchens) -> None:
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())

    class Deaf(Line):
        async def ask(self, function: str, *given: object) -> object:
            said = await super().ask(function, *given)
            if function in ("ship", "heard", "hear"):
                raise Away("cut")
            return said

    for one in (central, north, central, north):
        assert (await one_round(one.file, Deaf(group.url_of(name_of(one))), "s")).away
    await rounds(group, central, north)
    assert north.transfer(note).state == "on the van"
    assert group.owner.execute("SELECT count(*) FROM prepboard.news WHERE kind = 'sent'").fetchone() == (1,)


async def test_a_file_put_back_gets_its_dispatches_back_and_is_asked_to_count(group: Group, kitchens: Kitchens,
                                                                              tmp_path: Path) -> None:  # fmt: skip
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream()
    await rounds(group, central)
    backup(central.file, tmp_path / "copy.db")
    note = central.sends("north", batch, 1)
    await rounds(group, central, north)
    receive(north.file, north.cook, note, FOUR)
    await rounds(group, north, central)
    central.later(hours=1)
    restore(central.file, central.sous, tmp_path / "copy.db", sure=True)
    assert central.left("onion-cream") == 4 * LITRE
    said = await rounds(group, central)
    assert [one.shipped and one.shipped.said for one in said] == ["in"]
    assert central.left("onion-cream") == 3 * LITRE
    assert central.transfer(note).state == "received"
    assert north.left("onion-cream") == LITRE


async def test_a_box_of_a_batch_that_the_copy_does_not_know_is_taken_back_all_the_same(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    central = kitchens.central
    central.makes_cream()
    await rounds(group, central)
    backup(central.file, tmp_path / "copy.db")
    batch = central.makes_cream("L2")
    use_by = central.batch(batch).use_by
    note = central.sends("north", batch, 1)
    await rounds(group, central)
    restore(central.file, central.sous, tmp_path / "copy.db", sure=True)
    await rounds(group, central)
    assert batch not in {one.code for one in central.batches("onion-cream")}
    take_back(central.file, central.cook, note, FOUR)
    assert (central.batch(batch).left, central.batch(batch).use_by) == (LITRE, use_by)
    assert not check(central.file)
    withdraw(central.file, central.sous, "cream", "glass", lot="L2", sure=True)
    assert not central.batch(batch).answer(central.clock.at).may, "its lots are known"


def server_set_back(group: Group) -> None:
    """To what it was before any kitchen had shipped."""
    for table in ("lines", "actions", "branches", "transfers", "news", "refused"):
        group.owner.execute(f"DELETE FROM prepboard.{table}")
    group.owner.execute("UPDATE prepboard.standing SET line = 0, chain = '', action = 0, branch = 1")
    group.owner.execute("UPDATE prepboard.inboxes SET told = 0, heard = 0")


async def test_what_was_put_back_is_told_to_a_server_that_was_set_back_as_well(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    """Nobody but the file knows of it then, and its action of old is on no branch any more."""
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream()
    await rounds(group, central)
    backup(central.file, tmp_path / "copy.db")
    known, unknown = central.sends("north", batch), central.sends("north", central.makes_cream("L2"))
    await rounds(group, central)
    central.later(hours=1)
    restore(central.file, central.sous, tmp_path / "copy.db", sure=True)
    await rounds(group, central)
    server_set_back(group)
    await rounds(group, central, north)
    assert {north.transfer(note).state for note in (known, unknown)} == {"on the van"}
    assert group.owner.execute("SELECT count(*) FROM prepboard.refused").fetchone() == (0,)


async def test_an_acknowledgement_and_an_answer_reach_a_server_that_was_set_back_before_what_they_are_about(
    group: Group, kitchens: Kitchens
) -> None:
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream("L9"))
    day = (central.clock.at + timedelta(days=1)).date()
    kitchens.later(hours=5)  # the van has closed
    order(north.file, north.cook, "early", day, {"onion-cream": LITRE})
    withdraw(central.file, central.sous, "cream", "glass", lot="L9", sure=True)
    await rounds(group, central, north)
    for hold in north.state.holds:
        acknowledge(north.file, north.sous, hold.id)
    (asked,) = central.state.orders
    answer_order(central.file, central.sous, asked.id, yes=True)
    server_set_back(group)
    group.owner.execute("DELETE FROM prepboard.holds_seen")
    group.owner.execute("DELETE FROM prepboard.holds")
    group.owner.execute("DELETE FROM prepboard.orders")
    await rounds(group, north, times=1)  # the hold is not known again, and is seen to
    group.owner.execute("DELETE FROM prepboard.orders")
    await rounds(group, central, north)
    assert sorted(one.not_seen for one in central.state.told_holds) == [(), ("south",)]
    assert [one.answer for one in north.state.orders] == ["yes"]
    assert group.owner.execute("SELECT count(*) FROM prepboard.refused").fetchone() == (0,)
    assert north.transfer(note).state == "on the van"


async def test_two_files_of_one_name_stop(group: Group, kitchens: Kitchens, tmp_path: Path) -> None:
    central = kitchens.central
    central.makes_cream()
    await rounds(group, central)
    backup(central.file, tmp_path / "twin.db")
    twin = InGroup(type(central.file).open(tmp_path / "twin.db", clock=central.clock), central.clock)
    central.makes_cream("L2")
    twin.makes_cream("L3")
    first, second = await rounds(group, central, twin, times=1)
    assert first.shipped
    assert first.shipped.said == "in"
    assert second.shipped
    assert second.shipped.said == "two files"
    twin.file.close()


async def test_the_kitchens_own_file_goes_on_after_a_copy_of_it_was_heard_first(
    group: Group, kitchens: Kitchens, tmp_path: Path
) -> None:
    """Somebody says which of the two is right by putting a copy of it in its own place."""
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream()
    await rounds(group, central)
    backup(central.file, tmp_path / "twin.db")
    twin = InGroup(type(central.file).open(tmp_path / "twin.db", clock=central.clock), central.clock)
    of_twin = twin.sends("north", batch)
    note = central.sends("north", batch, 2)
    first, second = await rounds(group, twin, central, times=1)
    assert [one.shipped and one.shipped.said for one in (first, second)] == ["in", "two files"]
    twin.file.close()
    backup(central.file, tmp_path / "right.db")
    restore(central.file, central.sous, tmp_path / "right.db", sure=True)
    (now,) = await rounds(group, central, times=1)
    assert now.shipped
    assert now.shipped.said == "in"
    await rounds(group, north, central)
    assert {north.transfer(one).state for one in (note, of_twin)} == {"on the van"}
    assert central.left("onion-cream") == LITRE, "what left by the copy left the kitchen as well"


async def test_without_a_line_nothing_waits_and_all_is_there_afterwards(group: Group, kitchens: Kitchens) -> None:
    central, north = kitchens.central, kitchens.north
    gone = Line("postgresql://nobody@127.0.0.1:1/none", deadline=0.5)
    notes = [central.sends("north", central.makes_cream(f"L{n}")) for n in range(3)]
    assert (await one_round(central.file, gone, "s")).away
    receive(north.file, north.cook, written(central.sent(notes[0])), FOUR)
    await rounds(group, central, north)
    assert [north.transfer(note).state for note in notes] == ["received", "on the van", "on the van"]


async def test_an_hour_between_two_clocks_changes_nothing(group: Group, kitchens: Kitchens) -> None:
    central, north = kitchens.central, kitchens.north
    north.clock.at -= timedelta(minutes=20)
    note = central.sends("north", central.makes_cream())
    await rounds(group, central, north)
    receive(north.file, north.cook, note, FOUR)
    await rounds(group, north, central)
    assert central.transfer(note).state == "received"
    (batch,) = north.batches("onion-cream")
    assert batch.made_at <= north.clock.at


async def test_a_book_for_all_is_taken_on_its_day_and_one_that_does_not_fit_leaves_the_old(
    group: Group, kitchens: Kitchens
) -> None:
    north = kitchens.north
    today = north.clock.at.date()
    soup = """[preps.pea-soup]
name = "Pea soup"
store = "chilled"
keeps = "3 days"
makes = "2 l"
par = "1 l"
"""
    group.owner.execute("SELECT prepboard.release(%s, %s)", [today + timedelta(days=1), as_json({"peas.toml": soup})])
    await rounds(group, north)
    assert "pea-soup" not in north.state.book.preps
    north.later(days=1)
    await rounds(group, north)
    assert "pea-soup" in north.state.book.preps
    bad = soup.replace("pea-soup", "stew").replace("2 l", "two")
    group.owner.execute("SELECT prepboard.release(%s, %s)", [today, as_json({"stew.toml": bad})])
    await rounds(group, north)
    assert "stew" not in north.state.book.preps
    assert any(
        "the group's book" in said for said in north.select("SELECT value FROM settings WHERE name = 'book faults'")[0]
    )


async def test_boards_say_since_when_the_group_is_not_heard(group: Group, kitchens: Kitchens) -> None:
    north = kitchens.north
    gone = Line("postgresql://nobody@127.0.0.1:1/none", deadline=0.5)
    for line, said in ((gone, True), (Line(group.url_of("north")), False)):
        heard = asyncio.Event()
        shipping = asyncio.create_task(run(north.file, line, lambda _round, heard=heard: heard.set()))
        await asyncio.wait_for(heard.wait(), 10)
        shipping.cancel()
        await asyncio.gather(shipping, return_exceptions=True)
        wrong = about(north.file).wrong
        assert any("group not heard since 14:00" in one for one in wrong) == said, wrong
