"""Three-point saddle: up, over and down past one obstruction, crown at its center."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import TO_END, Bend, Bending, Hold, LaidOut, Way, angle, length, longer, placed
from bench.core.bends.layout import possible
from bench.core.bends.obstruction import PITCH, ROUND, ROW, about
from bench.core.bends.remedy import fits
from bench.core.bends.saddle4 import Saddle4
from bench.core.bends.slope import slope
from bench.core.clearance import clearance, fouls
from bench.core.finished import crown, dogleg, from_tape_leg, legs_apart, legs_out_of_parallel
from bench.core.gauges import CROWN_HEIGHT, DOGLEG, FAR_FLAT, TAPE_FLAT, Gauge
from bench.core.given import Given
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note
from bench.core.path import Arc, Path
from bench.core.plan import Finished, Hook, Method, Reference
from bench.core.simulate import simulate
from bench.core.vectors import norm, unit

CENTER_45 = 45.0
"""The rim notch is the middle of a bend of this many degrees (Modern Residential Wiring 2015 p. 91)."""


def _crown_at(path: Path, given: Given, setup: Setup) -> float:
    return crown(path)[1][0]


CROWN_AT = Gauge(
    "crown_at",
    "Tape end to the middle of the crown: {planned}.",
    _crown_at,
    trims=True,
    asked=("to_center",),
)


def _sides_and_center(count: int) -> list[float]:
    """A center bend of twice the sides keeps the legs parallel."""
    return [1.0, 2.0, 1.0]


_CENTER = Hold(Reference.NOTCH, Hook.EITHER, 1)
_WAYS = (
    (Hold(Reference.ARROW, Hook.AWAY, 2), _CENTER, Hold(Reference.ARROW, Hook.TAPE_END, 3)),
    (Hold(Reference.ARROW, Hook.TAPE_END, 2), _CENTER, Hold(Reference.ARROW, Hook.AWAY, 3)),
)
"""Center first, then the nearer and the farther side, with the hook facing the center: the long leg stays straight
under the foot, and the arc lies outside its mark, so what is off errs on the high side. Facing out, the foot stands on
the slope: it needs less of it on large benders."""


class Saddle3(Bend):
    """`to_center` along the wall to the middle of the obstruction, its `height`, its `width` when it matters,
    and the angle of the side bends; the center bend is twice that."""

    key = "saddle3"
    name = "three-point saddle"
    measures = (
        length("to_center", "1", "1200", label="distance to the center"),
        length("height", "1/4", "24"),
        length("width", "0", "60", optional=True),
        angle(most="45"),
    )
    extras = (TO_END, ROUND, ROW, PITCH)
    ways = _WAYS
    angles = (22.5, 30.0, 45.0, 15.0, 10.0)
    room = "to_center"
    gauges = (FAR_FLAT, DOGLEG, replace(CROWN_HEIGHT, bends=_sides_and_center), CROWN_AT, TAPE_FLAT)

    def book(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """Center mark at distance + shrink x height, notch on it; outer marks multiplier x height away."""
        side = given.angle()
        taught, height = setup.trade.saddle(side), given.length("height")
        center = given.length("to_center") + taught.shrink * height
        reach = taught.multiplier * height
        near, middle, far = _held(way, 2 * side)
        return (
            Bending(center - reach, *near[:2], side, 180.0, near[2]),
            Bending(center, *middle[:2], 2 * side, 0.0, middle[2]),
            Bending(center + reach, *far[:2], side, 180.0, far[2]),
        )

    def true(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """Two half saddles that meet with the crown at the measured center."""
        side, bender = given.angle(), setup.bender
        curve = slope(float(given.length("height")), side, bender.radius)
        start = float(given.length("to_center")) - curve.run
        middle = start + curve.used
        rise = bender.arc(side)
        arcs = (
            Arc(start, side, 180.0),
            Arc(middle - rise, 2 * side, 0.0),
            Arc(middle + curve.used - rise, side, 180.0),
        )
        return placed(arcs, _held(way, 2 * side), bender)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """Crown height and place, both legs in line, and clearance to what is there."""
        _, top = crown(path)
        lift = from_tape_leg(top)
        solids = about(float(given.length("to_center")), given)
        return Finished(
            rise=norm(lift),
            crown_at=top[0],
            legs_out_of_line=legs_apart(path),
            legs_out_of_parallel=legs_out_of_parallel(path),
            dogleg=dogleg(path),
            clearance=clearance(path, solids, setup.od, unit(lift)),
        )

    def neighbor(self, given: Given, setup: Setup, out: float, ahead: float = 0.0) -> Given:
        """Its crown stands at the same place and lower by out x (1 / cos - 1): the slopes keep their
        distance."""
        lower = out * (1 / math.cos(math.radians(given.angle())) - 1)
        return longer(longer(given, "height", -lower), "to_center", ahead)

    def turns(self, given: Given, bends: Sequence[Bending]) -> float:
        """The center bend counts twice."""
        return 4.0

    def advice(self, given: Given, laid: LaidOut, setup: Setup) -> Iterator[Note]:
        """What clears a wide obstruction that this one fouls."""
        if fouls(laid.layout.finished.clearance, setup.scale) and given.get("width"):
            yield from _clears(self, given, laid, setup)

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """How far the center mark lies beyond the measured center, as the trade counts it."""
        side, height = given.angle(), given.length("height")
        if method is Method.BOOK:
            return float(setup.trade.saddle(side).shrink * height)
        return slope(float(height), side, setup.bender.radius).shrink

    def cut(self, given: Given, setup: Setup, shrink: float, path: Path) -> Fraction | None:
        """Both sides shrink."""
        return super().cut(given, setup, 2 * shrink, path)


def _held(way: Way, center: float) -> Way:
    """The rim notch is the middle of a 45 whichever way the hook faces; of other bends it is not."""
    if math.isclose(center, CENTER_45):
        return way
    return (way[0], way[1]._replace(hook=Hook.TAPE_END), way[2])


def _clears(bend: Bend, given: Given, laid: LaidOut, setup: Setup) -> Iterator[Note]:
    """A four-point saddle over the same obstruction, where it can be made, or three points higher up."""
    width, middle = given.length("width"), given.length("to_center")
    if middle > width / 2:
        wide = Given({"to_edge": middle - width / 2, "height": given["height"], "width": width})
        if fits(Saddle4(), wide.with_(angle=given["angle"]), setup, laid.layout.method):
            yield Note("four_points_clear", "A four-point saddle clears it.")
    height = _clearing_height(bend, given, laid, setup)
    if height is not None:
        yield Note("higher_clears", "Three bends clear it at a height of {height}.", {"height": height})


_EIGHTH = Fraction(1, 8)
_MOST_HIGHER = 32
"""Eighths of an inch above the obstruction that are tried: four inches."""


def _clearing_height(bend: Bend, given: Given, laid: LaidOut, setup: Setup) -> Fraction | None:
    """The lowest height in eighths at which three points clear what is `height` high. A slope that is raised moves
    away from a corner by the cosine of its angle: that tells which height to try next."""
    low, slant = given.length("height"), math.cos(math.radians(given.angle()))

    def gap_at(step: int) -> float | None:
        return _gap_at(low + step * _EIGHTH, bend, given, laid.layout.method, setup)

    gap, step = laid.layout.finished.clearance, 0
    while gap is not None and gap < 0:
        step += max(1, math.ceil(-gap / slant / _EIGHTH))
        gap = gap_at(step) if step <= _MOST_HIGHER else None
    if gap is None:
        return None
    while step > 1 and (lower := gap_at(step - 1)) is not None and lower >= 0:
        step -= 1
    return round_to(low + step * _EIGHTH, setup.scale)


def _gap_at(height: Fraction, bend: Bend, given: Given, method: Method, setup: Setup) -> float | None:
    """The clearance of a saddle of another height to what was given; None where it cannot be made."""
    try:
        _, marks = possible(bend, method, given.with_(height=height), setup)
    except BenchError:
        return None
    return bend.finished(simulate(marks, setup.bender, float(setup.stick_length)), given, setup).clearance
