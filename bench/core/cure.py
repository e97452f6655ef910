"""From a bend as it came out to the change that corrects it: in few bends, in steps a person can hold."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import combinations, product

from bench.core.as_bent import Shape, slopes
from bench.core.gauges import Gauge
from bench.core.linear import dot, solve

MOST_OPENED, MOST_CLOSED, MOST_TURNED = 5.0, 10.0, 10.0
"""Degrees beyond which a correction flattens or kinks the conduit; common practice, no source. That an over-bent
90 can be brought back a little is taught (Conduit Fabrication Level I, lesson 5)."""

_STEP = 0.5
"""Changes are given to half a degree: nobody can hold finer."""
_TOGETHER = 1.3
"""Tolerances that may be left when all that belong together are changed alike. On a long slope it is what half a step
moves, if that is more."""
_CLEARLY = 0.8
"""How much nearer fewer bends must come than all that belong together, which keep the legs parallel."""
_MANY = 6
"""Of more bends than this one is changed in the middle, or a few spread evenly: so both legs stay where they are."""
_NEAR, _A_FIFTH, _TWO_FIFTHS = 2.0, 0.8, 0.6
"""Up to so many tolerances off, and what may be left for a change to be worth it: half a degree can overshoot."""
_CURVED = 1.2
"""How much better a change may turn out than the slopes foresee."""
_STIFF = 1e-4
"""Keeps the change of a bend small where it has no effect."""


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


def cure(found: Shape, goals: Sequence[Goal], closing: bool, together: Sequence[float] = ()) -> Cure | None:
    """The change that brings every goal within half its tolerance with the fewest bends; where none does, the one
    that comes nearest and takes away a fifth of what is off or more, two fifths of what is nearly right. None when
    that would flatten the conduit or there is none. `together` is tried first: how much each bend takes part in what
    leaves the rest as it is.
    """
    gauges = [goal.gauge for goal in goals]
    here = found.read(gauges)
    by_bend = slopes(found, gauges, closing)
    nearest: Cure | None = None
    before = _worst(here, goals)
    enough = max(_TOGETHER, _half_a_step(by_bend, goals, together) * _CURVED)
    worth = least = (_A_FIFTH if before > _NEAR else _TWO_FIFTHS) * before
    for parts in _ways(len(by_bend), together, closing):
        amounts = _fitted(by_bend, here, goals, parts)
        foreseen = partial(_foreseen, by_bend, here, goals)
        if foreseen(_spread_over(parts, amounts)) > max(least, 0.5) * _CURVED:
            continue
        tried = _tried(found, min(_rounded(parts, amounts), key=foreseen), closing)
        if tried.strain > 1 or not any(tried.changes):
            continue
        there = tried.shape.read(gauges)
        if _spoils(here, there, goals):
            continue
        left = _worst(there, goals)
        if left <= min(enough if parts == [together] else 0.5, worth):
            return tried
        if left < least:
            nearest, least = tried, left if parts != [together] else _CLEARLY * left
    return nearest


def _half_a_step(by_bend: Sequence[Sequence[float]], goals: Sequence[Goal], parts: Sequence[float]) -> float:
    """The most that half a step of this way moves a reading, in tolerances: what rounding to steps may leave."""
    moved = (
        sum(part * slope[at] for part, slope in zip(parts, by_bend, strict=False)) for at in range(len(goals))
    )
    return max(abs(by) / goal.tolerance for by, goal in zip(moved, goals, strict=True)) * _STEP / 2


def _ways(count: int, together: Sequence[float], closing: bool) -> Iterator[list[Sequence[float]]]:
    """What to change, each way as the parts that bends take in it: `together`, then the fewest bends; of equally
    many the last ones first: they are easiest to reach. Turned is one bend alone: "against the lean" has no two
    sides."""
    if any(together):
        yield [together]
    alone = [[float(bend == one) for bend in range(count)] for one in range(count)]
    if count > _MANY:
        middle = count // 2
        yield [alone[middle]]
        yield [alone[count // 4], alone[middle], alone[count - 1 - count // 4]]
        return
    for size in range(1, count + 1 if closing else 2):
        yield from map(list, combinations(reversed(alone), size))


def _fitted(
    by_bend: Sequence[Sequence[float]],
    here: Sequence[float],
    goals: Sequence[Goal],
    ways: Sequence[Sequence[float]],
) -> list[float]:
    """The least-squares change in each of these ways, degrees."""
    rows = [
        [
            sum(part * slopes[gauge] for part, slopes in zip(parts, by_bend, strict=True)) / goal.tolerance
            for gauge, goal in enumerate(goals)
        ]
        for parts in ways
    ]
    off = [(goal.wanted - is_) / goal.tolerance for is_, goal in zip(here, goals, strict=True)]
    normal = [
        [dot(one, other) + (_STIFF if i == j else 0.0) for j, other in enumerate(rows)]
        for i, one in enumerate(rows)
    ]
    return solve(normal, [dot(row, off) for row in rows])


def _spread_over(ways: Sequence[Sequence[float]], amounts: Sequence[float]) -> tuple[float, ...]:
    """Degrees for each bend."""
    return tuple(dot(parts, amounts) + 0.0 for parts in zip(*ways, strict=True))


def _rounded(ways: Sequence[Sequence[float]], amounts: Sequence[float]) -> Iterator[tuple[float, ...]]:
    """The changes in steps a person can hold that lie nearest: each way's amount up or down."""
    steps = [(math.floor(amount / _STEP) * _STEP, math.ceil(amount / _STEP) * _STEP) for amount in amounts]
    return (_spread_over(ways, chosen) for chosen in product(*map(dict.fromkeys, steps)))


def _foreseen(
    by_bend: Sequence[Sequence[float]], here: Sequence[float], goals: Sequence[Goal], changes: Sequence[float]
) -> float:
    """How far off the worst reading would be, in tolerances, if all went by the slopes."""
    there = [
        is_ + sum(slope[gauge] * change for slope, change in zip(by_bend, changes, strict=True))
        for gauge, is_ in enumerate(here)
    ]
    return _worst(there, goals)


def _tried(found: Shape, changes: tuple[float, ...], closing: bool) -> Cure:
    none = [0.0] * len(changes)
    shape = found.changed(changes, none) if closing else found.changed(none, changes)
    return Cure(changes, closing, shape)


def _worst(readings: Sequence[float], goals: Sequence[Goal]) -> float:
    """How far off the worst reading is, in tolerances."""
    return max(abs(is_ - goal.wanted) / goal.tolerance for is_, goal in zip(readings, goals, strict=True))


def _spoils(before: Sequence[float], after: Sequence[float], goals: Sequence[Goal]) -> bool:
    """Whether a reading that is right, or nearly, is made wrong to correct another."""
    return any(
        abs(there - goal.wanted) > max(goal.tolerance, abs(here - goal.wanted))
        for here, there, goal in zip(before, after, goals, strict=True)
    )


def _strain(change: float, closing: bool) -> float:
    if not closing:
        return abs(change) / MOST_TURNED
    return change / MOST_CLOSED if change > 0 else -change / MOST_OPENED
