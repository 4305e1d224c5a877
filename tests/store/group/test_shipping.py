"""What a kitchen tells the others can be checked by whoever gets it, is there however late it is fetched, and comes
back after a file was set back."""

from __future__ import annotations

import hashlib
import json
from uuid import uuid4

import pytest

from prepboard.book.reading.faults import Faults
from prepboard.store.actions.food.holding import block, unblock
from prepboard.store.actions.food.withdrawing import withdraw
from prepboard.store.actions.group.books import hear_book, take_books_due
from prepboard.store.actions.group.hearing import hear_got, hear_hold
from prepboard.store.actions.group.hearing_own import (
    hear_got_of_lost,
    hear_own_got,
    hear_own_sent,
    hear_own_taken_back,
)
from prepboard.store.actions.group.holds import acknowledge
from prepboard.store.actions.group.orders import order
from prepboard.store.actions.group.receiving import receive
from prepboard.store.actions.group.sending import take_back
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.group.shipping import Finished, Half, chain_at, finished, joined, last_line, to_restored
from prepboard.store.health.health import check
from prepboard.store.health.letting_go import let_go
from prepboard.store.health.restoring import backup, restore
from prepboard.store.read.delivery_note import written
from prepboard.texts import told
from tests.store.group.conftest import FOUR, GROUP, LITRE, NINE, InGroup, Kitchens
from tests.store.group.test_orders import SUNDAY


def everything(kitchen: InGroup, limit: int = 3) -> list[Finished]:
    """All that a kitchen has done, fetched little by little."""
    found: list[Finished] = []
    after = 0
    while more := finished(kitchen.file, after, limit):
        found += more
        after = more[-1].lines[-1].number
    return found


def halves(kitchen: InGroup, kind: str = "") -> list[Half]:
    return [half for one in everything(kitchen) for half in one.halves if kind in ("", half.kind)]


def test_all_lines_come_once_each_action_whole(kitchens):
    central = kitchens.central
    note = central.sends("north", central.makes_cream())
    central.sends("south", central.batches("onion-cream")[0].code)
    withdraw(central.file, central.sous, "cream", "rats", lot="L1", sure=True)
    for limit in (1, 2, 3, 100):
        found = everything(central, limit)
        numbers = [line.number for one in found for line in one.lines]
        assert numbers == list(range(1, last_line(central.file)[0] + 1))
        assert len({one.id for one in found}) == len(found)
    assert note in {half.word["note"] for half in halves(central, "sent")}


def test_whoever_gets_it_can_check_the_chain_and_the_amounts(kitchens):
    """SHA-256 of the text of each line, as `hashlib` has it; each text begins with the hash before it; the last line of
    an action names the digest of what it left behind."""
    central = kitchens.central
    central.sends("north", central.makes_cream(), 1.5)
    before = ""
    for one in everything(central):
        for line in one.lines:
            assert hashlib.sha256(line.text.encode()).hexdigest().startswith(line.chain)
            assert json.loads(line.text)[0] == before
            before = line.chain
        holds = json.loads(json.loads(one.lines[-1].text)[-1])
        assert hashlib.sha256(one.left_behind.encode()).hexdigest().startswith(holds["did"])
        for half in one.halves:
            moves = [dict(row) for row in json.loads(one.left_behind)[1]]
            sent = [move for move in moves if move["kind"] == "sent"]
            assert [(move["batch"], -move["amount"]) for move in sent] == [(half.word["batch"], half.word["amount"])]
            assert half.word["sent_at"] == dict(json.loads(one.left_behind)[0][0])["at"]
    number, chain = last_line(central.file)
    assert chain_at(central.file, [1, number, 999]) == {1: everything(central)[0].lines[0].chain, number: chain}
    assert to_restored(central.file, number - 1) == [], "nobody put a copy in its place"


def test_what_was_undone_is_told_as_a_half_of_its_own(kitchens):
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())
    receive(north.file, north.cook, written(central.sent(note)), FOUR)
    undo(north.file, north.cook)
    assert [(one.word["turn"], one.word["undone"]) for one in halves(north, "got")] == [(2, True)]
    hear_got(central.file, halves(north, "got")[0].word)
    assert central.transfer(note).state == "on the van"
    take_back(central.file, central.cook, note)
    assert [one.word["transfer"] for one in halves(central, "back")] == [central.transfer(note).id]


def test_what_undo_needed_may_be_gone_long_before_it_is_fetched(kitchens):
    """Two weeks without a line."""
    central = kitchens.central
    note = central.sends("north", central.makes_cream())
    kitchens.later(days=14)
    let_go(central.file, breath=0)
    assert central.select("SELECT count(*) FROM changes") == [(0,)]
    assert [one.word["note"] for one in halves(central, "sent")] == [note]


def test_holds_are_told_by_the_action_that_began_and_the_one_that_ended_them(kitchens):
    central = kitchens.central
    batch = central.makes_cream()
    central.sends("north", batch)
    block(central.file, central.cook, batch, "glass")
    (telling,) = halves(central, "hold")
    assert (telling.word["code"], telling.word["receiver"], telling.word["why"]) == (batch, "north", "glass")
    unblock(central.file, central.sous, batch, "it was none")
    (lifted,) = halves(central, "lifted")
    assert lifted.word["id"] == telling.word["id"]
    withdraw(central.file, central.sous, "cream", "rats", lot="L1", sure=True)
    kinds = {(half.word["code"], half.word["lot"], half.word["receiver"]) for half in halves(central, "hold")[1:]}
    assert kinds == {(batch, "", "north"), ("", "L1", "")}
    undo(central.file, central.sous)
    assert len(halves(central, "lifted")) == 3


def test_orders_and_who_saw_to_it_are_told(kitchens):
    north = kitchens.north
    order(north.file, north.cook, "early", SUNDAY, {"onion-cream": LITRE})
    (telling,) = halves(north, "order")
    assert (telling.word["kitchen"], telling.word["maker"], telling.word["day"]) == ("north", "central", "2026-11-01")
    hold = {
        "id": str(uuid4()),
        "sender": "central",
        "why": "glass",
        "at": "2026-10-31T14:00:00Z",
        "by": "dk",
        "code": "X",
    }
    hear_hold(north.file, hold)
    acknowledge(north.file, north.cook, hold["id"])
    (seen,) = halves(north, "seen")
    assert (seen.word["hold"], seen.word["by"], seen.word["kitchen"]) == (hold["id"], "lm", "north")


def ids_of(kitchen: InGroup) -> dict[str, str]:
    return dict(kitchen.select("SELECT name, value FROM settings WHERE name LIKE '% id'"))


@pytest.fixture
def set_back(kitchens: Kitchens, tmp_path):
    """(central, north, notes): three notes went and came; then both files are set back to before any of it."""
    central, north = kitchens.central, kitchens.north
    batch = central.makes_cream()
    for one in (central, north):
        backup(one.file, tmp_path / f"{one.file.newest_book().kitchen.member}.copy")
    notes = [central.sends("north", batch) for _n in range(3)]
    receive(north.file, north.cook, written(central.sent(notes[0])), FOUR)
    with pytest.raises(Refused):
        receive(north.file, north.cook, written(central.sent(notes[1])), NINE)
    take_back(central.file, central.cook, notes[2])
    every = [halves(one) for one in (central, north)]
    ids = [ids_of(one) for one in (central, north)]
    for one in (central, north):
        restore(one.file, one.sous, tmp_path / f"{one.file.newest_book().kitchen.member}.copy", sure=True)
        assert not one.state.transfers
    assert ids == [
        dict(one.select("SELECT name, value FROM settings WHERE name LIKE '% id'")) for one in (central, north)
    ]
    return central, north, notes, every


def test_a_file_set_back_gets_its_own_halves_back_under_the_same_ids(set_back):
    central, north, notes, (sent, got) = set_back
    before = {half.word["transfer"]: half.word["ours"] for half in got if half.kind == "got"}
    for _twice in range(2):
        for half in sent:
            put = hear_own_sent if half.kind == "sent" else hear_own_taken_back
            put(central.file, half.word)
        for half in got:
            hear_own_got(north.file, half.word)
    assert central.left("onion-cream") == 2 * LITRE
    assert north.left("onion-cream") == LITRE
    assert [central.transfer(note).state for note in notes] == ["on the van", "on the van", "taken back"]
    assert [north.transfer(note).state for note in notes[:2]] == ["received", "refused"]
    assert before[north.transfer(notes[0]).id] == north.batches("onion-cream")[0].code
    for one in (central, north):
        assert any("count Onion cream" in told(note.text) for note in one.state.notes)
        assert not check(one.file)


def test_a_file_set_back_says_restored_in_its_next_line(set_back):
    central = set_back[0]
    (did,) = central.select("SELECT did FROM log ORDER BY number DESC LIMIT 1")[0]
    assert did == "restored"


def test_what_arrived_of_a_note_that_the_file_lost_waits_for_it(set_back):
    central, _north, _notes, (sent, got) = set_back
    (half,) = [half for half in got if half.kind == "got" and half.word["got"] == "taken in"]
    with pytest.raises(Refused, match="put back what left first"):
        hear_got(central.file, half.word)
    hear_own_sent(central.file, next(one.word for one in sent if one.word["id"] == half.word["transfer"]))
    hear_got(central.file, half.word)
    assert central.state.transfers[0].state == "received"


def test_what_a_file_lost_it_knows_again_from_whoever_got_it(set_back, kitchens):
    """Where nobody else knows of it: the group was set back as well."""
    central, _north, notes, (_sent, got) = set_back
    taken_in, refused = [half for half in got if half.kind == "got"]
    for half in (taken_in, refused, taken_in):
        hear_got_of_lost(central.file, half.word)
    assert [central.transfer(note).state for note in notes[:2]] == ["received", "refused"]
    assert central.left("onion-cream") == 2 * LITRE
    assert len(halves(central, "sent")) == 2, "and tells the group again"
    assert not check(central.file)


def test_what_a_kitchen_never_sent_is_not_believed(set_back, kitchens):
    """Of another kitchen's word alone nothing leaves: only where a copy was put back after it is said to have left."""
    central, _north, _notes, (_sent, got) = set_back
    kitchens.later(hours=1)
    central.makes_cream("L2")
    (half,) = [half for half in got if half.kind == "got" and half.word["got"] == "taken in"]
    later = {**half.word, "sent": {**half.word["sent"], "sent_at": "2026-10-31T15:00:00Z"}}
    with pytest.raises(Refused, match="put back what left first"):
        hear_got_of_lost(central.file, later)
    assert not central.state.transfers


def test_a_book_of_the_group_is_taken_on_its_day(kitchens):
    north = kitchens.north
    text = GROUP.partition("[preps.onion-cream]")
    own = north.file.path.parent.parent / "book" / "kitchen.toml"
    assert own.exists()
    dishes = '[dishes.plate]\nservices = ["dinner"]\nshare = 0.2\nplate = { soup = "100 ml" }\n'
    word = {"number": 1, "from_day": "2026-11-02", "texts": {"dishes.toml": dishes, "kitchen.toml": text[0]}}
    hear_book(north.file, word)
    hear_book(north.file, word)
    assert take_books_due(north.file) is None
    kitchens.later(days=2)
    did = take_books_due(north.file)
    assert did is not None
    assert "plate" in north.state.book.dishes
    assert north.state.book.kitchen.member == "north"
    assert take_books_due(north.file) is None
    assert not check(north.file)


def test_a_book_that_does_not_go_with_ones_own_changes_nothing(kitchens):
    north = kitchens.north
    hear_book(north.file, {"number": 1, "from_day": "2026-10-31", "texts": {"dishes.toml": "[dishes.bowl]\n"}})
    with pytest.raises(Faults):
        take_books_due(north.file)
    assert north.select("SELECT taken_at FROM group_books") == [(None,)]
    assert set(north.state.book.dishes) == {"bowl"}


def test_a_kitchen_by_itself_has_joined_no_group(kitchens):
    assert joined(kitchens.north.file) is None
    with kitchens.north.file.writing() as db:
        db.execute("INSERT INTO settings VALUES ('group url', 'postgresql://group'), ('group since line', '1')")
    found = joined(kitchens.north.file)
    assert (found.kitchen, found.url, found.since_line) == ("north", "postgresql://group", 1)
    assert len(found.kitchen_id) == len(found.file_id) == 32


def test_a_receipt_that_was_undone_after_the_copy_is_not_there_after_it(kitchens, tmp_path):
    """The copy has the first turn; the group knows of the second."""
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())
    receive(north.file, north.cook, written(central.sent(note)), FOUR)
    backup(north.file, tmp_path / "copy.db")
    undo(north.file, north.cook)
    (half,) = halves(north, "got")
    restore(north.file, north.sous, tmp_path / "copy.db", sure=True)
    assert north.left("onion-cream") == LITRE
    for _twice in range(2):
        hear_own_got(north.file, half.word)
    assert north.left("onion-cream") == 0
    assert north.transfer(note).got == ""
    assert not check(north.file)


def test_a_receipt_made_anew_after_the_copy_is_there_once(kitchens, tmp_path):
    """The copy has the first receipt. It was taken back and made anew since, and the group keeps only the last."""
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())
    receive(north.file, north.cook, written(central.sent(note)), FOUR)
    backup(north.file, tmp_path / "copy.db")
    undo(north.file, north.cook)
    receive(north.file, north.cook, written(central.sent(note)), FOUR, amount=LITRE // 2)
    half = halves(north, "got")[-1]
    ours = half.word["ours"]
    restore(north.file, north.sous, tmp_path / "copy.db", sure=True)
    assert north.left("onion-cream") == LITRE
    for _twice in range(2):
        hear_own_got(north.file, half.word)
    assert north.left("onion-cream") == LITRE // 2
    assert [batch.code for batch in north.batches("onion-cream")] == [ours]
    assert not check(north.file)


def test_what_left_after_the_copy_leaves_no_batch_of_the_same_code_made_since(kitchens, tmp_path):
    """A code that was given after the copy may be given again: what left was another batch."""
    central = kitchens.central
    backup(central.file, tmp_path / "copy.db")
    note = central.sends("north", central.makes_cream())
    (half,) = halves(central, "sent")
    restore(central.file, central.sous, tmp_path / "copy.db", sure=True)
    kitchens.later(hours=1)
    another = central.makes_cream("L2")
    hear_own_sent(central.file, {**half.word, "batch": another})
    assert central.left("onion-cream") == 4 * LITRE
    assert central.transfer(note).state == "on the van"
    assert told(central.state.notes[-1].text) == f"count Onion cream: {note} was put back after the file was"
