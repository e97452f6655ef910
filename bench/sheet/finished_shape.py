"""Draws the finished conduit to scale: from the side, and from above when it leaves its plane."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from reportlab.graphics.shapes import Shape

from bench.core.lengths import Units, text
from bench.core.path import Path
from bench.pictures.views import Silhouette, side_view, top_view
from bench.sheet.drawing import (
    BODY,
    GAP,
    LEADING,
    Block,
    Point,
    dimension,
    moved,
    stacked,
    tube,
    width_of,
    words,
)
from bench.sheet.legend import break_strokes

_EDGE = 8.0
"""Space for the end of a conduit that continues, points."""
_NUMBER = 12.0
"""Space above and below the shape for the numbers of its bends."""
_LARGEST = 14.0
"""Largest scale in points per inch, so that a small bend does not look like a large one."""

_LEAST_VIEW = 47.0
"""Minimum height of each of two views."""
_LEAST = 12.0
"""Minimum height of the shape itself."""

Box = tuple[float, float, float, float]


def finished_shape(path: Path, od: float, units: Units, width: float, height: float) -> Block:
    """The bends of a conduit with outside diameter `od`, in a space of `width` by at most `height` points.

    Two views are side by side if both fit, else stacked.
    """
    above = top_view(path)
    if above is None:
        return _view("From the side", side_view(path), od, units, width, height)
    titled = (("From the side", side_view(path)), ("From above", above))
    if width >= 4 * height:
        each = (width - 20) / 2
        views = [_view(title, view, od, units, each, height) for title, view in titled]
        return Block(
            max(view.height for view in views),
            tuple(moved(view, n * (each + 20), 0) for n, view in enumerate(views)),
        )
    each = max((height - GAP) / 2, _LEAST_VIEW)
    return stacked([_view(title, view, od, units, width, each) for title, view in titled])


def _view(title: str, view: Silhouette, od: float, units: Units, width: float, height: float) -> Block:
    left, low, right, high = view.box
    rise = view.rise(od)
    figure = "" if rise is None else text(rise, units)
    across = width - 2 * _EDGE - (width_of(figure, bold=True) + 16 if figure else 0)
    height_left = max(height - LEADING - 2 * _NUMBER, _LEAST)
    scale = min(across / max(right - left + od, 1.0), height_left / max(high - low + od, 1.0), _LARGEST)
    thick = max(2.6, od * scale)
    top = -LEADING - _NUMBER - thick / 2

    def put(point: Point) -> Point:
        return _EDGE + thick / 2 + (point[0] - left) * scale, top - (high - point[1]) * scale

    right_edge = put((right, 0))[0] + thick / 2 + (8 if figure else _EDGE + 4)
    bottom = put((0, low))[1] - thick / 2
    shapes: list[Shape] = [words(0, -BODY, title), *tube([put(point) for point in view.points], thick)]
    shapes += [stroke for end, along in _goes_on(view, put) for stroke in break_strokes(end, along, thick)]
    room = (0.0, bottom - _NUMBER, right_edge - 4, -LEADING - 2)
    shapes += _numbers([put(p) for p in view.points], [put(p) for p in view.bends], thick, room)
    if figure:
        shapes += dimension(right_edge, put((0, low))[1], put((0, high))[1], figure)
    return Block(-bottom + _NUMBER, tuple(shapes))


def _goes_on(view: Silhouette, put: Callable[[Point], Point]) -> Iterator[tuple[Point, float]]:
    """The ends beyond which the conduit continues, with its direction there in degrees."""
    first, last = view.points[:2], view.points[:-3:-1]
    for (end, inner), goes_on in ((first, view.cut_start), (last, view.cut_end)):
        if goes_on:
            yield put(end), math.degrees(math.atan2(end[1] - inner[1], end[0] - inner[0]))


def _numbers(view: Sequence[Point], places: Sequence[Point], thick: float, room: Box) -> list[Shape]:
    """The number of each bend beside it, starting with the first and the last, placed clear of other numbers and the
    conduit. A number that does not fit is omitted; the bend table has it."""
    taken = [_about(point, thick / 2) for point in _along(view)]
    shapes: list[Shape] = []
    last = len(places) - 1
    for index in sorted(range(len(places)), key=lambda index: (index not in (0, last), index)):
        said = str(index + 1)
        box = next((box for box in _beside(places[index], said, thick) if _free(box, taken, room)), None)
        if box is not None:
            taken.append(box)
            shapes.append(words((box[0] + box[2]) / 2, box[1] + 2.1, said, bold=True, anchor="middle"))
    return shapes


def _along(points: Sequence[Point]) -> Iterator[Point]:
    """Positions along a line, at most two points apart."""
    for start, end in pairwise(points):
        steps = max(1, math.ceil(math.dist(start, end) / 2))
        yield from (
            (start[0] + (end[0] - start[0]) * n / steps, start[1] + (end[1] - start[1]) * n / steps)
            for n in range(steps)
        )


def _about(point: Point, reach: float) -> Box:
    return point[0] - reach, point[1] - reach, point[0] + reach, point[1] + reach


def _beside(place: Point, said: str, thick: float) -> Iterator[Box]:
    """Candidate boxes for the number of a bend: above and below it, then beside it, nearest first."""
    half = width_of(said, bold=True) / 2 + 1
    for reach in (thick / 2 + 1.5, thick / 2 + 6):
        for degrees in (90, 270, 180, 0, 135, 45, 225, 315):
            across, up = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
            x = place[0] + across * (reach + half)
            y = place[1] + up * (reach + BODY / 2)
            yield x - half, y - BODY / 2, x + half, y + BODY / 2


def _free(box: Box, taken: Sequence[Box], room: Box) -> bool:
    inside = box[0] >= room[0] and box[1] >= room[1] and box[2] <= room[2] and box[3] <= room[3]
    return inside and all(
        box[2] <= other[0] or other[2] <= box[0] or box[3] <= other[1] or other[3] <= box[1]
        for other in taken
    )
