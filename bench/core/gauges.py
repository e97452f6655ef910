"""What can be measured on a finished bend with a tape, a level and a flat floor, and which bends move it.

Every measure is a plain number without a sign, so that it can be said without ambiguity: a leg that points up
or down is told by its height two feet along, not by "which way".
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from bench.core.bender import Setup
from bench.core.bends import BENDS
from bench.core.finished import crown, far_leg, from_tape_leg, legs_apart
from bench.core.path import Path
from bench.core.plan import Plan
from bench.core.vectors import Vector, across, cross, degrees_between, dot, minus, norm, unit

ALONG = 24.0
"""How far along a leg its line is judged, inches: the usual level is two feet long (common practice, no
source)."""
_FLAT = 1e-9
"""Inches; a crown no higher than this is none."""

TAPE_LEG: Vector = (1.0, 0.0, 0.0)

Modes = Callable[[int], Sequence[float]]
"""For so many bends, in order from the tape end, how much each takes part in a correction."""
Reader = Callable[[Path, Plan, Setup], float]


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


def gauges(plan: Plan) -> tuple[Gauge, ...]:
    """What to measure on this bend, the most telling first."""
    return _GAUGES[_kind(plan)]


def _kind(plan: Plan) -> str:
    """The bend itself; of a parallel rack, the bend it is a rack of, told by its measures."""
    if plan.bend != "parallel":
        return plan.bend
    by_measure = (("to_center", "saddle3"), ("to_edge", "saddle4"), ("height", "stub"), ("rise", "offset"))
    return next(kind for key, kind in by_measure if key in plan.inputs)


def _rise(path: Path, plan: Plan, setup: Setup) -> float:
    return legs_apart(path)


def _crown_height(path: Path, plan: Plan, setup: Setup) -> float:
    return norm(from_tape_leg(crown(path)[1]))


def _finished(name: str) -> Reader:
    """A measure of the bend's own."""

    def read(path: Path, plan: Plan, setup: Setup) -> float:
        return float(getattr(BENDS[plan.bend].finished(path, plan.inputs, setup), name))

    return read


def _far_leg_away(path: Path, plan: Plan, setup: Setup) -> float:
    """Distance of the far leg from the line of the tape leg, two feet past the last bend."""
    leg = far_leg(path)
    return norm(from_tape_leg(leg.point(leg.start + ALONG)))


def _tape_leg_away(path: Path, plan: Plan, setup: Setup) -> float:
    """Distance of the tape leg from the line of the far leg, two feet before the first bend."""
    return norm(_tape_leg_from_far(path))


def _far_leg_up(path: Path, plan: Plan, setup: Setup) -> float:
    """Daylight under the far leg two feet past the last bend, the tape leg flat and the crown up."""
    leg = far_leg(path)
    return dot(from_tape_leg(leg.point(leg.start + ALONG)), _up(from_tape_leg(crown(path)[1])))


def _tape_leg_up(path: Path, plan: Plan, setup: Setup) -> float:
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


def _out_of_plane(path: Path, plan: Plan, setup: Setup) -> float:
    """Daylight under the far leg two feet past the last bend, the first bend lying on its side."""
    leg = far_leg(path)
    return abs(dot(leg.point(leg.start + ALONG), unit(cross(TAPE_LEG, path.segments[1].towards))))


def _turned(path: Path, plan: Plan, setup: Setup) -> float:
    """Angle of the far leg to the tape leg, degrees."""
    return degrees_between(TAPE_LEG, far_leg(path).along)


def _squareness(path: Path, plan: Plan, setup: Setup) -> float:
    """Angle of the last bend alone, degrees."""
    return path.arcs[-1].angle


def _each(count: int) -> list[float]:
    return [1.0] * count


def _first(count: int) -> list[float]:
    return [1.0] + [0.0] * (count - 1)


def _last(count: int) -> list[float]:
    return [0.0] * (count - 1) + [1.0]


def _sides_and_centre(count: int) -> list[float]:
    """A centre bend of twice the sides keeps the legs parallel."""
    return [1.0, 2.0, 1.0]


_RISE = Gauge("rise", "Measure the rise, same side of both legs: {planned}.", _rise, _each, asked=("rise",))
_CROWN_HEIGHT = Gauge(
    "rise", "Measure the crown's rise, same side: {planned}.", _crown_height, _each, asked=("height",)
)
_CROWN_AT = Gauge(
    "crown_at",
    "Tape end to the middle of the crown: {planned}.",
    _finished("crown_at"),
    trims=True,
    asked=("to_center",),
)
_FAR_LEG = Gauge(
    "far_leg", "The rise again, two feet past the last bend: {planned}.", _far_leg_away, _last, level=0.0
)
_TAPE_LEG = Gauge(
    "tape_leg",
    "The rise again, two feet before the first bend: {planned}.",
    _tape_leg_away,
    _first,
    level=0.0,
    routine=False,
)
_FAR_FLAT = Gauge(
    "far_leg",
    "Tape leg flat, crown up. Daylight under the far leg, two feet out: {planned}.",
    _far_leg_up,
    _last,
    level=0.0,
)
_TAPE_FLAT = Gauge(
    "tape_leg",
    "Far leg flat, crown up. Daylight under the tape leg, two feet out: {planned}.",
    _tape_leg_up,
    _first,
    level=0.0,
    routine=False,
)
_DOGLEG = Gauge(
    "dogleg",
    "Lay it on its side. Daylight under the far leg, two feet out: {planned}.",
    _out_of_plane,
    turns=_last,
    level=0.0,
)
_STUB = Gauge(
    "rise",
    "Measure the stub, end to back: {planned}.",
    _finished("rise"),
    trims=True,
    asked=("height", "stub"),
)
_SQUARE = Gauge("square", "Check the bend for square: {planned}.", _squareness, _last, degrees=True)
_BACKS = Gauge("distance", "Measure back to back: {planned}.", _finished("end_to_end"), asked=("distance",))
_KICK = Gauge("rise", "Measure the rise of the kick: {planned}.", _finished("rise"), _each, asked=("rise",))
_TURN = Gauge(
    "angle", "Check the angle of the whole bend: {planned}.", _turned, _last, asked=("angle",), degrees=True
)

_SHIFT = (_RISE, _FAR_LEG, _DOGLEG, _TAPE_LEG)

_GAUGES: dict[str, tuple[Gauge, ...]] = {
    "offset": _SHIFT,
    "rolling": (
        replace(_RISE, says="Lay it flat. Measure the true rise, same side: {planned}.", asked=()),
        *_SHIFT[1:],
    ),
    "box-offset": (_RISE, _DOGLEG),
    "saddle3": (replace(_CROWN_HEIGHT, bends=_sides_and_centre), _CROWN_AT, _FAR_FLAT, _DOGLEG, _TAPE_FLAT),
    "saddle4": (_CROWN_HEIGHT, replace(_CROWN_AT, asked=()), _FAR_FLAT, _DOGLEG, _TAPE_FLAT),
    "stub": (_STUB, _SQUARE),
    "back-to-back": (_BACKS, _SQUARE),
    "kick": (_KICK,),
    "segmented": (_TURN,),
}
