"""What is far outside is refused in words: days, clocks, tables without an end, arguments that are no text."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.parametrize("day", ["9999-12-31", "0001-01-01", "0206-06-13"])
def test_a_day_that_no_kitchen_has_is_refused(typed, day):
    for words in (
        ("covers", "dinner", "40", "--day", day),
        ("show", "waste", "--from", day),
        ("show", "record", "--to", day),
    ):
        answer = typed(*words)
        assert answer.exit_code == 1, words
        assert "is no day of this kitchen" in answer.output, words


@pytest.mark.parametrize("now", ["1970-01-01T00:00+00:00", "9999-12-31T23:59+00:00"])
def test_a_clock_that_is_far_off_is_refused(typed, now):
    typed.now = now
    answer = typed("show", "make")
    assert answer.exit_code == 1
    assert "set this machine's clock first" in answer.output


def test_a_table_without_an_end_is_refused(typed):
    answer = typed("import", "pars", "/dev/zero")
    assert answer.exit_code == 1
    assert "is larger than 20 MB" in answer.output


def test_a_cell_that_is_no_cell_is_refused(typed, tmp_path):
    table = tmp_path / "pars.csv"
    table.write_text("service,day,prep,par\n" + "x" * 200_000 + ",,,\n", encoding="utf-8")
    answer = typed("import", "pars", str(table))
    assert answer.exit_code == 1
    assert "went wrong inside" not in answer.output


def test_an_argument_that_is_no_text_is_wrong_use():
    done = subprocess.run([sys.executable, "-m", "prepboard", b"show", b"m\xffke"], capture_output=True, check=False)
    assert done.returncode == 2
    assert b"is no UTF-8 text" in done.stderr
    assert b"went wrong inside" not in done.stderr
