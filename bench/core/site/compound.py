"""Two bends in planes at right angles, made as one."""

from __future__ import annotations

import math

from bench.core.bender import Setup
from bench.core.fittings import Fittings
from bench.core.given import Given
from bench.core.lengths import half_degrees
from bench.core.notes import Note
from bench.core.site.base import Answer, Site, angle


def one_bend_for(up: float, across: float) -> tuple[float, float]:
    """The one bend that turns a run `up` degrees and, seen from above, `across` degrees: its angle, and how far its
    plane is turned from straight up toward the side.

    The run's direction is then (cos up cos across, cos up sin across, sin up): cos bend = cos up cos across.
    """
    a, b = math.radians(up), math.radians(across)
    bend = math.acos(max(-1.0, min(1.0, math.cos(a) * math.cos(b))))
    turn = math.atan2(math.cos(a) * math.sin(b), math.sin(a))
    return math.degrees(bend), math.degrees(turn)


class Compound(Site):
    """`up` is how far the run must turn upward (or down), `across` how far to the side, seen from above."""

    key = "compound"
    name = "compound bend"
    measures = (
        angle("up", "turn up", "1", "90"),
        angle("across", "turn to the side", "1", "90"),
    )

    def answer(self, given: Given, setup: Setup, fittings: Fittings) -> Answer:
        """The bend and its turn, each to the half degree."""
        bend, turn = one_bend_for(given.angle("up"), given.angle("across"))
        values = {"angle": half_degrees(bend), "turn": half_degrees(turn)}
        note = Note("compound_bend", "One bend of {angle}, turned {turn} from straight up.", values)
        return Answer(half_degrees(bend), (note,), {"angle": bend, "turn": turn})
