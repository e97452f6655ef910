"""The finished conduit to scale: from the side, and from above when it leaves its plane."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from reportlab.graphics.shapes import Group, Shape

from bench.core.lengths import Units, text
from bench.core.path import Path
from bench.sheet.draw import BODY, LEADING, Block, Point, dimension, line, tube, words
from bench.sheet.shape import Silhouette, side_view, top_view

_ROOM = 34.0
_FIGURE = 36.0
"""More space at the right for the height's figure."""
_MOST_NUMBERS = 8
"""Space about the shape for its dimensions."""


def finished_block(path: Path, od: float, units: Units, width: float, height: float) -> Block:
    """The bends of a conduit of outside diameter `od`, in a space of `width` by at most `height` points."""
    views = [("From the side", side_view(path))]
    above = top_view(path)
    if above is not None:
        views.append(("From above", above))
    each = (width - 20 * (len(views) - 1)) / len(views)
    blocks = [_view(title, view, od, units, each, height) for title, view in views]
    shapes: list[Shape] = []
    for index, block in enumerate(blocks):
        shapes += _shifted(block.shapes, index * (each + 20))
    return Block(max(block.height for block in blocks), tuple(shapes))


def _shifted(shapes: Sequence[Shape], x: float) -> list[Shape]:
    return [Group(*shapes, transform=(1, 0, 0, 1, x, 0))]


def _view(title: str, view: Silhouette, od: float, units: Units, width: float, height: float) -> Block:
    left, low, right, high = view.box
    room = height - 2 * LEADING - _ROOM
    scale = min((width - 2 * _ROOM - _FIGURE) / max(right - left, 1.0), room / max(high - low, od, 1.0), 14.0)
    thick = max(3.0, od * scale)
    top = -2 * LEADING - thick / 2

    def put(point: Point) -> Point:
        return _ROOM + (point[0] - left) * scale, top - (high - point[1]) * scale

    shapes: list[Shape] = [
        words(0, -BODY, title, bold=True),
        *tube([put(point) for point in view.points], thick),
    ]
    shapes += _breaks(view, put, thick)
    shapes += [
        words(x, y - BODY / 3, str(number), bold=True, anchor="middle")
        if thick > 13
        else _outside(x, y, thick, number)
        for number, (x, y) in enumerate(map(put, view.bends), start=1)
        if len(view.bends) <= _MOST_NUMBERS or number in (1, len(view.bends))
    ]
    bottom = put((0, low))[1] - thick / 2
    if high - low > 0.25:
        x = put((right, 0))[0] + 12
        shapes += dimension((x, put((0, high))[1]), (x, put((0, low))[1]), text(high - low, units))
    return Block(-bottom + 6, tuple(shapes))


def _outside(x: float, y: float, thick: float, number: int) -> Shape:
    return words(x, y + thick / 2 + 3, str(number), bold=True, anchor="middle")


def _breaks(view: Silhouette, put: Callable[[Point], Point], thick: float) -> list[Shape]:
    """A slanted double stroke where straight conduit goes on."""
    ends = ([view.points[0]] if view.cut_start else []) + ([view.points[-1]] if view.cut_end else [])
    shapes: list[Shape] = []
    for x, y in map(put, ends):
        reach = thick / 2 + 4
        shapes += [line((x + d - 2, y - reach), (x + d + 2, y + reach), 1.0) for d in (-1.5, 1.5)]
    return shapes
