"""Tables whose rows are only ever added: SQLite itself refuses to change or delete one."""

from __future__ import annotations

CHANGES = (("changed", "UPDATE"), ("deleted", "DELETE"))


def only_added(table: str, done: str, change: str) -> str:
    """The trigger that refuses one kind of change, UPDATE or DELETE; it is called moves_are_never_changed."""
    return (
        f"CREATE TRIGGER {table}_are_never_{done} BEFORE {change} ON {table} "
        f"BEGIN SELECT RAISE(ABORT, '{table}: rows are only ever added'); END"
    )
