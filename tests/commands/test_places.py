"""Where it is kept, held back, put right, typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.commands.conftest import Typed


@pytest.fixture
def code(typed: Typed) -> str:
    """A batch of jus, 6.6 l: three deep sixths."""
    typed.done("done", "jus", "6.6 l", "--sure", "--at", "13:00")
    return batch_of(typed, "lamb-jus")


def batch_of(typed: Typed, prep: str) -> str:
    rows = [*typed.json("closing")["carry_over"], *typed.json("closing")["decide"]]
    return str(next(row["batch"] for row in rows if row["prep"] == prep))


def amounts(typed: Typed) -> dict[str, float]:
    rows = [*typed.json("closing")["carry_over"], *typed.json("closing")["decide"]]
    return {row["batch"]: row["amount"]["amount"] for row in rows if row["prep"] == "lamb-jus"}


def test_a_part_in_containers_is_split_off(typed: Typed, code: str) -> None:
    assert "4.4 l" in typed.done("split", code.lower(), "2 deep sixth")
    assert sorted(amounts(typed).values()) == [2.2, 4.4]


def test_several_parts_at_once(typed: Typed, code: str) -> None:
    typed.done("split", code, "1", "l", "500ml")
    assert sorted(amounts(typed).values()) == [0.5, 1, 5.1]
    assert "AMOUNT" in typed.refused("split", code, code=2)


def test_frozen_and_thawed_with_a_place_that_the_book_does_not_name(typed: Typed, code: str) -> None:
    assert "its days stand still while it is frozen" in typed.done("freeze", code, "1.1 l")
    part = next(own for own, amount in amounts(typed).items() if amount == 1.1)
    assert "good to" in typed.done("thaw", part)
    assert "is not frozen" in typed.refused("thaw", part)


def test_moved(typed: Typed, code: str) -> None:
    assert "is in Walk-in already" in typed.refused("move-to", code, "walk-in")
    assert "PLACE" in typed.refused("move-to", code, code=2)
    assert "no batch with anything left is called 'ZZZ'" in typed.refused("move-to", "ZZZ", "walk-in")


def test_held_back_and_let_go(typed: Typed, code: str) -> None:
    typed.done("block", code, "--why", "smells")
    (line,) = typed.json("closing")["discard"]
    assert (line["batch"], line["reason"], line["why"]) == (code, "unsafe", "blocked: smells")
    typed.done("unblock", code, "--why", "it was the drain")
    typed.done("block", "walk", "--why", "8 C")
    assert typed.json("closing")["discard"][0]["why"] == "blocked: 8 C"
    typed.done("unblock", "walk-in", "--why", "3 C")
    assert typed.json("closing")["discard"] == []


def test_kept_and_kept_for_a_service(typed: Typed, code: str) -> None:
    assert "kept for Dinner 2026-10-31" in typed.done("keep-for", code, "dinner")
    typed.done("keep-for", code, "--free")
    assert "SERVICE" in typed.refused("keep-for", code, code=2)
    assert "is kept" in typed.done("keep", code, "--why", "for Monday")


def test_a_wrong_label_put_right(typed: Typed, code: str) -> None:
    before = next(row for row in typed.json("expiring") if row["batch"] == code) if typed.json("expiring") else None
    assert before is None
    typed.done("correct", code, "--made-at", "2026-10-29T12:00", "--why", "misread")
    (row,) = [row for row in typed.json("expiring") if row["batch"] == code]
    assert row["use_by"] == "2026-11-02T00:00:00+00:00"
    assert row["why"] == "its own life"
    assert "say what is right" in typed.refused("correct", code, "--why", "x", code=2)


def test_a_batch_that_no_recipe_knows_is_counted_and_used_by_amount(typed: Typed) -> None:
    typed.done("made", "Odd soup", "3 l")
    code = batch_of(typed, "")
    typed.done("use", code, "500 ml", "--for", "staff")
    typed.done("count", code, "2 l")
    rows = [*typed.json("closing")["carry_over"], *typed.json("closing")["decide"]]
    assert [row["amount"] for row in rows if row["batch"] == code] == [{"amount": 2000, "unit": "ml"}]


def test_what_happened_earlier_is_written_down_as_it_was(typed: Typed, code: str) -> None:
    typed.done("use", code, "1 l", "--for", "staff", "--at", "13:30")
    typed.done("discard", code, "1 l", "--why", "dropped", "--at", "13:40")
    rows = typed.json("log")
    assert [row["at"][11:16] for row in rows if row["did"] in ("used for", "discarded")] == ["13:30", "13:40"]
