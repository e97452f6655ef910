"""Kick: one bend that lifts the end of the conduit off its line, alone or behind a 90."""

from __future__ import annotations

import math
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import (
    STRAIGHT_ANGLES,
    Bend,
    Bending,
    Hold,
    Way,
    angle,
    length,
    longer,
    placed,
    rest_of_ninety,
)
from bench.core.finished import dogleg, far_leg, from_tape_leg
from bench.core.gauges import Gauge, each
from bench.core.given import Given
from bench.core.notes import BenchError, Note
from bench.core.path import Arc, Path
from bench.core.plan import Finished, Hook, Method, Reference
from bench.core.vectors import across, norm


def _rise(path: Path, given: Given, setup: Setup) -> float:
    """Of the kicked end at its distance, or of the stub's centerline from the line of the kicked leg."""
    leg = far_leg(path)
    if "distance" in given:
        ahead = (float(given.length("distance")) - leg.origin[0]) / leg.along[0]
        return norm(from_tape_leg(leg.point(leg.start + ahead)))
    stub = (setup.od / 2, 0.0, 0.0)
    return norm(across((leg.origin[0] - stub[0], leg.origin[1], leg.origin[2]), leg.along))


class Kick(Bend):
    """`rise` of the kicked end and the angle.

    With `distance`, along the wall from the tape end to where the kicked end must stand, the far end is
    kicked. Without it the tape hooks on the back of a 90 already bent, and that 90 is kicked: the rise is of
    its stub's centerline. The bend is made on its center, as the trade does (course Level I lesson 7).
    """

    key = "kick"
    name = "kick"
    measures = (length("distance", "1", "1200", optional=True), length("rise", "1/4", "60"), angle())
    extras = ()
    angles = STRAIGHT_ANGLES
    ways = ((Hold(Reference.NOTCH, Hook.AWAY, 1),), (Hold(Reference.NOTCH, Hook.TAPE_END, 1),))
    book_ways = 2
    gauges = (Gauge("rise", "Rise of the kick: {planned}.", _rise, each, asked=("rise",)),)

    def book(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """Center of the bend multiplier x rise before the kicked end; rim notch on the mark."""
        degrees, rise = given.angle(), given.length("rise")
        taught = setup.trade.offset(degrees)
        back = taught.multiplier * rise
        if "distance" in given:
            at = given.length("distance") + taught.shrink * rise - back
            return (Bending(at, *way[0][:2], degrees, 0.0, 1),)
        return (Bending(back, *way[0][:2], degrees, 0.0, 1),)

    def true(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """The arc's corner H / sin from the kicked end, or half a diameter more from the back of the 90."""
        degrees, rise, bender = given.angle(), float(given.length("rise")), setup.bender
        theta = math.radians(degrees)
        tangent = bender.radius * math.tan(theta / 2)
        if rise / math.sin(theta) < tangent:
            raise _too_low(rise, degrees, bender.radius)
        if "distance" in given:
            start = float(given.length("distance")) - rise / math.tan(theta) - tangent
        else:
            start = rise / math.sin(theta) + setup.od / 2 - tangent
        return placed((Arc(start, degrees),), way, bender)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """The rise of the kicked end."""
        return Finished(rise=_rise(path, given, setup), dogleg=dogleg(path))

    def neighbor(self, given: Given, setup: Setup, out: float, ahead: float = 0.0) -> Given:
        """Ends at the same distance, as into one box, where it rises less by out x (1 / cos - 1); behind a
        90 its rise is the same and its 90 moves with it."""
        if "distance" not in given:
            return given
        lower = out * (1 / math.cos(math.radians(given.angle())) - 1)
        return longer(longer(given, "rise", -lower), "distance", ahead)

    def taken(self, given: Given, setup: Setup) -> float:
        """Without a distance the tape hooks on a 90."""
        return 0.0 if "distance" in given else rest_of_ninety(setup)

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """Conduit up to the kicked end less its distance along the wall."""
        degrees, rise = given.angle(), given.length("rise")
        if method is Method.BOOK:
            return float(setup.trade.offset(degrees).shrink * rise)
        return float(rise) * math.tan(math.radians(degrees) / 2) - self.gain(path, given, setup)

    def cut(self, given: Given, setup: Setup, shrink: float, path: Path) -> Fraction | None:
        """Where the kicked end is cut."""
        return given.length("distance") + Fraction(shrink) if "distance" in given else None


def _too_low(rise: float, degrees: float, radius: float) -> BenchError:
    theta = math.radians(degrees)
    least = Fraction(math.ceil(radius * math.tan(theta / 2) * math.sin(theta) * 16), 16)
    return BenchError(
        Note(
            "rise_too_small",
            "A rise of {rise} is too small for a {angle} bend on this bender.",
            {"rise": Fraction(rise), "angle": degrees},
        ),
        Note("rise_least", "Make the rise {rise} or more.", {"rise": least}),
    )
