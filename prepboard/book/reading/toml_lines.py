"""On which line of a TOML file each key stands, which the standard parser does not tell.

Only for texts that the parser accepts: the scanner follows tables, keys, arrays and inline tables and steps over
everything else. It runs only when a fault has to be placed.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping

from msgspec import Struct, field

Path = tuple[str | int, ...]

_SPACE = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_BASIC = re.compile(r'"((?:[^"\\]|\\.)*)"', re.S)
_LITERAL = re.compile(r"'([^']*)'")
_STRING = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*"{3,5}' r"|'''(?:[^']|'(?!''))*'{3,5}" r'|"(?:[^"\\]|\\.)*"' r"|'[^']*'", re.S
)
_OTHER = re.compile(r"[^,\]}\n#]*")
_ESCAPE = re.compile(r"\\(?:u([0-9a-fA-F]{4})|U([0-9a-fA-F]{8})|(.))")


_MARK = re.compile(rf"^[ \t]*(\[)|{_STRING.pattern}|#[^\n]*|([\[\]{{}}])", re.S | re.M)
"""A bracket that begins its line, and every other one; strings and comments, so that none in them counts."""


def lines_of(text: str, wanted: Collection[Path] | None = None) -> Mapping[Path, int]:
    """The line (from 1) of each key, table and array element of a valid TOML text.

    With `wanted`, paths of two keys, only the header of any other table below such a path: the rest is stepped over.
    """
    scanner = _Scanner(text, wanted)
    scanner.document()
    return scanner.lines


def _unescape(text: str) -> str:
    def plain(found: re.Match[str]) -> str:
        code = found[1] or found[2]
        return chr(int(code, 16)) if code else {"n": "\n", "t": "\t", "r": "\r"}.get(found[3], found[3])

    return _ESCAPE.sub(plain, text)


class _Scanner(Struct):
    text: str
    wanted: Collection[Path] | None = None
    lines: dict[Path, int] = field(default_factory=dict)
    at: int = 0
    line: int = 1
    counted_to: int = 0
    arrays: dict[Path, int] = field(default_factory=dict)
    """How many [[tables]] each path has so far."""

    def document(self) -> None:
        table: Path = ()
        while self._skip_space():
            if self.text[self.at] == "[":
                table = self._header()
                if self.wanted is not None and len(table) > 1 and table[:2] not in self.wanted:
                    self._skip_table()
            else:
                self._pair(table)

    def _skip_space(self) -> bool:
        """Steps over blanks and comments; False at the end of the text."""
        found = _SPACE.match(self.text, self.at)
        self.at = found.end() if found else self.at
        return self.at < len(self.text)

    def _skip_table(self) -> None:
        """Steps on to the next header: an opening bracket that begins its line, inside no value."""
        depth = 0
        for found in _MARK.finditer(self.text, self.at):
            begins_line, bracket = found.groups()
            if begins_line and not depth:
                self.at = found.start(1)
                return
            if begins_line or bracket:
                depth += 1 if begins_line or bracket in "[{" else -1
        self.at = len(self.text)

    def _note(self, path: Path) -> None:
        self.line += self.text.count("\n", self.counted_to, self.at)
        self.counted_to = self.at
        for length in range(1, len(path) + 1):
            self.lines.setdefault(path[:length], self.line)

    def _header(self) -> Path:
        double = self.text.startswith("[[", self.at)
        start = self.at
        self.at += 2 if double else 1
        keys = self._within_arrays(self._key())
        if double:
            count = self.arrays.get(keys, 0)
            self.arrays[keys] = count + 1
            keys = (*keys, count)
        end, self.at = self.at, start
        self._note(keys)
        self.lines[keys] = self.line  # a table's own header, not a key of it that came first
        self.at = self.text.index("]", end) + (2 if double else 1)
        return keys

    def _within_arrays(self, keys: Path) -> Path:
        """A header below [[x]] means the latest x."""
        path: Path = ()
        for position, key in enumerate(keys):
            path = (*path, key)
            if position < len(keys) - 1 and path in self.arrays:
                path = (*path, self.arrays[path] - 1)
        return path

    def _key(self) -> Path:
        keys: list[str | int] = []
        while self._skip_space():
            quoted = _BASIC.match(self.text, self.at)
            found = quoted or _LITERAL.match(self.text, self.at) or _BARE.match(self.text, self.at)
            if found is None:
                raise ValueError(f"no key at character {self.at}")
            keys.append(_unescape(found[1]) if quoted else found[found.lastindex or 0])
            self.at = found.end()
            self._skip_space()
            if not self.text.startswith(".", self.at):
                break
            self.at += 1
        return tuple(keys)

    def _pair(self, table: Path) -> None:
        start = self.at
        path = (*table, *self._key())
        end, self.at = self.at, start
        self._note(path)
        self.at = self.text.index("=", end) + 1
        self._skip_space()
        self._value(path)

    def _value(self, path: Path) -> None:
        opening = self.text[self.at]
        if opening == "[":
            self._array(path)
        elif opening == "{":
            self._inline_table(path)
        else:
            found = _STRING.match(self.text, self.at) or _OTHER.match(self.text, self.at)
            self.at = found.end() if found else self.at + 1

    def _array(self, path: Path) -> None:
        self.at += 1
        position = 0
        while self._skip_space() and self.text[self.at] != "]":
            if self.text[self.at] == ",":
                self.at += 1
                continue
            self._note((*path, position))
            self._value((*path, position))
            position += 1
        self.at += 1

    def _inline_table(self, path: Path) -> None:
        self.at += 1
        while self._skip_space() and self.text[self.at] != "}":
            if self.text[self.at] == ",":
                self.at += 1
                continue
            self._pair(path)
        self.at += 1
