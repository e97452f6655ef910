"""What can be measured on a finished bend with a tape, a level and a flat floor, and which bends move it.

Each bend lists its own gauges; those that several bends share stand here. A leg that points up or down is told by its
height two feet along (600 mm with a metric tape), below the line negative; which way a dogleg leans is not told, only
how much.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.finished import TAPE_LEG, crown, far_leg, legs_apart
from bench.core.given import Given
from bench.core.lengths import MILLIMETER
from bench.core.path import Path
from bench.core.vectors import Vector, across, combine, cross, degrees_between, dot, minus, norm, unit

_ALONG, _ALONG_METRIC = 24.0, float(600 * MILLIMETER)
"""How far along a leg its line is judged, inches: the usual level is two feet or 600 mm long (common practice, no
source)."""
Modes = Callable[[int], Sequence[float]]
"""For so many bends, in order from the tape end, how much each takes part in a correction."""
Reader = Callable[[Path, Given, Setup], float]


@dataclass(frozen=True, slots=True)
class Gauge:
    """One thing to measure on a kind of bend.

    `says` is how to measure it, `{along}` how far along a leg. `read` measures it on a path: inches, or degrees where
    `degrees`. `bends` tells which bends change it by their angle, `turns` by their turn about the conduit; where
    `trims`, cutting the tape end shortens it; with none of these only new conduit helps. `asked` are the measures of
    the plan it must meet, the first that was given; without one it must be what the simulated marks make. `level` is
    the lean a level on it should show, degrees. `routine` ones are asked after every bend, the others only when the
    person brings them up. `tolerance` is what it may be off by, inches, where that is less than usual.
    """

    key: str
    says: str
    read: Reader
    bends: Modes | None = None
    turns: Modes | None = None
    trims: bool = False
    asked: tuple[str, ...] = ()
    degrees: bool = False
    level: float | None = None
    routine: bool = True
    tolerance: Fraction | None = None


def along(setup: Setup) -> float:
    """How far along a leg its line is judged, inches."""
    return _ALONG_METRIC if setup.scale == MILLIMETER else _ALONG


def along_text(setup: Setup) -> str:
    """The same in words."""
    return "600 millimeters" if setup.scale == MILLIMETER else "two feet"


def _first_squareness(path: Path, given: Given, setup: Setup) -> float:
    """Angle of the first bend alone, degrees."""
    return path.arcs[0].angle


def each(count: int) -> list[float]:
    """Every bend alike."""
    return [1.0] * count


def first(count: int) -> list[float]:
    """The first from the tape end alone."""
    return [1.0] + [0.0] * (count - 1)


def last(count: int) -> list[float]:
    """The last from the tape end alone."""
    return [0.0] * (count - 1) + [1.0]


def middle(count: int) -> list[float]:
    """The one in the middle alone: the legs on both sides of it keep their places best."""
    return [float(index == count // 2) for index in range(count)]


def _rise(path: Path, given: Given, setup: Setup) -> float:
    return legs_apart(path)


def crown_height(path: Path, given: Given, setup: Setup) -> float:
    """Rise of the crown from the line of the tape leg, to the side that the first bend turns, inches."""
    return dot(crown(path)[1], path.segments[1].towards)


def _far_leg_away(path: Path, given: Given, setup: Setup) -> float:
    """How far the far leg rises over two feet, away from the line of the tape leg to the side that the first bend
    turns; negative toward the line."""
    return along(setup) * dot(far_leg(path).along, path.segments[1].towards)


def _tape_leg_away(path: Path, given: Given, setup: Setup) -> float:
    """Distance of the tape leg from the line of the far leg, two feet before the first bend."""
    return norm(_tape_leg_from_far(path, setup))


def _far_leg_up(path: Path, given: Given, setup: Setup) -> float:
    """How far up the far leg is two feet past the last bend, the tape leg flat and the crown up; negative below."""
    leg = far_leg(path)
    return dot(leg.point(leg.start + along(setup)), path.segments[1].towards)


def _tape_leg_up(path: Path, given: Given, setup: Setup) -> float:
    """How far up the tape leg is two feet before the first bend, the far leg flat and the crown up."""
    bend = path.segments[-2]
    turn = bend.length * bend.curvature
    up = combine(bend.along, -math.sin(turn), bend.towards, math.cos(turn))
    return dot(_tape_leg_from_far(path, setup), up)


def _tape_leg_from_far(path: Path, setup: Setup) -> Vector:
    leg, own = far_leg(path), path.segments[0]
    return across(minus(own.point(own.end - along(setup)), leg.origin), leg.along)


def _out_of_plane(path: Path, given: Given, setup: Setup) -> float:
    """How far the far leg is from the plane of the first bend, two feet past the last bend."""
    leg = far_leg(path)
    return dot(leg.point(leg.start + along(setup)), unit(cross(TAPE_LEG, path.segments[1].towards)))


def turned(path: Path, given: Given, setup: Setup) -> float:
    """Angle of the far leg to the tape leg, degrees."""
    return degrees_between(TAPE_LEG, far_leg(path).along)


def _squareness(path: Path, given: Given, setup: Setup) -> float:
    """Angle of the last bend alone, degrees."""
    return path.arcs[-1].angle


RISE = Gauge("rise", "Rise, same side of both legs: {planned}.", _rise, each, asked=("rise",))
CROWN_HEIGHT = Gauge("rise", "Crown height, same side: {planned}.", crown_height, each, asked=("height",))
FAR_LEG = Gauge(
    "far_leg",
    "Tape leg level. Far leg, over {along}, up by: {planned}.",
    _far_leg_away,
    last,
    level=0.0,
)
TAPE_LEG_AWAY = Gauge(
    "tape_leg",
    "The rise again, {along} before the first bend: {planned}.",
    _tape_leg_away,
    first,
    level=0.0,
    routine=False,
)
FAR_FLAT = Gauge(
    "far_leg",
    "Tape leg flat. Far leg, {along} out, up by: {planned}.",
    _far_leg_up,
    last,
    level=0.0,
)
TAPE_FLAT = Gauge(
    "tape_leg",
    "Far leg flat, crown up. Daylight under the tape leg, {along} out: {planned}.",
    _tape_leg_up,
    first,
    level=0.0,
    routine=False,
)
DOGLEG = Gauge(
    "dogleg",
    "Lay it on its side. Far leg, {along} out, daylight: {planned}.",
    _out_of_plane,
    turns=last,
    level=0.0,
)
FIRST_SQUARE = Gauge(
    "first_square",
    "Check the first bend for square: {planned}.",
    _first_squareness,
    first,
    degrees=True,
)
SQUARE = Gauge("square", "Check the bend for square: {planned}.", _squareness, last, degrees=True)
SHIFT = (FAR_LEG, DOGLEG, RISE, TAPE_LEG_AWAY)
"""What two bends that carry the conduit over to a parallel line are measured by, in the order of correction: parallel,
then the plane, which closing a turned bend would leave again, then the height."""
