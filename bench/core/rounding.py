"""The marks of one bend rounded to the tape's scale together, so that the finished bend is as near as it can be.

With the angles kept, a mark that moves along the conduit only makes the straights beside its arc longer and shorter:
how far each arc then lies from its place is a sum of those changes in the directions of the straights. Of the two
divisions beside each mark those are taken that leave the arcs nearest: of an offset the rise, of a saddle its height
and legs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import product

from bench.core.lengths import round_to
from bench.core.path import Path
from bench.core.vectors import Vector, add, scale

_FEW = 4
"""More bends than this are rounded one by one: a segmented bend, whose shots are to be alike."""
_SQUARE = 60.0
"""A bend of more degrees is measured along the tape leg: a stub."""
_PLACE = 0.1
"""What a place along the wall counts beside a height or a leg out of line."""

_WORTH = 0.25
"""Steps of the scale that must be gained: a sixty-fourth of an inch on a tape in sixteenths."""


def rounded_together(places: Sequence[Fraction], path: Path, step: Fraction) -> tuple[Fraction, ...]:
    """The marks at exact `places` on a scale of `step`, inches, for the bends of `path` in the same order.

    Each is one of the two divisions beside its place: the nearest one where little is gained by another.
    """
    nearest = tuple(round_to(place, step) for place in places)
    if not 1 < len(places) <= _FEW:
        return nearest
    either = [_beside(place, near, step) for place, near in zip(places, nearest, strict=True)]
    straights = [segment.along for segment in path.segments[0:-1:2]]
    counts = [1.0 if arc.angle > _SQUARE else _PLACE for arc in path.arcs]

    def off(ways: Sequence[tuple[Fraction, float]]) -> float:
        return _off([slip for _, slip in ways], straights, counts)

    most = float(_WORTH * step)
    left = off([ways[0] for ways in either])
    if left <= most:
        return nearest
    best = min(product(*either), key=off)
    if left - off(best) <= most:
        return nearest
    return tuple(mark for mark, _ in best)


def _beside(place: Fraction, nearest: Fraction, step: Fraction) -> list[tuple[Fraction, float]]:
    """The nearest division and the one on the other side, each with how far it lies from the place."""
    other = nearest + (step if place > nearest else -step)
    marks = (nearest,) if place == nearest else (nearest, other)
    return [(mark, float(mark - place)) for mark in marks]


def _off(slips: Sequence[float], straights: Sequence[Vector], counts: Sequence[float]) -> float:
    """How far the arcs lie from their places, root of the sum of squares, each `slips` inches on along the conduit."""
    moved: Vector = (0.0, 0.0, 0.0)
    before = total = 0.0
    for slip, along, count in zip(slips, straights, counts, strict=True):
        moved = add(moved, scale(along, slip - before))
        before = slip
        total += moved[1] ** 2 + moved[2] ** 2 + count * moved[0] ** 2
    return math.sqrt(total)
