"""Prints the screen's drawings of the bender on the pipe at each bend: point, hook, floor or air."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Sequence

from reportlab.graphics.shapes import PolyLine, Shape
from reportlab.lib.colors import black

from bench.core.bender import Bender
from bench.core.lengths import angle_text
from bench.core.plan import Mark, Reference
from bench.pictures.scene import Area, Scene, Tone
from bench.pictures.seated import Seat, seated
from bench.sheet.drawing import BODY, LEADING, Block, Point, filled, moved, triangle, tube, words
from bench.sheet.figures import HOOK_WORDS, POINTS

_LEAST_WIDTH = 136.0
"""Minimum width in points of a drawing with its words: four fit side by side on a letter page."""
_APART = 6.0
_MOST = 8
"""Most bends that are drawn. More bends are the identical ones of a segmented bend."""
_WORDS = {
    "hook": "",
    "tape_end": "",
    "in_the_air": "",
    **{f"point_{reference}": "" for reference in Reference},
}
"""The drawing's own words are omitted, because the line above it has them."""
_THIN = {Tone.FLOOR: 0.6, Tone.WAY: 0.9, Tone.CURRENT: 1.2}


def seat_drawings(
    marks: Sequence[Mark], air: Collection[int], bender: Bender, length: float, width: float, height: float
) -> Block:
    """One drawing per bend in order, each `height` points high, side by side in `width`. Empty if there are too many
    bends. `air` are the orders of bends made in the air."""
    if not 0 < len(marks) <= _MOST:
        return Block(0.0, ())
    across = min(len(marks), max(1, int((width + _APART) // (_LEAST_WIDTH + _APART))))
    each = (width + _APART) / across - _APART
    down = 3 * LEADING + height + _APART
    shapes: list[Shape] = []
    for at, mark in enumerate(marks):
        seat = Seat(mark, int(mark.name), marks[:at], bender, length, mark.order in air)
        block = _drawn(seat, each, height)
        shapes.append(moved(block, at % across * (each + _APART), -(at // across) * down))
    return Block(math.ceil(len(marks) / across) * down - _APART, tuple(shapes))


def _drawn(seat: Seat, width: float, height: float) -> Block:
    """Two lines of words, the drawing, and below it the direction of the tape end."""
    mark, where = seat.mark, "Air" if seat.in_the_air else "Floor"
    title = f"{mark.order}. {POINTS[mark.reference].capitalize()} on {mark.name}, {angle_text(mark.bend)}"
    scene = seated(seat, _WORDS)
    left, low, right, high = scene.box
    scale = min(width / (right - left), height / (high - low))
    top = -2 * LEADING - 2

    def put(point: Point) -> Point:
        return (point[0] - left) * scale, top - (high - point[1]) * scale

    foot = top - height - LEADING + 3
    shapes: list[Shape] = [
        words(0, -BODY, title, bold=True),
        words(0, -BODY - LEADING, f"{where}, {HOOK_WORDS[mark.hook]}"),
        *_shapes(scene, put, scale),
        triangle(0, foot + 3.5, 7, 180),
        words(10, foot, "tape end"),
    ]
    return Block(-foot, tuple(shapes))


def _shapes(scene: Scene, put: Callable[[Point], Point], scale: float) -> Iterator[Shape]:
    """The shapes of a scene: pipe as two walls, future pipe dashed, the bender solid."""
    for shape in scene.shapes:
        points = [put(point) for point in shape.points]
        if isinstance(shape, Area):
            yield filled(points)
        elif shape.tone is Tone.PIPE:
            yield from tube(points, max(2.6, shape.width * scale))
        else:
            dashed = shape.tone is Tone.GHOST
            thick = 1.4 if dashed else _THIN.get(shape.tone, max(1.0, shape.width * scale))
            flat = [value for point in points for value in point]
            yield PolyLine(
                flat, strokeWidth=thick, strokeColor=black, strokeDashArray=(4, 3) if dashed else None
            )
