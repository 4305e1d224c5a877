"""A page over a board: a title, what is read, the keys. It can be scrolled, and escape leaves it."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual.containers import VerticalScroll
from textual.screen import Screen

from prepboard.boards.pages.host import Host
from prepboard.boards.widgets.plain_line import KeyLine


class Page(Screen[None]):
    """Opened by a board, its host. What scrolls has the id `page`."""

    groups: ClassVar[tuple[str, ...]] = ()
    """The groups of keys that its `?` screen lists."""

    def __init__(self, host: Host) -> None:
        super().__init__()
        self.host = host
        self.css_path = [Path(__file__).with_name("page.tcss"), *self.css_path]

    def on_key_line_hint_tapped(self, event: KeyLine.HintTapped) -> None:
        event.stop()
        self.call_later(self.run_action, event.action)

    @property
    def _page(self) -> VerticalScroll:
        return self.query_one("#page", VerticalScroll)

    def action_all_keys(self) -> None:
        self.host.ask(self.host.all_keys(self, *self.groups))

    def action_back(self) -> None:
        self.dismiss()

    def action_down(self) -> None:
        self._page.scroll_down(animate=False)

    def action_up(self) -> None:
        self._page.scroll_up(animate=False)

    def action_page_down(self) -> None:
        self._page.scroll_page_down(animate=False)

    def action_page_up(self) -> None:
        self._page.scroll_page_up(animate=False)
