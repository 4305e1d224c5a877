"""What of the file actions change, so that each change can be taken back."""

from __future__ import annotations

from collections.abc import Mapping

KEYS: Mapping[str, tuple[str, ...]] = {
    "runs": ("code",),
    "batches": ("code",),
    "plates": ("number",),
    "services": ("day", "service"),
    "mixes": ("day", "service", "dish"),
    "counts": ("day", "service", "dish"),
    "pars": ("day", "service", "prep"),
    "standing_pars": ("prep",),
    "taken_off": ("day", "service", "dish"),
    "was_off": ("day", "service", "dish", "since"),
    "portions": ("day", "dish", "prep"),
    "resets": ("day", "dish"),
    "ran_out": ("day", "service", "dish"),
    "blocked_places": ("place",),
    "settings": ("name",),
    "timers": ("number",),
    "schedules": ("line",),
    "shorts": ("day", "prep", "need"),
    "goods_discarded": ("number",),
    "goods_counted": ("number",),
    "probe_checks": ("number",),
    "hands": ("day", "station"),
    "equipment_that_works": ("day", "equipment"),
    "given": ("day", "prep"),
    "staying": ("day", "station", "since"),
    "missing": ("goods",),
    "added_services": ("day", "service"),
    "standing_by_weekday": ("prep", "weekday"),
    "notes": ("number",),
    "tasks_done": ("day", "task"),
    "signed": ("day", "station"),
    "withdrawals": ("number",),
    "run_lots": ("run", "goods"),
    "pins": ("person",),
    "transfers": ("id",),
    "received_as": ("ours",),
    "holds_kept": ("id",),
    "holds_seen": ("hold", "kitchen"),
    "orders": ("id",),
    "group_books": ("number",),
}
"""The tables whose rows actions change, and what names a row in each."""
