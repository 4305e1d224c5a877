"""Styles of screens of tests: what Textual works out of the style sheets for each widget of each board anew is worked
out once for all boards of one process, or when it is asked for. What comes out is the same."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from contextlib import contextmanager
from typing import Any

import pytest
from textual.css.model import RuleSet
from textual.css.styles import RenderStyles
from textual.css.stylesheet import Stylesheet
from textual.design import ColorSystem
from textual.dom import DOMNode


@contextmanager
def style_sheets_are_read_once() -> Generator[None]:
    """Has all boards share what was read of their style sheets: rules that are read stay as they are, and each board
    would read the same ones anew."""
    read: dict[object, list[RuleSet]] = {}
    read_anew = Stylesheet._parse_rules

    def rules(sheet: Stylesheet, *asked: Any, **also: Any) -> list[RuleSet]:
        key = (asked, tuple(also.items()), tuple(sheet._variables.items()))
        if key not in read:
            read[key] = read_anew(sheet, *asked, **also)
        return read[key]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Stylesheet, "_parse_rules", rules)
        yield


class Matched:
    """What the rules for one place among the widgets come to, for all boards of one process. A place is known by what
    rules can ask for: kind, id and classes of the widget and of all that it lies in, and those states (focused, first
    of its kind, dark) of each of them that a rule for it names."""

    FLAGS = ("_has_hover_style", "_has_focus_within", "_has_order_style", "_has_odd_or_even")

    def __init__(self) -> None:
        self.places: dict[object, tuple[dict[str, bool], list[Any]]] = {}
        self.asked: list[list[Any]] = []
        self.apply, self.replace = Stylesheet.apply, Stylesheet.replace_rules

    def place(self, node: DOMNode, rules: tuple[RuleSet, ...], states: tuple[str, ...]) -> object:
        return rules, tuple(
            (
                type(one),
                one._id,
                frozenset(one._classes),
                tuple([state in one._PSEUDO_CLASSES and bool(one._PSEUDO_CLASSES[state](one)) for state in states]),
            )
            for one in node.css_path_nodes
        )

    def given(self, node: DOMNode, rules: Any, animate: bool = False) -> None:
        """Takes note of what a widget is given; what it has already is not given again."""
        if self.asked:
            self.asked[-1].append(rules)
        if not animate and node.styles.base._rules == rules:
            node.notify_style_update()
        else:
            self.replace(node, rules, animate=animate)

    def again(self, sheet: Stylesheet, node: DOMNode, place: object, animate: bool) -> None:
        flags, given = self.places[place]
        for name, value in flags.items():
            setattr(node, name, value)
        if given:
            sheet.replace_rules(node, given[0], animate=animate)
        sheet._process_component_classes(node)

    def anew(self, sheet: Stylesheet, node: DOMNode, place: object, animate: bool) -> None:
        self.asked.append([])
        try:
            self.apply(sheet, node, animate=animate)
        finally:
            given = self.asked.pop()
        self.places[place] = {name: getattr(node, name) for name in self.FLAGS}, given[:1]


@contextmanager
def rules_are_looked_for_once() -> Generator[None]:
    """Which rules name a widget of a kind, with its id and its classes, is looked for once, and not among all rules
    each time that its styles are asked for; what they come to, once for each place and its states."""
    matched, all_of = Matched(), Stylesheet.rules.fget
    assert all_of is not None

    def narrowly(sheet: Any, node: DOMNode, *, animate: bool = False, cache: object = None) -> None:
        rules = all_of(sheet)
        if vars(sheet).get("_known_of") is not rules:
            sheet._known_of, sheet._known = rules, {}
        kind = (type(node), node._id, frozenset(node._classes))
        if kind not in sheet._known:
            named = {rule for name in sheet.rules_map.keys() & node._selector_names for rule in sheet.rules_map[name]}
            narrow = tuple(rule for rule in rules if rule in named)
            sheet._known[kind] = narrow, tuple(sorted(set().union(*(rule.pseudo_classes for rule in narrow))))
        place = matched.place(node, *sheet._known[kind])
        before, sheet._narrow = vars(sheet).get("_narrow"), sheet._known[kind][0]
        try:
            (matched.again if place in matched.places else matched.anew)(sheet, node, place, animate)
        finally:
            sheet._narrow = before

    def rules_of(sheet: Any) -> Sequence[RuleSet]:
        narrow: Sequence[RuleSet] | None = vars(sheet).get("_narrow")
        return all_of(sheet) if narrow is None else narrow

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Stylesheet, "apply", narrowly)
        patched.setattr(Stylesheet, "rules", property(rules_of))
        patched.setattr(Stylesheet, "replace_rules", staticmethod(matched.given))
        yield


@contextmanager
def parts_are_styled_when_asked_for() -> Generator[None]:
    """A widget's parts that only its drawing knows (a cursor, a bar) have styles of their own: those of a part that is
    never drawn are never worked out."""
    styles_of = DOMNode.get_component_styles

    def part(sheet: Stylesheet, node: DOMNode, name: str) -> RenderStyles:
        virtual = DOMNode(classes=name)
        virtual._attach(node)
        sheet.apply(virtual, animate=False)
        return virtual.styles

    def again(sheet: Stylesheet, node: DOMNode) -> None:
        before = dict(node._component_styles)
        node._component_styles.clear()
        for name, styles in before.items():
            node._component_styles[name] = part(sheet, node, name)
            if node._component_styles[name] != styles:
                node.refresh()

    def asked(node: DOMNode, *names: str) -> RenderStyles:
        for name in names:
            if name not in node._component_styles and name in node._get_component_classes():
                node._component_styles[name] = part(node.app.stylesheet, node, name)
        return styles_of(node, *names)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Stylesheet, "_process_component_classes", again)
        patched.setattr(DOMNode, "get_component_styles", asked)
        yield


@contextmanager
def colours_are_mixed_once() -> Generator[None]:
    """All shades of a look follow from its few colours."""
    mixed: dict[object, dict[str, str]] = {}
    mix_anew = ColorSystem.generate

    def mix(look: ColorSystem) -> dict[str, str]:
        key = tuple(map(str, vars(look).values()))
        if key not in mixed:
            mixed[key] = mix_anew(look)
        return dict(mixed[key])

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(ColorSystem, "generate", mix)
        yield
