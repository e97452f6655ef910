"""The centerline of bent conduit: straights and circular arcs in space.

Material length `s` runs from the tape end. The tape end lies at the origin along +x; a bend with roll 0
bends towards +y, one with roll 90 towards +z. Between bends the conduit carries its frame with it unturned,
so a roll is always a turn of the conduit about its own axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

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


class Segment(NamedTuple):
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


class Frame(NamedTuple):
    """How far a path has got: inches along the conduit, the point there, which way it goes, and the two directions
    across it that bends of roll 0 and 90 turn to."""

    at: float
    point: Vector
    along: Vector
    first: Vector
    second: Vector


TAPE_END = Frame(0.0, (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
"""Where every path begins."""


def bend_on(frame: Frame, arc: Arc, radius: float) -> tuple[Segment, Segment, Frame]:
    """From here on, the straight up to an arc, the arc, and where it ends."""
    straight = Segment(frame.at, arc.start - frame.at, frame.point, frame.along, frame.first)
    roll, bend = math.radians(arc.roll), math.radians(arc.angle)
    towards = combine(frame.first, math.cos(roll), frame.second, math.sin(roll))
    aside = combine(frame.first, -math.sin(roll), frame.second, math.cos(roll))
    curve = Segment(arc.start, radius * bend, straight.point(arc.start), frame.along, towards, 1 / radius)
    turned = combine(frame.along, -math.sin(bend), towards, math.cos(bend))
    end = Frame(
        curve.end,
        curve.point(curve.end),
        curve.tangent(curve.end),
        combine(turned, math.cos(roll), aside, -math.sin(roll)),
        combine(turned, math.sin(roll), aside, math.cos(roll)),
    )
    return straight, curve, end


def build_path(arcs: Sequence[Arc], radius: float, length: float) -> Path:
    """The path of a conduit of `length` inches with these arcs of one centerline radius."""
    ordered = tuple(sorted(arcs, key=lambda arc: arc.start))
    frame = TAPE_END
    segments: list[Segment] = []
    for arc in ordered:
        straight, curve, frame = bend_on(frame, arc, radius)
        segments += (straight, curve)
    segments.append(Segment(frame.at, length - frame.at, frame.point, frame.along, frame.first))
    return Path(ordered, radius, length, tuple(segments))
