"""Four-point saddle: two equal offsets with a flat top between them, for what is wide or square."""

from __future__ import annotations

from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import (
    STRAIGHT_ANGLES,
    TO_END,
    Bend,
    Bending,
    Hold,
    Way,
    angle,
    half_tan,
    length,
    longer,
    placed,
)
from bench.core.bends.obstruction import ROUND, ROW, between
from bench.core.bends.slope import slope
from bench.core.clearance import clearance
from bench.core.finished import crown, dogleg, from_tape_leg, legs_apart, legs_out_of_parallel
from bench.core.gauges import CROWN_HEIGHT, DOGLEG, FAR_FLAT, TAPE_FLAT, Gauge
from bench.core.given import Given
from bench.core.path import Arc, Path
from bench.core.plan import Finished, Hook, Method, Reference
from bench.core.vectors import norm, unit

_IN, _OUT = Hook.AWAY, Hook.TAPE_END


def _way(outer: Hook, inner: Hook) -> Way:
    """Inner bend before outer, near before far; the far side mirrors the near one."""
    mirrored = {Hook.AWAY: Hook.TAPE_END, Hook.TAPE_END: Hook.AWAY}
    hooks = (outer, inner, mirrored[inner], mirrored[outer])
    return tuple(Hold(Reference.ARROW, hook, order) for hook, order in zip(hooks, (2, 1, 3, 4), strict=True))


_WAYS = (_way(_IN, _IN), _way(_OUT, _IN), _way(_IN, _OUT), _way(_OUT, _OUT))
"""Best with the hook toward the flat top: the leg under the foot is always straight, and the arcs lie outside their
marks, so the conduit is level before it reaches the obstruction. Facing out, the foot stands on slope or flat: it needs
less of them on large benders."""

_ROLLS = (180.0, 0.0, 0.0, 180.0)


def _flat_middle(path: Path, given: Given, setup: Setup) -> float:
    flat = path.segments[4]
    return flat.point(flat.start + flat.length / 2)[0]


class Saddle4(Bend):
    """`to_edge` along the wall to the near edge, `height` and `width` of the obstruction, the angle of all
    four bends, and the `gap` left free on each side of it before the conduit comes down."""

    key = "saddle4"
    name = "four-point saddle"
    measures = (
        length("to_edge", "1", "1200", label="distance to the near edge"),
        length("height", "1/4", "24"),
        length("width", "1/4", "120"),
        angle(),
        length("gap", "0", "24", optional=True),
    )
    extras = (TO_END, ROUND, ROW)
    angles = STRAIGHT_ANGLES
    ways = _WAYS
    room = "to_edge"
    gauges = (
        FAR_FLAT,
        DOGLEG,
        CROWN_HEIGHT,
        Gauge("crown_at", "Tape end to the middle of the flat top: {planned}.", _flat_middle, trims=True),
        TAPE_FLAT,
    )

    def book(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """Second mark at the near edge + shrink, third a flat top on; outer marks multiplier x height off."""
        degrees, height = given.angle(), given.length("height")
        taught = setup.trade.offset(degrees)
        second = given.length("to_edge") - _gap(given) + taught.shrink * height
        third = second + _flat(given)
        reach = taught.multiplier * height
        places = (second - reach, second, third, third + reach)
        return tuple(
            Bending(at, reference, faces, degrees, roll, order)
            for at, (reference, faces, order), roll in zip(places, way, _ROLLS, strict=True)
        )

    def true(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """Level from the near edge less the gap to the far edge and the gap."""
        degrees, bender = given.angle(), setup.bender
        curve = slope(float(given.length("height")), degrees, bender.radius)
        first = float(given.length("to_edge")) - float(_gap(given)) - curve.run
        bend = bender.arc(degrees)
        third = first + curve.used + float(_flat(given))
        starts = (first, first + curve.used - bend, third, third + curve.used - bend)
        arcs = tuple(Arc(start, degrees, roll) for start, roll in zip(starts, _ROLLS, strict=True))
        return placed(arcs, way, bender)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """Height and middle of the flat top, legs in line, and clearance to what is between the edges."""
        lift = from_tape_leg(crown(path)[1])
        near = float(given.length("to_edge"))
        solids = between(near, near + float(given.length("width")), given)
        return Finished(
            rise=norm(lift),
            crown_at=_flat_middle(path, given, setup),
            legs_out_of_line=legs_apart(path),
            legs_out_of_parallel=legs_out_of_parallel(path),
            dogleg=dogleg(path),
            clearance=clearance(path, solids, setup.od, unit(lift)),
        )

    def neighbor(self, given: Given, setup: Setup, out: float, ahead: float = 0.0) -> Given:
        """Its flat top is shorter at both ends by out x tan(angle / 2)."""
        shift = out * half_tan(given.angle())
        return longer(longer(given, "to_edge", shift + ahead), "width", -2 * shift)

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """Twice that of one offset."""
        degrees, height = given.angle(), given.length("height")
        if method is Method.BOOK:
            return 2 * float(setup.trade.offset(degrees).shrink * height)
        return 2 * slope(float(height), degrees, setup.bender.radius).shrink


def _gap(given: Given) -> Fraction:
    return given.length("gap", 0)


def _flat(given: Given) -> Fraction:
    return given.length("width") + 2 * _gap(given)
