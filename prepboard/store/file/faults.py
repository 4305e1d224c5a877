"""What can be wrong with the shared file; each says in one line what and why."""

from __future__ import annotations


class StoreFault(Exception):
    """The file cannot be opened, read or written; `str()` is one line for a person."""


class NotSaved(StoreFault):
    """A change did not reach the file; what was there before is still there."""


class PutBack(NotSaved):
    """A copy was put in the file's place since this was begun: what was to be written is of a time that the file does
    not know any more."""
