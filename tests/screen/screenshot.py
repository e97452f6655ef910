"""A picture of the real, running screen: `python -m tests.screen.screenshot shared/screens/saddle-mark.svg`.

Blocks are drawn as rectangles, so that the picture looks the same whatever fonts its reader has.
"""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Iterator
from html import escape
from pathlib import Path

from rich.segment import Segment

from bench.data.glyphs import BLOCKS
from bench.dialogue.effects import View
from bench.screen.app import BenchApp
from bench.screen.canvas import Canvas
from bench.screen.themes import Role, Worn, palette
from tests.screen.views import VIEWS

CELL_WIDTH, CELL_HEIGHT, EDGE = 10, 20, 12


async def picture(view: View, theme: str, width: int, height: int) -> str:
    """The view on a terminal of this size as SVG."""
    app = BenchApp(lambda event: None, Worn(theme), plain_only=False)
    app.show(view)
    app.level(-24.0, -46.0)
    async with app.run_test(size=(width, height)) as pilot:
        await pilot.pause(0.2)
        canvas = app.query_one(Canvas)
        rows = [list(canvas.render_line(row)) for row in range(height)]
    return svg(rows, width, height, palette(theme)[Role.PAGE][1])


def svg(rows: list[list[Segment]], width: int, height: int, paper: str) -> str:
    """Rows of terminal text as one drawing."""
    wide, high = width * CELL_WIDTH + 2 * EDGE, height * CELL_HEIGHT + 2 * EDGE
    shapes = "\n".join(shape for y, row in enumerate(rows) for shape in _row(row, y * CELL_HEIGHT, paper))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{-EDGE} {-EDGE} {wide} {high}" '
        f'font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="16" '
        f'shape-rendering="crispEdges">\n'
        f'<rect x="{-EDGE}" y="{-EDGE}" width="{wide}" height="{high}" rx="10" fill="{paper}"/>\n'
        f"{shapes}\n</svg>\n"
    )


def _row(row: list[Segment], y: int, paper: str) -> Iterator[str]:
    x = 0
    for text, style, _ in row:
        assert style is not None
        assert style.color is not None
        assert style.bgcolor is not None
        ink, ground = style.color.get_truecolor().hex, style.bgcolor.get_truecolor().hex
        ink, ground = (ground, ink) if style.reverse else (ink, ground)
        width = len(text) * CELL_WIDTH
        if ground != paper:
            yield _rect(x, y, width, CELL_HEIGHT, ground)
        yield from _blocks(text, x, y, ink)
        letters = "".join(" " if character in BLOCKS else character for character in text)
        if letters.strip():
            start = len(letters) - len(letters.lstrip())
            words = letters.strip()
            weight = ' font-weight="bold"' if style.bold else ""
            yield (
                f'<text x="{x + start * CELL_WIDTH}" y="{y + 15}" fill="{ink}"{weight} xml:space="preserve" '
                f'textLength="{len(words) * CELL_WIDTH}">{escape(words)}</text>'
            )
        x += width


def _blocks(text: str, x: int, y: int, ink: str) -> Iterator[str]:
    """Each quarter row of blocks as few rectangles as it takes."""
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
                yield _rect(
                    left, y + half * CELL_HEIGHT // 2, (at - start) * CELL_WIDTH // 2, CELL_HEIGHT // 2, ink
                )
                start = None


def _rect(x: int, y: int, width: int, height: int, fill: str) -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}"/>'


def main(target: Path, name: str = "mark", theme: str = "dark", size: str = "120x40") -> None:
    """Write one picture."""
    width, height = map(int, size.split("x"))
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(asyncio.run(picture(VIEWS[name], theme, width, height)), encoding="utf-8")


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(f"{__doc__}\nusage: python -m tests.screen.screenshot OUT.svg [view] [theme] [WxH]")
    main(Path(sys.argv[1]), *sys.argv[2:])
