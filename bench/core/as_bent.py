"""The bend as it came out, as far as its checks tell: the planned marks with the most likely errors of hand.

A least-squares estimate: each bend has its usual spread in angle, turn and place of the mark, each reading its own,
and what was read is shared among the bends by what is likely (Gauss-Newton with a prior; the gain of a Kalman
update). So the error is not put down to the last bend alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from bench.core.bender import Setup
from bench.core.gauges import Gauge
from bench.core.inverse import arc_start
from bench.core.linear import dot, solve
from bench.core.path import Arc, Path, build_path
from bench.core.plan import Plan

ANGLE_SPREAD, TURN_SPREAD, MARK_SPREAD = 1.5, 1.5, 1 / 32
"""Usual error of hand of one bend: degrees, degrees, inches (common practice, no source)."""
READING_SPREAD, ANGLE_READING_SPREAD = 1 / 32, 0.25
"""Usual error of a tape, inches, and of an angle read off a level or square, degrees (common practice, no source)."""
_STEP = 0.01
_ROUNDS = 4
_MANY = 6
"""More bends than this are taken to be off alike, and more so toward one end: a segmented bend."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A plan's marks with each bend `closed` and `turned` so many degrees, and its mark `slipped` so many inches,
    beyond what was planned."""

    plan: Plan
    setup: Setup
    closed: tuple[float, ...]
    turned: tuple[float, ...]
    slipped: tuple[float, ...]

    @classmethod
    def planned(cls, plan: Plan, setup: Setup) -> Shape:
        """The bend made just as planned."""
        none = (0.0,) * len(plan.marks)
        return cls(plan, setup, none, none, none)

    @property
    def path(self) -> Path:
        """The simulated shape."""
        bender = self.setup.bender
        errors = zip(self.plan.marks, self.closed, self.turned, self.slipped, strict=True)
        arcs = [
            Arc(
                arc_start(float(mark.at) + slip, mark.reference, mark.hook, mark.bend + close, bender),
                mark.bend + close,
                mark.roll + turn,
            )
            for mark, close, turn, slip in errors
        ]
        return build_path(arcs, bender.radius, float(self.setup.stick_length))

    def read(self, gauges: Sequence[Gauge]) -> list[float]:
        """What would be measured on it."""
        path = self.path
        return [gauge.read(path, self.plan.inputs, self.setup) for gauge in gauges]

    def changed(self, closes: Sequence[float], turns: Sequence[float]) -> Shape:
        """The shape with bends closed and turned further, degrees."""
        return replace(self, closed=_plus(self.closed, closes), turned=_plus(self.turned, turns))


@dataclass(frozen=True, slots=True)
class _Way:
    """One way a hand can err: `spread` is usual, `move` makes a shape err so by an amount."""

    spread: float
    move: Callable[[Shape, float], Shape]


def likeliest(plan: Plan, setup: Setup, gauges: Sequence[Gauge], readings: Sequence[float]) -> Shape:
    """The most likely shape, given these readings. A reading without a sign is used as it is."""
    ways = _ways(len(plan.marks))
    spreads = [_spread(gauge) for gauge in gauges]
    amounts, shape = [0.0] * len(ways), Shape.planned(plan, setup)
    for _ in range(_ROUNDS):
        here = shape.read(gauges)
        slopes = [_slopes(shape, way, gauges, here) for way in ways]
        rows = [
            [slope[gauge] * way.spread for slope, way in zip(slopes, ways, strict=True)]
            for gauge in range(len(gauges))
        ]
        scaled = [amount / way.spread for amount, way in zip(amounts, ways, strict=True)]
        left = [read - is_ + dot(row, scaled) for read, is_, row in zip(readings, here, rows, strict=True)]
        weights = [
            [dot(one, other) + (spreads[i] ** 2 if i == j else 0.0) for j, other in enumerate(rows)]
            for i, one in enumerate(rows)
        ]
        share = solve(weights, left)
        found = [
            way.spread * sum(row[number] * part for row, part in zip(rows, share, strict=True))
            for number, way in enumerate(ways)
        ]
        settled = max(abs(new - old) for new, old in zip(found, amounts, strict=True)) < 1e-3
        amounts, shape = found, _moved(Shape.planned(plan, setup), ways, found)
        if settled:
            break
    return shape


def slopes(shape: Shape, gauges: Sequence[Gauge], closing: bool) -> list[list[float]]:
    """For each bend, how each gauge changes for a degree that the bend is closed, or turned."""
    here = shape.read(gauges)
    move = _close if closing else _turn
    return [_slopes(shape, _Way(1.0, move(bend)), gauges, here) for bend in range(len(shape.plan.marks))]


def _ways(bends: int) -> list[_Way]:
    if bends > _MANY:
        spread = ANGLE_SPREAD / bends**0.5
        later = [2 * index / (bends - 1) - 1 for index in range(bends)]
        return [_Way(spread, _spread_over([1.0] * bends)), _Way(spread, _spread_over(later))]
    each = range(bends)
    return [
        *(_Way(ANGLE_SPREAD, _close(bend)) for bend in each),
        *(_Way(TURN_SPREAD, _turn(bend)) for bend in each),
        *(_Way(MARK_SPREAD, _slip(bend)) for bend in each),
    ]


def _spread_over(parts: Sequence[float]) -> Callable[[Shape, float], Shape]:
    none = [0.0] * len(parts)
    return lambda shape, by: shape.changed([by * part for part in parts], none)


def _close(bend: int) -> Callable[[Shape, float], Shape]:
    return lambda shape, by: replace(shape, closed=_at(shape.closed, bend, by))


def _turn(bend: int) -> Callable[[Shape, float], Shape]:
    return lambda shape, by: replace(shape, turned=_at(shape.turned, bend, by))


def _slip(bend: int) -> Callable[[Shape, float], Shape]:
    return lambda shape, by: replace(shape, slipped=_at(shape.slipped, bend, by))


def _moved(shape: Shape, ways: Sequence[_Way], amounts: Sequence[float]) -> Shape:
    for way, amount in zip(ways, amounts, strict=True):
        shape = way.move(shape, amount)
    return shape


def _slopes(shape: Shape, way: _Way, gauges: Sequence[Gauge], here: Sequence[float]) -> list[float]:
    there = way.move(shape, _STEP).read(gauges)
    return [(after - before) / _STEP for after, before in zip(there, here, strict=True)]


def _spread(gauge: Gauge) -> float:
    return ANGLE_READING_SPREAD if gauge.degrees else READING_SPREAD


def _at(values: Sequence[float], index: int, by: float) -> tuple[float, ...]:
    return tuple(value + by if number == index else value for number, value in enumerate(values))


def _plus(values: Sequence[float], by: Sequence[float]) -> tuple[float, ...]:
    return tuple(value + more for value, more in zip(values, by, strict=True))
