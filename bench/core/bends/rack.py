"""A rack: the same bend on several conduits, each moved so that all stay evenly spaced.

A rack is not a bend but a way to lay out a bend's neighbors: the first conduit is the bend itself, the others
are plans of their own, with their own marks, measures and readings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from math import cos, radians

from bench.core.bends.base import Bend, Bending, count, half_tan, length
from bench.core.given import Given
from bench.core.plan import Measure

SPACING = length("spacing", "1/2", "48")
COUNT = count("count", 2, 24, label="number of conduits")
SIDE_BY_SIDE = count("side_by_side", 0, 1, optional=True, label="conduits side by side, across the bends")
"""1 for conduits that lie beside one another across the plane of the bend: nothing moves."""


class Spread(StrEnum):
    """How the conduits of a rack lie to one another."""

    SIDE_BY_SIDE = "side_by_side"
    """Across the plane of the bend: all have the same marks."""
    OUTSIDE = "outside"
    """In the plane of the bend, one outside the other: each bend moves."""


@dataclass(frozen=True, slots=True)
class Rack:
    """Conduits bent alike, `spacing` apart center to center, `count` of them.

    The first conduit is the innermost: the next lie on the outside of its first bend. All have the bender's
    own radius.
    """

    inner: Bend
    key: str = "parallel"
    name: str = "parallel rack"

    @property
    def measures(self) -> tuple[Measure, ...]:
        """What to ask for: the bend's own, then those of the rack."""
        return (*self.inner.measures, SPACING, COUNT)

    @property
    def extras(self) -> tuple[Measure, ...]:
        """What may be given besides."""
        return (*self.inner.extras, SIDE_BY_SIDE)

    def distances(self, given: Given) -> tuple[float, ...]:
        """How far outside the first conduit each further one lies, inches; 0 for all when side by side."""
        apart = 0.0 if given.count("side_by_side", 0) else float(given.length("spacing"))
        return tuple(apart * number for number in range(1, given.count("count")))


def of_bend(given: Given) -> Given:
    """The measures of the bend alone."""
    return given.without("spacing", "count", "side_by_side")


def outward(apart: float, roll: float) -> float:
    """How far outside a bend a conduit lies that is `apart` inches away, to the outside of a bend with roll 0.

    `roll` is in degrees; across the plane of the bend it is 0.
    """
    return round(apart * cos(radians(roll)), 12)


def shifts(
    bends: Sequence[tuple[float, float]], out: float, before: float = 0.0
) -> tuple[list[float], float]:
    """How far each bend of a neighbor moves, and what follows the last of them; inches.

    `bends` are angle and roll, degrees, in the order of their arcs; `out` is how far the neighbor lies to the
    outside of a bend with roll 0. Round the outside of a corner both straights grow by out x tan(angle / 2),
    round the inside they shrink (IBEW Local 903 booklet, rev. II). `before` is how far the neighbor's tape end
    lies before that of the first conduit.
    """
    moved, along = [], before
    for degrees, roll in bends:
        step = outward(out, roll) * half_tan(degrees)
        moved.append(along + step)
        along += 2 * step
    return moved, along


def shifted(
    bends: tuple[Bending, ...], starts: Sequence[float], out: float, before: float
) -> tuple[Bending, ...]:
    """The bends of a conduit lying `out` inches to the outside of the first arc, in order of position.

    `starts` are where the arcs begin: bends whose arcs lie close can have their marks in another order.
    """
    along = [bending for _, bending in sorted(zip(starts, bends, strict=True), key=lambda pair: pair[0])]
    turns = [(bending.bend, bending.roll - along[0].roll) for bending in along]
    by, _ = shifts(turns, out, before)
    moved = (replace(one, at=Fraction(one.at) + Fraction(step)) for one, step in zip(along, by, strict=True))
    return tuple(sorted(moved, key=lambda bending: bending.at))
