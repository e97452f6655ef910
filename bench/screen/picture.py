"""A painted screen as SVG. Blocks are drawn as rectangles, so that it looks the same with any fonts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from bench.data.glyphs import BLOCKS
from bench.screen.page import Page
from bench.screen.rows import Row
from bench.screen.themes import BOLD, Palette, Role, palette

CELL_WIDTH, CELL_HEIGHT, EDGE = 10, 20, 12


@dataclass(frozen=True, slots=True)
class Drawing:
    """The content of an SVG of this width and height."""

    inside: str
    width: int
    height: int

    @property
    def svg(self) -> str:
        """The complete SVG file."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width} {self.height}">\n'
            f"{self.inside}\n</svg>\n"
        )


def picture(page: Page, width: int, height: int, theme: str) -> Drawing:
    """A page of `width` by `height` cells in the colors of a theme."""
    worn = palette(theme)
    wide, high = width * CELL_WIDTH + 2 * EDGE, height * CELL_HEIGHT + 2 * EDGE
    shapes = [shape for y, row in enumerate(page.rows) for shape in _row(row, EDGE + y * CELL_HEIGHT, worn)]
    inside = (
        f'<g font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="16" '
        f'shape-rendering="crispEdges"><rect width="{wide}" height="{high}" rx="10" fill="{worn[Role.PAGE][1]}"/>'
        f"\n{chr(10).join(shapes)}</g>"
    )
    return Drawing(inside, wide, high)


def _row(row: Row, y: int, worn: Palette) -> Iterator[str]:
    x = EDGE
    for text, role in row:
        ink, ground = worn[role]
        width = len(text) * CELL_WIDTH
        if ground != worn[Role.PAGE][1]:
            yield f'<path fill="{ground}" d="{_rectangle(x, y, width, CELL_HEIGHT)}"/>'
        blocks = "".join(_blocks(text, x, y))
        if blocks:
            yield f'<path fill="{ink}" d="{blocks}"/>'
        letters = "".join(" " if character in BLOCKS else character for character in text)
        if letters.strip():
            start = len(letters) - len(letters.lstrip())
            words = letters.strip()
            weight = ' font-weight="bold"' if role in BOLD else ""
            yield (
                f'<text x="{x + start * CELL_WIDTH}" y="{y + 15}" fill="{ink}"{weight} xml:space="preserve" '
                f'textLength="{len(words) * CELL_WIDTH}">{escape(words)}</text>'
            )
        x += width


def _blocks(text: str, x: int, y: int) -> Iterator[str]:
    """Path segments for the blocks, with as few rectangles as possible per quarter row."""
    for half in (0, 1):
        start: int | None = None
        dots = [
            BLOCKS.find(character) > 0 and bool(BLOCKS.find(character) >> (2 * half + side) & 1)
            for character in text
            for side in (0, 1)
        ]
        for at, lit in enumerate([*dots, False]):
            if lit and start is None:
                start = at
            elif not lit and start is not None:
                left = x + start * CELL_WIDTH // 2
                yield _rectangle(
                    left, y + half * CELL_HEIGHT // 2, (at - start) * CELL_WIDTH // 2, CELL_HEIGHT // 2
                )
                start = None


def _rectangle(x: int, y: int, width: int, height: int) -> str:
    return f"M{x} {y}h{width}v{height}h-{width}z"
