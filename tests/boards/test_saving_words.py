"""What a save would cost, in the lines that there are for it."""

from __future__ import annotations

import pytest
from rich.cells import cell_len

from prepboard.boards.pars.saving_words import Line, under_heading

LINES: list[Line] = [
    ("Jus ready 12 min late", "late"),
    ("3 more to make " * 9, "plain"),
    ("2 kg left over " * 9, "plain"),
]
MANY: list[Line] = [LINES[0], *((f"change {n}", "plain") for n in range(1, 9))]


def texts(lines: list[Line], width: int, most: int) -> list[str]:
    return ["".join(text for text, _tone in line) for line in under_heading("IF YOU SAVE", lines, width, most)]


@pytest.mark.parametrize("width", [44, 80, 120])
def test_the_worst_stands_first_and_what_has_no_room_is_counted_and_never_cut_away(width: int) -> None:
    shown = texts(MANY, width, 4)
    assert len(shown) == 4
    assert any("Jus ready 12 min late" in line for line in shown[:2])
    named = sum("change" in line or "Jus" in line for line in shown)
    assert f"… {len(MANY) - named} more: v shows all" in shown[-1]
    assert {cell_len(line) for line in shown} == {width}
    assert not any("…" in line for line in texts(LINES, width, 20))
