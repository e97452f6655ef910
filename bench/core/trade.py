"""The constants of the trade as taught. By-the-book marks use them and nothing else."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Taught:
    """One angle as taught: `multiplier` and `shrink`, inches per inch of rise."""

    angle: float
    multiplier: Fraction
    shrink: Fraction


@dataclass(frozen=True, slots=True)
class Trade:
    """The taught tables; values and sources are in `shared/trade.toml`.

    `saddle_45` is used for a three-point saddle with a 45-degree center bend. `box_first` and `box_spacing`
    are the marks of a box offset, inches.
    """

    taught: tuple[Taught, ...]
    saddle_45: Taught
    box_first: Fraction
    box_spacing: Fraction

    def offset(self, degrees: float) -> Taught:
        """Constants for an angle; where none is taught, the exact ratios csc and tan of half the angle."""
        for row in self.taught:
            if abs(row.angle - degrees) < 1e-9:
                return row
        return exact(degrees)

    def saddle(self, side: float) -> Taught:
        """Constants of a three-point saddle by its side angle (the center bend is twice that)."""
        return self.saddle_45 if abs(side - self.saddle_45.angle) < 1e-9 else self.offset(side)


def exact(degrees: float) -> Taught:
    """The exact ratios: multiplier csc and shrink tan of half the angle."""
    angle = math.radians(degrees)
    return Taught(degrees, Fraction(1 / math.sin(angle)), Fraction(math.tan(angle / 2)))
