"""PINs: nothing is done in the name of who has one before it is typed; it is kept by what it gives, and may go."""

from __future__ import annotations

import pytest

from prepboard.store.actions.handover import note
from prepboard.store.actions.night.tonight import covers
from prepboard.store.actions.pins import WrongPin, forget_pin, has_pin, prove, set_pin
from prepboard.store.actions.undoing import last
from prepboard.store.file import pins
from prepboard.store.file.pins import NeedsPin
from prepboard.store.file.times import instant
from prepboard.store.file.who import Refused, Who
from prepboard.store.health.restoring import backup, restore

PIN = "270519"


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pins, "N", 2**4)


@pytest.fixture
def locked(staffed):
    """DK, the only sous chef, has a PIN."""
    set_pin(staffed.file, staffed.sous, PIN)
    return staffed


def test_it_is_worked_out_as_the_standard_says():
    """RFC 7914, section 12, the example with N = 16384, r = 8, p = 1."""
    came = pins._worked_out("pleaseletmein", "SodiumChloride", 16384, 8, 1)
    assert came.startswith("7023bdcb3afd7348461c06cd81fd38eb")
    assert came.endswith("e61e85dc0d651e40dfcf017b45575887")
    assert len(came) == 128


def test_without_the_pin_nothing_is_done_in_that_name(locked):
    before = locked.size_of_tables()
    for who in (Who("dk", "sauce"), Who("DK", "roast"), Who("dk", "sauce", "typed")):
        with pytest.raises(NeedsPin, match="has a PIN, and it was not typed"):
            covers(locked.file, who, locked.dinner, 80)
    assert locked.size_of_tables() == before
    who = prove(locked.file, Who("DK", "roast"), PIN)
    covers(locked.file, who, locked.dinner, 80)
    assert locked.state.tonight[locked.dinner].covers == 80
    assert locked.log("covers")[0]["by"] == "DK"


def test_others_are_asked_for_nothing(locked):
    note(locked.file, locked.jp, "the walk-in is warm")
    assert not has_pin(locked.file, "jp")
    assert not has_pin(locked.file, "nobody")
    assert has_pin(locked.file, "DK")


def test_it_stands_nowhere_as_it_is_and_two_alike_do_not_look_alike(locked):
    set_pin(locked.file, Who("cc", "sauce"), PIN)
    first, second = (str(row[0]) for row in locked.select("SELECT kept FROM pins ORDER BY person"))
    assert first != second
    for path in locked.file.path.parent.iterdir():
        assert PIN.encode() not in path.read_bytes()


def test_another_pin_ends_what_the_old_one_gave(locked):
    known = prove(locked.file, locked.sous, PIN)
    set_pin(locked.file, known, "998877")
    with pytest.raises(NeedsPin):
        covers(locked.file, known, locked.dinner, 80)
    covers(locked.file, prove(locked.file, locked.sous, "998877"), locked.dinner, 80)


@pytest.mark.parametrize("pin", ["", "123", "12 45", "abcd", "1234567890123", "٣٣٣٣"])
def test_a_pin_is_four_to_twelve_digits(staffed, pin):
    with pytest.raises(Refused, match="4 to 12 digits"):
        set_pin(staffed.file, staffed.sous, pin)


def test_whom_the_book_does_not_list_cannot_have_one(staffed):
    with pytest.raises(Refused, match="lists nobody with the initials zz"):
        set_pin(staffed.file, Who("zz", "sauce"), PIN)


def test_setting_one_says_who_may_do_the_same_and_has_none(locked):
    (said,) = locked.select("SELECT answer FROM actions WHERE did = 'pin'")
    assert "no lock yet" not in str(said)  # nobody else is a sous chef
    assert "no lock yet, since anybody may type the initials of cc" in set_pin(locked.file, locked.jp, PIN).text


def test_wrong_ones_are_logged_and_wait_longer_and_longer(locked):
    waited = []
    for _each in range(7):
        with pytest.raises(WrongPin, match="not the PIN of dk"):
            prove(locked.file, locked.sous, "000000")
        (until,) = locked.select("SELECT wait_until FROM pins")[0]
        if until:
            with pytest.raises(WrongPin, match=r"too many wrong PINs: wait \d+ seconds"):
                prove(locked.file, locked.sous, PIN)
            waited.append((instant(str(until)) - locked.clock.now()).total_seconds())
            locked.later(seconds=waited[-1])
    assert waited == [5, 10, 20, 40, 80]
    assert [line["after"] for line in locked.log("wrong pin")] == list("1234567")
    assert prove(locked.file, locked.sous, PIN).proof
    assert locked.select("SELECT wrong, wait_until FROM pins") == [(0, None)]


def test_nobody_waits_longer_than_five_minutes(locked):
    for _each in range(20):
        with pytest.raises(WrongPin):
            prove(locked.file, locked.sous, "000000")
        locked.later(minutes=5)
    prove(locked.file, locked.sous, PIN)


def test_a_wrong_pin_is_not_what_undo_would_take_back(locked):
    covers(locked.file, prove(locked.file, locked.sous, PIN), locked.dinner, 80)
    with pytest.raises(WrongPin):
        prove(locked.file, locked.sous, "000000")
    assert "80" in last(locked.file, locked.sous).text


def test_a_forgotten_one_goes_by_a_sous_chefs_word_and_nobody_elses(locked):
    set_pin(locked.file, locked.jp, "4711")
    with pytest.raises(Refused, match=r"only a sous chef may do that \(dk\)"):
        forget_pin(locked.file, Who("cc", "sauce"), "jp")
    with pytest.raises(NeedsPin):
        forget_pin(locked.file, locked.sous, "jp")
    forget_pin(locked.file, prove(locked.file, locked.sous, PIN), "JP")
    note(locked.file, locked.jp, "the walk-in is warm")
    with pytest.raises(Refused, match="jp has no PIN"):
        forget_pin(locked.file, prove(locked.file, locked.sous, PIN), "jp")


def test_one_is_set_anew_only_by_who_knows_the_old_one(locked):
    with pytest.raises(NeedsPin):
        set_pin(locked.file, locked.sous, "998877")


def test_a_copy_is_put_back_by_nobody_who_did_not_type_it(locked, tmp_path):
    backup(locked.file, tmp_path / "copy.db")
    with pytest.raises(NeedsPin):
        restore(locked.file, locked.sous, tmp_path / "copy.db", sure=True)
    restore(locked.file, prove(locked.file, locked.sous, PIN), tmp_path / "copy.db", sure=True)


def test_a_pin_that_is_put_in_by_hand_is_found(locked):
    from prepboard.store.file.writing import connect
    from prepboard.store.health.health import check

    assert check(locked.file) == []
    db = connect(locked.file.path)
    db.execute("UPDATE pins SET kept = ?", [pins.to_keep("1111")])
    db.close()
    assert any("pins" in fault for fault in check(locked.file))


def test_typing_one_plans_nothing(locked):
    """A plan takes its time, and nobody waits for it who only says who they are."""

    class Nobody:
        def where_runs_lie(self, *_asked: object, **_named: object) -> None:
            raise AssertionError("planned")

    locked.file.makes_planner = Nobody
    with pytest.raises(WrongPin, match="not the PIN"):
        prove(locked.file, locked.sous, "000000")
    set_pin(locked.file, prove(locked.file, locked.sous, PIN), "998877")
