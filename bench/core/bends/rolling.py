"""Rolling offset: an offset turned about the conduit, so that it rises and moves sideways at once."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import Bending, LaidOut, Way, angle, length
from bench.core.bends.offset import Offset
from bench.core.bends.slope import least_rise
from bench.core.gauges import RISE, SHIFT
from bench.core.given import Given
from bench.core.notes import BenchError, Note
from bench.core.path import Path
from bench.core.plan import Finished


class Rolling(Offset):
    """As an offset, with `roll`: how far it moves sideways. Both bends are made as for one offset of the true
    rise, the root of rise squared and roll squared (pipefitters' notes)."""

    key = "rolling"
    name = "rolling offset"
    gauges = (
        *SHIFT[:2],
        replace(RISE, says="Lay it flat. Measure the true rise, same side: {planned}.", asked=()),
        *SHIFT[3:],
    )
    measures = (
        length("distance", "1", "1200"),
        length("rise", "1/4", "60"),
        length("roll", "1/4", "60", label="sideways shift"),
        angle(),
    )

    def rise(self, given: Given) -> Fraction:
        """The true offset, inches; exact but for the square root."""
        return Fraction(math.hypot(given.length("rise"), given.length("roll")))

    def true(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """As an offset of the true rise. Raises BenchError that names rise and roll, not the true rise."""
        least = least_rise(given.angle(), setup.bender.radius)
        if self.rise(given) < least:
            raise _too_small(given, least)
        return super().true(given, setup, way)

    def advice(self, given: Given, laid: LaidOut, setup: Setup) -> Iterator[Note]:
        """How far to lean the whole offset when it is fitted."""
        yield from super().advice(given, laid, setup)
        values = {"angle": roll_angle(given)}
        yield Note("roll_angle", "Turn the whole offset {angle} from straight up.", values)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """Rise and roll when the conduit is turned by the roll angle."""
        plain = super().finished(path, given, setup)
        turn, true = math.radians(roll_angle(given)), plain.rise or 0.0
        return replace(plain, rise=true * math.cos(turn), roll=true * math.sin(turn), clearance=None)


def _too_small(given: Given, least: float) -> BenchError:
    """Rise and roll make too small an offset together: either may grow."""
    rise, roll = given.length("rise"), given.length("roll")

    def with_other(other: Fraction) -> Fraction:
        return Fraction(math.ceil(math.sqrt(least**2 - float(other) ** 2) * 16), 16)

    return BenchError(
        Note(
            "rise_too_small",
            "A rise of {rise} with a sideways shift of {roll} is too small for {angle} bends on this bender.",
            {"rise": rise, "roll": roll, "angle": given.angle()},
        ),
        Note(
            "rise_or_roll_least",
            "Make the rise {rise} or the sideways shift {roll}, or more.",
            {"rise": with_other(roll), "roll": with_other(rise)},
        ),
    )


def roll_angle(given: Given) -> float:
    """How far the offset leans from the direction of the rise, degrees."""
    return math.degrees(math.atan2(given.length("roll"), given.length("rise")))
