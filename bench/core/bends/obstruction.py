"""What a saddle must clear, from its measures: rectangular or round, one or a row of equal ones."""

from __future__ import annotations

from bench.core.bends.base import count, length
from bench.core.clearance import Box, Round, Row, Solid
from bench.core.given import Given

ROUND = count("round", 0, 1, optional=True, label="round obstruction")
"""1 for a round obstruction, such as a pipe, that stands off the wall when it is less thick than high."""

ROW = count("row", 2, 24, optional=True, label="number in the row")
"""How many equal obstructions stand side by side."""

PITCH = length("pitch", "1/2", "48", optional=True, label="pitch of the row")
"""Center to center in a row, inches."""


def about(center: float, given: Given) -> Row:
    """Obstructions of the measures given, spread evenly about a center."""
    number, pitch = given.count("row", 1), float(given.length("pitch", given.length("width", 0)))
    first = center - pitch * (number - 1) / 2
    return tuple(
        _one(first + pitch * index, float(given.length("width", 0)), given) for index in range(number)
    )


def between(near: float, far: float, given: Given) -> Row:
    """Obstructions that fill the stretch from a near to a far edge: one box, or a row of round ones."""
    if not given.get("round"):
        return (Box(near, far, float(given.length("height"))),)
    number, thick = given.count("row", 1), min(float(given.length("height")), far - near)
    pitch = (far - near - thick) / (number - 1) if number > 1 else 0.0
    first = near + thick / 2 if number > 1 else (near + far) / 2
    return tuple(_one(first + pitch * index, thick, given) for index in range(number))


def _one(center: float, width: float, given: Given) -> Solid:
    height = float(given.length("height"))
    if given.get("round"):
        diameter = min(width or height, height)
        return Round(center, diameter, height - diameter)
    return Box(center - width / 2, center + width / 2, height)
