"""A rack of bends around one center: each conduit's radius grows by the spacing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.fittings import Fittings
from bench.core.given import Given, Number
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note
from bench.core.site.base import Answer, Lead, LeadsTo, Site, angle, count, length

_NINETY = 90.0


@dataclass(frozen=True, slots=True)
class Ring:
    """One conduit: its centerline radius, the conduit in its bend, and the spacing of its shots, inches."""

    radius: Fraction
    developed: float
    step: float | None


def rings(
    inner: Fraction, spacing: Fraction, conduits: int, degrees: float, shots: int | None
) -> tuple[Ring, ...]:
    """Concentric bends from the inside out: radius and spacing are exact, developed length = R x angle (radians)."""
    found = []
    for number in range(conduits):
        radius = inner + number * spacing
        developed = float(radius) * math.radians(degrees)
        found.append(Ring(radius, developed, None if shots is None else developed / shots))
    return tuple(found)


class Concentric(Site):
    """`radius` is the centerline of the inner conduit, `spacing` center to center, `count` how many conduits.

    All arcs begin on one line across the rack. `shots` are the small bends of each.
    """

    key = "concentric"
    name = "concentric bends"
    measures = (
        length("radius", "inner radius", "1", "600"),
        length("spacing", "spacing", "1/2", "48"),
        count("count", "number of conduits", "2", "24"),
        angle("angle", "angle", "5", "180", optional=True),
        count("shots", "number of bends", "2", "90", optional=True),
    )

    def answer(self, given: Given, setup: Setup, fittings: Fittings) -> Answer:
        """Radius, developed length and shot spacing of each conduit."""
        spacing = given.length("spacing")
        if spacing < setup.conduit.od:
            raise BenchError(
                Note("rack_touches", "Conduits {spacing} apart would overlap.", {"spacing": spacing}),
                Note(
                    "rack_apart",
                    "Space them {least} or more.",
                    {"least": round_to(setup.conduit.od + Fraction(1, 32))},
                ),
            )
        shots = given.count("shots") if "shots" in given else None
        degrees = given.angle() if "angle" in given else 90.0
        made = rings(given.length("radius"), spacing, given.count("count"), degrees, shots)
        values: dict[str, Number] = {}
        for number, ring in enumerate(made, start=1):
            values |= {f"radius_{number}": ring.radius, f"developed_{number}": ring.developed}
            if ring.step is not None:
                values[f"step_{number}"] = ring.step
        notes = tuple(_note(n, ring, setup) for n, ring in enumerate(made, 1))
        return Answer(made[0].radius, notes, values, _inner(given, degrees, shots))


def _inner(given: Given, degrees: float, shots: int | None) -> LeadsTo | None:
    """The inner bend as shots; each further one is the next pipe of its rack. A segmented bend ends at a 90."""
    if shots is None or degrees > _NINETY:
        return None
    measures: dict[str, Number] = {"radius": given.length("radius"), "angle": degrees, "shots": shots}
    return LeadsTo((Lead("segmented", measures),))


def _note(number: int, ring: Ring, setup: Setup) -> Note:
    values: dict[str, Number] = {
        "number": number,
        "radius": round_to(ring.radius, setup.scale),
        "developed": round_to(ring.developed, setup.scale),
    }
    template = "Conduit {number}: radius {radius}, {developed} in the bend"
    if ring.step is None:
        return Note("ring", f"{template}.", values)
    return Note(
        "ring_shots",
        f"{template}, a shot every {{step}}.",
        values | {"step": round_to(ring.step, setup.scale / 2)},
    )
