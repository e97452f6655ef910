"""What every bend is: the measures it asks for, its marks by the book, its exact path, what to measure."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from bench.core.bender import Bender, Setup
from bench.core.inverse import mark_for
from bench.core.path import Arc, Path
from bench.core.plan import Finished, Hook, Measure, Method, Quantity, Reference

Given = Mapping[str, Fraction | float | int]
"""The measures of one bend by key: lengths in inches, angles in degrees, counts."""

STRAIGHT_ANGLES = (22.5, 30.0, 45.0, 60.0, 15.0, 10.0)
"""Angles tried when none is asked for: the gentlest that is easy to hit exactly first, then steeper, then the
very gentle ones, where a degree of error moves the rise most."""


def length(key: str, least: str, most: str, optional: bool = False) -> Measure:
    """A length to ask for, inches."""
    return Measure(key, Quantity.LENGTH, Fraction(least), Fraction(most), optional)


def angle(key: str = "angle", least: str = "3", most: str = "90", optional: bool = True) -> Measure:
    """An angle to ask for, degrees."""
    return Measure(key, Quantity.ANGLE, Fraction(least), Fraction(most), optional)


def count(key: str, least: int, most: int, optional: bool = False) -> Measure:
    """A number of things to ask for."""
    return Measure(key, Quantity.COUNT, Fraction(least), Fraction(most), optional)


TO_END = length("to_end", "1", "1200", optional=True)
"""Along the wall from the tape end to where the finished conduit must end; gives the cut mark."""


@dataclass(frozen=True, slots=True)
class Bending:
    """One bend to be made, before its mark is rounded. Fields as in `Mark`."""

    at: Fraction | float
    reference: Reference
    hook: Hook
    bend: float
    roll: float
    order: int


class Bend(ABC):
    """A bend of the trade.

    `measures` are asked for, `extras` may be given besides. `hooks` are the ways the hook can face, best
    first. `angles` are tried in turn when no angle is given. `room` is the measure that makes room when
    larger.
    """

    key: str
    measures: tuple[Measure, ...]
    extras: tuple[Measure, ...] = (TO_END,)
    hooks: tuple[Hook, ...] = (Hook.AWAY, Hook.TAPE_END)
    angles: tuple[float, ...] = ()
    room: str = "distance"

    @abstractmethod
    def book(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """The bends with marks by the trade's taught constants."""

    @abstractmethod
    def true(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """The bends whose marks make the exact path on this bender. Raises BenchError when there is none."""

    @abstractmethod
    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """What to measure on the simulated shape."""

    def check(self, given: Given, setup: Setup) -> None:  # noqa: B027
        """Raise BenchError when the measures contradict one another."""

    def bends(self, method: Method, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """The bends by either method, in order of position."""
        made = self.book if method is Method.BOOK else self.true
        return tuple(sorted(made(given, setup, hook), key=lambda bending: bending.at))

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """How much less far the conduit reaches along the wall than it is long, inches."""
        end = path.segments[-1].origin
        return path.arcs[-1].end(path.radius) - end[0] if path.arcs else 0.0

    def gain(self, path: Path, given: Given, setup: Setup) -> float:
        """Sum over the bends of what the square corner would be longer than the arc, inches."""
        return sum(corner_gain(arc.angle, path.radius) for arc in path.arcs)

    def developed(self, path: Path) -> float:
        """Conduit from the start of the first arc to the end of the last, inches."""
        return path.arcs[-1].end(path.radius) - path.arcs[0].start if path.arcs else 0.0

    def cut(self, given: Given, setup: Setup, shrink: float) -> Fraction | None:
        """Where to cut, inches from the tape end before rounding, or None when the measures do not say."""
        return Fraction(given["to_end"]) + Fraction(shrink) if "to_end" in given else None


def corner_gain(degrees: float, radius: float) -> float:
    """2 R tan(angle / 2) - R angle: the gain of one bend measured to its corner (horizontal curves)."""
    half = math.radians(degrees) / 2
    return 2 * radius * (math.tan(half) - half)


def placed(
    arcs: tuple[Arc, ...], holds: tuple[tuple[Reference, Hook, int], ...], bender: Bender
) -> tuple[Bending, ...]:
    """Bends whose marks make exactly these arcs, each with its reference, hook and order."""
    return tuple(
        Bending(
            mark_for(arc.start, reference, hook, arc.angle, bender),
            reference,
            hook,
            arc.angle,
            arc.roll,
            order,
        )
        for arc, (reference, hook, order) in zip(arcs, holds, strict=True)
    )


def in_order(bends: tuple[Bending, ...]) -> tuple[Bending, ...]:
    """The same bends with rolls relative to the one made first."""
    first = min(bends, key=lambda bending: bending.order)
    return tuple(replace(bending, roll=(bending.roll - first.roll) % 360) for bending in bends)
