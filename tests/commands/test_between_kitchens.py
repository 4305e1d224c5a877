"""Two kitchens of a group by their commands alone, with nothing but paper between them."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from html import unescape
from pathlib import Path

import pytest
from click.testing import CliRunner
from lately import numpy, zxingcpp

from prepboard.cli import cli
from tests.store.group.conftest import GROUP

SATURDAY, SUNDAY = "2026-10-31T14:00:00+00:00", "2026-11-01T07:30:00+00:00"


@dataclass
class Typed:
    """A kitchen at which commands are typed."""

    folder: Path
    now: str = SATURDAY
    by: str = "lm"

    def type(self, *words: str):
        settings = {
            "PREPBOARD_FILE": str(self.folder / "kitchen.db"),
            "PREPBOARD_NOW": self.now,
            "PREPBOARD_BY": self.by,
            "COLUMNS": "100",
        }
        return CliRunner(env=settings).invoke(cli, list(words), prog_name="prepboard")

    def done(self, *words: str) -> str:
        result = self.type(*words)
        assert result.exit_code == 0, result.output + result.stderr
        return result.stdout

    def refused(self, *words: str) -> str:
        result = self.type(*words)
        assert result.exit_code == 1, result.output
        return result.stderr


@pytest.fixture
def kitchens(tmp_path: Path) -> tuple[Typed, Typed]:
    found = []
    for name in ("central", "north"):
        folder = tmp_path / name
        (folder / "book").mkdir(parents=True)
        text = f'name = "{name}"\nthis_kitchen = "{name}"\n{GROUP}'
        (folder / "book" / "kitchen.toml").write_text(text, encoding="utf-8")
        one = Typed(folder, by="dk")
        one.done("load", str(folder / "book"))
        one.by = "lm"
        found.append(one)
    return found[0], found[1]


def batch_of(kitchen: Typed) -> str:
    kitchen.done("open", "cream", "--lot", "L77")
    return json.loads(kitchen.done("done", "onion cream", "--json"))["batches"][0]


def test_a_box_goes_from_one_to_the_other_by_paper_alone(kitchens):
    central, north = kitchens
    batch = batch_of(central)
    said = central.done("dispatch", "north", batch, "1.5", "l", "3")
    note = re.search(r"note (C-\w+)", said)[1]
    assert "Onion cream" in said
    assert "Early van Sun 06:30" in said
    paper = central.done("delivery-note", "north")
    for words in (note, "1.5 l", "Use by", "Allergens: milk", "L77", "3 °C", "Came at"):
        assert words in paper, words
    (square,) = [one["square"] for one in json.loads(central.done("delivery-note", note, "--json"))["notes"]]
    assert square.isalnum()
    north.now = SUNDAY
    assert "1.5 l from Central kitchen" in north.done("receive", square, "4")
    (mine,) = json.loads(north.done("show", "stock", "--json"))["stock"][:1]
    assert mine["amount"] == {"amount": 1.5, "unit": "l"}
    assert f"C-{batch}" not in mine["batch"]
    assert mine["batch"] in north.done("label", f"c-{batch}"), "a box is found by what its own label says"
    assert north.done("show", "coming", "--json")
    assert central.type("show", "coming").exit_code == 0


def test_the_page_holds_a_square_that_a_scanner_reads(kitchens, tmp_path):
    """ZXing, a reader that nobody here wrote."""
    central, _north = kitchens
    central.done("dispatch", "north", batch_of(central), "1", "3")
    page = central.done("delivery-note", "--html")
    assert "@page" in page
    assert "Onion cream" in unescape(page)
    (square,) = [one["square"] for one in json.loads(central.done("delivery-note", "--json"))["notes"]]
    path = re.search(r'<path transform="translate\(0 0\) scale\(([\d.]+)\)" fill="#000" d="([^"]+)"', page)
    cells = {(int(x), int(y)) for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", path[2])}
    side = round(150 / float(path[1]))
    picture = numpy.full((side, side), 255, dtype=numpy.uint8)
    for column, row in cells:
        picture[row, column] = 0
    (read,) = zxingcpp.read_barcodes(picture.repeat(4, axis=0).repeat(4, axis=1), formats=zxingcpp.BarcodeFormat.QRCode)
    assert read.text == square


def test_what_is_short_is_ordered_before_the_van_closes_and_packed(kitchens):
    central, north = kitchens
    said = north.done("show", "orders")
    assert "EARLY VAN: order by 18:00" in said
    ((proposed,)) = json.loads(north.done("show", "orders", "--json"))["to_order"]
    north.done("order", "--send")
    assert "nothing is short" in north.refused("order", "--send")
    (ordered,) = json.loads(north.done("show", "orders", "--json"))["orders"]
    assert ordered["amount"] == proposed["amount"]
    assert "Nothing is ordered by it." in central.done("show", "vans")
    batch = batch_of(central)
    central.done("dispatch", "N", batch, "1 l", "3")
    (line,) = json.loads(central.done("show", "vans", "--json"))["vans"]
    assert (line["kitchen"], line["loaded"]["amount"], line["to_load"]["amount"]) == ("north", 1, 0)
    assert "North Quay" in central.done("show", "vans", "--html")
    assert "1 l loaded" in central.done("show", "vans")


def test_refusals_say_what_to_do(kitchens):
    central, north = kitchens
    batch = batch_of(central)
    assert "before it leaves" in central.refused("dispatch", "north", batch, "1 l", "9")
    other = batch_of(central)
    central.done("dispatch", "north", other, "1 l", "39F")
    (one,) = json.loads(central.done("delivery-note", "--json"))["notes"]
    assert "probe another box" in north.refused("receive", one["square"], "9")
    assert "only a sous chef" in north.refused("receive", one["note"], "4", "--why", "lid")
    north.by = "dk"
    north.done("receive", one["note"], "4", "--why", "probe was in the lid", "--amount", "900 ml")
    assert json.loads(north.done("show", "coming", "--json"))["coming"][0]["state"] == "short"
    north.done("settle", one["note"], "--why", "a box fell")
    assert json.loads(north.done("show", "coming", "--json"))["coming"] == []
    assert "they send it back" not in north.refused("take-back", one["note"])
    assert "is not known here" in north.refused("receive", "C-X9X", "4")
    assert "no other kitchen holds back" in north.refused("acknowledge", "L1")
    assert "waits for an answer" in central.refused("answer", "north", "onion cream")
    assert "nothing has left" in north.refused("delivery-note")


def test_the_trace_and_the_record_name_the_other_kitchen(kitchens):
    central, north = kitchens
    batch = batch_of(central)
    note = re.search(r"note (C-\w+)", central.done("dispatch", "north", batch, "1 l", "3"))[1]
    assert f"North Quay, 1 l, note {note}" in " ".join(central.done("show", "trace", batch).split())
    (one,) = json.loads(central.done("delivery-note", "--json"))["notes"]
    code = json.loads(north.done("receive", one["square"], "4", "--json"))["batches"][0]
    said = north.done("show", "trace", code)
    assert f"Central kitchen, batch {batch} there" in said
    assert "lot L77" in said
    assert "received" in north.done("show", "record")
    assert "dispatched" in central.done("show", "record")
    assert north.done("check")
    assert central.done("check")


def test_a_kitchen_by_itself_says_so(tmp_path):
    (tmp_path / "book").mkdir()
    (tmp_path / "book" / "kitchen.toml").write_text(
        '[preps.jus]\nname="Jus"\nkeeps="2 days"\nmakes="1 l"\n', encoding="utf-8"
    )
    alone = Typed(tmp_path)
    alone.done("load", str(tmp_path / "book"))
    for name in ("coming", "orders", "vans"):
        assert alone.done("show", name)
    assert "no kitchen is called" in alone.refused("dispatch", "north", "K7F", "1 l", "3")
