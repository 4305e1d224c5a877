"""A box leaves one kitchen and comes to another: what is said, what is kept, and what is refused."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest

from prepboard.book.book import Temperature
from prepboard.store.actions.food.holding import block
from prepboard.store.actions.food.places import freeze, split, thaw
from prepboard.store.actions.food.readings import read
from prepboard.store.actions.group.hearing import hear_back, hear_got, hear_sent
from prepboard.store.actions.group.receiving import receive, refuse
from prepboard.store.actions.group.sending import dispatch, settle, take_back
from prepboard.store.actions.loading import load_book
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused
from prepboard.store.health.health import check
from prepboard.store.read.delivery_note import written
from prepboard.store.read.halves import Back, Got
from tests.store.group.conftest import FOUR, LITRE, NINE, InGroup, Kitchens


def got_half(kitchens: Kitchens, note: str, where: str = "north") -> Got:
    """What the receiver says of a note."""
    receiver = getattr(kitchens, where)
    one = receiver.transfer(note)
    (turn,) = receiver.select("SELECT got_turn FROM transfers WHERE note = ?", note)[0]
    sent = kitchens.central.sent(note)
    return Got(sent.id, sent, turn, one.got, one.got_amount, one.got_at or sent.sent_at, one.got_by, ours=one.ours)


def test_what_leaves_comes_in_with_its_dates_lots_and_allergens(kitchens):
    batch = kitchens.central.makes_cream("L77")
    note = kitchens.central.sends("north", batch, 1.5)
    assert note[:2] == "C-"
    assert kitchens.central.left("onion-cream") == int(2.5 * LITRE)
    kitchens.later(hours=16)
    did = receive(kitchens.north.file, kitchens.north.cook, written(kitchens.central.sent(note)), FOUR)
    (mine,) = kitchens.north.batches("onion-cream")
    theirs = kitchens.central.batch(batch)
    assert did.batches == (mine.code,)
    assert (mine.left, mine.made_at, mine.use_by) == (int(1.5 * LITRE), theirs.made_at, theirs.use_by)
    assert mine.allergens == ("milk",)
    assert kitchens.north.transfer(note).lots == (("cream", "L77"), ("shallot", ""))
    assert [one.degrees for one in kitchens.north.state.readings if one.of == mine.code] == [Fraction(4)]
    for one in kitchens:
        assert not check(one.file)


def test_a_note_that_was_shipped_is_received_by_its_code(kitchens):
    note = kitchens.central.sends("north", kitchens.central.makes_cream())
    hear_sent(kitchens.north.file, kitchens.central.sent(note))
    assert kitchens.north.transfer(note).state == "on the van"
    receive(kitchens.north.file, kitchens.north.cook, note.lower(), FOUR)
    assert kitchens.north.transfer(note).state == "received"
    assert kitchens.central.transfer(note).state == "on the van"
    hear_got(kitchens.central.file, got_half(kitchens, note))
    assert kitchens.central.transfer(note).state == "received"


def test_the_same_note_twice_is_taken_in_once(kitchens):
    note = kitchens.central.sends("north", kitchens.central.makes_cream())
    square = written(kitchens.central.sent(note))
    first = receive(kitchens.north.file, kitchens.north.cook, square, FOUR)
    hear_sent(kitchens.north.file, kitchens.central.sent(note))
    again = receive(kitchens.north.file, kitchens.north.sous, note, FOUR)
    assert (again.action, again.text) == (first.action, first.text)
    assert kitchens.north.left("onion-cream") == LITRE
    other = receive(kitchens.north.file, kitchens.north.sous, note, FOUR, action="another press")
    assert "already" in other.text
    assert kitchens.north.left("onion-cream") == LITRE


def test_too_warm_is_not_taken_in_and_says_what_to_do(kitchens):
    """FDA Food Code 2022, 3-202.11(A): 5 °C or below, from memory."""
    note = kitchens.central.sends("north", kitchens.central.makes_cream())
    square = written(kitchens.central.sent(note))
    with pytest.raises(Refused, match=r"9 °C; it must be .* or colder: probe another box .* send it back or bin it"):
        receive(kitchens.north.file, kitchens.north.cook, square, NINE)
    assert not kitchens.north.batches("onion-cream")
    kept = kitchens.north.transfer(note)
    assert (kept.state, kept.got_degrees) == ("refused", "9 °C")
    with pytest.raises(Refused, match="only a sous chef takes it in after that"):
        receive(kitchens.north.file, kitchens.north.cook, note, FOUR, why="probe was in the lid")
    receive(kitchens.north.file, kitchens.north.sous, note, FOUR, why="probe was in the lid")
    assert kitchens.north.left("onion-cream") == LITRE


def test_degrees_in_fahrenheit_are_held_to_the_printed_limit(kitchens):
    """FDA Food Code 2022, 3-202.11(A): 41 °F, from memory."""
    note = kitchens.central.sends("north", kitchens.central.makes_cream())
    with pytest.raises(Refused, match="42 °F"):
        receive(
            kitchens.north.file,
            kitchens.north.cook,
            written(kitchens.central.sent(note)),
            Temperature(Fraction(42), "F"),
        )
    other = kitchens.central.sends("north", kitchens.central.batches("onion-cream")[0].code)
    receive(
        kitchens.north.file, kitchens.north.cook, written(kitchens.central.sent(other)), Temperature(Fraction(41), "F")
    )
    assert kitchens.north.left("onion-cream") == LITRE


def test_what_came_short_is_a_difference_until_somebody_answers_for_it(kitchens):
    note = kitchens.central.sends("north", kitchens.central.makes_cream(), 2)
    did = receive(kitchens.north.file, kitchens.north.cook, written(kitchens.central.sent(note)), FOUR, amount=LITRE)
    assert "short: the note says 2 l" in did.text
    hear_got(kitchens.central.file, got_half(kitchens, note))
    one = kitchens.central.transfer(note)
    assert (one.state, one.differs, one.got_amount) == ("short", True, LITRE)
    settle(kitchens.central.file, kitchens.central.sous, note, "one box fell")
    assert not kitchens.central.transfer(note).differs
    with pytest.raises(Refused, match="nothing to answer for"):
        settle(kitchens.central.file, kitchens.central.sous, note, "again")


def test_more_than_the_note_says_did_not_come_by_it(kitchens):
    note = kitchens.central.sends("north", kitchens.central.makes_cream())
    with pytest.raises(Refused, match="the note says 1 l"):
        receive(kitchens.north.file, kitchens.north.cook, written(kitchens.central.sent(note)), FOUR, amount=2 * LITRE)


def test_what_may_not_be_used_is_not_sent(kitchens):
    central = kitchens.central
    batch = central.makes_cream()
    with pytest.raises(Refused, match=r"9 °C; it must be .* before it leaves"):
        dispatch(central.file, central.cook, "north", batch, LITRE, NINE)
    # The reading is kept: from the last good one its time out of control runs.
    assert [one.degrees for one in central.state.readings if one.of == batch] == [Fraction(9)]
    other = central.makes_cream()
    block(central.file, central.sous, other, "tastes of metal")
    with pytest.raises(Refused, match="may not be sent: tastes of metal"):
        central.sends("north", other)
    old = central.makes_cream()
    kitchens.later(days=6)
    with pytest.raises(Refused, match="may not be sent: expired"):
        central.sends("north", old)
    assert not central.state.transfers


def test_it_is_for_one_kitchen_only(kitchens):
    note = kitchens.central.sends("north", kitchens.central.makes_cream())
    with pytest.raises(Refused, match="is for North Quay, not for here"):
        receive(kitchens.south.file, kitchens.south.cook, written(kitchens.central.sent(note)), FOUR)
    with pytest.raises(Refused, match="is not known here: scan the square"):
        receive(kitchens.south.file, kitchens.south.cook, note, FOUR)
    with pytest.raises(Refused, match="no whole note"):
        receive(kitchens.south.file, kitchens.south.cook, written(kitchens.central.sent(note))[:-20], FOUR)
    with pytest.raises(Refused, match="is this kitchen"):
        kitchens.central.sends("central", kitchens.central.batches("onion-cream")[0].code)
    with pytest.raises(Refused, match="no kitchen of the group is called east"):
        kitchens.central.sends("east", kitchens.central.batches("onion-cream")[0].code)


def test_made_at_is_never_beyond_the_receivers_now(kitchens):
    """The sender's clock is 20 minutes ahead, and it is just before midnight at the receiver's."""
    kitchens.later(hours=9, minutes=50)
    kitchens.central.later(minutes=20)
    note = kitchens.central.sends("north", kitchens.central.makes_cream())
    receive(kitchens.north.file, kitchens.north.cook, written(kitchens.central.sent(note)), FOUR)
    (mine,) = kitchens.north.batches("onion-cream")
    assert mine.made_at == kitchens.north.clock.at
    assert mine.first_day == date(2026, 10, 31)
    assert mine.answer(kitchens.north.clock.at).may


def test_the_earlier_of_label_and_own_use_by_counts(kitchens):
    """North's book gives it two days where central's gives five; South's gives it seven."""
    batch = kitchens.central.makes_cream()
    to_north, to_south = kitchens.central.sends("north", batch), kitchens.central.sends("south", batch)
    _load_with_life(kitchens.north, "2 days")
    _load_with_life(kitchens.south, "7 days")
    receive(kitchens.north.file, kitchens.north.cook, written(kitchens.central.sent(to_north)), FOUR)
    receive(kitchens.south.file, kitchens.south.cook, written(kitchens.central.sent(to_south)), FOUR)
    (north,), (south,) = kitchens.north.batches("onion-cream"), kitchens.south.batches("onion-cream")
    label = kitchens.central.batch(batch).use_by
    assert label is not None
    assert label == datetime(2026, 11, 5, tzinfo=UTC)
    assert north.use_by == datetime(2026, 11, 2, tzinfo=UTC)
    assert (south.use_by, south.why) == (label, "its label")


def _load_with_life(kitchen: InGroup, days: str) -> None:
    folder = kitchen.file.path.parent.parent / "book"
    text = (folder / "kitchen.toml").read_text(encoding="utf-8")
    (folder / "kitchen.toml").write_text(text.replace('chilled = "5 days"', f'chilled = "{days}"'), encoding="utf-8")
    load_book(kitchen.file, kitchen.sous, folder)


def test_the_label_stands_still_while_it_is_frozen_here(kitchens):
    """FDA Food Code 2022, 3-501.17(A)(1): frozen time is not counted; of the label's five days neither, whatever this
    kitchen's own count."""
    note = kitchens.central.sends("south", kitchens.central.makes_cream())
    _load_with_life(kitchens.south, "7 days")
    south = kitchens.south
    receive(south.file, south.cook, written(kitchens.central.sent(note)), FOUR)
    label = kitchens.central.batches("onion-cream")[0].use_by
    (mine,) = south.batches("onion-cream")
    assert mine.use_by == label
    freeze(south.file, south.cook, mine.code)
    assert south.batch(mine.code).use_by > label + timedelta(days=30)
    kitchens.later(days=11)
    thaw(south.file, south.cook, mine.code)
    assert south.batch(mine.code).use_by == label + timedelta(days=10)


def test_a_part_has_the_end_of_the_label_that_the_whole_came_with(kitchens):
    note = kitchens.central.sends("south", kitchens.central.makes_cream())
    _load_with_life(kitchens.south, "7 days")
    south = kitchens.south
    (code,) = receive(south.file, south.cook, written(kitchens.central.sent(note)), FOUR).batches
    split(south.file, south.cook, code, [LITRE // 2])
    first, second = south.batches("onion-cream")
    assert first.use_by == second.use_by == kitchens.central.batches("onion-cream")[0].use_by


def test_cooling_is_not_judged_over_two_clocks(kitchens):
    """A first reading within four hours of being made would begin a cooling in the kitchen that made it; it is 3 °C
    warmer than the limit here, and no way down is made of that."""
    note = kitchens.central.sends("north", kitchens.central.makes_cream())
    north = kitchens.north
    (code,) = receive(north.file, north.cook, written(kitchens.central.sent(note)), FOUR).batches
    kitchens.later(minutes=30)
    did = read(north.file, north.cook, "batch", code, Fraction(8), "C")
    assert "out of range" in did.text
    end = north.batch(code).use_by
    assert end == north.clock.at - timedelta(minutes=30) + timedelta(hours=4)  # From when it came, 4 °C.


def test_a_bad_reading_of_the_walk_in_before_it_came_says_nothing_of_it(kitchens):
    north = kitchens.north
    batch = kitchens.central.makes_cream()
    read(north.file, north.cook, "place", "walk-in", Fraction(3), "C")
    kitchens.later(hours=1)
    read(north.file, north.cook, "place", "walk-in", Fraction(11), "C")
    kitchens.later(hours=1)
    note = kitchens.central.sends("north", batch)
    (code,) = receive(north.file, north.cook, written(kitchens.central.sent(note)), FOUR).batches
    assert north.batch(code).answer(north.clock.at).may


def test_taken_back_says_so_and_keeps_its_row(kitchens):
    central = kitchens.central
    batch = central.makes_cream()
    note = central.sends("north", batch)
    undo(central.file, central.cook)
    assert central.left("onion-cream") == 4 * LITRE
    assert central.transfer(note).state == "taken back"
    again = central.sends("north", batch)
    assert again != note
    kitchens.later(minutes=40)
    with pytest.raises(Refused, match="take it back with its temperature"):
        undo(central.file, central.cook)
    with pytest.raises(Refused, match="probe it, and say how warm it is"):
        take_back(central.file, central.cook, again)
    take_back(central.file, central.cook, again, FOUR)
    assert central.left("onion-cream") == 4 * LITRE
    assert [one.state for one in central.state.transfers] == ["taken back", "taken back"]
    assert not check(central.file)


def test_crossed_whoever_has_it_in_hand_is_right(kitchens):
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())
    receive(north.file, north.cook, written(central.sent(note)), FOUR)
    take_back(central.file, central.cook, note)
    one = central.transfer(note)
    back = Back(one.id, central.sent(note), one.back_at, "lm")
    assert "is here" in hear_back(north.file, back).text
    hear_got(central.file, got_half(kitchens, note))
    assert (central.left("onion-cream"), north.left("onion-cream")) == (3 * LITRE, LITRE)
    assert (central.transfer(note).state, north.transfer(note).state) == ("crossed", "crossed")
    assert not check(central.file)


def test_what_does_not_come_is_not_waited_for(kitchens):
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())
    half = central.sent(note)
    undo(central.file, central.cook)
    # In either order.
    hear_back(north.file, Back(half.id, half, central.clock.at, "lm"))
    hear_sent(north.file, half)
    assert north.transfer(note).state == "taken back"


def test_a_receipt_that_was_undone_is_made_anew(kitchens):
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream(), 2)
    square = written(central.sent(note))
    receive(north.file, north.cook, square, FOUR)
    undo(north.file, north.cook)
    assert north.left("onion-cream") == 0
    assert north.transfer(note).got == ""
    receive(north.file, north.cook, square, FOUR, amount=LITRE)
    assert (north.left("onion-cream"), north.transfer(note).got_amount) == (LITRE, LITRE)
    assert north.select("SELECT got_turn FROM transfers") == [(3,)]
    assert not check(north.file)


def test_what_is_refused_in_words_goes_back(kitchens):
    central, north = kitchens.central, kitchens.north
    note = central.sends("north", central.makes_cream())
    refuse(north.file, north.cook, written(central.sent(note)), "the lid is off")
    hear_got(central.file, got_half(kitchens, note))
    assert central.transfer(note).state == "refused"
    kitchens.later(hours=1)
    take_back(central.file, central.cook, note, FOUR)
    assert central.left("onion-cream") == 4 * LITRE


def test_what_came_is_not_sent_twice_by_the_one_who_has_none(kitchens):
    batch = kitchens.central.makes_cream()
    kitchens.central.sends("north", batch, 3)
    with pytest.raises(Refused, match="there is only 1 l"):
        kitchens.central.sends("south", batch, 2)


def test_a_message_that_lacks_something_is_refused_in_words(kitchens):
    for body in (b"{}", b"[1,2", b"[]", "null"):
        with pytest.raises(Refused, match="cannot be read"):
            hear_sent(kitchens.north.file, body)
        with pytest.raises(Refused, match="cannot be read"):
            hear_got(kitchens.north.file, body)


def test_what_was_taken_back_is_not_undone_but_sent_again(kitchens):
    """The other kitchen was told that it does not come; a new note says that it does."""
    central = kitchens.central
    note = central.sends("north", central.makes_cream())
    take_back(central.file, central.cook, note)
    with pytest.raises(Refused, match="cannot be undone"):
        undo(central.file, central.cook)
    assert central.transfer(note).state == "taken back"
