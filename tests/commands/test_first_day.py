"""A new kitchen's first day: what is on its shelves comes from a table, and the board is true."""

from __future__ import annotations

import csv
import io


def fill(table: str, found: dict[str, tuple[str, str]]) -> str:
    """The table that `show stock --csv` wrote, with an amount and a date for some preps."""
    rows = list(csv.DictReader(io.StringIO(table)))
    for row in rows:
        row["amount"], row["made_at"] = found.get(row["prep"], ("", ""))
    text = io.StringIO()
    writer = csv.DictWriter(text, rows[0], lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def test_the_shelves_are_filled_from_a_table_with_a_line_a_prep(typed, tmp_path):
    table = typed.done("show", "stock", "--csv")
    assert {row["prep"] for row in csv.DictReader(io.StringIO(table))} == {"lamb-jus", "fat", "crisp", "crumb"}
    path = tmp_path / "shelf.csv"
    path.write_text(fill(table, {"lamb-jus": ("2.4 l", "2026-10-30"), "crisp": ("31", "2026-10-31T09:00")}))
    assert typed.done("import", "stock", str(path)) == "2 batches are on the shelf"
    jus, crisp = (line for line in typed.json("stock") if line["batch"])
    assert (jus["amount"], jus["made_at"], jus["use_by"]) == (
        {"amount": 2.4, "unit": "l"}, "2026-10-30T04:00:00+00:00", "2026-11-03T00:00:00+00:00",
    )  # fmt: skip
    assert crisp["use_by"] == "2026-11-01T21:00:00+00:00", "36 h from 09:00"
    assert typed.done("check")
    assert "Lamb jus" in typed.done("show", "stock")
    assert "2 batches are on the shelf" in typed.done("undo")
    assert not [line for line in typed.json("stock") if line["batch"]]


def test_of_what_is_not_there_a_script_reads_zero_and_a_table_is_left_to_fill_in(typed):
    none = [line for line in typed.json("stock") if line["batch"] is None]
    assert none
    assert {line["amount"]["amount"] for line in none} == {0}
    rows = [row for row in csv.DictReader(io.StringIO(typed.done("show", "stock", "--csv"))) if not row["batch"]]
    assert len(rows) == len(none)
    assert {row["amount"] for row in rows} == {""}


def test_lots_far_above_what_is_usual_are_all_listed_and_asked_about(typed, tmp_path):
    path = tmp_path / "shelf.csv"
    path.write_text("prep,amount,made_at\nlamb jus,240 l,2026-10-30\ncrisp,3100,2026-10-31\nfat,500 g,2026-10-31\n")
    result = typed("import", "stock", str(path))
    assert result.exit_code == 1
    assert (
        "more than three times what is usual: Lamb jus: 109 deep sixths (240 l), usually 2.94 l; Rye crisp: 3100"
        in result.stderr
    )
    assert "fat" not in result.stderr
    assert "--sure" in result.stderr
    assert not [line for line in typed.json("stock") if line["batch"]]
    assert typed.done("import", "stock", str(path), "--sure") == "3 batches are on the shelf"


def test_food_that_is_past_its_date_is_named_and_listed_to_discard(typed, tmp_path):
    path = tmp_path / "shelf.csv"
    path.write_text("prep,amount,made\nlamb jus,1 l,2026-10-20\ncrisp,5,2026-10-31\n")
    assert "1 is past its use-by" in typed.done("import", "stock", str(path))
    (line,) = typed.json("closing")["discard"]
    assert (line["prep"], line["reason"]) == ("lamb-jus", "past-use-by")


def test_lines_that_do_not_fit_are_all_named_and_nothing_is_on_the_shelf(typed, tmp_path):
    path = tmp_path / "shelf.csv"
    path.write_text("prep,amount,made_at\ngravy,1 l,2026-10-30\ncrisp,5,\njus,1 kg,2026-10-30\nfat,1 kg,2026-12-01\n")
    result = typed("import", "stock", str(path))
    assert result.exit_code == 1
    for said in ("line 2: no prep is called 'gravy'", "line 3: made_at is empty", "line 4: Lamb jus", "nothing was"):
        assert said in result.stderr
    assert not [line for line in typed.json("stock") if line["batch"]]


def test_what_was_written_with_its_batches_is_not_added_twice(typed, tmp_path):
    typed.done("done", "crisp", "20")
    path = tmp_path / "shelf.csv"
    path.write_text(typed.done("show", "stock", "--csv"))
    assert "is in the file already" in typed("import", "stock", str(path)).stderr


def test_what_a_spreadsheet_made_of_the_table_is_read(typed, tmp_path):
    """Letters of Windows, semicolons, decimal commas, days as they are shown."""
    rows = list(csv.DictReader(io.StringIO(typed.done("show", "stock", "--csv"))))
    assert {row["prep"]: row["amount_unit"] for row in rows}["lamb-jus"] == "l", "what a number would be of"
    found = {"lamb-jus": ("2,4", "30.10.2026"), "crisp": ("31", "31/10/2026 09:00:00"), "fat": ("0,5 kg", "2026-10-31")}
    for row in rows:
        row["amount"], row["made_at"] = found.get(row["prep"], ("", ""))
        row["name"] = f"à {row['name']}"
    lines = [";".join(rows[0]), *(";".join(row.values()) for row in rows)]
    path = tmp_path / "shelf.csv"
    path.write_bytes("\r\n".join(lines).encode("cp1252"))
    assert typed.done("import", "stock", str(path)) == "3 batches are on the shelf"
    there = {line["prep"]: line for line in typed.json("stock") if line["batch"]}
    assert there["lamb-jus"]["amount"] == {"amount": 2.4, "unit": "l"}
    assert there["lamb-jus"]["made_at"] == "2026-10-30T04:00:00+00:00"
    assert there["crisp"]["made_at"] == "2026-10-31T09:00:00+00:00"
    assert there["fat"]["amount"]["amount"] in (0.5, 500)


def test_what_could_be_two_numbers_or_two_days_is_refused(typed, tmp_path):
    path = tmp_path / "shelf.csv"
    path.write_text("prep;amount;made_at\ncrisp;1,500;2026-10-31\njus;2,4;10/11/2026\nfat;2 small tubs;2026-10-31\n")
    said = typed("import", "stock", str(path)).stderr
    assert "line 2" in said
    assert "a point" in said
    assert "line 3: '10/11/2026'" in said
    assert "tubs" in said
