"""The legend of the signs on the drawings."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from reportlab.graphics.shapes import Shape

from bench.core.plan import Reference
from bench.sheet.drawing import BODY, LEADING, Block, Point, line, tube, width_of, words
from bench.sheet.figures import POINTS
from bench.sheet.marked_stick import SIGNS, hook_arrow

_APART = 10.0

Sign = Callable[[float, float], Sequence[Shape]]


def legend(width: float) -> Block:
    """The signs with their meanings, wrapped to `width`, and how marks and turns are counted."""
    shapes: list[Shape] = []
    x, y = 0.0, -BODY
    for sign, wide, said in _entries():
        needed = wide + 4 + width_of(said)
        if x and x + needed > width:
            x, y = 0.0, y - LEADING
        shapes += [*sign(x, y), words(x + wide + 4, y, said)]
        x += needed + _APART
    return Block(-y - BODY + LEADING, tuple(shapes))


def _entries() -> list[tuple[Sign, float, str]]:
    points: list[tuple[Sign, float, str]] = [
        (_point(reference), 9.0, f"{POINTS[reference]}") for reference in SIGNS
    ]
    return [
        *points,
        (lambda x, y: hook_arrow(x, y + 3, 1), 13.0, "hook faces this way"),
        (lambda x, y: [line((x + 3, y - 2), (x + 3, y + 9), 1.6, (4, 2))], 6.0, "cut"),
        (_going_on, 18.0, "pipe goes on"),
        (lambda x, y: [], -4.0, "left, right: seen from the tape end"),
    ]


def _point(reference: Reference) -> Sign:
    return lambda x, y: [SIGNS[reference](x + 4, y - 1)]


def _going_on(x: float, y: float) -> list[Shape]:
    return [*tube([(x, y + 3), (x + 12, y + 3)], 6), *break_strokes((x + 12, y + 3), 0, 6)]


def break_strokes(end: Point, along: float, thick: float) -> list[Shape]:
    """A slanted double stroke across a conduit that continues beyond the drawing. `along` is its direction in
    degrees."""
    x, y = end
    reach = thick / 2 + 4
    across, aside = _unit(along + 75), _unit(along)
    return [
        line(
            (x + d * aside[0] - reach * across[0], y + d * aside[1] - reach * across[1]),
            (x + d * aside[0] + reach * across[0], y + d * aside[1] + reach * across[1]),
            1.0,
        )
        for d in (-1.5, 1.5)
    ]


def _unit(degrees: float) -> Point:
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
