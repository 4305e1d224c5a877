"""What a terminal would show: the escape codes that a board writes, read into lines of styled text.

Only what Textual's drivers write is known: moving the cursor and colours (ECMA-48 CUP and SGR), and modes, which change
nothing that is seen. Anything else is passed over and counted, so that a test sees it and a kitchen does not.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache

from rich.cells import cell_len

_CODE = re.compile(
    r"\x1b\[(?P<private>[?<>=]?)(?P<numbers>[\d;:]*)(?P<mid>[ !\"$'*+]*)(?P<end>[@-~])"
    r"|\x1b\](?P<osc>[^\x07\x1b]*)(?:\x07|\x1b\\)"
    r"|\x1b(?P<short>[=>78cDEHM])"
    r"|(?P<control>[\x00-\x1a\x1c-\x1f\x7f])"
)

Style = tuple[str, str, str]
"""Letters for bold, dim, italic, underlined, reverse and struck ("bdiurs"), the colour of the text, that behind it."""

PLAIN: Style = ("", "", "")
_ON = {1: "b", 2: "d", 3: "i", 4: "u", 7: "r", 9: "s"}
_OFF = {22: "bd", 23: "i", 24: "u", 27: "r", 29: "s"}
_EMPTY: tuple[str, Style] = (" ", PLAIN)


class Run(tuple[str, Style, int]):
    """Letters that stand side by side in one style: (text, style, cells); cells is 0 where each letter takes one."""

    __slots__ = ()


class Cells:
    """A screen of `width` by `height` cells. A letter that is two cells wide is followed by an empty one."""

    def __init__(self, width: int, height: int) -> None:
        self.unknown = 0
        """Codes that were passed over."""
        self.rings = 0
        """How often the bell rang."""
        self.written: set[int] = set()
        """Lines that were written on since this was last emptied."""
        self._rest = ""
        self.resize(width, height)

    def resize(self, width: int, height: int) -> None:
        """Another size: all is empty until it is painted again."""
        self.width, self.height = width, height
        self._lines = [[_EMPTY] * width for _ in range(height)]
        self._x = self._y = 0
        self._style: Style = PLAIN
        self.written.clear()

    def feed(self, data: str) -> None:
        """Takes what was written; a code that is cut in two is finished with the next piece."""
        data = self._rest + data
        self._rest = ""
        cut = data.rfind("\x1b")
        if cut >= 0 and len(data) - cut < 64 and not _CODE.match(data, cut):
            data, self._rest = data[:cut], data[cut:]
        at = 0
        for code in _CODE.finditer(data):
            if at < code.start():
                self._put(data[at : code.start()])
            at = code.end()
            if code["end"] == "m" and not code["private"] and not code["mid"]:
                self._style = _styled(self._style, code["numbers"])
            else:
                self._obey(code)
        self._put(data[at:])

    def line(self, y: int) -> list[Run]:
        """The runs of one line; blank cells at its end that have no colour are left out."""
        cells = self._lines[y]
        end = len(cells)
        while end and cells[end - 1] == _EMPTY:
            end -= 1
        return list(_runs(cells[:end]))

    def text(self, y: int) -> str:
        """One line as plain text, without blanks at its end."""
        return "".join(letter for letter, _style in self._lines[y]).rstrip()

    # --- writing -----------------------------------------------------------------------------------------

    def _put(self, text: str) -> None:
        end = self._x + len(text)
        if text.isascii() and text.isprintable() and self._x < end <= self.width and self._y < self.height:
            self._lines[self._y][self._x : end] = [(letter, self._style) for letter in text]
            self.written.add(self._y)
            self._x = end
            return
        for letter in text:
            wide = cell_len(letter)
            if wide == 0:
                if letter == "\x1b":
                    self.unknown += 1
                else:
                    self._join(letter)
                continue
            if self._y < self.height and self._x + wide <= self.width:
                line = self._lines[self._y]
                line[self._x] = (letter, self._style)
                if wide == 2:
                    line[self._x + 1] = ("", self._style)
                self.written.add(self._y)
            self._x += wide

    def _join(self, mark: str) -> None:
        """An accent that is written after its letter."""
        x = self._x - 1
        if not (0 <= x < self.width and self._y < self.height):
            return
        line = self._lines[self._y]
        while x and line[x][0] == "":
            x -= 1
        letter, style = line[x]
        line[x] = (unicodedata.normalize("NFC", letter + mark), style)

    def _obey(self, code: re.Match[str]) -> None:
        control, end = code["control"], code["end"]
        if control:
            self._control(control)
        elif code["osc"] is not None or code["short"] or code["private"] or code["mid"]:
            return  # Titles, keypads, modes and questions: nothing that is seen.
        elif end == "H":
            line, _, column = code["numbers"].partition(";")
            self._y, self._x = int(line or 1) - 1, int(column or 1) - 1
        elif end == "J" and code["numbers"] == "2":
            width, height = self.width, self.height
            self.resize(width, height)
        else:
            self.unknown += 1

    def _control(self, sign: str) -> None:
        if sign == "\n":
            self._x, self._y = 0, self._y + 1
        elif sign == "\r":
            self._x = 0
        elif sign == "\x07":
            self.rings += 1
        else:
            self.unknown += 1


@lru_cache(maxsize=4096)
def _styled(style: Style, numbers: str) -> Style:
    """A style changed by one SGR code (ECMA-48 8.3.117; 38 and 48 as ITU-T T.416 writes direct colours)."""
    flags, ink, paper = style
    parts = iter([int(part or 0) for part in re.split("[;:]", numbers)])
    for part in parts:
        if part == 0:
            flags, ink, paper = PLAIN
        elif part in _ON:
            flags += "" if _ON[part] in flags else _ON[part]
        elif part in _OFF:
            flags = "".join(flag for flag in flags if flag not in _OFF[part])
        elif part in (38, 48):
            colour = _colour(parts)
            ink, paper = (colour, paper) if part == 38 else (ink, colour)
        elif part in (39, 49):
            ink, paper = ("", paper) if part == 39 else (ink, "")
        elif 30 <= part <= 37 or 90 <= part <= 97:
            ink = _of_sixteen(part - 30 if part < 90 else part - 82)
        elif 40 <= part <= 47 or 100 <= part <= 107:
            paper = _of_sixteen(part - 40 if part < 100 else part - 92)
    return "".join(sorted(flags)), ink, paper


def _colour(parts: Iterator[int]) -> str:
    kind = next(parts, 0)
    if kind == 2:
        red, green, blue = (min(255, next(parts, 0)) for _ in range(3))
        return f"#{red:02x}{green:02x}{blue:02x}"
    return _of_sixteen(next(parts, 0)) if kind == 5 else ""


_SIXTEEN = (
    "000000 aa0000 00aa00 aa5500 0000aa aa00aa 00aaaa aaaaaa 555555 ff5555 55ff55 ffff55 5555ff ff55ff 55ffff ffffff"
)


def _of_sixteen(number: int) -> str:
    """A colour by its number: the sixteen as most terminals have them, then the cube of six and the greys."""
    if number < 16:
        return f"#{_SIXTEEN.split()[number]}"
    if number < 232:
        number -= 16
        steps = (0, 95, 135, 175, 215, 255)
        red, green, blue = steps[number // 36], steps[number // 6 % 6], steps[number % 6]
        return f"#{red:02x}{green:02x}{blue:02x}"
    grey = 8 + 10 * (min(255, number) - 232)
    return f"#{grey:02x}{grey:02x}{grey:02x}"


def _one_cell(letter: str) -> bool:
    """Whether every monospaced font has it one cell wide: Latin letters, digits and their signs."""
    return letter.isascii() or "\u00a0" <= letter <= "\u017f"


def _runs(cells: list[tuple[str, Style]]) -> Iterator[Run]:
    text, style = "", PLAIN
    for letter, now in cells:
        if letter == "":
            continue
        if _one_cell(letter) and now == style:
            text += letter
            continue
        if text:
            yield Run((text, style, 0))
        text, style = letter, now
        if not _one_cell(letter):
            yield Run((letter, now, cell_len(letter)))
            text = ""
    if text:
        yield Run((text, style, 0))
