"""Offset: two equal and opposite bends that carry the conduit over to a parallel line."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import (
    STRAIGHT_ANGLES,
    Bend,
    Bending,
    Hold,
    LaidOut,
    Way,
    angle,
    half_tan,
    in_order,
    length,
    longer,
    placed,
)
from bench.core.bends.slope import slope
from bench.core.clearance import Box, clearance
from bench.core.finished import dogleg, far_leg, from_tape_leg, legs_apart, legs_out_of_parallel
from bench.core.gauges import SHIFT
from bench.core.given import Given
from bench.core.notes import Note
from bench.core.path import Arc, Path
from bench.core.plan import Finished, Hook, Measure, Method, Reference
from bench.core.vectors import unit

BEYOND = 1000.0
"""An offset goes on past its obstruction: it has no far end, so it is put farther than any stick."""


_ROLLS = (0.0, 180.0)


def _way(hook: Hook, orders: tuple[int, int]) -> Way:
    return tuple(Hold(Reference.ARROW, hook, order) for order in orders)


_WAYS = (
    _way(Hook.AWAY, (2, 1)),
    _way(Hook.TAPE_END, (1, 2)),
    _way(Hook.AWAY, (1, 2)),
    _way(Hook.TAPE_END, (2, 1)),
)
"""The hook faces the same way on both marks, as taught. The bend on the hook's side first: then the conduit under
the foot is always straight. Otherwise the foot stands between the bends and the hook has a leg to itself."""


class Offset(Bend):
    """`distance` along the wall to where the conduit must be level, `rise`, and the angle of both bends."""

    key = "offset"
    name = "offset"
    measures: tuple[Measure, ...] = (length("distance", "1", "1200"), length("rise", "1/4", "60"), angle())
    angles = STRAIGHT_ANGLES
    ways = _WAYS
    book_ways = len(_WAYS)
    gauges = SHIFT

    def rise(self, given: Given) -> Fraction:
        """How far apart the two lines are, inches."""
        return given.length("rise")

    def book(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """Second mark at distance + shrink x rise, first mark multiplier x rise before it; arrow on both."""
        degrees = given.angle()
        taught = setup.trade.offset(degrees)
        second = given.length("distance") + taught.shrink * self.rise(given)
        first = second - taught.multiplier * self.rise(given)
        made = zip((first, second), way, _ROLLS, strict=True)
        return in_order(tuple(Bending(at, *hold[:2], degrees, roll, hold.order) for at, hold, roll in made))

    def true(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """The second arc ends at the distance: the conduit is level from there on."""
        degrees, bender = given.angle(), setup.bender
        curve = slope(float(self.rise(given)), degrees, bender.radius)
        start = float(given.length("distance")) - curve.run
        second = start + bender.arc(degrees) + curve.straight
        arcs = (Arc(start, degrees, _ROLLS[0]), Arc(second, degrees, _ROLLS[1]))
        return in_order(placed(arcs, way, bender))

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """Rise, legs parallel, and clearance to a box of that rise that begins at the distance."""
        up = unit(from_tape_leg(far_leg(path).origin))
        box = Box(float(given.length("distance")), BEYOND, float(self.rise(given)))
        return Finished(
            rise=legs_apart(path),
            legs_out_of_parallel=legs_out_of_parallel(path),
            dogleg=dogleg(path),
            clearance=clearance(path, (box,), setup.od, up),
        )

    def neighbor(self, given: Given, setup: Setup, out: float, ahead: float = 0.0) -> Given:
        """The same offset farther on: both corners move alike (IBEW booklet)."""
        return longer(given, "distance", out * half_tan(given.angle()) + ahead)

    def advice(self, given: Given, laid: LaidOut, setup: Setup) -> Iterator[Note]:
        """Why the hook faces as it does: by the book it moves the bends, for this bender it does not."""
        if laid.layout.marks[0].hook is not Hook.AWAY:
            yield Note(
                "hook_near", "The hook faces the tape end: too little conduit to stand on the other way."
            )
        elif laid.layout.method is Method.BOOK:
            yield Note(
                "hook_away", "With the hook away from the tape end it is level before the obstruction."
            )

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """By the book the taught constant times the rise, else from the exact path."""
        if method is Method.BOOK:
            return float(setup.trade.offset(given.angle()).shrink * self.rise(given))
        return slope(float(self.rise(given)), given.angle(), setup.bender.radius).shrink
