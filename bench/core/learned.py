"""What is known of a bender and the person who uses it: an estimate that becomes more exact with every bend read.

Four numbers make a bend come out as it does: take-up, radius, springback, and how far this hand bends beyond what it
pulls to. Each bend read adds information (`evidence.py`). The estimate is the mean of a normal distribution with the
typical numbers as prior (Bayesian linear regression, the information form of a Kalman filter).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from bench.core.bender import SQUARE_CORNER, Bender
from bench.core.lengths import SIXTEENTH, half_degrees, round_to
from bench.core.linear import dot, solve
from bench.core.notes import BenchError

Vector4 = tuple[float, float, float, float]
TYPICAL_SPREAD: Vector4 = (0.25, 0.25, 2.0, 1.5)
"""How far a bender and a hand usually are from the typical numbers: take-up and radius in inches, springback at ninety
and hand in degrees (common practice, no source; steel is computed to spring 2.0 to 2.4, the table starts at 0)."""
MEASURED_SPREAD: Vector4 = (1 / 16, 1 / 8, 0.75, 1.5)
"""The same of a bender that was calibrated."""
LEAST_BENDS = 4
"""Bends read before anything is offered, and again after it was declined."""
MOST_BENDS = 60
"""Older ones are dropped: shoes wear, and people bend differently over time."""
_NINETEEN_IN_TWENTY = 9.49
"""The 95 % point of chi-squared with four degrees of freedom (any table of it)."""


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
    of what was read after the bend was corrected.
    """

    bend: tuple[str, ...]
    information: tuple[float, ...]
    pull: Vector4
    mended: bool = False


@dataclass(frozen=True, slots=True)
class Estimate:
    """The most likely numbers, the standard deviation of each, and from how many bends."""

    numbers: Numbers
    spread: Numbers
    bends: int
    covariance: tuple[Vector4, ...]


def estimate(start: Numbers, spread: Vector4, evidence: Sequence[Evidence]) -> Estimate:
    """The most likely numbers by the evidence, starting from `start` with its usual `spread`."""
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
    """The bender learned, where enough bends support it and it would bend differently; else None.

    Enough: the numbers in use lie outside the 95 % region of the estimate, and the difference is at least one step of
    what is told: a sixteenth of take-up, an eighth of radius or half a degree.
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
