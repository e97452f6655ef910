"""How far apart the holes in a box are for parallel conduits that enter at an angle."""

from __future__ import annotations

import math
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.fittings import Fittings
from bench.core.given import Given
from bench.core.lengths import round_to
from bench.core.notes import Note
from bench.core.site.base import Answer, Site, angle, length


def hole_spacing(spacing: Fraction, angle: float) -> float:
    """Spacing along a face that parallel conduits meet at `angle` degrees (90: square on): spacing / sin."""
    return float(spacing) / math.sin(math.radians(angle))


class Holes(Site):
    """`spacing` is that of the conduits, square across; `angle` the bend of the kick that leads into the box.

    The box's face may be square to the run, and the kick leans the conduits toward it: spacing / cos (IBEW booklet:
    2-1/2 apart at thirty, 2-7/8). Or it lies along the run: spacing / sin (common practice: 2 apart at thirty, 4).
    """

    key = "holes"
    name = "hole spacing"
    measures = (
        length("spacing", "spacing", "1/2", "48"),
        angle("angle", "angle", "3", "87"),
    )

    def answer(self, given: Given, setup: Setup, fittings: Fittings) -> Answer:
        """The spacing of the holes on either face."""
        spacing, kick = given.length("spacing"), given.angle()
        along, across = hole_spacing(spacing, kick), hole_spacing(spacing, 90 - kick)
        notes = (
            Note(
                "holes_across",
                "Face square to the run: holes {spacing} apart.",
                {"spacing": round_to(across, setup.scale)},
            ),
            Note(
                "holes_along",
                "Face along the run: {spacing} apart.",
                {"spacing": round_to(along, setup.scale)},
            ),
        )
        return Answer(round_to(across, setup.scale), notes, {"across": across, "along": along})
