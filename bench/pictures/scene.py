"""A drawing as a value: lines, areas and words in inches, each with its meaning. Pure.

x runs to the right, y up. The painter chooses scale and colors. No meaning is carried by color alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

Point = tuple[float, float]


class Tone(StrEnum):
    """The meaning of an element of a drawing."""

    PIPE = "pipe"
    GHOST = "ghost"
    """The future position of the pipe, or a bend not yet made."""
    TOOL = "tool"
    MARK = "mark"
    CURRENT = "current"
    WAY = "way"
    """An arrow that shows a movement or a dimension."""
    FLOOR = "floor"


@dataclass(frozen=True, slots=True)
class Line:
    """A line `width` inches thick through `points`, always at least visible. `dashed` lines show what is not there."""

    points: tuple[Point, ...]
    tone: Tone
    width: float = 0.0
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Area:
    """A filled outline."""

    points: tuple[Point, ...]
    tone: Tone


@dataclass(frozen=True, slots=True)
class Label:
    """Words beside a point, on the side given by the direction `toward`. `large` ones may be in block letters."""

    at: Point
    words: str
    tone: Tone
    toward: Point = (0.0, 1.0)
    large: bool = False


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawing. Later shapes cover earlier ones. `name` is its title. `focus` is the part, as a `box`, that is shown
    alone when the whole does not fit."""

    shapes: tuple[Line | Area, ...]
    labels: tuple[Label, ...] = ()
    name: str = ""
    focus: tuple[float, float, float, float] | None = None

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Minimum x and y, maximum x and y of everything drawn."""
        xs, ys = zip(*_points(self), strict=True)
        return min(xs), min(ys), max(xs), max(ys)


def _points(scene: Scene) -> Iterable[Point]:
    for shape in scene.shapes:
        half = shape.width / 2 if isinstance(shape, Line) else 0.0
        for x, y in shape.points:
            yield x - half, y - half
            yield x + half, y + half
    yield from (label.at for label in scene.labels)


def arrow_head(tip: Point, back: Point, size: float, tone: Tone = Tone.WAY) -> Area:
    """A solid arrow head with its tip at `tip`, pointing away from `back`."""
    dx, dy = tip[0] - back[0], tip[1] - back[1]
    long = (dx * dx + dy * dy) ** 0.5 or 1.0
    ux, uy = dx / long * size, dy / long * size
    foot = (tip[0] - ux, tip[1] - uy)
    return Area(
        (tip, (foot[0] - uy * 0.6, foot[1] + ux * 0.6), (foot[0] + uy * 0.6, foot[1] - ux * 0.6)), tone
    )
