"""Drawings of what to measure on a finished bend: the pipe in its true shape with the requested dimension.

How each dimension is measured is defined in `core/gauges.py`. The drawing shows the planned shape.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from bench.pictures.scene import Area, Label, Line, Point, Scene, Tone, arrow_head
from bench.pictures.shape import Pipe
from bench.pictures.views import Silhouette, standing

_LEVEL = 0.03
"""Slope below which a leg counts as level."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """The gauge's key and its expected reading as text."""

    key: str
    value: str


def measured(pipe: Pipe, wanted: Wanted, words: Mapping[str, str]) -> Scene | None:
    """The drawing, or None when the gauge has none. `words`: a_level, laid_flat."""
    if not pipe.path.arcs:
        return None
    draw = _DRAWN.get(wanted.key)
    return None if draw is None else draw(pipe, wanted.value, words)


def _height(pipe: Pipe, value: str, words: Mapping[str, str]) -> Scene:
    """From the lower leg to the higher one, same side of both. An upright leg is measured to its back."""
    view = standing(pipe.path)
    _, low, _, high = view.box
    top = max(view.points, key=lambda point: point[1])
    flat = [point for point in view.points if point[1] - low < 0.05]
    foot = min(flat, key=lambda point: abs(point[0] - top[0]))
    upright = _upright_at(view, top)
    base = low - pipe.od / 2 if upright else low
    side = _room_beside(view, pipe.od, top) if upright else top[0]
    if not upright and abs(foot[0] - top[0]) < 0.5:
        side = top[0] + 2 * pipe.od
    shapes: list[Line | Area] = [_line(view, pipe.od)]
    shapes += [_helper((foot[0], base), (side, base)), _helper((top[0], high), (side, high))]
    shapes += _dimension((side, base), (side, high))
    return Scene(tuple(shapes), (Label((side, (base + high) / 2), value, Tone.WAY, (1.0, 0.0), large=True),))


def _across(pipe: Pipe, value: str, words: Mapping[str, str]) -> Scene:
    """From the outside of one upright leg to the outside of the other."""
    view = standing(pipe.path)
    left, low, right, _high = view.box
    half, y = pipe.od / 2, low - 2 * pipe.od
    ends = ((left - half, y), (right + half, y))
    shapes = [_line(view, pipe.od), *(_helper((x, low), (x, y - 0.3)) for x, _ in ends), *_dimension(*ends)]
    return Scene(tuple(shapes), (Label(((left + right) / 2, y), value, Tone.WAY, (0.0, -1.0), large=True),))


def _crown_at(pipe: Pipe, value: str, words: Mapping[str, str]) -> Scene:
    """From the tape end to the middle of the crown."""
    view = standing(pipe.path, whole_tape_leg=True)
    _left, low, _, high = view.box
    start, under = view.points[0], low - 2 * pipe.od
    crown = (view.bends[0][0] + view.bends[-1][0]) / 2
    ends = ((start[0], under), (crown, under))
    shapes = [_line(view, pipe.od), _helper((crown, high), (crown, under - 0.3)), *_dimension(*ends)]
    shapes += [_helper((start[0], start[1]), (start[0], under - 0.3))]
    middle = ((start[0] + crown) / 2, under)
    return Scene(tuple(shapes), (Label(middle, value, Tone.WAY, (0.0, -1.0), large=True),))


def _lean(pipe: Pipe, value: str, words: Mapping[str, str]) -> Scene:
    """The planned pipe with a two-foot level on the leg to check."""
    view = standing(pipe.path)
    return _with_level(view, pipe, view.points[-2:], value, words)


def _tape_lean(pipe: Pipe, value: str, words: Mapping[str, str]) -> Scene:
    view = standing(pipe.path)
    return _with_level(view, pipe, view.points[:2], value, words)


def _with_level(
    view: Silhouette, pipe: Pipe, leg: tuple[Point, ...], value: str, words: Mapping[str, str]
) -> Scene:
    (x0, y0), (x1, y1) = leg
    long = math.hypot(x1 - x0, y1 - y0) or 1.0
    ux, uy = (x1 - x0) / long, (y1 - y0) / long
    nx, ny = (-uy, ux) if ux >= 0 else (uy, -ux)
    size = min(7.0, long * 0.8)
    foot = ((x0 + x1) / 2 + nx * pipe.od * 1.5, (y0 + y1) / 2 + ny * pipe.od * 1.5)
    ends = tuple((foot[0] + ux * size / 2 * way, foot[1] + uy * size / 2 * way) for way in (-1.0, 1.0))
    shapes = (_line(view, pipe.od), Line(ends, Tone.TOOL, pipe.od * 1.1))
    label = Label(
        (foot[0] + nx * pipe.od, foot[1] + ny * pipe.od), words["a_level"], Tone.TOOL, (nx, max(ny, 0.6))
    )
    return Scene(shapes, (label, Label((x1, y1), value, Tone.WAY, (-0.2, -1.0), large=True)))


def _dogleg(pipe: Pipe, value: str, words: Mapping[str, str]) -> Scene:
    """The pipe laid on its side, seen along the floor: flat, or with a gap under the far end."""
    reach, up, od = 24.0, 3.2, max(pipe.od, 0.9)
    floor = -od / 2 - 0.35
    lifted = ((reach * 0.45, 0.0), (reach, up))
    shapes: tuple[Line | Area, ...] = (
        Line(((-2.0, floor), (reach + 3.0, floor)), Tone.FLOOR),
        Line(lifted, Tone.GHOST, od * 0.7, dashed=True),
        Line(((0.0, 0.0), (reach, 0.0)), Tone.PIPE, od),
        *_dimension((reach + 1.6, floor), (reach + 1.6, up)),
    )
    labels = (
        Label((reach + 1.6, up / 2), value, Tone.WAY, (1.0, 0.0), large=True),
        Label((reach * 0.4, 0.6), words["laid_flat"], Tone.MARK, (0.0, 1.0)),
    )
    return Scene(shapes, labels)


def _square(first: bool) -> Callable[[Pipe, str, Mapping[str, str]], Scene]:
    """Returns the function that draws the bend with a square in its corner."""

    def draw(pipe: Pipe, value: str, words: Mapping[str, str]) -> Scene:
        view = standing(pipe.path)
        corner = view.bends[0 if first else -1]
        arc = pipe.path.arcs[0 if first else -1]
        near = min(range(len(view.along)), key=lambda at: abs(view.along[at] - arc.start))
        far = min(range(len(view.along)), key=lambda at: abs(view.along[at] - arc.end(pipe.path.radius)))
        inner = _meeting(view, near, far) or corner
        sides = []
        for at, other in ((near, max(0, near - 1)), (far, min(len(view.points) - 1, far + 1))):
            sides.append(_toward(inner, view.points[at], view.points[other], 2.2 * pipe.path.radius))
        shapes = (
            _line(view, pipe.od),
            Line((sides[0], inner, sides[1]), Tone.WAY, 0.3 * pipe.od, dashed=True),
        )
        middle = ((inner[0] + corner[0]) / 2, (inner[1] + corner[1]) / 2)
        away = (corner[0] - middle[0], corner[1] - middle[1])
        toward = (-away[0], -away[1]) if math.hypot(*away) > 1e-6 else (1.0, 0.0)
        return Scene(shapes, (Label(corner, value, Tone.WAY, toward, large=True),))

    return draw


def _meeting(view: Silhouette, near: int, far: int) -> Point | None:
    """The intersection of the lines of the two legs: the outer corner of the bend."""
    before, after = view.points[max(0, near - 1)], view.points[min(len(view.points) - 1, far + 1)]
    (x0, y0), (x1, y1) = view.points[near], view.points[far]
    ax, ay, bx, by = x0 - before[0], y0 - before[1], x1 - after[0], y1 - after[1]
    cross = ax * by - ay * bx
    if abs(cross) < 1e-9:
        return None
    share = ((x1 - x0) * by - (y1 - y0) * bx) / cross
    return x0 + ax * share, y0 + ay * share


def _toward(corner: Point, through: Point, beyond: Point, reach: float) -> Point:
    """The point `reach` from the corner along a leg."""
    dx, dy = beyond[0] - corner[0], beyond[1] - corner[1]
    long = math.hypot(dx, dy) or math.hypot(through[0] - corner[0], through[1] - corner[1]) or 1.0
    return corner[0] + dx / long * reach, corner[1] + dy / long * reach


def _line(view: Silhouette, od: float) -> Line:
    return Line(view.points, Tone.PIPE, od)


def _helper(start: Point, end: Point) -> Line:
    return Line((start, end), Tone.GHOST, 0.0, dashed=True)


def _dimension(start: Point, end: Point) -> list[Line | Area]:
    """A line with arrow heads at both ends."""
    long = math.dist(start, end)
    head = min(1.2, long / 3)
    return [
        Line((start, end), Tone.WAY, 0.2),
        arrow_head(start, end, head),
        arrow_head(end, start, head),
    ]


def _upright_at(view: Silhouette, top: Point) -> bool:
    """Whether the leg that ends highest is upright."""
    for end, inner in (view.points[:2], view.points[:-3:-1]):
        if end == top and abs(end[0] - inner[0]) <= _LEVEL * abs(end[1] - inner[1]):
            return True
    return False


def _room_beside(view: Silhouette, od: float, top: Point) -> float:
    """The x of a dimension beside an upright leg, on the side away from the rest of the pipe."""
    left, _, right, _ = view.box
    return top[0] - 2 * od if top[0] - left < right - top[0] else top[0] + 2 * od


_DRAWN: dict[str, Callable[[Pipe, str, Mapping[str, str]], Scene]] = {
    "rise": _height,
    "distance": _across,
    "crown_at": _crown_at,
    "far_leg": _lean,
    "tape_leg": _tape_lean,
    "dogleg": _dogleg,
    "square": _square(False),
    "first_square": _square(True),
    "angle": _square(False),
}
