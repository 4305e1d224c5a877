"""The cells of a timeline's row: signs and labels put where they fit, and none over another's text."""

from __future__ import annotations

from rich.cells import cell_len

from prepboard.boards.widgets.row import Piece, Tone, clean, fit

GAP = 1
"""Cells that stay free on either side of a label."""

APART = 3
"""Between two labels below a bar: else two of them read as one."""


class Cells:
    """One row being drawn. What holds text is written once, and nothing is drawn over it."""

    def __init__(self, wide: int) -> None:
        self.wide = wide
        self._signs = [" "] * wide
        self._tones: list[Tone] = ["plain"] * wide
        self._taken = [False] * wide
        self._text = [False] * wide

    def dot(self, place: int, sign: str, tone: Tone) -> None:
        """A sign that takes no room: what comes later is drawn over it."""
        self._signs[place], self._tones[place] = sign, tone

    def bar(self, cells: range, sign: str, tone: Tone) -> None:
        """A stretch of signs."""
        for place in cells:
            if not self._text[place]:
                self._signs[place], self._tones[place], self._taken[place] = sign, tone, True

    def line(self, place: int, sign: str, over: str) -> None:
        """A sign through the row, beside text and never on it, and only over blanks and the signs in `over`."""
        if 0 <= place < self.wide and not self._text[place] and self._signs[place] in over:
            self._signs[place], self._tones[place] = sign, "strong"

    def inside(self, cells: range, label: str, tone: Tone, beside: int) -> bool:
        """Writes the label into a stretch, as near to its middle as the cell `beside` leaves; False: no room."""
        long = cell_len(label)
        last = cells.stop - GAP - long
        places = range(cells.start + GAP, last + 1)
        middle = cells.start + (len(cells) - long) // 2
        for place in sorted(places, key=lambda place: abs(place - middle)):
            if not place <= beside < place + long and not any(self._text[place : place + long]):
                self._write(place, label, tone)
                return True
        return False

    def after(self, end: int, label: str, tone: Tone, beside: int) -> bool:
        """Writes the label right of a stretch that ends before the cell `end`, all between free; False: no room."""
        long, place = cell_len(label), end + GAP
        if place <= beside < place + long:
            place = beside + 1
        whole = place + long <= self.wide and not any(self._taken[end : min(self.wide, place + long + GAP)])
        return whole and self._write(place, label, tone)

    def below(self, place: int, label: str, tone: Tone, beside: int) -> bool:
        """Writes the label at `place`, or as near to it as the page and the cell `beside` leave; where the page is
        too narrow for it, cut. False: something stands there."""
        label = label if cell_len(label) <= self.wide else fit(label, self.wide)
        long = cell_len(label)
        place = max(0, min(place, self.wide - long))
        if place <= beside < place + long:
            right, left = beside + 1, beside - long
            place = right if right + long <= self.wide else left if left >= 0 else place
        before, after = max(0, place - APART), min(self.wide, place + long + APART)
        return not any(self._taken[before:after]) and self._write(place, label, tone)

    def pieces(self) -> list[Piece]:
        """The row, neighbours of one tone together."""
        found: list[Piece] = []
        for sign, tone in zip(self._signs, self._tones, strict=True):
            if found and found[-1][1] == tone:
                found[-1] = (found[-1][0] + sign, tone)
            else:
                found.append((sign, tone))
        return found

    def _write(self, place: int, label: str, tone: Tone) -> bool:
        """A sign that is two cells wide takes both; one that has no width goes with the one before it."""
        for sign in clean(label):
            wide = cell_len(sign)
            if not wide:
                self._signs[place - 1] += sign
                continue
            for cell in range(place, place + wide):
                self._signs[cell], self._tones[cell] = "", tone
                self._taken[cell] = self._text[cell] = True
            self._signs[place] = sign
            place += wide
        return True
