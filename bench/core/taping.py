"""Where a tape is held for a mark behind bends that are made already: no tape reaches round a 90, and one laid along
other bends reads short or long."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.lengths import round_to
from bench.core.path import Arc, build_path
from bench.core.vectors import degrees_between, dot, minus

_SQUARE_WITHIN = 0.5
"""Degrees within which a bend is a 90, with a back to hook the tape on."""
_PARALLEL_WITHIN = 0.5
"""Degrees within which two straights are parallel enough to tape along one to a mark on the other."""


class Over(StrEnum):
    """What the tape passes on its way to a mark."""

    NOTHING = "nothing"
    """It lies along one straight."""
    BENDS = "bends"
    """It is held straight past the bends, along the first straight."""
    OUTSIDE = "outside"
    """It is laid over the outside of the one bend between."""


@dataclass(frozen=True, slots=True)
class Taped:
    """How far a mark is from the back of the last finished 90 (`from_back`), or else from the tape end; inches on the
    tape's scale."""

    at: Fraction
    from_back: bool
    over: Over


def taped(place: float, bent: Sequence[Arc], setup: Setup, length: Fraction) -> Taped | None:
    """How a mark at `place` inches along the straight conduit is taped behind the arcs that are bent.

    The straight it lies on may go another way than the one taped from. Over the outside of one bend the tape reads half
    a diameter times the angle more than the centerline has. None where nothing is bent, where the mark is not on a
    straight, or where several bends lie between that leave the two straights out of parallel.
    """
    before = sorted(bent, key=lambda arc: arc.start)
    if not before:
        return None
    path = build_path(before, setup.bender.radius, float(length))
    squares = [index for index, arc in enumerate(before, 1) if abs(arc.angle - 90) <= _SQUARE_WITHIN]
    from_bend = squares[-1] if squares else 0
    leg, own, between = path.segments[2 * from_bend], path.segments[-1], before[from_bend:]
    back = setup.bender.radius + setup.od / 2 if squares else 0.0
    if not between:
        return Taped(round_to(place - leg.start + back, setup.scale), bool(squares), Over.NOTHING)
    if place < own.start:
        return None
    if degrees_between(leg.along, own.along) <= _PARALLEL_WITHIN:
        reach = dot(minus(own.point(place), leg.origin), leg.along)
        return Taped(round_to(reach + back, setup.scale), bool(squares), Over.BENDS)
    if len(between) > 1:
        return None
    more = setup.od / 2 * math.radians(between[0].angle)
    return Taped(round_to(place - leg.start + back + more, setup.scale), bool(squares), Over.OUTSIDE)
