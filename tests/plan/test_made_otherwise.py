"""What the book says may be made otherwise: in other equipment, or with something else in it, where a line is late."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest
from conftest import Kitchen
from msgspec.structs import replace
from plan.test_helping import BENCHES, found

from prepboard.book.otherwise import AS_WRITTEN, Otherwise, made_otherwise, places_of
from prepboard.book.reading.faults import Faults
from prepboard.book.reading.reader import read_texts
from prepboard.book.safety.allergens import of_dish
from prepboard.paper.sentences.helps import commands_of, help_text
from prepboard.paper.text.saying import Voice
from prepboard.plan.changing.begun import begun

OVENS = """
[equipment.deck-oven]
name = "Deck oven"
[equipment.combi]
name = "Combi oven"
"""
ROAST = """
[preps.shoulder]
name = "Shoulder"
station = "cold"
keeps = "3 days"
makes = "4 kg"
ready_before = "0 min"
steps = [{ do = "Roast", hands_on = "5 min", wait = "6 h", equipment = "deck-oven", at = "120 C" }]
[dishes.shoulder]
name = "Shoulder plate"
services = ["dinner"]
course = "main"
share = 0.5
plate = { shoulder = "100 g" }
[preps.tart]
name = "Tart"
station = "hot"
keeps = "2 days"
makes = "40 each"
ready_before = "0 min"
steps = [
  { do = "Bake", hands_on = "5 min", wait = "40 min", equipment = "deck-oven", or_in = "combi", at = "180 C" },
  { do = "Cool", wait = "20 min" },
]
[dishes.tart]
name = "Tart"
services = ["dinner"]
share = 1
plate = { tart = 1 }
"""
"""The shoulder stands in the only place of the deck oven from 13:00 to 19:05."""
PASTRY = """
[goods.butter]
name = "Butter"
unit = "kg"
allergens = ["milk"]
[goods.oil]
name = "Rape oil"
unit = "kg"
allergens = ["soybeans"]
[preps.dough]
name = "Dough"
station = "hot"
keeps = "2 days"
makes = "4 kg"
uses = { butter = "1 kg" }
instead = { butter = "oil" }
ready_before = "0 min"
steps = [
  { do = "Weigh", hands_on = "5 min" },
  { do = "Rub in", hands_on = "25 min", uses = ["butter"] },
]
[dishes.pasty]
name = "Pasty"
services = ["dinner"]
share = 1
plate = { dough = "100 g" }
"""


def roasting(kitchen: Callable[..., Kitchen]) -> Kitchen:
    """With the shoulder begun at 13:00."""
    at = kitchen(BENCHES + OVENS + ROAST)
    board = at.plan("2026-10-31 13:00")
    line = next(line for line in board.make if line.prep == "shoulder")
    at.runs = [replace(begun(board.state, line, line.size, board.now).runs[0], code="R1")]
    at.more["lines_run"] = {("shoulder", line.line.need): 1}
    return at


def test_another_oven_that_is_free_is_offered_where_the_book_names_it(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """In the deck oven it is ready at 20:10: until then 22 of 40 guests, who come evenly to 22:00, have come."""
    at = roasting(kitchen)
    late = next(line for line in at.plan("2026-10-31 16:00").make if line.prep == "tart")
    assert late.waits_for is not None
    assert (late.waits_for.kind, late.waits_for.what, late.waits_for.until) == (
        "place", "deck-oven", moment("2026-10-31 19:05"),
    )  # fmt: skip
    help = found(at, "tart", "2026-10-31 16:00")["place"]
    assert help.ready_at == moment("2026-10-31 17:05")
    assert help.how == Otherwise(places={"deck-oven": "combi"})
    voice = Voice.of(at.plan("2026-10-31 16:00"))
    assert commands_of(help, voice) == ["start tart --in combi"]
    assert help_text(help, voice) == "start it now in Combi oven: ready 17:05, in time, 22 plates saved"


def test_where_the_book_names_no_other_oven_none_is_offered(kitchen: Callable[..., Kitchen]) -> None:
    at = roasting(lambda text: kitchen(text.replace(', or_in = "combi"', "")))
    assert "place" not in found(at, "tart", "2026-10-31 16:00")


def test_an_oven_that_is_taken_too_is_not_offered(kitchen: Callable[..., Kitchen]) -> None:
    at = roasting(kitchen)
    (run,) = at.runs
    stands = replace(run.recipe, steps=(replace(run.recipe.steps[0], equipment="combi"),))
    at.runs = [run, replace(run, code="R2", line=None, recipe=stands)]
    assert "place" not in found(at, "tart", "2026-10-31 16:00")


def test_what_comes_later_is_replaced_by_what_is_there_and_its_allergens_are_said(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    """Butter comes at 18:30, and the dough is ready at 18:55: 9 of 40 guests have come. With oil it is at 17:20."""
    at = kitchen(BENCHES + PASTRY)
    at.more["missing"] = {"butter": moment("2026-10-31 18:30")}
    help = found(at, "dough", "2026-10-31 16:50")["instead"]
    assert (help.ready_at, help.how, help.adds) == (
        moment("2026-10-31 17:20"), Otherwise({"butter": "oil"}), ("soybeans",),
    )  # fmt: skip
    voice = Voice.of(at.plan("2026-10-31 16:50"))
    assert commands_of(help, voice) == ["start dough --instead butter=oil"]
    assert help_text(help, voice) == (
        "start it now with Rape oil for Butter: ready 17:20, in time, 9 plates saved, contains soybeans then: tell the"
        " pass"
    )


@pytest.mark.parametrize("there", ["1 kg", "500 g", ""])
def test_a_prep_that_may_go_in_instead_is_offered_where_enough_of_it_is_there(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime], there: str
) -> None:
    ghee = '[preps.ghee]\nname = "Ghee"\nstation = "cold"\nkeeps = "9 days"\nmakes = "1 kg"\n'
    at = kitchen(BENCHES + PASTRY.replace('"oil"', '"ghee"') + ghee)
    at.more["missing"] = {"butter": moment("2026-10-31 18:30")}
    if there:
        at.on_hand("ghee", there)
    assert ("instead" in found(at, "dough", "2026-10-31 16:50")) is (there == "1 kg")


def test_what_is_missing_as_well_is_not_offered(
    kitchen: Callable[..., Kitchen], moment: Callable[[str], datetime]
) -> None:
    at = kitchen(BENCHES + PASTRY)
    at.more["missing"] = {"butter": moment("2026-10-31 18:30"), "oil": moment("2026-10-31 18:00")}
    assert "instead" not in found(at, "dough", "2026-10-31 16:50")


def test_a_recipe_is_made_as_it_is_written_where_nothing_is_said(kitchen: Callable[..., Kitchen]) -> None:
    tart = kitchen(BENCHES + OVENS + ROAST).book.preps["tart"]
    assert made_otherwise(tart, AS_WRITTEN) is tart
    assert places_of(tart, "combi") == {"deck-oven": "combi"}
    assert places_of(tart, "deck-oven") == {}
    assert [step.equipment for step in made_otherwise(tart, Otherwise(places={"deck-oven": "combi"})).steps] == [
        "combi", None,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("was", "written", "said"),
    [
        ('equipment = "deck-oven", or_in', "or_in", "needs `equipment`"),
        ('or_in = "combi", at', 'or_in = "combi", racks = 2, at', "even the smallest run needs more racks"),
        ('or_in = "combi"', 'or_in = "kombi"', "no equipment is called 'kombi'"),
    ],
)
def test_another_oven_has_to_be_one_and_large_enough(was: str, written: str, said: str) -> None:
    with pytest.raises(Faults, match=said):
        read_texts({"a.toml": BENCHES + OVENS + ROAST.replace(was, written)})


def test_what_goes_in_instead_is_measured_alike_and_cooked_where_it_is_raw() -> None:
    with pytest.raises(Faults, match="are not measured alike"):
        read_texts({"a.toml": BENCHES + PASTRY.replace('name = "Rape oil"\nunit = "kg"', 'unit = "each"')})
    raw = '[preps.ghee]\nname = "Ghee"\nkeeps = "9 days"\nmakes = "1 kg"\nready_to_eat = false\n'
    heated = raw + 'steps = [{ do = "Melt", wait = "10 min", at = "90 C" }]\n'
    with pytest.raises(Faults, match="Dough never cooks it"):
        read_texts({"a.toml": BENCHES + PASTRY.replace('"oil"', '"ghee"') + heated})


def test_a_dish_may_hold_what_may_go_in_instead(kitchen: Callable[..., Kitchen]) -> None:
    """Nobody can promise at noon that nobody will take the oil at five."""
    assert of_dish(kitchen(BENCHES + PASTRY).book, "pasty") == ("milk", "soybeans")
