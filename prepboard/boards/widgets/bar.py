"""The bar beside a list: where the list became longer or shorter by a row, only what of its bar moved is drawn."""

from __future__ import annotations

from rich.style import Style
from textual.geometry import Region
from textual.scrollbar import ScrollBar, ScrollBarRender
from textual.strip import Strip


class Bar(ScrollBar):
    """Textual's own bar, drawn line by line."""

    def be_for(self, lines: int) -> None:
        """Shows where a list of so many lines stands."""
        if lines == self.window_virtual_size:
            return
        self.set_reactive(ScrollBar.window_virtual_size, lines)
        before, now = self._render_cache.lines, self._drawn()
        if self._dirty_regions or len(before) != len(now):
            self.refresh()
            return
        self._render_content(now)
        for y, (was, is_now) in enumerate(zip(before, now, strict=True)):
            if was != is_now:
                self.refresh(Region(0, y, self.size.width, 1))
        self._dirty_regions.clear()  # drawn by now; that it is to be painted is kept apart

    def _render_content(self, drawn: list[Strip] | None = None) -> None:
        self._render_cache = type(self._render_cache)(self.size, self._drawn() if drawn is None else drawn)
        self._dirty_regions.clear()

    def _drawn(self) -> list[Strip]:
        bar, base = self.render(), self.visual_style.rich_style
        assert isinstance(bar, ScrollBarRender)
        assert isinstance(bar.style, Style)
        colour, back = bar.style.color, bar.style.bgcolor
        assert colour is not None
        assert back is not None
        width, height = self.size
        drawn = bar.render_bar(
            height, bar.virtual_size, bar.window_size, bar.position, width, back_color=back, bar_color=colour
        )
        return [Strip([piece._replace(style=base + piece.style)], width) for piece in drawn.segments]
