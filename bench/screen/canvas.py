"""The only widget: paints a page, repaints only changed rows, and reports taps."""

from __future__ import annotations

from rich.segment import Segment
from rich.style import Style
from textual.events import Click
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from bench.data.glyphs import plain
from bench.dialogue.effects import View
from bench.dialogue.events import Key
from bench.screen.page import Live, Page, paint
from bench.screen.rows import BLANK, Row
from bench.screen.targets import Act, Own
from bench.screen.themes import BOLD, Palette, Role


class Tapped(Message):
    """A tap or click and its action."""

    def __init__(self, act: Act) -> None:
        super().__init__()
        self.act = act


class Canvas(Widget):
    """The whole screen. `plain_only` draws it for a terminal without block characters."""

    ALLOW_SELECT = False
    DEFAULT_CSS = "Canvas { width: 100%; height: 100%; }"

    def __init__(self, palette: Palette, plain_only: bool = False) -> None:
        super().__init__()
        self._styles = _styles(palette)
        self._plain_only = plain_only
        self._view = View(verb="START", number="...")
        self._live = Live()
        self._page = Page(())

    def put(self, view: View, live: Live) -> None:
        """Show this view and its live parts. Repaints only the rows that changed."""
        self._view, self._live = view, live
        before, self._page = self._page, self._painted()
        if len(before.rows) != len(self._page.rows):
            self.refresh()
            return
        for row, (old, new) in enumerate(zip(before.rows, self._page.rows, strict=True)):
            if old != new:
                self.refresh(Region(0, row, self.size.width, 1))

    def wear(self, palette: Palette) -> None:
        """Change the colors."""
        self._styles = _styles(palette)
        self.refresh()

    def on_resize(self) -> None:
        """Lay out the rows again for the new size of the terminal."""
        self._page = self._painted()
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One row of the screen."""
        row: Row = self._page.rows[y] if y < len(self._page.rows) else BLANK
        segments = [
            Segment(plain(text) if self._plain_only else text, self._styles[role]) for text, role in row
        ]
        return Strip(segments).adjust_cell_length(self.size.width, self._styles[Role.PAGE])

    def on_click(self, event: Click) -> None:
        """Act on a tap: on a bar or tile, its action; anywhere else, next, or leave the menu."""
        event.stop()
        hit = (target.act for target in self._page.targets if target.holds(event.x, event.y))
        self.post_message(Tapped(next(hit, Key.NEXT if self._live.menu is None else Own.CLOSE)))

    @property
    def page(self) -> Page:
        """The page now on the screen."""
        return self._page

    def _painted(self) -> Page:
        return paint(self._view, self.size.width, self.size.height, self._live)


def _styles(palette: Palette) -> dict[Role, Style]:
    return {role: _style(palette, role) for role in Role}


def _style(palette: Palette, role: Role) -> Style:
    ink, paper = palette[role]
    return Style(color=ink, bgcolor=paper, bold=role in BOLD)
