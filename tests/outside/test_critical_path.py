"""Earliest and latest times of critical path networks against published examples.

Each activity is a prep whose run waits an hour for each unit of time; what comes before it is what it uses. The last
activity is on a plate. Ready-by is the published length of the whole, so that what has no slack starts at once.

Sources: 11 and 8 activities, slideplayer.com/slide/3283910 (the arcs of the first inferred, every published number
reproduced); 7 activities, studylib.net/doc/8378728 (arcs inferred); Milwaukee Paper (Heizer and Render, Operations
Management) from memory, recomputed; Reliable Construction (Hillier and Lieberman, Introduction to Operations Research):
durations solutioninn.com/.../14060241 but for H, which like arcs and slacks is from memory, recomputed.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

import pytest
from lately import networkx

NETWORKS = {
    "eleven": (
        "A4 B6 C3 D6 E14 F5 G2 H2 I3 J4 K2",
        "A>B A>C B>D D>E C>F E>G F>G G>H G>I H>J I>J J>K",
        41,
        {"C": 18, "F": 18, "H": 1},
    ),
    "eight": (
        "A4 B3 C5 D2 E5 F6 G4 H3",
        "A>B A>C A>D B>E C>E C>F D>F E>G F>G G>H",
        22,
        {"B": 3, "D": 3, "E": 1},
    ),
    "seven": ("A6 B2 C2 D3 E4 F2 G1", "A>B B>C B>D B>F C>E D>E F>E E>G", 16, {"C": 1, "F": 1}),
    "Milwaukee Paper": (
        "A2 B3 C2 D4 E4 F3 G5 H2",
        "A>C A>D B>D C>E C>F D>G E>G F>H G>H",
        15,
        {"B": 1, "D": 1, "F": 6},
    ),
    "Reliable Construction": (
        "A2 B4 C10 D6 E4 F5 G7 H9 I7 J8 K4 L5 M2 N6",
        "A>B B>C C>D C>E C>I D>G E>F E>H F>J G>H H>M I>J J>K J>L K>N L>N",
        44,
        {"D": 4, "G": 4, "H": 4, "M": 4, "I": 2, "K": 1},
    ),
}
HEAD = """
[services.dinner]
on = "2026-11-05"
starts = "18:00"
ends = "22:00"
covers = 10

[dishes.last]
name = "Last"
services = ["dinner"]
share = 1
plate = {{ {plate} }}
"""
PREP = """
[stations.{id}]
name = "{id}"
cooks = 9

[preps.{id}]
name = "{id}"
station = "{id}"
keeps = "30 days"
makes = "1 kg"
sizes = {{ smallest = 1, largest = 1 }}
uses = {{ {uses} }}
steps = [{{ do = "Work", wait = "{hours} h" }}]
"""


def network(durations: str, arcs: str) -> networkx.DiGraph:
    graph = networkx.DiGraph()
    for word in durations.split():
        graph.add_node(word[0], hours=int(word[1:]))
    graph.add_edges_from(arc.split(">") for arc in arcs.split())
    return graph


def slack(graph: networkx.DiGraph) -> dict[str, int]:
    """Of every activity: how much later than its earliest start its latest one is."""
    earliest: dict[str, int] = {}
    order = list(networkx.topological_sort(graph))
    for node in order:
        before = [earliest[one] + graph.nodes[one]["hours"] for one in graph.predecessors(node)]
        earliest[node] = max(before, default=0)
    whole = max(earliest[node] + graph.nodes[node]["hours"] for node in order)
    latest: dict[str, int] = {}
    for node in reversed(order):
        after = [latest[one] for one in graph.successors(node)]
        latest[node] = min(after, default=whole) - graph.nodes[node]["hours"]
    return {node: latest[node] - earliest[node] for node in order}


def book(graph: networkx.DiGraph) -> str:
    """One run of every activity is enough: each takes a little of what it uses, and a kilo is made."""
    lasts = [node for node in graph if not list(graph.successors(node))]
    text = HEAD.format(plate=", ".join(f'p{node.lower()} = "1 g"' for node in lasts))
    for node, data in graph.nodes(data=True):
        uses = ", ".join(f'p{before.lower()} = "1 g"' for before in graph.predecessors(node))
        text += PREP.format(id=f"p{node.lower()}", uses=uses, hours=data["hours"])
    return text


@pytest.mark.parametrize("name", NETWORKS)
def test_latest_and_earliest_starts_are_those_of_the_network(kitchen, moment, name):
    """Start-by is the latest start; what a line can start from, when the first must begin, is the earliest start."""
    durations, arcs, whole, published = NETWORKS[name]
    graph = network(durations, arcs)
    slacks = slack(graph)
    assert {node: much for node, much in slacks.items() if much} == published
    ready_by = moment("2026-11-05 18:00")
    begin = ready_by - timedelta(hours=whole)
    board = kitchen(book(graph), 'plan_ahead = "6 days"').plan(f"{begin:%Y-%m-%d %H:%M}")
    lines = {line.prep[1:].upper(): line for line in board.make}
    assert set(lines) == set(graph)
    found: Mapping[str, int] = {
        node: int((line.steps[0].begins - line.can_start_from).total_seconds()) // 3600 for node, line in lines.items()
    }
    assert found == slacks
    assert min(line.begins for line in board.make) == begin
    assert not any(line.late_minutes for line in board.make)
