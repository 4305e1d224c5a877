"""Walks what a small kitchen answers and refuses in a language of other letters, and every key of every board: prints
the words that no translator can reach. Minutes of processor: not part of the suite.

    python tests/benchmarks/other_letters.py [boards]
"""

from __future__ import annotations

import asyncio
import os
import re
import shlex
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from click.testing import CliRunner  # noqa: E402
from conftest import kitchen_file  # noqa: E402
from languages.conftest import UNTIL  # noqa: E402
from languages.other_letters import WORD, Recording, left_over  # noqa: E402
from languages.pseudo import speaking  # noqa: E402
from languages.test_on_screen import BOARDS, walked  # noqa: E402

from prepboard import demo  # noqa: E402
from prepboard.boards.keys import KEYS  # noqa: E402
from prepboard.cli import cli  # noqa: E402
from prepboard.clock import FixedClock  # noqa: E402
from prepboard.demo_book import demo_words  # noqa: E402
from prepboard.plan.planner import Planner  # noqa: E402
from prepboard.store.file.who import Who  # noqa: E402
from prepboard.store.kitchen_file import KitchenFile  # noqa: E402

CLICKS = re.compile(r"Got unexpected|No such|Missing|Invalid value")

SMALL = """
[stations.sauce]
name = "Sauce"

[people.mr]
name = "Maren"
role = "sous"

[people.ab]
name = "Anouk"
role = "cook"

[places.larder]
name = "Larder"
store = "chilled"

[places.chest]
name = "Chest"
store = "frozen"

[services.dinner]
name = "Dinner"
starts = "18:00"
ends = "22:00"
covers = 60

[dishes.lamb]
name = "Lamb"
course = "main"
services = ["dinner"]
share = 0.5
plate = { jus = "50 ml" }

[goods.shallot]
name = "Shallots"
unit = "kg"

[preps.jus]
name = "Jus"
station = "sauce"
keeps = { chilled = "3 days", frozen = "30 days" }
thaw = "6 h"
makes = "2 l"
held_in = { jug = "1 l" }
uses = { shallot = "200 g" }
steps = [{ do = "Sweat", hands_on = "15 min", at = "98 C" }, { do = "Chill", wait = "1 h", cools = true }]
"""

LINES = (
    "covers 90", "undo", "covers 90 --real", "start jus", "step jus", "step jus", "done jus", "done jus",
    "done nothing",
    "start jus 2l", "lost jus --why burnt", "count jus 1l", "count jus 9l", "count jus",
    "discard jus 100ml --why burnt",
    "discard jus 100l --why burnt", "discard jus --why nonsense", "use jus 100ml --for staff", "86 lamb --why late",
    "86 lamb --why late", "back lamb", "back lamb", "note hello", "note hello --for sauce", "block larder --why warm",
    "block larder --why warm", "unblock larder --why cold", "temp larder 3", "temp larder 12", "temp chest -18",
    "temp jus 80", "sign sauce", "par jus 3l", "mix lamb 30%", "adjust -- -10", "hands sauce 2", "hands sauce 1",
    "missing shallot --until 19:00", "missing shallot", "arrived shallot", "arrived shallot", "label jus",
    "restore nowhere.db", "special", "special", "probe blue --ice 0.4", "probe blue --ice 3", "portion lamb jus 20ml",
    "service end dinner", "plate lamb", "plate lamb -5", "made broth 1l --keeps 2d", "open shallot --lot A1", "undo",
    "--by ab covers 90", "--by ab correct jus --why no", "freeze jus", "thaw jus", "move-to jus larder",
    "withdraw shallot --why glass", "withdraw shallot --why glass --sure", "reset lamb", "count-for lamb 12",
    "delivered shallot 2kg", "order", "give jus sauce", "equip oven 0", "service cancel dinner", "load nowhere",
)  # fmt: skip
"""What somebody types at a small kitchen: done, refused, asked about, and wrong."""


def boards() -> None:
    """Every key of every board, with the cursor on the first lines and further down."""
    typed = frozenset(word.lower() for text in demo_words("es") for word in WORD.findall(text))
    with TemporaryDirectory() as folder:
        path = Path(folder) / "kitchen.db"
        demo.build(path, at=demo.later(UNTIL))
        for name, (make, _few) in BOARDS.items():
            file = KitchenFile.open(path, FixedClock(demo.later(UNTIL)))
            file.makes_planner = Planner
            every = [key.keys.split(",")[0] for key in KEYS if key.board in (name, "board")]
            down = [key for key in every if key not in ("q", "r")]
            said = Recording()
            with speaking(said):
                seen = asyncio.run(walked(make(file), (*down, *["down"] * 6, *down), 120))
            file.close()
            for key, text in seen.items():
                if found := left_over(text, typed):
                    print(name, key, sorted(found))
            print(name, "in no catalogue:", sorted(said.unknown))


def main() -> None:
    os.environ["PREPBOARD_NOW"] = "2026-06-13T17:30:30+00:00"
    catalogue = Recording()
    with TemporaryDirectory() as folder, speaking(catalogue):
        file = kitchen_file(Path(folder), demo.NOW, Who("mr", "sauce"), kitchen=SMALL)
        path = file.path
        file.close()
        for line in LINES:
            words = ["--file", str(path), "--by", "mr", *shlex.split(line)]
            shown = CliRunner().invoke(cli, words).output
            typed = frozenset(word.lower() for word in WORD.findall(line + SMALL))
            # What click says is in the catalogue too, and is looked up by the standard library.
            if not CLICKS.search(shown) and (found := left_over(shown, typed)):
                print(line, sorted(found), shown[-200:].strip(), sep="\n    ")
    print("in no catalogue:", sorted(catalogue.unknown))


if __name__ == "__main__":
    boards() if "boards" in sys.argv else main()
