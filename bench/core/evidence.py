"""What the readings of one bend teach of a bender and a hand.

A bend's gauges depend on take-up, radius, springback and hand by the simulation, nearly in a straight line. Each
reading is weighed by the usual errors of hand and tape (`as_bent.py`), which all readings of one bend share.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from bench.core.as_bent import ANGLE_READING_SPREAD, ANGLE_SPREAD, MARK_SPREAD, READING_SPREAD, Shape
from bench.core.bender import SQUARE_CORNER, Setup
from bench.core.checks import gauges, tolerance_of
from bench.core.gauges import Gauge
from bench.core.given import Number
from bench.core.learned import Estimate, Evidence, Numbers, Vector4
from bench.core.linear import dot, solve
from bench.core.plan import Plan

_GATE = 4.5
"""A reading farther off than this many standard deviations is taken for misread."""
_MANY = 6
"""Bends of one plan beyond which it teaches nothing here: the shots of a segmented bend are pulled in another way."""
_STEP: Vector4 = (0.01, 0.01, 0.05, 0.05)


def evidence_of(
    bend: tuple[str, ...],
    plan: Plan,
    setup: Setup,
    read: Mapping[str, Number],
    fits: Iterable[str] = (),
    so_far: Estimate | None = None,
    mended: bool = False,
) -> Evidence | None:
    """What the readings of one bend teach; None where they tell nothing or are probably misread.

    `read` are readings by key of the check; `fits` are those among them that were only said to fit. `setup` is the
    one that the plan was made with. They are of the bend as it first came out, or after it was corrected
    (`mended`): then its angles tell nothing about springback and hand, but its places still tell of take-up and radius.
    """
    told = set(fits)
    known = [one for one in gauges(plan) if one.key in read and not one.turns]
    if not known or not 0 < len(plan.marks) <= _MANY:
        return None
    used = Numbers.of(setup.bender).row
    here = _as_made(plan, setup, used).read(known)
    ways = 2 if mended else 4
    slopes = [_slope(plan, setup, used, way, known, here) for way in range(ways)]
    slopes += [[0.0] * len(known)] * (4 - ways)
    rows = [tuple(slope[index] for slope in slopes) for index in range(len(known))]
    noise = _noise(plan, setup, known, here, told)
    left = [
        float(read[one.key]) - is_ + dot(row, used) for one, is_, row in zip(known, here, rows, strict=True)
    ]
    if so_far is not None and _misread(left, rows, noise, so_far):
        return None
    weighed = [solve(noise, [row[way] for row in rows]) for way in range(4)]
    information = tuple(dot(weighed[i], [row[j] for row in rows]) for i in range(4) for j in range(i, 4))
    first, second, third, fourth = (dot(weighed[i], left) for i in range(4))
    return Evidence(bend, information, (first, second, third, fourth), mended)


def _as_made(plan: Plan, setup: Setup, numbers: Sequence[float]) -> Shape:
    """The plan's marks pulled as they were told, on a bender and by a hand of these numbers."""
    take_up, radius, springback, hand = numbers
    gain = Fraction(radius * SQUARE_CORNER) + setup.bender.od
    bender = replace(setup.bender, take_up=Fraction(take_up), gain=gain)
    kept = [(mark.pull + hand) / (1 + springback / 90) for mark in plan.marks]
    closed = tuple(angle - mark.bend for angle, mark in zip(kept, plan.marks, strict=True))
    none = (0.0,) * len(plan.marks)
    return Shape(plan, replace(setup, bender=bender), closed, none, none)


def _slope(
    plan: Plan, setup: Setup, used: Vector4, way: int, known: Sequence[Gauge], here: Sequence[float]
) -> list[float]:
    """How each gauge changes for one unit of a number."""
    moved = [value + (_STEP[way] if index == way else 0.0) for index, value in enumerate(used)]
    there = _as_made(plan, setup, moved).read(known)
    return [(new - old) / _STEP[way] for new, old in zip(there, here, strict=True)]


def _noise(
    plan: Plan, setup: Setup, known: Sequence[Gauge], here: Sequence[float], told: set[str]
) -> list[list[float]]:
    """Covariance of the readings: each of its own, and what one slip of hand does to all of them."""
    planned = Shape.planned(plan, setup)
    columns = []
    for bend in range(len(plan.marks)):
        columns.append(_moved_by(replace(planned, closed=_unit(plan, bend, ANGLE_SPREAD)), known, here))
        columns.append(_moved_by(replace(planned, slipped=_unit(plan, bend, MARK_SPREAD)), known, here))
    own = [_reading_spread(one, one.key in told) for one in known]
    return [
        [sum(c[i] * c[j] for c in columns) + (own[i] ** 2 if i == j else 0.0) for j in range(len(known))]
        for i in range(len(known))
    ]


def _moved_by(shape: Shape, known: Sequence[Gauge], here: Sequence[float]) -> list[float]:
    return [new - old for new, old in zip(shape.read(known), here, strict=True)]


def _unit(plan: Plan, bend: int, by: float) -> tuple[float, ...]:
    return tuple(by if index == bend else 0.0 for index in range(len(plan.marks)))


def _reading_spread(gauge: Gauge, told: bool) -> float:
    """Of what was only said to fit nothing is known but that it lies within its tolerance, anywhere alike."""
    if told:
        return float(tolerance_of(gauge)) / math.sqrt(3)
    return ANGLE_READING_SPREAD if gauge.degrees else READING_SPREAD


def _misread(
    left: Sequence[float], rows: Sequence[Sequence[float]], noise: Sequence[Sequence[float]], so_far: Estimate
) -> bool:
    """Whether the readings lie so far from what is known that they were hardly read right."""
    off = [value - dot(row, so_far.numbers.row) for value, row in zip(left, rows, strict=True)]
    toward = [[dot(column, row) for column in so_far.covariance] for row in rows]
    wide = [[dot(toward[i], rows[j]) + noise[i][j] for j in range(len(rows))] for i in range(len(rows))]
    return dot(off, solve(wide, off)) > _GATE**2 + 2 * len(rows)
