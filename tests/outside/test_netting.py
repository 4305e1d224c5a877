"""Netting over time against Orlicky's examples (Ptak and Smith, Orlicky's Material Requirements Planning, 3rd ed.,
McGraw-Hill 2011). The book's weeks are days here: day 1 is Sunday 1 November 2026."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

from prepboard.plan.given.state import Tonight

FIRST = date(2026, 11, 1)

DAILY = """
plan_ahead = "10 days"
"""

BOOK = """
[services.dinner]
days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
starts = "18:00"
ends = "22:00"
covers = 0

[services.count]
days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
starts = "18:00"
ends = "22:00"
covers = 100

[dishes.part]
name = "Part"
services = ["count"]
plate = { part = "1 each" }

[preps.part]
name = "Part"
keeps = "60 days"
makes = "1 each"
"""


def planned(kitchen, gross: dict[int, int], on_hand: int, receipt: tuple[int, int] | None = None) -> dict[int, int]:
    """day -> planned, for gross requirements by day that are known for certain (counts)."""
    small = kitchen(BOOK, DAILY)
    for day in range(1, 11):
        counts = {"part": gross.get(day, 0)}
        small.tonight["count", FIRST + timedelta(days=day - 1)] = Tonight(counts=counts)
    if on_hand:
        small.on_hand("part", f"{on_hand} each", None)
    if receipt:
        run = small.under_way("part", started="2026-10-31 08:00")
        run.outputs = {"part": receipt[0] * 1_000_000}
        run.size = Fraction(receipt[0])
    found: dict[int, int] = {}
    for line in small.plan("2026-10-31 09:00").make:
        day = (line.ready_by.date() - FIRST).days + 1
        found[day] = found.get(day, 0) + line.amount // 1_000_000
    return found


def test_net_requirements_after_stock_and_a_receipt(kitchen):
    """Figures 7-3 to 7-7 (pp. 142-144): gross 20@2, 25@4, 15@6, 12@7; 23 on hand; 30 to come at 3. Net 7@6, 12@7;
    check: 72 - 30 - 23 = 19."""
    net = planned(kitchen, {2: 20, 4: 25, 6: 15, 7: 12}, 23, (30, 3))
    assert net == {6: 7, 7: 12}
    assert sum(net.values()) == 72 - 30 - 23


def test_net_is_gross_less_what_is_to_come_less_what_is_there(kitchen):
    """p. 117: 120 - 25 - 50 = 45."""
    assert planned(kitchen, {3: 120}, 50, (25, 1)) == {3: 45}


def test_lot_for_lot(kitchen):
    """pp. 168-170: net 35 10 0 40 0 20 5 10 30 as it stands is covered lot for lot, 150 in all."""
    net = {1: 35, 2: 10, 4: 40, 6: 20, 7: 5, 8: 10, 9: 30}
    assert planned(kitchen, net, 0) == net
    assert sum(net.values()) == 150
