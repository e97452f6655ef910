"""Draws the marked stick: straight, to scale, every mark with its number, position, hook and bender point."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from reportlab.graphics.shapes import Shape

from bench.core.lengths import Units
from bench.core.plan import Hook, Mark, Reference
from bench.sheet.drawing import (
    Block,
    filled,
    line,
    star,
    triangle,
    tube,
    words,
)
from bench.sheet.mark_labels import joined_labels, labels_of

_PIPE = 8.0
_SIGNS_HIGH = 13.0
"""Height above the conduit for the bender's point and its hook direction."""
_END = 32.0
"""Width at the left for the words TAPE END."""
_LEADER, _SHORT_LEADER = 9.0, 5.0
_MANY = 5
"""Most marks for which the numbers are directly below them."""
_SIGN_APART, _HOOK_APART = 9.0, 18.0
"""Identical signs and hooks closer than this are drawn once, because they would overlap."""


def marked_stick(
    length: Fraction,
    marks: Sequence[Mark],
    cut_at: Fraction | None,
    units: Units,
    scale: Fraction,
    width: float,
    size: float,
) -> Block:
    """The stick `width` points long, tape end at the left, with positions in type of `size` points (0: omitted).

    If the positions do not fit side by side, every second one is a row lower. If they still do not, only the numbers of
    the marks are shown. The bend table has every position.
    """
    to_points = (width - _END) / float(length)
    middle = -_SIGNS_HIGH - _PIPE / 2

    def put(at: Fraction) -> float:
        return _END + float(at) * to_points

    under = middle - _PIPE / 2 - 2
    leader = (under, under - (_LEADER if size or len(marks) > _MANY else _SHORT_LEADER))
    labels, depth = joined_labels(labels_of(marks, cut_at, units, scale, size), put, leader, width)
    shapes: list[Shape] = [*tube([(_END, middle), (width, middle)], _PIPE), *_tape_end(middle)]
    shapes += [line((put(mark.at), under), (put(mark.at), middle + _PIPE / 2 + 1), 1.4) for mark in marks]
    shapes += [line((x, middle - _PIPE / 2), (x, middle + _PIPE / 2), 0.9) for x in (_END, width)]
    shapes += _seats(marks, put, middle + _PIPE / 2 + 2)
    if cut_at is not None:
        shapes.append(line((put(cut_at), under), (put(cut_at), middle + 14), 1.6, (4, 2)))
    return Block(-under + depth, (*shapes, *labels))


def _tape_end(middle: float) -> list[Shape]:
    return [
        words(_END - 4, middle + 1.5, "TAPE", bold=True, anchor="end"),
        words(_END - 4, middle - 8.5, "END", bold=True, anchor="end"),
    ]


def _seats(marks: Sequence[Mark], put: Callable[[Fraction], float], base: float) -> list[Shape]:
    """The sign of the bender's point above each mark, and an arrow in the direction the hook faces."""
    shapes: list[Shape] = []
    signs: dict[Reference, float] = {}
    hooks: dict[Hook, float] = {}
    for mark in marks:
        x = put(mark.at)
        if x - signs.get(mark.reference, -x) >= _SIGN_APART:
            signs[mark.reference] = x
            shapes.append(SIGNS[mark.reference](x, base))
        if mark.hook is not Hook.EITHER and x - hooks.get(mark.hook, -_HOOK_APART) >= _HOOK_APART:
            hooks[mark.hook] = x
            shapes += hook_arrow(x, base + 10.5, -1 if mark.hook is Hook.TAPE_END else 1)
    return shapes


def hook_arrow(x: float, y: float, way: int) -> list[Shape]:
    """An arrow from x to the left (-1) or the right (1)."""
    return [line((x, y), (x + way * 9, y), 1.2), triangle(x + way * 13, y, 5, 0 if way > 0 else 180)]


def _arrow(x: float, y: float) -> Shape:
    return filled([(x, y), (x - 3.5, y + 8), (x + 3.5, y + 8)])


def _notch(x: float, y: float) -> Shape:
    return filled([(x, y), (x - 4, y + 4), (x, y + 8), (x + 4, y + 4)])


def _star(x: float, y: float) -> Shape:
    return star(x, y + 4.5, 4.8)


SIGNS = {Reference.ARROW: _arrow, Reference.NOTCH: _notch, Reference.STAR: _star}
"""Functions that draw the points of the bender at their lower end."""
