"""The bend as it came out: the planned marks with other angles and turns, found from what is measured on
it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from bench.core.bender import Setup
from bench.core.gauges import Gauge
from bench.core.path import Path
from bench.core.plan import Plan
from bench.core.simulate import simulate

_FARTHEST = 45.0
"""Degrees off beyond which no bend is explained, only made again."""
_SWEEPS = 20
_CLOSE = 1e-7
_AGREE = 1e-4


@dataclass(frozen=True, slots=True)
class Shape:
    """A plan's marks with each bend `closed` and `turned` so many degrees beyond what was planned."""

    plan: Plan
    setup: Setup
    closed: tuple[float, ...]
    turned: tuple[float, ...]

    @classmethod
    def planned(cls, plan: Plan, setup: Setup) -> Shape:
        """The bend made just as planned."""
        none = (0.0,) * len(plan.marks)
        return cls(plan, setup, none, none)

    @property
    def path(self) -> Path:
        """The simulated shape."""
        marks = [
            replace(mark, bend=mark.bend + close, roll=mark.roll + turn)
            for mark, close, turn in zip(self.plan.marks, self.closed, self.turned, strict=True)
        ]
        return simulate(marks, self.setup.bender, float(self.setup.stick_length))

    def read(self, gauge: Gauge) -> float:
        """What would be measured on it."""
        return gauge.read(self.path, self.plan.inputs, self.setup)

    def moved(self, gauge: Gauge, by: float) -> Shape:
        """The shape with the bends that `gauge` answers to changed by `by` degrees, each its part."""
        modes = gauge.bends or gauge.turns
        if modes is None:
            raise ValueError(f"no bend changes {gauge.key}")
        parts = modes(len(self.plan.marks))
        if gauge.bends:
            return replace(self, closed=_plus(self.closed, parts, by))
        return replace(self, turned=_plus(self.turned, parts, by))

    def less(self, other: Shape) -> tuple[tuple[float, float], ...]:
        """For each bend, how much further this shape is closed and turned than `other`."""
        closed = (mine - theirs for mine, theirs in zip(self.closed, other.closed, strict=True))
        turned = (mine - theirs for mine, theirs in zip(self.turned, other.turned, strict=True))
        return tuple((round(close, 6), round(turn, 6)) for close, turn in zip(closed, turned, strict=True))

    def changed(self, gauges: Sequence[Gauge], amounts: Mapping[str, float]) -> Shape:
        """The shape moved by each gauge's amount, degrees."""
        shape = self
        for gauge in gauges:
            shape = shape.moved(gauge, amounts[gauge.key])
        return shape


def explain(start: Shape, gauges: Sequence[Gauge], readings: Mapping[str, float]) -> dict[str, float] | None:
    """How far to move `start` by each gauge, degrees, so that all read as given; None when that is not
    plausible.

    Each gauge is met in turn by its own bends, and again until all agree: they hardly disturb one another.
    """
    amounts = {gauge.key: 0.0 for gauge in gauges}
    shape = start
    for _ in range(_SWEEPS):
        for gauge in gauges:
            by = _root(_reading(shape, gauge), readings[gauge.key])
            if by is None:
                return None
            amounts[gauge.key] += by
            shape = shape.moved(gauge, by)
        if all(abs(shape.read(gauge) - readings[gauge.key]) < _AGREE for gauge in gauges):
            return amounts
    return None


def _reading(shape: Shape, gauge: Gauge) -> Callable[[float], float]:
    return lambda by: shape.moved(gauge, by).read(gauge)


def _root(reading: Callable[[float], float], wanted: float) -> float | None:
    """Where `reading` is `wanted`, by the secant method from nothing; None when it does not settle."""
    before, here = 0.0, 0.5
    low, high = reading(before) - wanted, reading(here) - wanted
    if abs(low) < _CLOSE:
        return before
    for _ in range(40):
        if abs(high) < _CLOSE:
            return here
        if high == low:
            return None
        step = -high * (here - before) / (high - low)
        before, low = here, high
        here += max(-10.0, min(10.0, step))
        if abs(here) > _FARTHEST:
            return None
        high = reading(here) - wanted
    return None


def _plus(values: Sequence[float], parts: Sequence[float], by: float) -> tuple[float, ...]:
    return tuple(value + part * by for value, part in zip(values, parts, strict=True))
