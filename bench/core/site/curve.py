"""The radius of a curve that is there, from a level laid on it and the gap."""

from __future__ import annotations

from fractions import Fraction

from bench.core.bender import Setup
from bench.core.fittings import Fittings
from bench.core.given import Given
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note
from bench.core.site.base import Answer, Site, length


def radius_of(chord: Fraction, gap: Fraction) -> Fraction:
    """The radius of the surface a straightedge lies on: R = c^2 / (8 s) + s / 2, chord c and gap s (plane geometry).

    In a hollow the ends touch and the gap is in the middle; on a hump the middle touches and both ends gap alike.
    """
    return chord**2 / (8 * gap) + gap / 2


class Curve(Site):
    """`level` is the length of the straightedge, `gap` the daylight in the middle, or at each end alike on a hump."""

    key = "curve"
    name = "curve"
    measures = (
        length("level", "level", "6", "144"),
        length("gap", "gap", "1/16", "36"),
    )

    def answer(self, given: Given, setup: Setup, fittings: Fittings) -> Answer:
        """The radius of the surface, and of the center of a conduit bent along it on either side."""
        chord, gap = given.length("level"), given.length("gap")
        if gap > chord / 2:
            raise BenchError(
                Note("gap_too_deep", "A gap of {gap} is more than half of the level.", {"gap": gap}),
                Note("gap_shorter_level", "Use a shorter level."),
            )
        surface = radius_of(chord, gap)
        half = setup.conduit.od / 2
        outside, inside = surface + half, surface - half
        notes = [Note("curve_radius", "The surface has a radius of {radius}.", {"radius": round_to(surface)})]
        notes.append(
            Note("curve_outside", "Conduit around it: {radius} to its center.", {"radius": round_to(outside)})
        )
        if inside > 0:
            values = {"radius": round_to(inside)}
            notes.append(Note("curve_inside", "Conduit in its hollow: {radius} to its center.", values))
        return Answer(
            round_to(surface),
            tuple(notes),
            {"surface": surface, "outside": outside, "inside": inside},
        )
