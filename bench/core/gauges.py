"""What can be measured on a finished bend with a tape, a level and a flat floor, and which bends move it.

Each bend lists its own gauges; those that several bends share stand here. Every measure is a plain number
without a sign, so that it can be said without ambiguity: a leg that points up or down is told by its height
two feet along, not by "which way".
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bench.core.bender import Setup
from bench.core.finished import TAPE_LEG, crown, far_leg, from_tape_leg, legs_apart
from bench.core.given import Given
from bench.core.path import Path
from bench.core.vectors import Vector, across, cross, degrees_between, dot, minus, norm, unit

ALONG = 24.0
"""How far along a leg its line is judged, inches: the usual level is two feet long (common practice, no
source)."""
_FLAT = 1e-9
"""Inches; a crown no higher than this is none."""

Modes = Callable[[int], Sequence[float]]
"""For so many bends, in order from the tape end, how much each takes part in a correction."""
Reader = Callable[[Path, Given, Setup], float]


@dataclass(frozen=True, slots=True)
class Gauge:
    """One thing to measure on a kind of bend.

    `says` is how to measure it. `read` measures it on a path: inches, or degrees where `degrees`. `bends`
    tells which bends change it by their angle, `turns` by their turn about the conduit; where `trims`,
    cutting the tape end shortens it; with none of these only new conduit helps. `asked` are the measures of
    the plan it must meet, the first that was given; without one it must be what the simulated marks make.
    `level` is the lean a level on it should show, degrees. `routine` ones are asked after every bend, the
    others only when the person brings them up.
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


def each(count: int) -> list[float]:
    """Every bend alike."""
    return [1.0] * count


def first(count: int) -> list[float]:
    """The first from the tape end alone."""
    return [1.0] + [0.0] * (count - 1)


def last(count: int) -> list[float]:
    """The last from the tape end alone."""
    return [0.0] * (count - 1) + [1.0]


def _rise(path: Path, given: Given, setup: Setup) -> float:
    return legs_apart(path)


def crown_height(path: Path, given: Given, setup: Setup) -> float:
    """Rise of the crown from the line of the tape leg, inches."""
    return norm(from_tape_leg(crown(path)[1]))


def _far_leg_away(path: Path, given: Given, setup: Setup) -> float:
    """Distance of the far leg from the line of the tape leg, two feet past the last bend."""
    leg = far_leg(path)
    return norm(from_tape_leg(leg.point(leg.start + ALONG)))


def _tape_leg_away(path: Path, given: Given, setup: Setup) -> float:
    """Distance of the tape leg from the line of the far leg, two feet before the first bend."""
    return norm(_tape_leg_from_far(path))


def _far_leg_up(path: Path, given: Given, setup: Setup) -> float:
    """Daylight under the far leg two feet past the last bend, the tape leg flat and the crown up."""
    leg = far_leg(path)
    return dot(from_tape_leg(leg.point(leg.start + ALONG)), _up(from_tape_leg(crown(path)[1])))


def _tape_leg_up(path: Path, given: Given, setup: Setup) -> float:
    """Daylight under the tape leg two feet before the first bend, the far leg flat and the crown up."""
    leg = far_leg(path)
    up = _up(across(minus(crown(path)[1], leg.origin), leg.along))
    return dot(_tape_leg_from_far(path), up)


def _up(to_crown: Vector) -> Vector:
    """The way up, towards the crown; nothing where the search for what was bent passes a flat conduit."""
    return unit(to_crown) if norm(to_crown) > _FLAT else (0.0, 0.0, 0.0)


def _tape_leg_from_far(path: Path) -> Vector:
    leg, own = far_leg(path), path.segments[0]
    return across(minus(own.point(own.end - ALONG), leg.origin), leg.along)


def _out_of_plane(path: Path, given: Given, setup: Setup) -> float:
    """Daylight under the far leg two feet past the last bend, the first bend lying on its side."""
    leg = far_leg(path)
    return abs(dot(leg.point(leg.start + ALONG), unit(cross(TAPE_LEG, path.segments[1].towards))))


def turned(path: Path, given: Given, setup: Setup) -> float:
    """Angle of the far leg to the tape leg, degrees."""
    return degrees_between(TAPE_LEG, far_leg(path).along)


def _squareness(path: Path, given: Given, setup: Setup) -> float:
    """Angle of the last bend alone, degrees."""
    return path.arcs[-1].angle


RISE = Gauge("rise", "Measure the rise, same side of both legs: {planned}.", _rise, each, asked=("rise",))
CROWN_HEIGHT = Gauge(
    "rise", "Measure the crown's rise, same side: {planned}.", crown_height, each, asked=("height",)
)
FAR_LEG = Gauge(
    "far_leg", "The rise again, two feet past the last bend: {planned}.", _far_leg_away, last, level=0.0
)
TAPE_LEG_AWAY = Gauge(
    "tape_leg",
    "The rise again, two feet before the first bend: {planned}.",
    _tape_leg_away,
    first,
    level=0.0,
    routine=False,
)
FAR_FLAT = Gauge(
    "far_leg",
    "Tape leg flat, crown up. Daylight under the far leg, two feet out: {planned}.",
    _far_leg_up,
    last,
    level=0.0,
)
TAPE_FLAT = Gauge(
    "tape_leg",
    "Far leg flat, crown up. Daylight under the tape leg, two feet out: {planned}.",
    _tape_leg_up,
    first,
    level=0.0,
    routine=False,
)
DOGLEG = Gauge(
    "dogleg",
    "Lay it on its side. Daylight under the far leg, two feet out: {planned}.",
    _out_of_plane,
    turns=last,
    level=0.0,
)
SQUARE = Gauge("square", "Check the bend for square: {planned}.", _squareness, last, degrees=True)
SHIFT = (RISE, FAR_LEG, DOGLEG, TAPE_LEG_AWAY)
"""What two bends that carry the conduit over to a parallel line are measured by."""
