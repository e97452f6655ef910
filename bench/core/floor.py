"""Which bends can be made with the conduit on the floor, and how far under it an end would go.

On the floor the leg under the foot lies flat and the other one is lifted by the bend. What was bent before and points
to the other side would have to go through the floor: such a bend is made in the air, the bender's handle on the floor,
the shoe up, and the conduit pulled down by hand (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from bench.core.bender import Bender
from bench.core.path import Arc, build_path
from bench.core.plan import Mark
from bench.core.simulate import arc_of
from bench.core.vectors import dot, minus, norm

DIP = 2.0
"""Inches that an end may go under the floor: a block under the conduit makes up for it (common practice, no source)."""


def in_the_air(marks: Sequence[Mark], bender: Bender, length: float) -> Iterator[tuple[Mark, float, float]]:
    """The marks whose bend cannot be made on the floor: how far under it an end would be, and how far from the shoe
    the farthest end is; inches. `length` is of the conduit."""
    bent: list[Arc] = []
    for mark in sorted(marks, key=lambda mark: mark.order):
        arc = arc_of(mark, bender)
        below, reach = _under(arc, bent, bender, length)
        if below > DIP:
            yield mark, below, reach
        bent.append(arc)


@lru_cache(maxsize=64)
def airborne(marks: tuple[Mark, ...], bender: Bender, length: float) -> frozenset[int]:
    """The orders of the marks whose bend is made in the air. `length` is of the conduit, inches."""
    return frozenset(mark.order for mark, _, _ in in_the_air(marks, bender, length))


def lie(mark: Mark, air: bool) -> float:
    """How far the conduit is turned for this bend, degrees to the left as seen from the tape end (0 to 360), counted
    from how it lies for a bend of roll 0 on the floor. In the air the bend goes down, so the conduit lies the
    other way up than for the same bend on the floor."""
    return (mark.roll + (180.0 if air else 0.0)) % 360.0


def _under(arc: Arc, bent: Sequence[Arc], bender: Bender, length: float) -> tuple[float, float]:
    """How far under the line of the shoe anything is just before this bend, up being where the bend will turn, and
    how far off the farthest end is."""
    shoe = Arc(arc.start, 0.0, arc.roll)
    path = build_path((*bent, shoe), bender.radius, length)
    at = next(segment for segment in path.segments if segment.start == arc.start and segment.curvature)
    ends = [path.segments[0].origin, *(segment.point(segment.end) for segment in path.segments)]
    away = [minus(end, at.origin) for end in ends]
    return -min(dot(each, at.towards) for each in away), max(norm(away[0]), norm(away[-1]))
