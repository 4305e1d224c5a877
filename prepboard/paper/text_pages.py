"""Whole pages of plain text of what is no list of the board: only the commands that print one load them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from prepboard.paper.as_text import whole
from prepboard.paper.lists.allergens import allergens as allergens_list
from prepboard.paper.lists.closing import closing as closing_lists
from prepboard.paper.lists.holds import holds_section
from prepboard.paper.lists.ordering import order as order_list
from prepboard.paper.lists.recipe import Sheet
from prepboard.paper.lists.rules import rules as rules_list
from prepboard.paper.lists.sheet import recipe as recipe_sheet
from prepboard.paper.lists.use_first import use_first as use_first_list
from prepboard.paper.lists.vans import coming_section, loads_section, orders_section, proposed_section
from prepboard.paper.records.file_facts import Fact
from prepboard.paper.records.file_facts import file_facts as fact_list
from prepboard.paper.records.log import LogRow
from prepboard.paper.records.log import log as log_list
from prepboard.paper.records.record import record as record_list
from prepboard.paper.records.shelf import stock as stock_list
from prepboard.paper.records.sold import sold as sold_list
from prepboard.paper.records.waste import waste as waste_list
from prepboard.paper.sentences.heading import heading
from prepboard.paper.text.saying import Voice
from prepboard.paper.text.shape import Json
from prepboard.paper.text.sittings import sittings_said
from prepboard.plan.board import Board
from prepboard.plan.given.state import Batch, State
from prepboard.plan.leftovers.ordering import OrderLine
from prepboard.plan.leftovers.vans import Load, Proposed
from prepboard.plan.leftovers.waste_report import Report
from prepboard.plan.shown.closing_lines import Closing, UseFirst

if TYPE_CHECKING:
    from prepboard.store.past.record import Record, Recorded


def closing(lines: Closing, board: Board, title: str, width: int) -> str:
    voice = Voice.of(board)
    return whole(title, closing_lists(lines, board, width), voice, width, sittings_said(board, voice))


def use_first(lines: Iterable[UseFirst], voice: Voice, title: str, width: int) -> str:
    return whole(title, use_first_list(lines, voice, width), voice, width)


def coming(state: State, voice: Voice, title: str, width: int) -> str:
    return whole(title, coming_section(state, voice, width), voice, width)


def orders(state: State, found: Iterable[Proposed], voice: Voice, title: str, width: int) -> str:
    """What is to be ordered, then what was."""
    said = [*proposed_section(found, voice, width), *orders_section(state, voice, width)]
    return whole(title, said, voice, width)


def group(state: State, voice: Voice, title: str, width: int) -> str:
    return whole(title, holds_section(state, voice, width), voice, width)


def vans(loads: Iterable[Load], voice: Voice, title: str, width: int) -> str:
    return whole(title, loads_section(loads, voice, width), voice, width)


def waste(report: Report, voice: Voice, title: str, width: int) -> str:
    return whole(title, waste_list(report, voice, width), voice, width)


def order(lines: Iterable[OrderLine], board: Board, title: str, width: int) -> str:
    return whole(title, order_list(lines, board, width), Voice.of(board), width)


def recipe(sheet: Sheet, voice: Voice, title: str, width: int) -> str:
    return whole(title, recipe_sheet(sheet, voice, width), voice, width)


def file_facts(facts: Iterable[Fact], voice: Voice, title: str, width: int) -> str:
    return whole(title, fact_list(facts, width), voice, width)


def log(rows: Iterable[LogRow], voice: Voice, title: str, width: int) -> str:
    return whole(title, log_list(rows, voice, width), voice, width)


def stock(state: State, voice: Voice, station: str, title: str, width: int) -> str:
    return whole(title, stock_list(state, voice, station, width), voice, width)


def sold(lines: Iterable[Json], voice: Voice, title: str, width: int) -> str:
    return whole(title, sold_list(lines, voice, width), voice, width)


def record(
    lines: Iterable[Recorded], found: Record, voice: Voice, batches: Mapping[str, Batch], title: str, width: int
) -> str:
    """Without the basis of the other pages: the record says more of that itself."""
    return "\n".join([*heading(title, voice, width), *record_list(lines, found, voice, batches, width)])


def allergens(state: State, voice: Voice, title: str, width: int) -> str:
    return whole(title, allergens_list(state, voice, width), voice, width)


def rules(voice: Voice, title: str, width: int) -> str:
    return whole(title, rules_list(voice, width), voice, width)
