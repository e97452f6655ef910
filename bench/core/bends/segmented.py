"""Segmented bend: a large radius made of many small bends, called shots."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from bench.core.bender import Bender, Setup
from bench.core.bends.base import (
    STEPS_THAT_MATTER,
    Bend,
    Bending,
    Hold,
    LaidOut,
    Way,
    angle,
    corner_gain,
    count,
    half_tan,
    length,
    longer,
    placed,
)
from bench.core.bends.stub import LEG, STUB_HEIGHT
from bench.core.finished import back_of_bend, corner, dogleg, far_leg
from bench.core.gauges import Gauge, middle, turned
from bench.core.given import Given
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note, Value
from bench.core.path import Arc, Path
from bench.core.plan import Finished, Hook, Method, Reference


def _later(count: int) -> list[float]:
    """What the shot a third of the way in does less, the one a third before the end does more: the whole bend turns as
    far as before, later, so the stub grows. Half a degree moves it a third of what the outermost would."""
    early = count // 3
    return [float(index == count - 1 - early) - float(index == early) for index in range(count)]


STUB = replace(STUB_HEIGHT, bends=_later)
"""Its height is corrected by two shots, one closed and one opened; what they cannot correct is cut off or moved."""


class Segmented(Bend):
    """Shots from the far end of the bend back toward the tape end: the hook always finds straight conduit.

    `radius` to the centerline, `angle` in all and the number of `shots`.

    `start` is the straight before the bend; with a 90, `stub` (end to back) may be given in its place, and
    `leg` for the cut. Without either the bend starts as near the end as the bender can hold, on a whole inch.
    """

    key = "segmented"
    name = "segmented bend"
    measures = (
        length("radius", "4", "240"),
        angle(most="90", optional=False),
        count("shots", 2, 60, label="number of shots"),
    )
    extras = (
        length("start", "0", "240", optional=True, label="straight before the bend"),
        length("stub", "1", "480", optional=True),
        LEG,
    )
    ways = ((Hold(Reference.ARROW, Hook.TAPE_END, 1),),)
    room = "radius"
    gauges = (
        Gauge(
            "angle",
            "Check the angle of the whole bend: {planned}.",
            turned,
            middle,
            asked=("angle",),
            degrees=True,
        ),
    )

    def check(self, given: Given, setup: Setup) -> None:
        """No radius tighter than the bender's, and a stub that is longer than the bend is deep."""
        if float(given.length("radius")) < setup.bender.radius:
            raise BenchError(
                Note(
                    "radius_too_small",
                    "A radius of {radius} is tighter than this bender bends.",
                    {"radius": given.length("radius")},
                )
            )
        if "stub" in given and given.angle() != 90.0:
            raise BenchError(
                Note("stub_needs_ninety", "A stub is measured to the back of a ninety only."),
                Note("give_start", "Give the straight before the bend in its place."),
            )

    def book(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """Shots radius x angle apart along the developed length, the first half a step from its start."""
        shots = given.count("shots")
        step = _developed(given) / shots
        first = _start(given, setup) + step / 2
        return tuple(
            Bending(first + step * index, *way[0][:2], _shot(given), 0.0, shots - index)
            for index in range(shots)
        )

    def true(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """Arcs of this bender whose corners lie on the polygon about the large radius."""
        bender, degrees = setup.bender, _shot(given)
        half = float(given.length("radius")) * math.tan(math.radians(degrees) / 2)
        tangent = bender.radius * math.tan(math.radians(degrees) / 2)
        first = _start(given, setup) + half - tangent
        step = 2 * half - corner_gain(degrees, bender.radius)
        shots = given.count("shots")
        arcs = tuple(Arc(first + step * index, degrees, 0.0) for index in range(shots))
        return placed(arcs, tuple(way[0]._replace(order=shots - index) for index in range(shots)), bender)

    def neighbor(self, given: Given, setup: Setup, out: float, ahead: float = 0.0) -> Given:
        """A radius and legs that are larger by the distance, from the same start."""
        wider = longer(longer(given, "radius", out), "stub", out + ahead)
        return longer(longer(wider, "start", ahead), "leg", out)

    def advice(self, given: Given, laid: LaidOut, setup: Setup) -> Iterator[Note]:
        """How many shots of how much, how far apart."""
        values: dict[str, Value] = {
            "count": len(laid.bends),
            "angle": laid.bends[0].bend,
            "spacing": round_to(laid.bends[1].at - laid.bends[0].at, setup.scale / 2),
        }
        yield Note("shots", "{count} shots of {angle}, one every {spacing}.", values)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """Of a 90 the leg from the tape end to the back."""
        square = given.angle() == 90.0
        return Finished(rise=back_of_bend(path, setup.od) if square else None, dogleg=dogleg(path))

    def doubts(self, path: Path, given: Given, setup: Setup) -> Iterator[Note]:
        """How far the whole bend sits from its place: taught marks are the middles of the shots, and this bender
        makes a shot beyond its arrow."""
        wanted = _start(given, setup) + float(given.length("radius")) * half_tan(given.angle())
        off = corner(path)[0] - wanted
        by = round_to(abs(off), setup.scale)
        if by >= STEPS_THAT_MATTER * setup.scale:
            where, way = ("far", "toward") if off > 0 else ("near", "away from")
            template = f"It will sit {{by}} too {where}: move every mark {{by}} {way} the tape end."
            yield Note(f"sits_too_{where}", template, {"by": by})

    def gauges_for(self, given: Given) -> tuple[Gauge, ...]:
        """A 90 has a stub too; it is measured when the bend is square."""
        return (*self.gauges, STUB) if given.angle() == 90.0 else self.gauges

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """A single turn has no shrink."""
        return 0.0

    def gain(self, path: Path, given: Given, setup: Setup) -> float:
        """Two tangents of the large radius less the developed length; for a 90 to the outsides."""
        outside = setup.od if given.angle() == 90.0 else 0.0
        return corner_gain(given.angle(), float(given.length("radius"))) + outside

    def developed(self, path: Path) -> float:
        """Shots times their distance apart."""
        starts = [arc.start for arc in path.arcs]
        return (starts[-1] - starts[0]) * len(starts) / (len(starts) - 1)

    def cut(self, given: Given, setup: Setup, shrink: float, path: Path) -> Fraction | None:
        """Both legs to the backs, less what the shots save as they are made."""
        if not {"stub", "leg"} <= given.keys():
            return None
        along, back = corner(path)
        saved = along + back - far_leg(path).start + setup.od
        return given.length("stub") + given.length("leg") - Fraction(saved)


def _shot(given: Given) -> float:
    """Degrees of one shot."""
    return given.angle() / given.count("shots")


def _developed(given: Given) -> float:
    """Conduit in the bend: radius x angle, inches."""
    return float(given.length("radius")) * math.radians(given.angle())


def _start(given: Given, setup: Setup) -> float:
    """Straight conduit before the bend, inches."""
    if "stub" in given:
        return float(given.length("stub")) - float(given.length("radius")) - setup.od / 2
    if "start" in given:
        return float(given.length("start"))
    return _least_start(setup.bender)


def _least_start(bender: Bender) -> float:
    return math.ceil(float(bender.grip) + bender.arc_start)
