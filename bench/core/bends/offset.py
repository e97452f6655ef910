"""Offset: two equal and opposite bends that carry the conduit over to a parallel line."""

from __future__ import annotations

from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import STRAIGHT_ANGLES, Bend, Bending, Given, angle, in_order, length, placed
from bench.core.bends.slope import slope
from bench.core.clearance import Box, clearance
from bench.core.finished import dogleg, far_leg, from_tape_leg, legs_apart, legs_out_of_parallel
from bench.core.path import Arc, Path
from bench.core.plan import Finished, Hook, Measure, Method, Reference
from bench.core.vectors import unit

BEYOND = 1000.0
"""An offset goes on past its obstruction: it has no far end, so it is put farther than any stick."""


class Offset(Bend):
    """`distance` along the wall to where the conduit must be level, `rise`, and the angle of both bends."""

    key = "offset"
    measures: tuple[Measure, ...] = (length("distance", "1", "1200"), length("rise", "1/4", "60"), angle())
    angles = STRAIGHT_ANGLES

    def rise(self, given: Given) -> Fraction:
        """How far apart the two lines are, inches."""
        return Fraction(given["rise"])

    def book(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """Second mark at distance + shrink x rise, first mark multiplier x rise before it; arrow on both."""
        degrees = float(given["angle"])
        taught = setup.trade.offset(degrees)
        second = Fraction(given["distance"]) + taught.shrink * self.rise(given)
        first = second - taught.multiplier * self.rise(given)
        order, rolls = _sequence(hook)
        return tuple(
            Bending(at, Reference.ARROW, hook, degrees, roll, turn)
            for at, turn, roll in zip((first, second), order, rolls, strict=True)
        )

    def true(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """The second arc ends at the distance: the conduit is level from there on."""
        degrees, bender = float(given["angle"]), setup.bender
        curve = slope(float(self.rise(given)), degrees, bender.radius)
        start = float(given["distance"]) - curve.run
        second = start + bender.arc(degrees) + curve.straight
        order, rolls = _sequence(hook)
        arcs = (Arc(start, degrees, rolls[0]), Arc(second, degrees, rolls[1]))
        return in_order(placed(arcs, tuple((Reference.ARROW, hook, turn) for turn in order), bender))

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """Rise, legs parallel, and clearance to a box of that rise that begins at the distance."""
        up = unit(from_tape_leg(far_leg(path).origin))
        box = Box(float(given["distance"]), BEYOND, float(self.rise(given)))
        return Finished(
            rise=legs_apart(path),
            legs_out_of_parallel=legs_out_of_parallel(path),
            dogleg=dogleg(path),
            clearance=clearance(path, (box,), setup.od, up),
        )

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """By the book the taught constant times the rise, else from the exact path."""
        if method is Method.BOOK:
            return float(setup.trade.offset(float(given["angle"])).shrink * self.rise(given))
        return slope(float(self.rise(given)), float(given["angle"]), setup.bender.radius).shrink


def _sequence(hook: Hook) -> tuple[tuple[int, int], tuple[float, float]]:
    """Order and rolls of the two bends. The one on the hook's side comes first: then the conduit under the
    foot is always straight."""
    return ((2, 1), (180.0, 0.0)) if hook is Hook.AWAY else ((1, 2), (0.0, 180.0))
