"""The bend table: one line per bend, in the order they are made."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from reportlab.graphics.shapes import Shape, String

from bench.core.lengths import Units, angle_text, feet_text, text
from bench.core.plan import Mark
from bench.sheet.contents import SheetStick
from bench.sheet.drawing import BODY, Block, line, width_of, words
from bench.sheet.figures import HOOKS, POINTS, handles, turns

_HEADS = ("Order", "Mark", "At", "", "Put there", "Hook faces", "Turn", "Handle", "Bend to", "Done")
_LARGE = (False, True, True, False, False, False, False, False, True, False)
"""Columns in large type, read while working with tape and bender."""
_WHERE = {"up": "up, floor", "down": "down, air"}
"""Where a bend is made, for each handle direction."""
_LEAST_GAP = 9.0
_FEET_FROM = 100
"""Inches from which a mark is also given in feet. Beyond it the tape's large figures have three digits."""


def bend_table(entry: SheetStick, size: float, width: float | None = None) -> tuple[Block, float]:
    """The bends of a stick in order, each with a check box, and the width of the table.

    `size` is the large type's size in points. The columns are `_LEAST_GAP` apart, or spread over `width` points if
    given: closer too, so that the widest table stays on the paper.
    """
    rows = _rows(entry)
    wide = [_width(column, rows, size) for column in range(len(_HEADS))]
    kept = [column for column, each in enumerate(wide) if each]
    least = sum(wide[column] for column in kept) + _LEAST_GAP * (len(kept) - 1)
    whole = least if width is None else width
    gap = _LEAST_GAP + (whole - least) / (len(kept) - 1)
    ruled = Rules(size, whole, len(rows))
    shapes: list[String] = []
    x = 0.0
    for column in kept:
        large = size if _LARGE[column] else BODY
        cells = [row[column] for row in rows]
        shapes += ruled.column(x, _HEADS[column], cells, large, bold=_LARGE[column])
        x += wide[column] + gap
    done = x - gap - wide[kept[-1]]
    boxes = [
        shape
        for number, mark in enumerate(entry.stick.in_order, start=1)
        for shape in _box(done + 4, ruled.baseline(number) - 1, ticked=int(mark.name) in entry.bent)
    ]
    return Block(ruled.height, (*row_by_row(shapes), *boxes, *ruled.lines)), whole


def row_by_row(typed: Iterable[String]) -> list[String]:
    """Lines of type in reading order, for copying the text and for screen readers."""
    return sorted(typed, key=lambda each: (-each.y, each.x))


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules of a table with `rows` rows of type of `size` points, `width` points wide."""

    size: float
    width: float
    rows: int

    @property
    def row(self) -> float:
        """Height of a row."""
        return self.size * 1.16

    @property
    def height(self) -> float:
        """Height of the whole table, including its heads."""
        return BODY + 3 + self.rows * self.row

    @property
    def lines(self) -> list[Shape]:
        """A rule below the heads and below each row."""
        ys = [-BODY - 2 - number * self.row for number in range(self.rows + 1)]
        return [line((0, y), (self.width, y), 0.4 if number else 1.0) for number, y in enumerate(ys)]

    def baseline(self, number: int) -> float:
        """Baseline of row `number`, counted from 1."""
        return -BODY - 2 - number * self.row + 3.5

    def column(self, x: float, head: str, cells: Sequence[str], size: float, bold: bool) -> list[String]:
        """A column head and its cells."""
        under = [
            words(x, self.baseline(n), cell, size, bold) for n, cell in enumerate(cells, start=1) if cell
        ]
        return [words(x, -BODY, head), *under]


def _rows(entry: SheetStick) -> list[tuple[str, ...]]:
    marks, air = entry.stick.in_order, entry.stick.in_the_air
    held = zip(marks, turns(marks, air), handles(marks, air), strict=True)
    return [_row(mark, turn, handle, entry) for mark, turn, handle in held]


def _row(mark: Mark, turn: str, handle: str, entry: SheetStick) -> tuple[str, ...]:
    sprung = mark.pull != mark.bend
    to = f"{angle_text(mark.bend)}, pull {angle_text(mark.pull)}" if sprung else angle_text(mark.bend)
    return (
        str(mark.order),
        mark.name,
        text(mark.at, entry.units, entry.stick.setup.scale),
        _in_feet(mark, entry),
        POINTS[mark.reference],
        HOOKS[mark.hook],
        turn,
        _WHERE.get(handle, ""),
        to,
        "",
    )


def _in_feet(mark: Mark, entry: SheetStick) -> str:
    if entry.units is Units.METRIC or mark.at < _FEET_FROM:
        return ""
    return feet_text(mark.at, entry.stick.setup.scale)


def _width(column: int, rows: Sequence[Sequence[str]], size: float) -> float:
    """Width of a column's widest entry, zero for an empty column."""
    large = _LARGE[column]
    if _HEADS[column] in ("", "Handle") and not any(row[column] for row in rows):
        return 0.0
    widest = max((width_of(row[column], size if large else BODY, bold=large) for row in rows), default=0.0)
    return max(widest, width_of(_HEADS[column]))


def _box(x: float, y: float, ticked: bool) -> list[Shape]:
    corners = [(x, y), (x + 9, y), (x + 9, y + 9), (x, y + 9), (x, y)]
    tick = [line((x + 1, y + 4), (x + 4, y + 1), 1.6), line((x + 4, y + 1), (x + 9, y + 10), 1.6)]
    return [*(line(a, b, 0.8) for a, b in pairwise(corners)), *(tick if ticked else [])]
