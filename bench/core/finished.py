"""What can be measured on a finished shape. Lengths in inches, angles in degrees."""

from __future__ import annotations

import math

from bench.core.path import Path, Segment
from bench.core.vectors import Vector, across, cross, degrees_between, dot, norm, unit

TAPE_LEG: Vector = (1.0, 0.0, 0.0)
"""The direction of the leg at the tape end."""


def from_tape_leg(point: Vector) -> Vector:
    """From the line of the tape leg square across to a point."""
    return across(point, TAPE_LEG)


def far_leg(path: Path) -> Segment:
    """The straight after the last bend."""
    return path.segments[-1]


def legs_apart(path: Path) -> float:
    """Square distance from the line of the tape leg to the start of the far leg: the rise of an offset."""
    return norm(from_tape_leg(far_leg(path).origin))


def legs_out_of_parallel(path: Path) -> float:
    """Angle between the two legs."""
    return degrees_between(TAPE_LEG, far_leg(path).along)


def dogleg(path: Path) -> float:
    """How far the far leg points out of the plane of the first bend, degrees."""
    if not path.arcs:
        return 0.0
    plane = unit(cross(TAPE_LEG, path.segments[1].towards))
    out = dot(far_leg(path).along, plane)
    return degrees_between(far_leg(path).along, unit(across(far_leg(path).along, plane))) if out else 0.0


def corner(path: Path) -> tuple[float, float]:
    """Where the lines of the two legs meet: along the tape leg from its end, and back along the far leg to where that
    begins; inches. For legs in one plane that are not parallel."""
    leg = far_leg(path)
    back = norm(from_tape_leg(leg.origin)) / norm(from_tape_leg(leg.along))
    return leg.origin[0] - back * leg.along[0], back


def crown(path: Path) -> tuple[float, Vector]:
    """The place between the first and the last bend that is farthest from the tape leg on the side the first bend turns
    to: `s` and the point."""
    between = path.segments[1:-1]
    if not between:
        return 0.0, path.point(0.0)
    side = between[0].towards
    candidates = [(s, segment.point(s)) for segment in between for s in (segment.end, *_level(segment, side))]
    return max(candidates, key=lambda at: dot(at[1], side))


def back_of_bend(path: Path, od: float) -> float:
    """How far the outside of the far leg is from the tape end, along the tape leg: the height of a stub."""
    leg = far_leg(path)
    return leg.origin[0] + od / 2 * norm(across(TAPE_LEG, leg.along))


def _level(segment: Segment, side: Vector) -> tuple[float, ...]:
    """Where within an arc the conduit goes neither to a side nor back from it."""
    rising, curving = dot(segment.along, side), dot(segment.towards, side)
    turn = math.atan2(rising, -curving) if rising > 0 else math.atan2(-rising, curving)
    level = 0 < turn < segment.length * segment.curvature
    return (segment.start + turn / segment.curvature,) if level else ()
