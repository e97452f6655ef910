"""The stick as it is marked: straight, to scale, every mark with its number, place, hook and point of the
bender."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from reportlab.graphics.shapes import Shape

from bench.core.lengths import Units, angle_text, text
from bench.core.plan import Hook, Mark, Reference
from bench.sheet.draw import (
    BODY,
    LEADING,
    Block,
    Point,
    filled,
    line,
    spread,
    star,
    triangle,
    tube,
    width_of,
    words,
)

_PIPE = 9.0
_MOST_LABELS = 8
_SEATS = 16.0
"""Height above the conduit for the point of the bender and the way its hook faces."""


def straight_block(
    length: Fraction, marks: Sequence[Mark], cut_at: Fraction | None, units: Units, width: float
) -> Block:
    """The stick `width` points long, numbered from the tape end at its left."""
    scale = width / float(length)
    middle = -LEADING - _SEATS - _PIPE / 2
    shapes: list[Shape] = [*tube([(0, middle), (width, middle)], _PIPE), *_ends(length, units, width)]
    for mark in marks:
        x = float(mark.at) * scale
        shapes += [
            line((x, middle - _PIPE / 2 - 3), (x, middle + _PIPE / 2 + 1), 1.4),
            *_seat(mark, x, middle),
        ]
    labels, depth = _labels(marks, scale, middle - _PIPE / 2 - 3, width, units)
    shapes += labels
    if cut_at is not None:
        shapes += _cut(float(cut_at) * scale, middle, cut_at, units)
    return Block(-(middle - _PIPE / 2 - 3) + depth, tuple(shapes))


def _ends(length: Fraction, units: Units, width: float) -> list[Shape]:
    return [
        words(0, -BODY, "TAPE END", bold=True),
        words(width, -BODY, f"{text(length, units)} stick", anchor="end"),
    ]


def _seat(mark: Mark, x: float, middle: float) -> list[Shape]:
    """The sign of the bender's point above the mark, and an arrow the way the hook faces."""
    base = middle + _PIPE / 2 + 2
    sign = _SIGNS[mark.reference](x, base)
    if mark.hook is Hook.EITHER:
        return [sign]
    way = -1 if mark.hook is Hook.TAPE_END else 1
    high = base + 11
    return [
        sign,
        line((x, high), (x + way * 9, high), 1.2),
        triangle(x + way * 14, high, 6, 0 if way > 0 else 180),
    ]


def _arrow(x: float, y: float) -> Shape:
    return filled([(x, y), (x - 3.5, y + 8), (x + 3.5, y + 8)])


def _notch(x: float, y: float) -> Shape:
    return filled([(x, y), (x - 4, y + 4), (x, y + 8), (x + 4, y + 4)])


def _star(x: float, y: float) -> Shape:
    return star(x, y + 4.5, 4.8)


_SIGNS = {Reference.ARROW: _arrow, Reference.NOTCH: _notch, Reference.STAR: _star}


def legend(x: float, y: float) -> list[Shape]:
    """What the signs mean, on one line."""
    shapes: list[Shape] = []
    for sign, name in ((_arrow, "arrow"), (_notch, "rim notch"), (_star, "star")):
        shapes += [sign(x + 4, y - 1), words(x + 13, y, name)]
        x += 13 + width_of(name) + 16
    shapes += [
        line((x, y + 3), (x + 9, y + 3), 1.2),
        triangle(x + 14, y + 3, 6, 0),
        words(x + 20, y, "hook faces"),
    ]
    return shapes


def _labels(
    marks: Sequence[Mark], scale: float, top: float, width: float, units: Units
) -> tuple[list[Shape], float]:
    """Number, place and angle under each mark, pushed apart where marks crowd, each joined to its mark.

    Where they are too many to stay near their marks only the first and the last are labelled; the table has
    all.
    """
    wide = max((width_of(text(mark.at, units), bold=True) for mark in marks), default=0.0) + 6
    shown = list(marks) if len(marks) <= _MOST_LABELS else [marks[0], marks[-1]]
    wanted = [float(mark.at) * scale for mark in shown]
    places = spread(wanted, wide, wide / 2, width - wide / 2)
    shapes: list[Shape] = []
    for mark, x, place in zip(shown, wanted, places, strict=True):
        shapes += _label(
            (mark.name, text(mark.at, units), angle_text(mark.bend)), (x, top), (place, top - 10)
        )
    return shapes, 3 * LEADING + 12 if shown else 0.0


def _label(column: tuple[str, str, str], mark: Point, place: Point) -> list[Shape]:
    x, y = place
    number, at, angle = column
    return [
        line(mark, (x, y), 0.5),
        words(x, y - BODY, number, 11, bold=True, anchor="middle"),
        words(x, y - BODY - LEADING, at, bold=True, anchor="middle"),
        words(x, y - BODY - 2 * LEADING, angle, anchor="middle"),
    ]


def _cut(x: float, middle: float, cut_at: Fraction, units: Units) -> list[Shape]:
    said = f"CUT {text(cut_at, units)}"
    return [
        line((x, middle - 12), (x, middle + 14), 1.6, (4, 2)),
        words(x - 3, middle + 16, said, bold=True, anchor="end"),
    ]
