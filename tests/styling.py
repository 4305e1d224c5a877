"""Styles of screens of tests: what Textual works out of the style sheets for each widget of each board anew is worked
out once for all boards of one process, or when it is asked for. What comes out is the same."""

from __future__ import annotations

from collections.abc import Generator
from contextlib import contextmanager
from typing import Any

import pytest
from textual.css.model import RuleSet
from textual.css.styles import RenderStyles
from textual.css.stylesheet import Stylesheet
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


@contextmanager
def rules_are_looked_for_once() -> Generator[None]:
    """Which rules name a widget of a kind, with its id and its classes, is looked for once, and not among all rules
    each time that its styles are asked for; whether they hold for it now is."""
    apply, all_of = Stylesheet.apply, Stylesheet.rules.fget
    assert all_of is not None

    def narrowly(sheet: Any, node: DOMNode, **how: Any) -> None:
        rules = all_of(sheet)
        if vars(sheet).get("_known_of") is not rules:
            sheet._known_of, sheet._known = rules, {}
        kind = (type(node), node._id, frozenset(node._classes))
        if kind not in sheet._known:
            named = {rule for name in sheet.rules_map.keys() & node._selector_names for rule in sheet.rules_map[name]}
            sheet._known[kind] = [rule for rule in rules if rule in named]
        before, sheet._narrow = vars(sheet).get("_narrow"), sheet._known[kind]
        try:
            apply(sheet, node, **how)
        finally:
            sheet._narrow = before

    def rules_of(sheet: Any) -> list[RuleSet]:
        narrow: list[RuleSet] | None = vars(sheet).get("_narrow")
        return all_of(sheet) if narrow is None else narrow

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Stylesheet, "apply", narrowly)
        patched.setattr(Stylesheet, "rules", property(rules_of))
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
