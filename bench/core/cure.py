"""From a bend as it came out to the change that mends it: as few bends as can do it, in steps a person can hold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from bench.core.as_bent import Shape, slopes
from bench.core.gauges import Gauge
from bench.core.linear import dot, solve

MOST_OPENED, MOST_CLOSED, MOST_TURNED = 5.0, 10.0, 10.0
"""Degrees beyond which mending flattens or kinks the conduit; common practice, no source. That an over-bent
90 can be brought back a little is taught (Conduit Fabrication Level I, lesson 5)."""

_STEPS = (0.5, 0.25, 0.1)
"""Changes are given to the coarsest of these that lands within half the tolerance, degrees."""
_MANY = 6
"""Of more bends than this one is changed in the middle, or a few spread evenly: so both legs stay where they are."""
_STIFF = 1e-4
"""Keeps a change from growing where it does nothing."""


@dataclass(frozen=True, slots=True)
class Goal:
    """What one gauge should read, and how far it may be off."""

    gauge: Gauge
    wanted: float
    tolerance: float


@dataclass(frozen=True, slots=True)
class Cure:
    """Degrees to close or to turn each bend, and the shape that then is."""

    changes: tuple[float, ...]
    closing: bool
    shape: Shape

    @property
    def strain(self) -> float:
        """How hard the largest change is on the conduit: above one it flattens or kinks."""
        return max(_strain(change, self.closing) for change in self.changes)


def cure(found: Shape, goals: Sequence[Goal], closing: bool) -> Cure | None:
    """The change that brings every goal within half its tolerance with the fewest bends; where none does, the one
    that comes nearest and leaves less than half of what is off. None when that would flatten the conduit or
    there is none.
    """
    gauges = [goal.gauge for goal in goals]
    here = found.read(gauges)
    by_bend = slopes(found, gauges, closing)
    nearest: Cure | None = None
    before = _worst(here, goals)
    least = before / 2
    for bends in _subsets(len(by_bend)):
        for step in _STEPS:
            tried = _tried(found, _fitted(by_bend, here, goals, bends), step, closing)
            left = _worst(tried.shape.read(gauges), goals)
            if tried.strain > 1:
                break
            if left <= 0.5:
                return tried
            if left < least:
                nearest, least = tried, left
    return nearest


def _subsets(count: int) -> Iterator[tuple[int, ...]]:
    """Which bends to change, the fewest first; of equally many the last ones first: they are easiest to reach."""
    if count > _MANY:
        middle = count // 2
        yield (middle,)
        yield (count // 4, middle, count - 1 - count // 4)
        yield tuple(range(count))
        return
    for size in range(1, count + 1):
        yield from combinations(reversed(range(count)), size)


def _fitted(
    by_bend: Sequence[Sequence[float]], here: Sequence[float], goals: Sequence[Goal], bends: Sequence[int]
) -> list[float]:
    """The least-squares change of these bends, degrees; the others stay."""
    rows = [
        [slope / goal.tolerance for slope, goal in zip(by_bend[bend], goals, strict=True)] for bend in bends
    ]
    off = [(goal.wanted - is_) / goal.tolerance for is_, goal in zip(here, goals, strict=True)]
    normal = [
        [dot(one, other) + (_STIFF if i == j else 0.0) for j, other in enumerate(rows)]
        for i, one in enumerate(rows)
    ]
    changes = [0.0] * len(by_bend)
    for bend, change in zip(bends, solve(normal, [dot(row, off) for row in rows]), strict=True):
        changes[bend] = change
    return changes


def _tried(found: Shape, changes: Sequence[float], step: float, closing: bool) -> Cure:
    rounded = tuple(round(change / step) * step + 0.0 for change in changes)
    none = [0.0] * len(rounded)
    shape = found.changed(rounded, none) if closing else found.changed(none, rounded)
    return Cure(rounded, closing, shape)


def _worst(readings: Sequence[float], goals: Sequence[Goal]) -> float:
    """How far off the worst reading is, in tolerances."""
    return max(abs(is_ - goal.wanted) / goal.tolerance for is_, goal in zip(readings, goals, strict=True))


def _strain(change: float, closing: bool) -> float:
    if not closing:
        return abs(change) / MOST_TURNED
    return change / MOST_CLOSED if change > 0 else -change / MOST_OPENED
