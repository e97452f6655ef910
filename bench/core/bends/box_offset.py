"""Box offset: the small offset that lifts conduit off the wall into a knockout."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from bench.core.bender import Bender, Setup
from bench.core.bends.base import Bend, Bending, Hold, LaidOut, Way, half_tan, in_order, length, placed
from bench.core.finished import dogleg, legs_apart, legs_out_of_parallel
from bench.core.gauges import DOGLEG, FAR_LEG, RISE
from bench.core.given import Given
from bench.core.notes import Note
from bench.core.path import Arc, Path
from bench.core.plan import Finished, Hook, Reference

_RISE = replace(RISE, tolerance=Fraction(1, 16))
"""An eighth is a third of the rise into a knockout (common practice, no source)."""


class BoxOffset(Bend):
    """`rise` from wall to knockout, and `to_box`, from the box end to the first mark when the usual two
    inches will not do. The tape hooks on the box end.

    The marks are the taught ones, two and eight inches; the angle follows from the rise, by the book as a
    straight slope, bender-true with the arcs.
    """

    key = "box-offset"
    name = "box offset"
    measures = (length("rise", "1/8", "2"), length("to_box", "1", "120", optional=True, label="first mark"))
    extras = ()
    ways = ((Hold(Reference.ARROW, Hook.TAPE_END, 1), Hold(Reference.ARROW, Hook.TAPE_END, 2)),)
    room = "to_box"
    gauges = (FAR_LEG, DOGLEG, _RISE)

    def book(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """Two marks, arrow on both, each bend asin(rise / spacing)."""
        first, spacing = _first(given, setup), setup.trade.box_spacing
        degrees = math.degrees(math.asin(float(given.length("rise")) / float(spacing)))
        return (
            Bending(first, *way[0][:2], degrees, 0.0, way[0].order),
            Bending(first + spacing, *way[1][:2], degrees, 180.0, way[1].order),
        )

    def true(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """The same marks, the angle solved for this bender's arcs."""
        bender, spacing = setup.bender, float(setup.trade.box_spacing)
        degrees = _angle(float(given.length("rise")), spacing, bender)
        start = float(_first(given, setup)) + bender.arc_start
        arcs = (Arc(start, degrees, 0.0), Arc(start + spacing, degrees, 180.0))
        return in_order(placed(arcs, way, bender))

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """Rise and legs parallel."""
        return Finished(
            rise=legs_apart(path), legs_out_of_parallel=legs_out_of_parallel(path), dogleg=dogleg(path)
        )

    def advice(self, given: Given, laid: LaidOut, setup: Setup) -> Iterator[Note]:
        """How little each bend is."""
        angle = laid.layout.marks[0].bend
        yield Note("box_angle", "Both bends {angle}: a nudge of the bender.", {"angle": angle})

    def neighbor(self, given: Given, setup: Setup, out: float, ahead: float = 0.0) -> Given:
        """The same offset, its first mark moved as a corner outside the first."""
        degrees = _angle(float(given.length("rise")), float(setup.trade.box_spacing), setup.bender)
        return given.with_(to_box=_first(given, setup) + Fraction(out * half_tan(degrees) + ahead))


def _first(given: Given, setup: Setup) -> Fraction:
    """The first mark: as asked, else the taught one, or what the hook needs when that is more."""
    if "to_box" in given:
        return given.length("to_box")
    return max(setup.trade.box_first, setup.bender.grip)


def _angle(rise: float, spacing: float, bender: Bender) -> float:
    """The angle whose arcs, `spacing` apart, make the rise: (spacing - R angle) sin + 2R(1 - cos)."""
    low, high = 0.0, math.pi / 4

    def made(angle: float) -> float:
        straight = spacing - bender.radius * angle
        return straight * math.sin(angle) + 2 * bender.radius * (1 - math.cos(angle))

    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if made(middle) < rise else (low, middle)
    return math.degrees((low + high) / 2)
