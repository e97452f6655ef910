"""What checks teach of a bender and the person who uses it: an estimate that sharpens with every bend that was read.

Four numbers make a bend come out as it does: take-up, radius, springback, and how far this hand bends beyond what it
pulls to. A bend's gauges depend on them by the simulation, near enough in a straight line. Each bend read adds
information: what its readings say, weighed by the usual errors of hand and tape (`as_bent.py`), which all readings of
one bend share. The estimate is the mean of a normal distribution with the typical numbers as prior (Bayesian linear
regression, the information form of a Kalman filter).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from bench.core.as_bent import ANGLE_READING_SPREAD, ANGLE_SPREAD, MARK_SPREAD, READING_SPREAD, Shape
from bench.core.bender import SQUARE_CORNER, Bender, Setup
from bench.core.checks import gauges, tolerance_of
from bench.core.gauges import Gauge
from bench.core.given import Number
from bench.core.lengths import SIXTEENTH, half_degrees, round_to
from bench.core.linear import dot, solve
from bench.core.notes import BenchError
from bench.core.plan import Plan

Vector4 = tuple[float, float, float, float]
TYPICAL_SPREAD: Vector4 = (0.25, 0.25, 2.0, 1.5)
"""How far a bender and a hand usually are from the typical numbers: take-up and radius in inches, springback at ninety
and hand in degrees (common practice, no source; steel is computed to spring 2.0 to 2.4, the table starts at 0)."""
MEASURED_SPREAD: Vector4 = (1 / 16, 1 / 8, 0.75, 1.5)
"""The same of a bender that was calibrated."""
LEAST_BENDS = 4
"""Bends read before anything is offered, and again after it was declined."""
MOST_BENDS = 60
"""Older ones are let go: shoes wear, hands change."""
_GATE = 4.5
"""Spreads beyond which a reading is taken for misread."""
_MANY = 6
"""Bends of one plan beyond which it teaches nothing here: the shots of a segmented bend are pulled in another way."""
_STEP: Vector4 = (0.01, 0.01, 0.05, 0.05)


@dataclass(frozen=True, slots=True)
class Numbers:
    """Take-up and radius in inches, springback at ninety and `hand`, both in degrees."""

    take_up: float
    radius: float
    springback: float
    hand: float

    @classmethod
    def of(cls, bender: Bender) -> Numbers:
        """Those a bender is used with."""
        return cls(float(bender.take_up), bender.radius, bender.springback, bender.hand)

    @property
    def row(self) -> Vector4:
        """As a row, in this order."""
        return self.take_up, self.radius, self.springback, self.hand


@dataclass(frozen=True, slots=True)
class Evidence:
    """What one bend taught. `bend` tells it apart from others: job, stick, pipe, place on the stick.

    `information` is the upper half of the symmetric matrix H'V^-1 H by rows, `pull` is H'V^-1 z. `mended` is true
    of what was read once the bend was mended.
    """

    bend: tuple[str, ...]
    information: tuple[float, ...]
    pull: Vector4
    mended: bool = False


@dataclass(frozen=True, slots=True)
class Estimate:
    """The likeliest numbers, how far each may be off (one standard deviation), and of how many bends."""

    numbers: Numbers
    spread: Numbers
    bends: int
    covariance: tuple[Vector4, ...]


def evidence_of(
    bend: tuple[str, ...],
    plan: Plan,
    setup: Setup,
    read: Mapping[str, Number],
    fits: Iterable[str] = (),
    so_far: Estimate | None = None,
    mended: bool = False,
) -> Evidence | None:
    """What the readings of one bend teach; None where they teach nothing or are misread.

    `read` are readings by key of the check; `fits` are those among them that were only said to fit. `setup` is the
    one that the plan was made with. They are of the bend as it first came out, or once it was `mended`: then its
    angles tell nothing of springback and hand any more, but its places still tell of take-up and radius.
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


def estimate(start: Numbers, spread: Vector4, evidence: Sequence[Evidence]) -> Estimate:
    """The numbers that the evidence speaks for, beginning at `start` with its usual `spread`."""
    matrix = [[0.0] * 4 for _ in range(4)]
    right = [0.0] * 4
    for way, (value, wide) in enumerate(zip(start.row, spread, strict=True)):
        matrix[way][way] += wide**-2
        right[way] += value * wide**-2
    for one in evidence:
        upper = iter(one.information)
        for i in range(4):
            right[i] += one.pull[i]
            for j in range(i, 4):
                value = next(upper)
                matrix[i][j] += value
                if i != j:
                    matrix[j][i] += value
    mean = solve(matrix, right)
    columns = [solve(matrix, [float(i == way) for i in range(4)]) for way in range(4)]
    covariance = tuple((c[0], c[1], c[2], c[3]) for c in columns)
    sizes = [math.sqrt(covariance[way][way]) for way in range(4)]
    return Estimate(Numbers(*mean), Numbers(*sizes), len({one.bend for one in evidence}), covariance)


def learned_bender(found: Estimate, used: Bender, name: str) -> Bender:
    """The bender of an estimate, as it is said: take-up to a sixteenth, springback and hand to half a degree.

    Raises BenchError when no bender can be so.
    """
    numbers = found.numbers
    gain = round_to(numbers.radius * SQUARE_CORNER + float(used.od), Fraction(1, 32))
    return replace(
        used,
        name=name,
        take_up=round_to(numbers.take_up),
        gain=gain,
        springback=max(0.0, half_degrees(numbers.springback)),
        hand=half_degrees(numbers.hand),
        typical=False,
    )


def worth_offering(found: Estimate, used: Bender, name: str) -> Bender | None:
    """The bender learned, when enough bends speak for it and it would make another bend; else None.

    Enough: what is used lies outside of where nineteen in twenty estimates would have it, and take-up and angle are
    known well enough for the step they are told in.
    """
    if found.bends < LEAST_BENDS:
        return None
    try:
        bender = learned_bender(found, used, name)
    except BenchError:
        return None
    off = [new - old for new, old in zip(found.numbers.row, Numbers.of(used).row, strict=True)]
    if dot(off, solve(found.covariance, off)) < _NINETEEN_IN_TWENTY:
        return None
    same_place = abs(bender.take_up - used.take_up) < SIXTEENTH and abs(bender.radius - used.radius) < 1 / 8
    same_angle = all(abs(bender.pull(at) - used.pull(at)) < 0.5 for at in (30.0, 90.0))
    return None if same_place and same_angle else bender


_NINETEEN_IN_TWENTY = 9.49
"""The 95 % point of chi-squared with four degrees of freedom (any table of it)."""


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
