"""The guide in a terminal: one page at a time, with its contents beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Footer, MarkdownViewer

from prepboard.texts import _, later


class GuideApp(App[None]):
    """Shows a page; n and p go through all of them."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "turn(1)", later("next page")),
        Binding("p", "turn(-1)", later("page before")),
        Binding("q,escape", "quit", later("close")),
    ]

    def __init__(self, titles: Mapping[str, str], first: str, page: Callable[[str], str]) -> None:
        super().__init__()
        for key, bound in list(self._bindings):
            self._bindings.key_to_bindings[key] = [replace(bound, description=_(bound.description))]
        self._titles = titles
        self._at = list(titles).index(first)
        self._page = page

    def compose(self) -> ComposeResult:
        yield MarkdownViewer(self._page(list(self._titles)[self._at]), show_table_of_contents=False, open_links=False)
        yield Footer()

    def on_mount(self) -> None:
        self._entitle()

    def _entitle(self) -> None:
        self.title = list(self._titles.values())[self._at]

    async def action_turn(self, by: int) -> None:
        """Goes to another page, round at the ends."""
        self._at = (self._at + by) % len(self._titles)
        viewer = self.query_one(MarkdownViewer)
        await viewer.document.update(self._page(list(self._titles)[self._at]))
        viewer.scroll_home(animate=False)
        self._entitle()
