"""Points and directions in space, as plain triples: a plan has a few dozen, too few to want arrays."""

from __future__ import annotations

import math

Vector = tuple[float, float, float]


def add(a: Vector, b: Vector) -> Vector:
    """a + b."""
    return a[0] + b[0], a[1] + b[1], a[2] + b[2]


def minus(a: Vector, b: Vector) -> Vector:
    """a - b."""
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def scale(a: Vector, factor: float) -> Vector:
    """a times a number."""
    return a[0] * factor, a[1] * factor, a[2] * factor


def combine(a: Vector, x: float, b: Vector, y: float) -> Vector:
    """x a + y b."""
    return a[0] * x + b[0] * y, a[1] * x + b[1] * y, a[2] * x + b[2] * y


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product."""
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def norm(a: Vector) -> float:
    """Length."""
    return math.sqrt(dot(a, a))


def unit(a: Vector) -> Vector:
    """The direction of a vector that is not nothing."""
    return scale(a, 1 / norm(a))


def across(a: Vector, direction: Vector) -> Vector:
    """The part of `a` at right angles to a unit `direction`."""
    return minus(a, scale(direction, dot(a, direction)))


def degrees_between(a: Vector, b: Vector) -> float:
    """Angle between two directions, 0 to 180 degrees; exact for small angles too."""
    return math.degrees(math.atan2(norm(cross(a, b)), dot(a, b)))
