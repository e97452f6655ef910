"""The offset curve that offsets and saddles are made of: two equal bends and the straight between."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from bench.core.notes import BenchError, Note


@dataclass(frozen=True, slots=True)
class Slope:
    """Two opposite bends that raise the conduit's centerline; all inches.

    `straight` lies between the arcs, `run` is along the wall, `used` is conduit from the first arc's start to
    the second's end. Plane geometry: rise = 2R(1 - cos) + straight sin, run = 2R sin + straight cos.
    """

    straight: float
    run: float
    used: float

    @property
    def shrink(self) -> float:
        """Conduit used less the run."""
        return self.used - self.run


def least_rise(degrees: float, radius: float) -> float:
    """The lowest rise two bends of an angle can make, their arcs touching: 2R(1 - cos)."""
    return 2 * radius * (1 - math.cos(math.radians(degrees)))


def steepest(rise: float, radius: float) -> float:
    """The steepest angle two bends can have over a rise, degrees; 90 when any will do."""
    cosine = 1 - rise / (2 * radius)
    return math.degrees(math.acos(cosine)) if cosine > 0 else 90.0


def slope(rise: float, degrees: float, radius: float) -> Slope:
    """The curve for a rise. Raises BenchError when the rise is too small for the angle."""
    angle = math.radians(degrees)
    straight = (rise - least_rise(degrees, radius)) / math.sin(angle)
    if straight < -1e-9:
        raise too_steep(rise, degrees, radius)
    run = 2 * radius * math.sin(angle) + straight * math.cos(angle)
    return Slope(straight, run, straight + 2 * radius * angle)


def too_steep(rise: float, degrees: float, radius: float) -> BenchError:
    """The rise is lower than this angle can make: the arcs would overlap."""
    least = Fraction(math.ceil(least_rise(degrees, radius) * 16), 16)
    return BenchError(
        Note(
            "rise_too_small",
            "A rise of {rise} is too small for {angle} bends on this bender: the bends would overlap.",
            {"rise": Fraction(rise), "angle": float(degrees)},
        ),
        Note("rise_least", "Make the rise {rise} or more.", {"rise": least}),
    )
