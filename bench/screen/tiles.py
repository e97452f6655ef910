"""Choices as numbered tiles, large enough for a glove, in block letters if they fit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from bench.data.glyphs import sizes
from bench.data.screen_words import tile_faces
from bench.screen.lettering import capitals, inline
from bench.screen.rows import BLANK, Row, cut
from bench.screen.sharing import large, lettered_rows, letters
from bench.screen.targets import Own, Target, least_columns, least_rows
from bench.screen.themes import Role

_NUMBER = 4
"""Columns for the number at the left of a tile."""
_GAP = 1
_LETTERS = 3
_MARGIN = _NUMBER + 3
"""Columns of a tile not available to its words: number, padding, and the gap to the next tile."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Columns of tiles `height` rows high and `gap` rows apart, with letters of `size` (0: plain text). Without a gap
    the last row of a tile is blank but can still be tapped."""

    columns: int
    height: int
    gap: int
    size: int

    def rows(self, count: int) -> int:
        """Rows used by `count` tiles."""
        lines = math.ceil(count / self.columns)
        return lines * self.height + (lines - 1) * self.gap


def grid(phrases: Sequence[str], width: int, rows: int, screen: tuple[int, int]) -> Grid | None:
    """The grid with the largest letters that fit, None if not even plain text fits. `screen` is the size of the whole
    screen in cells; it determines the smallest tile."""
    least = least_rows(screen[1])
    most = max(1, min(len(phrases), 6, width // least_columns(screen[0])))
    options = [
        Grid(columns, max(least, _rows(phrases, width // columns - _MARGIN, size) + (not gap)), gap, size)
        for columns in range(1, most + 1)
        for size in (*_sizes(phrases, width // columns - _MARGIN, rows), 0)
        for gap in (_GAP, 0)
        if size or _widest(phrases) <= width // columns - 1 - _NUMBER
    ]
    fitting = [option for option in options if option.rows(len(phrases)) <= rows]
    return max(fitting, key=lambda option: (option.size, option.gap, option.columns), default=None)


def pages(
    phrases: Sequence[str], more: str, width: int, rows: int, screen: tuple[int, int], least: int
) -> tuple[tuple[str, ...], ...]:
    """Phrases distributed over pages in letters of at least `least` rows, each page with `more` as its last tile.
    Empty if a page would have no phrase."""
    dealt: list[tuple[str, ...]] = []
    left = list(phrases)
    while left:
        for count in range(len(left), 0, -1):
            laid = grid((*left[:count], more), width, rows, screen)
            if laid is not None and laid.size >= least:
                break
        else:
            return ()
        dealt.append((*left[:count], more))
        left = left[count:]
    return tuple(dealt)


def _sizes(phrases: Sequence[str], width: int, rows: int) -> Iterator[int]:
    """The letter sizes at which every phrase fits on one or two lines."""
    for size in sizes():
        if _LETTERS <= size <= rows:
            if not all(_broken(phrase, width, size) for phrase in phrases):
                return
            yield size


@lru_cache(maxsize=4096)
def _broken(phrase: str, width: int, size: int) -> tuple[str, ...]:
    """The lines of a phrase in block letters, empty if it does not fit on two."""
    lines = large((_face(phrase),), width, size)
    return lines if len(lines) <= 2 else ()


def _words(phrase: str, width: int, size: int) -> list[str]:
    """The rows of a phrase."""
    lines = _broken(phrase, width, size) if size else ()
    return list(letters(lines, size)) if lines else [phrase]


def _rows(phrases: Sequence[str], width: int, size: int) -> int:
    """Rows of the highest phrase."""
    broken = [_broken(phrase, width, size) if size else () for phrase in phrases]
    return max((lettered_rows(lines, size) if lines else 1 for lines in broken), default=1)


def _widest(phrases: Sequence[str]) -> int:
    return max(map(len, phrases), default=0)


def _face(phrase: str) -> str:
    return capitals(inline(tile_faces().get(phrase, phrase)))


def tiles(
    phrases: Sequence[str],
    laid: Grid,
    width: int,
    top: int,
    left: int = 0,
    first: int = 1,
    more: bool = False,
) -> tuple[list[Row], tuple[Target, ...]]:
    """The tiles and their targets, starting `top` rows down and `left` cells in. Numbers begin at `first`. A last tile
    for `more` has no number and shows the next page."""
    across = (width + 1) // laid.columns
    rows: list[Row] = []
    targets: list[Target] = []
    for start in range(0, len(phrases), laid.columns):
        if start:
            rows += [BLANK] * laid.gap
        here = top + len(rows)
        inside = phrases[start : start + laid.columns]
        faces = [
            list(_tile(phrase, _sign(first, start + at, len(phrases), more), laid, across - 1))
            for at, phrase in enumerate(inside)
        ]
        for line in range(laid.height):
            row: list[tuple[str, Role]] = []
            for face in faces:
                row += [*face[line], (" ", Role.PAGE)]
            rows.append(tuple(row[:-1]))
        targets += [
            Target(left + at * across, left + (at + 1) * across - 1, here, here + laid.height, phrase)
            for at, phrase in enumerate(inside)
        ]
    if more:
        targets[-1] = replace(targets[-1], act=Own.MORE)
    return rows, tuple(targets)


def _sign(first: int, at: int, count: int, more: bool) -> str:
    """The sign at the left of a tile: its number, or that it shows the next page."""
    return "▶" if more and at == count - 1 else str(first + at)


def _tile(phrase: str, sign: str, laid: Grid, width: int) -> Iterator[Row]:
    """One tile: its highlighted number and its words."""
    words = _words(phrase, width - _MARGIN + 1, laid.size)
    painted = laid.height - (not laid.gap)
    above = max(0, (painted - len(words)) // 2)
    middle = above + len(words) // 2 if laid.size else above
    room = width - _NUMBER
    for line in range(painted):
        chip = (f" {sign} ".ljust(_NUMBER - 1), Role.CHIP) if line == middle else ("   ", Role.BAR)
        text = words[line - above] if 0 <= line - above < len(words) else ""
        yield (
            chip,
            *cut(((f" {text}", Role.BAR),), room + 1)[:1],
            (" " * max(0, room - len(text)), Role.BAR),
        )
    if not laid.gap:
        yield ((" " * (room + _NUMBER), Role.PAGE),)
