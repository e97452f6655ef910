"""The bend table: one line a bend, in the order they are made."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from reportlab.graphics.shapes import Shape

from bench.core.lengths import Units, angle_text, text
from bench.core.plan import Hook, Mark
from bench.core.stick import Stick
from bench.sheet.draw import BODY, Block, line, width_of, words

_ROW = 15.0
_HEADS = ("Bend", "Mark", "At", "Bender's point", "Hook faces", "Roll", "Bend to", "Pull to", "Done")
_HOOKS = {Hook.TAPE_END: "tape end", Hook.AWAY: "away from tape end", Hook.EITHER: "either way"}
_POINTS = {"arrow": "arrow", "notch": "rim notch", "star": "star"}


def table_block(stick: Stick, units: Units, width: float) -> Block:
    """The bends of a stick in order, with a box to tick for each."""
    rows = [_HEADS, *(_row(mark, units) for mark in stick.in_order)]
    columns = _columns(rows, width)
    shapes: list[Shape] = []
    for index, row in enumerate(rows):
        baseline = -(index + 1) * _ROW + 4
        shapes += [words(x, baseline, said, bold=index == 0) for x, said in zip(columns, row, strict=True)]
        shapes.append(line((0, baseline - 4), (width, baseline - 4), 1.0 if index == 0 else 0.4))
        if index:
            shapes += _box(columns[-1] + 6, baseline - 1)
    return Block(len(rows) * _ROW, tuple(shapes))


def _row(mark: Mark, units: Units) -> tuple[str, ...]:
    return (
        str(mark.order),
        mark.name,
        text(mark.at, units),
        _POINTS[mark.reference],
        _HOOKS[mark.hook],
        angle_text(mark.roll),
        angle_text(mark.bend),
        angle_text(mark.pull),
        "",
    )


def _columns(rows: Sequence[Sequence[str]], width: float) -> list[float]:
    """Left edges: each column as wide as its widest entry, what is left shared between them."""
    wide = [max(width_of(row[column], BODY, bold=True) for row in rows) for column in range(len(rows[0]))]
    gap = (width - sum(wide)) / (len(wide) - 1)
    edges = [0.0]
    for entry in wide[:-1]:
        edges.append(edges[-1] + entry + gap)
    return edges


def _box(x: float, y: float) -> list[Shape]:
    corners = [(x, y), (x + 9, y), (x + 9, y + 9), (x, y + 9), (x, y)]
    return [line(a, b, 0.8) for a, b in pairwise(corners)]
