"""Parallel: the same bend on every conduit of a rack, each shifted so that all stay evenly spaced."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import Bend, Bending, Given, count, length
from bench.core.path import Path
from bench.core.plan import Finished, Hook, Method

SPACING = length("spacing", "1/2", "48")
COUNT = count("count", 2, 24)


class Parallel(Bend):
    """Any bend, with `spacing` centre to centre and `count` of conduits spread in the plane of the bend.

    The first conduit is the innermost: the next lie on the outside of its first bend. Each bend of a
    neighbour moves by spacing x tan(angle / 2) against the corners before it (IBEW booklet); all have the
    bender's own radius.
    """

    key = "parallel"

    def __init__(self, inner: Bend) -> None:
        """A rack of `inner` bends."""
        self.inner = inner
        self.measures = (*inner.measures, SPACING, COUNT)
        self.extras, self.hooks, self.angles, self.room = inner.extras, inner.hooks, inner.angles, inner.room

    def check(self, given: Given, setup: Setup) -> None:
        """As the bend itself."""
        self.inner.check(given, setup)

    def book(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """The first conduit's marks by the book."""
        return self.inner.book(given, setup, hook)

    def true(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """The first conduit's marks for this bender."""
        return self.inner.true(given, setup, hook)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """As the bend itself."""
        return self.inner.finished(path, given, setup)

    def neighbour_finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """As the bend itself, less what is measured against an obstruction: a neighbour's lies elsewhere."""
        return replace(self.finished(path, given, setup), clearance=None)

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """As the bend itself."""
        return self.inner.shrink(path, given, setup, method)

    def gain(self, path: Path, given: Given, setup: Setup) -> float:
        """As the bend itself."""
        return self.inner.gain(path, given, setup)

    def developed(self, path: Path) -> float:
        """As the bend itself."""
        return self.inner.developed(path)

    def cut(self, given: Given, setup: Setup, shrink: float) -> Fraction | None:
        """As the bend itself."""
        return self.inner.cut(given, setup, shrink)


def shifted(bends: tuple[Bending, ...], out: float) -> tuple[Bending, ...]:
    """The bends of a conduit lying `out` inches to the outside of the first bend, in order of position.

    Round the outside of a corner both straights grow by out x tan(angle / 2), round the inside they shrink.
    """
    moved, along = [], 0.0
    for bending in bends:
        turn = math.cos(math.radians(bending.roll - bends[0].roll))
        step = out * turn * math.tan(math.radians(bending.bend) / 2)
        moved.append(replace(bending, at=bending.at + Fraction(along + step)))
        along += 2 * step
    return tuple(moved)
