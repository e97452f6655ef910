"""Three-point saddle: up, over and down past one obstruction, crown at its centre."""

from __future__ import annotations

import math
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import TO_END, Bend, Bending, Given, angle, length, placed
from bench.core.bends.obstruction import PITCH, ROUND, ROW, about
from bench.core.bends.slope import slope
from bench.core.clearance import clearance
from bench.core.finished import crown, dogleg, from_tape_leg, legs_apart, legs_out_of_parallel
from bench.core.path import Arc, Path
from bench.core.plan import Finished, Hook, Method, Reference
from bench.core.vectors import norm, unit

CENTRE_45 = 45.0
"""The rim notch is the middle of a bend of this many degrees (Modern Residential Wiring 2015 p. 91)."""


class Saddle3(Bend):
    """`to_center` along the wall to the middle of the obstruction, its `height`, its `width` when it matters,
    and the angle of the side bends; the centre bend is twice that."""

    key = "saddle3"
    measures = (
        length("to_center", "1", "1200"),
        length("height", "1/4", "24"),
        length("width", "0", "60", optional=True),
        angle(most="45"),
    )
    extras = (TO_END, ROUND, ROW, PITCH)
    hooks = (Hook.EITHER,)
    angles = (22.5, 30.0, 45.0, 15.0, 10.0)
    room = "to_center"

    def book(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """Centre mark at distance + shrink x height, notch on it; outer marks multiplier x height away."""
        side = float(given["angle"])
        taught, height = setup.trade.saddle(side), Fraction(given["height"])
        centre = Fraction(given["to_center"]) + taught.shrink * height
        reach = taught.multiplier * height
        near, middle, far = _holds(2 * side)
        return (
            Bending(centre - reach, *near[:2], side, 180.0, near[2]),
            Bending(centre, *middle[:2], 2 * side, 0.0, middle[2]),
            Bending(centre + reach, *far[:2], side, 180.0, far[2]),
        )

    def true(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """Two half saddles that meet with the crown at the measured centre."""
        side, bender = float(given["angle"]), setup.bender
        curve = slope(float(given["height"]), side, bender.radius)
        start = float(given["to_center"]) - curve.run
        middle = start + curve.used
        rise = bender.arc(side)
        arcs = (
            Arc(start, side, 180.0),
            Arc(middle - rise, 2 * side, 0.0),
            Arc(middle + curve.used - rise, side, 180.0),
        )
        return placed(arcs, _holds(2 * side), bender)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """Crown height and place, both legs in line, and clearance to what is there."""
        _, top = crown(path)
        lift = from_tape_leg(top)
        solids = about(float(given["to_center"]), given)
        return Finished(
            rise=norm(lift),
            crown_at=top[0],
            legs_out_of_line=legs_apart(path),
            legs_out_of_parallel=legs_out_of_parallel(path),
            dogleg=dogleg(path),
            clearance=clearance(path, solids, setup.od, unit(lift)),
        )

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """How far the centre mark lies beyond the measured centre, as the trade counts it."""
        side, height = float(given["angle"]), Fraction(given["height"])
        if method is Method.BOOK:
            return float(setup.trade.saddle(side).shrink * height)
        return slope(float(height), side, setup.bender.radius).shrink

    def cut(self, given: Given, setup: Setup, shrink: float) -> Fraction | None:
        """Both sides shrink."""
        return super().cut(given, setup, 2 * shrink)


def _holds(centre: float) -> tuple[tuple[Reference, Hook, int], ...]:
    """Centre first, then the nearer and the farther side with the hook facing the centre: the long leg stays
    straight under the foot, and the arc lies outside its mark, so what is off errs on the high side."""
    either = Hook.EITHER if math.isclose(centre, CENTRE_45) else Hook.TAPE_END
    return (
        (Reference.ARROW, Hook.AWAY, 2),
        (Reference.NOTCH, either, 1),
        (Reference.ARROW, Hook.TAPE_END, 3),
    )
