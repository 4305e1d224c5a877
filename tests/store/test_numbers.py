"""Many of tonight's numbers saved as one, and two sous chefs who save at once."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest
from msgspec.structs import replace

from prepboard.plan.changing.drafts import lay_over, set_to
from prepboard.plan.given.numbers import Change, Number
from prepboard.plan.given.state import Tonight
from prepboard.store.actions.night.numbers import last_set, save
from prepboard.store.actions.night.tonight import adjust, covers, mix, par
from prepboard.store.actions.undoing import undo
from prepboard.store.file.who import Refused, Unsure, Who

ML = 1_000_000


def every_kind(dinner):
    return [
        Change(Number("covers", dinner), None, 84),
        Change(Number("percent", dinner), 0, -10),
        Change(Number("mix", dinner, "pressed-lamb"), None, Fraction(2, 7)),
        Change(Number("count", dinner, "lamb-toast"), None, 12),
        Change(Number("par", dinner, "lamb-jus"), None, 900 * ML),
        Change(Number("standing par", None, "brown-stock"), None, 2000 * ML),
    ]


def every_kind_of_a_day(dinner, now):
    day = dinner[1]
    return [
        Change(Number("off", dinner, "lamb-toast"), None, "no bread"),
        Change(Number("cancelled", ("dinner", day + timedelta(days=1))), None, 1),
        Change(Number("weekday par", item="brown-stock", on="4"), None, 3000 * ML),
        Change(Number("portion", item="lamb-jus", day=day, on="pressed-lamb"), None, 30 * ML),
        Change(Number("hands", item="sauce", day=day), None, 0),
        Change(Number("given", item="lamb-jus", day=day), None, "roast"),
        Change(Number("missing", item="shallot"), None, now + timedelta(hours=2)),
    ]


def test_all_that_is_different_for_a_day_is_set_at_once_and_taken_back_as_one(kitchen):
    changes = every_kind_of_a_day(kitchen.dinner, kitchen.clock.now())
    before = kitchen.state
    save(kitchen.file, kitchen.sous, changes)
    assert [set_to(kitchen.state, change.number) for change in changes] == [change.to for change in changes]
    laid = lay_over(before, changes)
    for name in ("standing_on", "portions", "hands", "given", "missing"):
        assert getattr(laid, name) == getattr(kitchen.state, name), name
    saved = {key: replace(tonight, off_since={}) for key, tonight in kitchen.state.tonight.items()}
    assert laid.tonight == saved, "but for the moment of it"
    undo(kitchen.file, kitchen.sous)
    assert [set_to(kitchen.state, change.number) for change in changes] == [None] * len(changes)


def test_all_that_is_different_for_a_day_can_be_freed_again(kitchen):
    changes = every_kind_of_a_day(kitchen.dinner, kitchen.clock.now())
    save(kitchen.file, kitchen.sous, changes)
    for change in changes:
        assert last_set(kitchen.file, change.number) == ("dk", kitchen.clock.now()), change.number
    save(kitchen.file, kitchen.sous, [Change(one.number, one.to, one.seen) for one in changes])
    assert [set_to(kitchen.state, change.number) for change in changes] == [None] * len(changes)


def test_goods_of_which_nobody_knows_when_they_come(kitchen):
    number = Number("missing", item="shallot")
    save(kitchen.file, kitchen.sous, [Change(number, None, "")])
    assert (kitchen.state.missing, set_to(kitchen.state, number)) == ({"shallot": None}, "")
    with pytest.raises(Refused, match="Shallots missing: nobody knows until when"):
        save(kitchen.file, kitchen.sous, [Change(number, None, kitchen.clock.now() + timedelta(hours=1))])


def test_a_portion_far_above_the_books_is_asked_for_once_more(kitchen):
    number = Number("portion", item="lamb-jus", day=kitchen.dinner[1], on="pressed-lamb")
    with pytest.raises(Unsure):
        save(kitchen.file, kitchen.sous, [Change(number, None, 900 * ML)])
    save(kitchen.file, kitchen.sous, [Change(number, None, 900 * ML)], sure=True)
    assert set_to(kitchen.state, number) == 900 * ML


@pytest.mark.parametrize(
    ("of", "to", "usual", "asks"),
    [
        ("covers", 300, 100, False), ("covers", 301, 100, True), ("covers", 9999, None, False),
        ("par", 31 * ML, 10 * ML, True), ("percent", 200, None, False), ("percent", 201, None, True),
        ("percent", -90, None, False), ("mix", Fraction(9, 10), Fraction(1, 10), False),
        ("mix", Fraction(13), Fraction(13, 10), True), ("mix", Fraction(2), Fraction(1), False),
        ("off", "no bread", None, False), ("covers", None, 100, False),
    ],
)  # fmt: skip
def test_more_than_three_times_what_is_usual_is_asked_about(of, to, usual, asks):
    assert Change(Number(of), None, to, usual).is_far_more is asks


def test_all_that_is_far_more_is_named_and_nothing_is_saved_until_sure(kitchen):
    dinner = kitchen.dinner
    far = [
        Change(Number("covers", dinner), None, 9999, 60),
        Change(Number("percent", dinner), 0, 250),
        Change(Number("par", dinner, "lamb-jus"), None, 900 * ML, 1000 * ML),
    ]
    with pytest.raises(Unsure) as unsure:
        save(kitchen.file, kitchen.sous, far)
    assert str(unsure.value) == (
        "more than three times what is usual: Dinner Sat, covers: 9999, usually 60; Dinner Sat, all pars:"
        " +250 %, usually +0 %"
    )
    assert kitchen.state.tonight == {}
    save(kitchen.file, kitchen.sous, far, sure=True)
    assert (kitchen.state.tonight[dinner].covers, kitchen.state.tonight[dinner].percent) == (9999, 250)


def test_all_kinds_are_set_at_once_and_taken_back_as_one(kitchen):
    did = save(kitchen.file, kitchen.sous, every_kind(kitchen.dinner))
    assert did.text.startswith("Dinner Sat: 84 covers; ")
    assert did.text.endswith("; 3 more")
    assert kitchen.state.tonight == {
        kitchen.dinner: Tonight(
            covers=84,
            percent=-10,
            shares={"pressed-lamb": Fraction(2, 7)},
            counts={"lamb-toast": 12},
            pars={"lamb-jus": 900 * ML},
        )
    }
    assert kitchen.state.standing == {"brown-stock": 2000 * ML}
    undo(kitchen.file, kitchen.sous)
    assert (kitchen.state.tonight, kitchen.state.standing) == ({}, {})


def test_each_number_has_its_own_line_in_the_log(kitchen):
    save(kitchen.file, kitchen.sous, every_kind(kitchen.dinner))
    for did in ("covers", "adjust", "mix", "count for", "par", "standing par"):
        assert len(kitchen.log(did)) == 1, did


def test_all_kinds_can_be_freed_again(kitchen):
    changes = every_kind(kitchen.dinner)
    save(kitchen.file, kitchen.sous, changes)
    save(kitchen.file, kitchen.sous, [Change(one.number, one.to, one.seen) for one in changes])
    assert kitchen.state.tonight.get(kitchen.dinner, Tonight()) == Tonight()
    assert kitchen.state.standing == {}
    assert [(row["before"], row["after"]) for row in kitchen.log("covers")] == [("60", "84"), ("84", "")]


def test_the_same_request_again_counts_once(kitchen):
    changes = every_kind(kitchen.dinner)
    first = save(kitchen.file, kitchen.sous, changes, action="a")
    before = kitchen.size_of_tables()
    assert save(kitchen.file, kitchen.sous, changes, action="a") == first
    assert kitchen.size_of_tables() == before


def test_one_number_that_cannot_be_leaves_all_of_them(kitchen):
    changes = [
        *every_kind(kitchen.dinner)[:2],
        Change(Number("mix", kitchen.dinner, "pressed-lamb"), None, Fraction(2)),
    ]
    with pytest.raises(Refused, match="the dishes of main come to"):
        save(kitchen.file, kitchen.sous, changes)
    assert kitchen.state.tonight == {}


def test_nothing_to_save_is_said(kitchen):
    with pytest.raises(Refused, match="nothing was typed"):
        save(kitchen.file, kitchen.sous, [])


# Two sous chefs


def test_the_second_to_save_is_told_what_the_first_one_changed(kitchen):
    mine = [Change(Number("covers", kitchen.dinner), None, 94), Change(Number("percent", kitchen.dinner), 0, 5)]
    covers(kitchen.file, Who("jp", ""), kitchen.dinner, 80)
    with pytest.raises(Refused) as refused:
        save(kitchen.file, kitchen.sous, mine)
    assert str(refused.value) == ("not saved, changed meanwhile: Dinner Sat, covers: 80 (jp, 14:00), it was computed")
    assert kitchen.state.tonight == {kitchen.dinner: Tonight(covers=80)}


def test_having_seen_it_the_second_one_may(kitchen):
    covers(kitchen.file, Who("jp", ""), kitchen.dinner, 80)
    save(kitchen.file, kitchen.sous, [Change(Number("covers", kitchen.dinner), 80, 94)])
    assert kitchen.state.tonight == {kitchen.dinner: Tonight(covers=94)}


def test_another_number_of_the_same_sitting_is_in_nobodys_way(kitchen):
    adjust(kitchen.file, Who("jp", ""), kitchen.dinner, 5)
    save(kitchen.file, kitchen.sous, [Change(Number("covers", kitchen.dinner), None, 94)])
    assert kitchen.state.tonight == {kitchen.dinner: Tonight(covers=94, percent=5)}


def test_two_who_typed_the_same_agree(kitchen):
    covers(kitchen.file, Who("jp", ""), kitchen.dinner, 94)
    did = save(kitchen.file, kitchen.sous, [Change(Number("covers", kitchen.dinner), None, 94)])
    assert did.text == "all of it was set already"
    assert len(kitchen.log("covers")) == 1


def test_who_set_a_number_last_is_known_for_each_number_by_itself(kitchen):
    number = Number("covers", kitchen.dinner)
    assert last_set(kitchen.file, number) is None
    covers(kitchen.file, Who("jp", ""), kitchen.dinner, 80)
    first = kitchen.clock.now()
    kitchen.later(minutes=10)
    adjust(kitchen.file, Who("lm", ""), kitchen.dinner, 5)
    assert last_set(kitchen.file, number) == ("jp", first)
    assert last_set(kitchen.file, Number("percent", kitchen.dinner)) == ("lm", kitchen.clock.now())
    mix(kitchen.file, Who("lm", ""), kitchen.dinner, {"pressed-lamb": Fraction(1, 3)})
    par(kitchen.file, Who("lm", ""), kitchen.dinner, "lamb-jus", ML)
    for kind, item in (("mix", "pressed-lamb"), ("par", "lamb-jus")):
        assert last_set(kitchen.file, Number(kind, kitchen.dinner, item)) == ("lm", kitchen.clock.now())


def test_only_a_sous_chef_may(staffed):
    with pytest.raises(Refused, match="only a sous chef may do that"):
        save(staffed.file, staffed.jp, every_kind(staffed.dinner))
