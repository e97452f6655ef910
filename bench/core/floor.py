"""Which bends can be made with the conduit on the floor, and how far under it an end would go.

On the floor the leg under the foot lies flat and the other one is lifted by the bend. What was bent before and points
to the other side would have to go through the floor: such a bend is made in the air, the bender's handle on the floor,
the shoe up, and the conduit pulled down by hand (common practice, no source).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from functools import lru_cache

from bench.core.bender import Bender
from bench.core.path import TAPE_END, Arc, Frame, bend_on
from bench.core.plan import Mark
from bench.core.simulate import arc_of
from bench.core.vectors import Vector, add, combine, dot, minus, norm, scale

DIP = 2.0
"""Inches that an end may go under the floor: a block under the conduit makes up for it (common practice, no source)."""


def in_the_air(marks: Sequence[Mark], bender: Bender, length: float) -> Iterator[tuple[Mark, float, float]]:
    """The marks whose bend cannot be made on the floor: how far under it an end would be, and how far from the shoe
    the farthest end is; inches. `length` is of the conduit."""
    order = sorted(marks, key=lambda mark: mark.order)
    arcs = [arc_of(mark, bender) for mark in order]
    shoes = [arc.start for arc in arcs]
    if arcs and shoes[-1] < shoes[0]:
        arcs, shoes = _from_far_end(arcs, bender.radius, length), [length - shoe for shoe in shoes]
    bent = _Bent(bender.radius, length)
    for mark, arc, shoe in zip(order, arcs, shoes, strict=True):
        below, reach = bent.under(shoe, arc.roll)
        if below > DIP:
            yield mark, below, reach
        bent.add(arc)


@lru_cache(maxsize=64)
def airborne(marks: tuple[Mark, ...], bender: Bender, length: float) -> frozenset[int]:
    """The orders of the marks whose bend is made in the air. `length` is of the conduit, inches."""
    return frozenset(mark.order for mark, _, _ in in_the_air(marks, bender, length))


def lie(mark: Mark, air: bool) -> float:
    """How far the conduit is turned for this bend, degrees to the left as seen from the tape end (0 to 360), counted
    from how it lies for a bend of roll 0 on the floor. In the air the bend goes down, so the conduit lies the
    other way up than for the same bend on the floor."""
    return (mark.roll + (180.0 if air else 0.0)) % 360.0


def _from_far_end(arcs: Sequence[Arc], radius: float, length: float) -> list[Arc]:
    """The same arcs counted from the far end: a mirror image, in which heights and distances are the same."""
    return [Arc(length - arc.end(radius), arc.angle, arc.roll) for arc in arcs]


class _Bent:
    """The conduit with the bends made so far. A bend beyond all others leaves the rest where it is, so that a stick
    bent from end to end takes no longer a bend than a short one."""

    def __init__(self, radius: float, length: float) -> None:
        self._radius, self._length = radius, length
        self._arcs: list[Arc] = []
        self._frames: list[Frame] = [TAPE_END]
        self._points: list[Vector] = [TAPE_END.point]

    def add(self, arc: Arc) -> None:
        """Make a bend."""
        place = bisect_right(self._arcs, arc.start, key=lambda arc: arc.start)
        self._arcs.insert(place, arc)
        del self._frames[place + 1 :], self._points[2 * place + 1 :]
        for each in self._arcs[place:]:
            _, curve, end = bend_on(self._frames[-1], each, self._radius)
            self._frames.append(end)
            self._points += (curve.origin, end.point)

    def under(self, shoe: float, roll: float) -> tuple[float, float]:
        """How far under the line of the shoe anything is, up being where a bend of this roll will turn, and how far off
        the farthest end is; inches."""
        frame = self._frames[bisect_right(self._arcs, shoe, key=lambda arc: arc.start)]
        origin, turn = _straight_on(frame, shoe), math.radians(roll)
        towards = combine(frame.first, math.cos(turn), frame.second, math.sin(turn))
        far_end = _straight_on(self._frames[-1], self._length)
        lowest = min(dot(point, towards) for point in (*self._points, far_end))
        reach = max(norm(minus(end, origin)) for end in (TAPE_END.point, far_end))
        return dot(origin, towards) - lowest, reach


def _straight_on(frame: Frame, at: float) -> Vector:
    return add(frame.point, scale(frame.along, at - frame.at))
