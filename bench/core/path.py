"""The centerline of bent conduit: straights and circular arcs in space.

Material length `s` runs from the tape end. The tape end lies at the origin along +x; a bend with roll 0
bends towards +y, one with roll 90 towards +z. Between bends the conduit carries its frame with it unturned,
so a roll is always a turn of the conduit about its own axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bench.core.vectors import Vector, add, combine, scale


@dataclass(frozen=True, slots=True)
class Arc:
    """One bend of the path: where it starts (inches along the conduit), its angle and roll (degrees)."""

    start: float
    angle: float
    roll: float = 0.0

    def length(self, radius: float) -> float:
        """Conduit in the arc, inches."""
        return radius * math.radians(self.angle)

    def end(self, radius: float) -> float:
        """Where the arc ends, inches along the conduit."""
        return self.start + self.length(radius)


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight (curvature 0) or an arc of a path, with where it begins, which way it goes and bends."""

    start: float
    length: float
    origin: Vector
    along: Vector
    towards: Vector
    curvature: float = 0.0

    @property
    def end(self) -> float:
        """Where the segment ends, inches along the conduit."""
        return self.start + self.length

    def point(self, s: float) -> Vector:
        """The point at `s` inches along the conduit."""
        run = s - self.start
        if not self.curvature:
            return add(self.origin, scale(self.along, run))
        turn = run * self.curvature
        ahead, aside = math.sin(turn) / self.curvature, (1 - math.cos(turn)) / self.curvature
        return add(self.origin, combine(self.along, ahead, self.towards, aside))

    def tangent(self, s: float) -> Vector:
        """The direction of the conduit at `s`, a unit vector."""
        turn = (s - self.start) * self.curvature
        return combine(self.along, math.cos(turn), self.towards, math.sin(turn))


@dataclass(frozen=True, slots=True)
class Path:
    """A bent conduit: its arcs in order of position, their centerline radius, its length and its segments."""

    arcs: tuple[Arc, ...]
    radius: float
    length: float
    segments: tuple[Segment, ...]

    def segment_at(self, s: float) -> Segment:
        """The segment that holds the material at `s`."""
        return next((segment for segment in self.segments if s <= segment.end), self.segments[-1])

    def point(self, s: float) -> Vector:
        """The point of the centerline at `s` inches along the conduit."""
        return self.segment_at(s).point(s)

    def straights(self) -> tuple[float, ...]:
        """Straight conduit before, between and after the arcs, inches; negative where arcs overlap."""
        ends = [0.0, *(arc.end(self.radius) for arc in self.arcs)]
        starts = [*(arc.start for arc in self.arcs), self.length]
        return tuple(start - end for start, end in zip(starts, ends, strict=True))

    def sampled(self, step_degrees: float = 5.0) -> Iterator[tuple[float, Vector]]:
        """Points `(s, point)` along the path: ends of segments, and within arcs at least every few degrees."""
        yield 0.0, self.segments[0].origin
        for segment in self.segments:
            turn = math.degrees(segment.length * segment.curvature)
            count = max(1, math.ceil(turn / step_degrees))
            for index in range(1, count + 1):
                s = segment.start + segment.length * index / count
                yield s, segment.point(s)


def build_path(arcs: Sequence[Arc], radius: float, length: float) -> Path:
    """The path of a conduit of `length` inches with these arcs of one centerline radius."""
    ordered = tuple(sorted(arcs, key=lambda arc: arc.start))
    along: Vector = (1.0, 0.0, 0.0)
    first: Vector = (0.0, 1.0, 0.0)
    second: Vector = (0.0, 0.0, 1.0)
    here: Vector = (0.0, 0.0, 0.0)
    at = 0.0
    segments: list[Segment] = []
    for arc in ordered:
        segments.append(Segment(at, arc.start - at, here, along, first))
        here = segments[-1].point(arc.start)
        roll, bend = math.radians(arc.roll), math.radians(arc.angle)
        towards = combine(first, math.cos(roll), second, math.sin(roll))
        aside = combine(first, -math.sin(roll), second, math.cos(roll))
        segments.append(Segment(arc.start, radius * bend, here, along, towards, 1 / radius))
        at = segments[-1].end
        here = segments[-1].point(at)
        turned = combine(along, -math.sin(bend), towards, math.cos(bend))
        along = segments[-1].tangent(at)
        first = combine(turned, math.cos(roll), aside, -math.sin(roll))
        second = combine(turned, math.sin(roll), aside, math.cos(roll))
    segments.append(Segment(at, length - at, here, along, first))
    return Path(ordered, radius, length, tuple(segments))
