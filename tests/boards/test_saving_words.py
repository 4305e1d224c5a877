"""What a save would cost, in the lines that there are for it."""

from __future__ import annotations

import pytest
from rich.cells import cell_len

from prepboard.boards.pars.saving_words import Line, under_heading

LINES: list[Line] = [("Jus late 12 min", "late"), ("3 more to make " * 9, "plain"), ("2 kg left over " * 9, "plain")]


def texts(width: int, most: int) -> list[str]:
    return ["".join(text for text, _tone in line) for line in under_heading("IF YOU SAVE", LINES, width, most)]


@pytest.mark.parametrize("width", [44, 80, 120])
def test_what_has_no_room_ends_in_dots_and_what_is_late_stays(width: int) -> None:
    cut = texts(width, 3)
    assert len(cut) == 3
    assert cut[-1].rstrip().endswith("…")
    assert any("Jus late 12 min" in line for line in cut)
    assert {cell_len(line) for line in cut} == {width}
    assert not any("…" in line for line in texts(width, 20))
