"""What is printed holds nothing that a terminal would obey."""

from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from prepboard.paper.text.plain import plain, wide


def test_colours_titles_and_links_are_removed_with_what_they_carry() -> None:
    assert plain("\x1b[31mred\x1b[0m jus") == "red jus"
    assert plain("\x1b]0;owned\x07jus") == "jus"
    assert plain("\x1b]8;;http://x\x1b\\jus\x1b]8;;\x1b\\") == "jus"
    assert plain("\x9b2Jjus\x08\x00") == "jus"


def test_line_breaks_become_blanks_and_directions_stay() -> None:
    assert plain("lamb\njus\tcold") == "lamb jus cold"
    assert plain("jus \u202egnol") == "jus gnol"


def test_ordinary_names_stay_as_they_are() -> None:
    assert plain("Crème brûlée, 13½ each · 牛骨") == "Crème brûlée, 13½ each · 牛骨"


@given(st.text())
def test_no_text_leaves_a_control_character(text: str) -> None:
    left = plain(text)
    assert not any(unicodedata.category(sign) in ("Cc", "Cs") for sign in left)
    assert plain(left) == left


def test_width_counts_cells() -> None:
    """East Asian Width, Unicode Standard Annex 11: wide signs take two cells, combining marks none."""
    assert wide("jus") == 3
    assert wide("牛骨") == 4
    assert wide("e\u0301") == 1
