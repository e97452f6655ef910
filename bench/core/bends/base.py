"""What every bend is: its name, the measures it asks for, its marks by the book, its exact path, what to
measure afterwards, what to advise."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from bench.core.bender import Bender, Setup
from bench.core.gauges import Gauge
from bench.core.given import Given
from bench.core.inverse import mark_for
from bench.core.notes import Note
from bench.core.path import Arc, Path
from bench.core.plan import Finished, Hook, Layout, Measure, Method, Quantity, Reference

STRAIGHT_ANGLES = (22.5, 30.0, 45.0, 60.0, 15.0, 10.0)
"""Angles tried when none is asked for: the gentlest that is easy to hit exactly first, then steeper, then the
very gentle ones, where a degree of error moves the rise most."""


STEPS_THAT_MATTER = 2
"""Differences of this many steps of the tape's scale are told: an eighth of an inch is usually
accepted on hand-bent conduit (common practice, no source)."""


def length(key: str, least: str, most: str, optional: bool = False, label: str = "") -> Measure:
    """A length to ask for, inches."""
    return Measure(key, Quantity.LENGTH, Fraction(least), Fraction(most), optional, label or key)


def angle(key: str = "angle", least: str = "3", most: str = "90", optional: bool = True) -> Measure:
    """An angle to ask for, degrees."""
    return Measure(key, Quantity.ANGLE, Fraction(least), Fraction(most), optional, key)


def count(key: str, least: int, most: int, optional: bool = False, label: str = "") -> Measure:
    """A number of things to ask for."""
    return Measure(key, Quantity.COUNT, Fraction(least), Fraction(most), optional, label or key)


TO_END = length("to_end", "1", "1200", optional=True, label="distance to the far end")
"""Along the wall from the tape end to where the finished conduit must end; gives the cut mark."""


class Hold(NamedTuple):
    """How the bender is held for one bend: the point on the mark, where the hook faces, its turn from 1."""

    reference: Reference
    hook: Hook
    order: int


Way = tuple[Hold, ...]
"""One way to make a bend: how each of its arcs is held, in order of position."""


@dataclass(frozen=True, slots=True)
class Bending:
    """One bend to be made, before its mark is rounded. Fields as in `Mark`."""

    at: Fraction | float
    reference: Reference
    hook: Hook
    bend: float
    roll: float
    order: int


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A layout with what it came from: the bends before rounding, their path, and the path of the marks."""

    layout: Layout
    bends: tuple[Bending, ...]
    exact: Path
    path: Path


class Bend(ABC):
    """A bend of the trade.

    `key` is its name for programs, `name` in words. `measures` are asked for, `extras` may be given besides.
    `ways` are the ways to make it, best first; by the book the first alone, where `book_ways` does not say more.
    `angles` are tried in turn when no angle is given.
    `room` is the measure that makes room when larger. `gauges` are what to measure afterwards, in the order
    to ask.
    """

    key: str
    name: str
    measures: tuple[Measure, ...]
    extras: tuple[Measure, ...] = (TO_END,)
    ways: tuple[Way, ...]
    book_ways: int = 1
    angles: tuple[float, ...] = ()
    room: str = "distance"
    gauges: tuple[Gauge, ...]

    @abstractmethod
    def book(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """The bends with marks by the trade's taught constants."""

    @abstractmethod
    def true(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """The bends whose marks make the exact path on this bender. Raises BenchError when there is none."""

    @abstractmethod
    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """What to measure on the simulated shape."""

    @abstractmethod
    def neighbor(self, given: Given, setup: Setup, out: float, ahead: float = 0.0) -> Given:
        """The measures of the conduit beside this one in a rack that is spread in the plane of the bend.

        `out` is how many inches it lies to the outside of the first bend, negative for the inside. `ahead` is
        how much farther its own measures start before those of this one, inches: not nothing behind a 90.
        """

    def check(self, given: Given, setup: Setup) -> None:  # noqa: B027
        """Raise BenchError when the measures contradict one another."""

    def advice(self, given: Given, laid: LaidOut, setup: Setup) -> Iterable[Note]:
        """What is worth saying of this bend beyond what holds for all."""
        return ()

    def doubts(self, path: Path, given: Given, setup: Setup) -> Iterable[Note]:
        """What of this bend will be wrong as the marks make it, beyond what is looked at for all."""
        return ()

    def bends(self, method: Method, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """The bends by either method, in order of position."""
        made = self.book if method is Method.BOOK else self.true
        return tuple(sorted(made(given, setup, way), key=lambda bending: bending.at))

    def gauges_for(self, given: Given) -> tuple[Gauge, ...]:
        """What to measure on the bend of these measures."""
        return self.gauges

    def ways_for(self, method: Method) -> tuple[Way, ...]:
        """The ways to make it by a method."""
        return self.ways[: self.book_ways] if method is Method.BOOK else self.ways

    def taken(self, given: Given, setup: Setup) -> float:
        """How many inches from where the tape hooks on are bent already: the rest of a 90, or nothing."""
        return 0.0

    def start_ahead(self, given: Given, out: float) -> float:
        """How much farther back the tape hooks on a neighbor than on this conduit, inches: not nothing where
        it hooks on the back of a 90 that is bent already and lies farther out too."""
        return 0.0

    def turns(self, given: Given, bends: Sequence[Bending]) -> float:
        """How many times the bend's angle the conduit turns in all."""
        return float(len(bends))

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

    def cut(self, given: Given, setup: Setup, shrink: float, path: Path) -> Fraction | None:
        """Where to cut, inches from the tape end before rounding, or None when the measures do not say.

        `path` is the bend as laid out, on an uncut stick.
        """
        return given.length("to_end") + Fraction(shrink) if "to_end" in given else None


def rest_of_ninety(setup: Setup) -> float:
    """From the back of a 90 to the end of its arc, inches."""
    return setup.bender.radius + setup.od / 2


def half_tan(degrees: float) -> float:
    """tan(angle / 2): how far a corner moves for each inch that a conduit lies outside it."""
    return math.tan(math.radians(degrees) / 2)


def corner_gain(degrees: float, radius: float) -> float:
    """2 R tan(angle / 2) - R angle: the gain of one bend measured to its corner (horizontal curves)."""
    half = math.radians(degrees) / 2
    return 2 * radius * (math.tan(half) - half)


def longer(given: Given, key: str, by: float) -> Given:
    """The measures with a length changed, where it was given."""
    return given.with_(**{key: given.length(key) + Fraction(by)}) if key in given and by else given


def placed(arcs: tuple[Arc, ...], way: Way, bender: Bender) -> tuple[Bending, ...]:
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
        for arc, (reference, hook, order) in zip(arcs, way, strict=True)
    )


def in_order(bends: tuple[Bending, ...]) -> tuple[Bending, ...]:
    """The same bends with rolls relative to the one made first."""
    first = min(bends, key=lambda bending: bending.order)
    return tuple(replace(bending, roll=(bending.roll - first.roll) % 360) for bending in bends)
