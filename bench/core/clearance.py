"""From the surface of the conduit to what it must clear, along the whole bend.

Obstructions stand on the wall and run straight across it. `x` is inches along the wall from the tape end,
height is inches from the wall; the conduit lies against the wall before its first bend.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from bench.core.path import Path, Segment
from bench.core.vectors import Vector, dot


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangular obstruction from `near` to `far` along the wall, `height` high."""

    near: float
    far: float
    height: float

    def distance(self, x: float, height: float) -> float:
        """From a point to the surface, negative inside."""
        aside = max(self.near - x, x - self.far)
        above = height - self.height
        if aside > 0 and above > 0:
            return math.hypot(aside, above)
        return max(aside, above)


@dataclass(frozen=True, slots=True)
class Round:
    """A round obstruction such as a pipe: its center along the wall, its diameter, its gap behind."""

    center: float
    diameter: float
    stand_off: float = 0.0

    def distance(self, x: float, height: float) -> float:
        """From a point to the surface, negative inside."""
        radius = self.diameter / 2
        return math.hypot(x - self.center, height - radius - self.stand_off) - radius


Solid = Box | Round
Row = tuple[Solid, ...]
"""Several obstructions side by side."""
Gap = Callable[[float], float]
"""The clearance at a place along the conduit, inches."""

_NOTED, _NOISE = 1e-5, 1e-12
"""Inches along a straight after which its slope is looked at, and how much of it may be rounding."""


def clearance(path: Path, obstructions: Row, od: float, up: Vector) -> float:
    """Least distance from the conduit's surface to any of the obstructions, inches, negative where it fouls.

    `up` is the direction away from the wall, in the frame of the path (a unit vector).
    """
    return min(_to_solid(path, solid, od, up) for solid in obstructions)


def fouls(gap: float | None, scale: Fraction) -> bool:
    """Whether a clearance is a collision: by more than a step of the tape's scale."""
    return gap is not None and gap < -float(scale)


def _to_solid(path: Path, solid: Solid, od: float, up: Vector) -> float:
    """Least over the segments, those that can come nearest first, until none can come nearer than what was found."""
    gaps = [(_gap(segment, solid, od, up), segment) for segment in path.segments if segment.length > 0]
    near = sorted(
        ((_at_least(gap, segment), gap, segment) for gap, segment in gaps), key=lambda each: each[0]
    )
    best = math.inf
    for least, gap, segment in near:
        if least >= best:
            break
        best = _least(gap, segment, best)
    return best


def _at_least(gap: Gap, segment: Segment) -> float:
    """What a gap along a segment cannot go under: it changes no faster than the conduit runs."""
    return gap(segment.start + segment.length / 2) - segment.length / 2


def _gap(segment: Segment, solid: Solid, od: float, up: Vector) -> Gap:
    """The clearance at a place along a segment. In plain numbers: x and height above the wall, as it is asked often."""
    start, bend, half = segment.start, segment.curvature, od / 2
    x, ahead, aside = segment.origin[0], segment.along[0], segment.towards[0]
    height, rising, curving = (dot(way, up) for way in (segment.origin, segment.along, segment.towards))
    height += half

    def straight(s: float) -> float:
        run = s - start
        return solid.distance(x + run * ahead, height + run * rising) - half

    def curved(s: float) -> float:
        turn = (s - start) * bend
        run, over = math.sin(turn) / bend, (1 - math.cos(turn)) / bend
        return solid.distance(x + run * ahead + over * aside, height + run * rising + over * curving) - half

    return curved if bend else straight


def _least(gap: Gap, segment: Segment, best: float) -> float:
    """The least gap along a segment, or `best` where that is less."""
    if segment.curvature:
        return _least_of_arc(gap, segment, best)
    start, end = segment.start, segment.end
    at_start, at_end = gap(start), gap(end)
    best = min(best, at_start, at_end)
    step = min(_NOTED, segment.length / 4)
    if gap(start + step) > at_start + _NOISE or gap(end - step) > at_end + _NOISE:
        return best  # along a straight the gap to a convex solid has one dip: here it is an end
    return min(best, _dip(gap, start, end))


def _least_of_arc(gap: Gap, segment: Segment, best: float) -> float:
    """The same along an arc, which can have several dips: tried in steps of a few degrees."""
    count = max(1, math.ceil(math.degrees(segment.length * segment.curvature) / 5))
    places = [segment.start + segment.length * index / count for index in range(count + 1)]
    gaps = [gap(s) for s in places]
    halfway = segment.length / count / 2
    for here, index in sorted((here, index) for index, here in enumerate(gaps)):
        if here - halfway >= best:
            break
        before, after = max(index - 1, 0), min(index + 1, count)
        if here <= min(gaps[before], gaps[after]):
            best = min(best, here, _dip(gap, places[before], places[after]))
    return best


def _dip(gap: Gap, low: float, high: float) -> float:
    """The lowest value of a function with one dip, by golden section, to a ten-thousandth of an inch."""
    golden = (math.sqrt(5) - 1) / 2
    left, right = high - golden * (high - low), low + golden * (high - low)
    at_left, at_right = gap(left), gap(right)
    while high - low > 1e-4:
        if at_left < at_right:
            high, right, at_right = right, left, at_left
            left = high - golden * (high - low)
            at_left = gap(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + golden * (high - low)
            at_right = gap(right)
    return min(at_left, at_right)
